package api_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// storedCourse is a club with two greens, each appraised; the second also under
// another discount rate.
type storedCourse struct {
	stored
	first, second, dear thing
}

func (k *keeping) setUpCourse() storedCourse {
	k.t.Helper()
	c := storedCourse{stored: k.setUp()}
	c.first = k.want(201, "POST", c.at+"/appraisals", c.appraisal(""))
	p := partsOf(k.t, "green_04")
	green := k.want(201, "POST", c.at+"/greens", p.green)
	survey := k.want(201, "POST", c.at+"/surveys", p.surveyOf(green.ID))
	body := fmt.Sprintf(`{"green_id":%q,"survey_id":%q,%s}`, green.ID, survey.ID, c.rest) // the terms of the first
	c.second = k.want(201, "POST", c.at+"/appraisals", body)
	c.dear = k.want(201, "POST", c.at+"/appraisals", strings.Replace(body, `"money":{`, `"money":{"discount_rate_pct":9,`, 1))
	return c
}

// request asks for a plan of appraisals, each with what is told of its green.
func (c storedCourse) request(greens ...string) string {
	return fmt.Sprintf(`{"title":"Both greens","greens":[%s],"plan":%s}`, strings.Join(greens, ","), planTerms)
}

func greenOf(appraisal thing, more string) string {
	return fmt.Sprintf(`{"appraisal_id":%q%s}`, appraisal.ID, more)
}

// TestACoursePlanOfStoredAppraisals is that of the course that they make together.
func TestACoursePlanOfStoredAppraisals(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		c := k.setUpCourse()
		at := c.at + "/course-plans"
		asked := k.want(202, "POST", at, c.request(greenOf(c.first, `,"latest_year":2`), greenOf(c.second, `,"weight":2,"off_course":true,"kept_open_months":[7]`)))
		if asked.Title != "Both greens" {
			t.Errorf("asked for as %q", asked.Title)
		}
		course := k.want(200, "GET", asked.location+"/case", "").body
		var resolved struct {
			Greens []struct {
				Green struct {
					Name string `json:"name"`
				} `json:"green"`
				Weight         float64 `json:"weight"`
				LatestYear     *int    `json:"latest_year"`
				KeptOpenMonths []int   `json:"kept_open_months"`
				OffCourse      bool    `json:"off_course"`
			} `json:"greens"`
		}
		unmarshal(t, course, &resolved)
		if g := resolved.Greens; len(g) != 2 || g[0].Green.Name != "14th" || *g[0].LatestYear != 2 || g[0].Weight != 1 ||
			g[1].Green.Name != "4th" || g[1].Weight != 2 || !g[1].OffCourse || g[1].KeptOpenMonths[0] != 7 {
			t.Errorf("the course is %+v", g)
		}
		// What was resolved is a course of its own, and the same one.
		again := k.want(202, "POST", at, `{"course":`+course+`}`)
		if again.CaseSHA256 != asked.CaseSHA256 {
			t.Errorf("resolved again it is another course: %s", k.want(200, "GET", again.location+"/case", "").body)
		}
		task, err := k.service.TakeCoursePlan(t.Context(), "a test")
		if err != nil || task == nil {
			t.Fatal(task, err)
		}
		if err := task.Run(t.Context()); err != nil {
			t.Fatal(err)
		}
		done := k.plan(asked.location)
		trial := k.post("/v1/trial-course-plans", course)
		if trial.Code != 200 || sha(canonical(t, trial.Body.Bytes())) != *done.ResultSHA256 {
			t.Errorf("a trial of the same course gives another plan: %d %.300s", trial.Code, trial.Body)
		}
	})
}

// TestFaultsOfACoursePlanAreNamedWhereTheyWereGiven: in the request, in the course
// that it holds, or by the appraisal that brought them in.
func TestFaultsOfACoursePlanAreNamedWhereTheyWereGiven(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		c := k.setUpCourse()
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		whole := planBody(t)
		for _, tt := range []struct{ name, body, pointer, words string }{
			{"nothing", `{}`, "", "there is no course"},
			{"no terms", `{"greens":[` + greenOf(c.first, "") + `]}`, "/plan", "is required beside greens"},
			{"both", strings.TrimSuffix(whole, "}") + `,"plan":` + planTerms + `}`, "/plan", "stands beside course"},
			{"another's appraisal", c.request(greenOf(other, "")), "/greens/0/appraisal_id", "the club has no such appraisal"},
			{"another discount rate", c.request(greenOf(c.first, ""), greenOf(c.dear, "")), "/greens/1/appraisal_id", "under another money"},
			{"the same green twice", c.request(greenOf(c.second, ""), greenOf(c.dear, "")), "/greens/1/appraisal_id", "under another money"},
			{"the same appraisal twice", c.request(greenOf(c.first, ""), greenOf(c.first, "")), "/greens/1/appraisal_id", "has this name too"},
			{"a year too late", c.request(greenOf(c.first, `,"latest_year":9`)), "/greens/0/latest_year", "outside the plan"},
			{"no budget", strings.Replace(c.request(greenOf(c.first, "")), `"per_year"`, `"borrowing_cap"`, 1), "/plan/budget/per_year", "there is no budget"},
			{"no budget, inline", strings.Replace(whole, `"per_year"`, `"borrowing_cap"`, 1), "/course/plan/budget/per_year", "there is no budget"},
			{"one name twice", strings.Replace(whole, `"name": "14th"`, `"name": "4th"`, 1), "/course/greens/1/green/name", "has this name too"},
		} {
			got := k.refused(422, "faulty-document", "POST", c.at+"/course-plans", tt.body)
			var problem struct {
				Errors []struct{ Pointer, Detail string } `json:"errors"`
			}
			unmarshal(t, got, &problem)
			if e := problem.Errors; len(e) == 0 || e[0].Pointer != tt.pointer || !strings.Contains(e[0].Detail, tt.words) {
				t.Errorf("%s: %+v, want %q at %s", tt.name, e, tt.words, tt.pointer)
			}
		}
		if k.count(c.at+"/course-plans") != 0 {
			t.Error("something was stored all the same")
		}
		if !json.Valid([]byte(whole)) {
			t.Error("the whole course is no JSON")
		}
	})
}
