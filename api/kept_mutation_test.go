package api_test

import (
	"fmt"
	"net/http/httptest"
	"testing"
)

// TestMutatedThingsAreAnsweredProperly sends spoilt clubs, greens, surveys, price
// books and requests, made as in TestMutatedCasesAreAnsweredProperly. What one
// engine would choke on must have been refused before it gets there.
func TestMutatedThingsAreAnsweredProperly(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		reappraised := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		total := map[int]int{}
		for target, kind := range map[string]struct {
			body string
			n    int
		}{
			"/v1/clubs":                            {s.parts.club, 150},
			s.at + "/greens":                       {s.parts.green, 300},
			s.at + "/surveys":                      {s.surveyOf(s.green.ID), 300},
			s.at + "/price-books":                  {`{"book":{"name":"b","currency":"GBP","price_date":"2027-01-01","items":[{"item":"gravel","unit":"t","low":"1.50","likely":"2","high":"3","tax_class":"standard"}]}}`, 200},
			s.at + "/appraisals":                   {s.appraisal(""), 30},
			reappraised.location + "/reappraisals": {fmt.Sprintf(`{"survey_id":%q,"title":"again","available":{"first_month":"2028-09","nursery_turf_m2":100}}`, s.survey.ID), 30},
		} {
			m := newMutator(t, map[string][]byte{"seed": []byte(kind.body)})
			for number := range kind.n {
				body := m.mutate(*mutationSeed, uint64(number))
				r, w := jsonRequest(target, body), httptest.NewRecorder()
				k.handler.ServeHTTP(w, r)
				total[w.Code]++
				if err := k.check(r, w); w.Code >= 500 || err != nil {
					t.Errorf("%s, case %d: answered %d: %.500s: %v\n%.3000q", target, number, w.Code, w.Body, err, body)
				}
			}
		}
		t.Logf("answers by status: %v", total)
		for _, status := range []int{201, 400, 409, 422} {
			if total[status] < 5 {
				t.Errorf("only %d were answered with %d: the mutations no longer reach that path", total[status], status)
			}
		}
	})
}

// TestHostileParameters: values that the contract's patterns let through and an
// engine cannot take.
func TestHostileParameters(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		for _, query := range []string{"/greens?name=%00", "/greens?name=a%00b", "/greens?name=%ff", "/surveys?from=2027-02-30", "/surveys?to=0000-01-01", "/surveys?to=0000-00-00", "/audit-entries?cursor=999999999999999999"} {
			out := k.send("GET", s.at+query, "")
			if out.code != 400 && !(out.code == 200 && query[:14] == "/audit-entries") {
				t.Errorf("%s answered %d: %s", query, out.code, out.body)
			}
		}
		for _, day := range []string{"0000-01-01", "0000-00-00", "9999-12-31"} {
			if out := k.send("POST", s.at+"/surveys", surveyOn(s.green.ID, day, 20)); out.code >= 500 {
				t.Errorf("a survey of %s answered %d: %s", day, out.code, out.body)
			}
			if out := k.importFile(s.at, "green,surveyed_on,thatch_depth_mm\nthe 14th green,"+day+",20\n"); out.code >= 500 {
				t.Errorf("a file with a survey of %s answered %d: %s", day, out.code, out.body)
			}
		}
	})
}
