package api_test

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestAnAppraisalIsMadeAgainWithChanges: what is changed stands in the new case,
// what is not stays, and the old appraisal does not move.
func TestAnAppraisalIsMadeAgainWithChanges(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		first := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		before := k.want(200, "GET", s.at+"/appraisals/"+first.ID, "").body
		again := k.want(201, "POST", s.at+"/appraisals/"+first.ID+"/reappraisals",
			`{"title":"Dearer","changes":{"worth_of_playable_month":{"amount":"3000","currency":"GBP"},"discount_rate_pct":5,"price_level":"high","first_month":"2029-09","horizon_years":30}}`)
		var kept struct {
			Case struct {
				Money struct {
					Worth []struct{ Amount json.Number } `json:"worth_of_playable_month"`
					Rate  float64                        `json:"discount_rate_pct"`
					Level string                         `json:"price_level"`
					Years int                            `json:"horizon_years"`
				}
				Available struct {
					FirstMonth string `json:"first_month"`
				}
			}
		}
		if err := json.Unmarshal([]byte(k.want(200, "GET", s.at+"/appraisals/"+again.ID, "").body), &kept); err != nil {
			t.Fatal(err)
		}
		m := kept.Case.Money
		total := 0.0
		for _, month := range m.Worth {
			amount, _ := month.Amount.Float64()
			total += amount
		}
		if len(m.Worth) != 12 || total < 12*3000-0.1 || total > 12*3000+0.1 || m.Rate != 5 || m.Level != "high" || m.Years != 30 || kept.Case.Available.FirstMonth != "2029-09" {
			t.Errorf("%+v, worth %.2f in all", kept.Case, total)
		}
		if again.ReappraisesID != first.ID || again.CaseSHA256 == first.CaseSHA256 {
			t.Errorf("%+v was made from %+v", again, first)
		}
		if after := k.want(200, "GET", s.at+"/appraisals/"+first.ID, "").body; after != before {
			t.Error("the first appraisal has changed")
		}
	})
}

// TestFaultsOfChanges stand at the change that caused them.
func TestFaultsOfChanges(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		first := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		for body, pointer := range map[string]string{
			`{"changes":{"horizon_years":99}}`:                                                   "/changes/horizon_years",
			`{"changes":{"worth_of_playable_month":{"amount":"10","currency":"EUR"}}}`:           "/changes/worth_of_playable_month/currency",
			`{"changes":{"worth_of_playable_month":{"amount":"-10","currency":"GBP"}}}`:          "/changes/worth_of_playable_month/amount",
			`{"changes":{"first_month":"2099-13"}}`:                                              "/changes/first_month",
			`{"changes":{"price_level":"free"}}`:                                                 "/changes/price_level",
			`{"changes":{"surprise":1}}`:                                                         "/changes/surprise",
			`{"changes":{"worth_of_playable_month":{"amount":"999999999999","currency":"GBP"}}}`: "/changes/worth_of_playable_month",
		} {
			found := k.refused(422, "faulty-document", "POST", s.at+"/appraisals/"+first.ID+"/reappraisals", body)
			if !strings.Contains(found, `"pointer":"`+pointer) {
				t.Errorf("%s: %s", body, found)
			}
			if n := strings.Count(found, `"pointer"`); n != 1 {
				t.Errorf("%s has %d faults: %s", body, n, found)
			}
		}
	})
}
