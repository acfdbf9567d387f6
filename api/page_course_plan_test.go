package api_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"swardcase/api/report/workbook"
	"swardcase/api/service"
)

// conditionPlanBody asks for the plan that gains the best condition, in which
// something is done.
func conditionPlanBody(t testing.TB) string {
	return strings.Replace(planBody(t), `"years":3`, `"years":3,"objective":"index_years"`, 1)
}

// TestACoursePlanIsSeen from waiting to its result, with the figures that the API
// gives; and one that is cancelled from its page.
func TestACoursePlanIsSeen(t *testing.T) {
	eachPlanning(t, service.ModelEngine().PlanCourse, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		page := "/clubs/" + club.ID
		holds(t, k.see(200, page), `href="`+page+`/course-plans"`)
		holds(t, k.see(200, page+"/course-plans"), "The course has not been planned yet")
		queued := k.want(202, "POST", club.location+"/course-plans", conditionPlanBody(t))
		unwanted := k.want(202, "POST", club.location+"/course-plans", planBody(t))
		at, other := page+"/course-plans/"+queued.ID, page+"/course-plans/"+unwanted.ID
		holds(t, k.see(200, page+"/course-plans"), at, other, "Waiting for its turn.")
		holds(t, k.see(200, at), "Waiting for its turn.", `<a href="`+at+`">See how it stands now`, `action="`+at+`/cancel"`)

		holds(t, k.see(409, at+"/workbook"), "The plan has no result: waiting for its turn.")

		left := k.reader().send(http.MethodPost, other+"/cancel", url.Values{})
		if cancelled := k.plan(club.location + "/course-plans/" + unwanted.ID); cancelled.State != "cancelled" {
			t.Errorf("it is %s; the page answered %+v", cancelled.State, left)
		}
		gone := k.see(200, other)
		holds(t, gone, "Cancelled.")
		lacks(t, gone, "See how it stands now", "/cancel")

		k.work(t)
		k.want(202, "POST", club.location+"/course-plans", planBody(t)) // wakes the workers
		done := k.until(t, club.location+"/course-plans/"+queued.ID, inState("done"))
		var plan struct {
			Headline string `json:"headline"`
			Works    []struct {
				Green   string   `json:"green"`
				Reasons []string `json:"reasons"`
			} `json:"works"`
			Cash []struct{} `json:"cash"`
		}
		unmarshal(t, string(done.Result), &plan)
		shown := k.see(200, at)
		for _, works := range plan.Works {
			holds(t, shown, `<th scope="row">`+works.Green+"</th>", works.Reasons[0])
		}
		if got := strings.Count(shown, `data-label="Brought"`); len(plan.Works) == 0 || got != len(plan.Cash) {
			t.Errorf("%d greens, and %d rows of money for %d years", len(plan.Works), got, len(plan.Cash))
		}
		holds(t, shown, plan.Headline[:20], "Proven:", "What each rule costs", "Plans drawn by hand", `id="figure-plan"`, `id="figure-budget"`, `id="figure-course-condition"`)
		lacks(t, shown, "See how it stands now", "/cancel")
		holds(t, shown, `href="`+at+`/workbook"`)
		saved := fromBrowser(k.harness, at+"/workbook")
		if saved.Code != http.StatusOK || saved.Header().Get("Content-Type") != workbook.MediaType || !strings.HasPrefix(saved.Body.String(), "PK") {
			t.Errorf("the workbook answered %d with %q", saved.Code, saved.Header())
		}
	})
}
