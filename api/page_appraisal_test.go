package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"swardcase/api"
	"swardcase/api/pages/browsertest"
	"swardcase/api/pages/print"
	"swardcase/api/report/workbook"
)

// TestAnAppraisalIsRead opens the page of a stored appraisal.
func TestAnAppraisalIsRead(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		page := k.see(200, "/clubs/"+s.club.ID+"/appraisals/"+made.ID)
		inOrder(t, page, "not for tender", "Take a full layered rebuild, seeded", "Ask the meeting to approve", "What would change the answer", "The options side by side", "Appendix")
		holds(t, page, `<a href="/clubs/`+s.club.ID+`">Thornmere Golf Club</a>`, "Section through the profile")
	})
}

func TestAnAppraisalThatIsNotThere(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		other := k.want(201, "POST", "/v1/clubs", s.parts.club)
		holds(t, k.see(404, "/clubs/"+other.ID+"/appraisals/"+made.ID), "There is nothing at this address")
		holds(t, k.see(404, "/clubs/"+s.club.ID+"/appraisals/"+s.club.ID), "no such appraisal")
		k.see(404, "/clubs/"+s.club.ID+"/appraisals/nonsense")
	})
}

// TestTheGroundsOfAnAppraisalAreRead: every constant, and the way to a figure.
func TestTheGroundsOfAnAppraisalAreRead(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		at := "/clubs/" + s.club.ID + "/appraisals/" + made.ID
		holds(t, k.see(200, at+"/assumptions"), "<code>works_weeks_ratio</code>", "common practice, no source", "published:")
		page := k.see(200, at+"/workings?figure=options.layered_rebuild/seed.capital")
		holds(t, page, "How capital of layered rebuild, seed was reached", "worked out below", "contingency", "Demonstration price book")
		holds(t, k.see(200, at+"/workings"), "was reached")
		holds(t, k.see(404, at+"/workings?figure=%3Cb%3E"), "no such figure")
	})
}

// TestASharedAppraisalIsReadAndNothingElse: whoever has the link reads what the
// club reads, and comes from there to nothing of the club's.
func TestASharedAppraisalIsReadAndNothingElse(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		link := k.want(201, "POST", s.at+"/appraisals/"+made.ID+"/share-links", `{}`)
		var given struct{ Secret string }
		if err := json.Unmarshal([]byte(link.body), &given); err != nil {
			t.Fatal(err)
		}
		shut := harnessOf(t, k.service, func(c *api.Config) { c.Logger, c.OpenToLocal = discard(), false })
		outside := &keeping{harness: shut}
		at := "/shared/" + given.Secret
		page := outside.see(200, at)
		holds(t, page, "Take a full layered rebuild, seeded", "Shared by Thornmere Golf Club, to read until", at+"/assumptions")
		lacks(t, page, `href="/clubs`, "<form", "method=\"post\"")
		holds(t, outside.see(200, at+"/workings"), "was reached")
		holds(t, outside.see(200, at+"/assumptions"), "published:")
		if w := outside.get(at + "/workbook"); w.Code != 200 || w.Header().Get("Content-Type") != workbook.MediaType || !bytes.Equal(w.Body.Bytes(), k.get(made.location+"/workbook").Body.Bytes()) {
			t.Errorf("the shared workbook answered %d with %v", w.Code, w.Header())
		}
		outside.see(404, "/shared/"+given.Secret[:len(given.Secret)-1]+"x")
		k.want(200, "DELETE", s.at+"/appraisals/"+made.ID+"/share-links/"+link.ID, "")
		holds(t, outside.see(404, at), "ask the club for a new one")
	})
}

// TestTheCommitteesPaper: the page on 4 to 6 sheets, with what a committee has to
// know on the first.
func TestTheCommitteesPaper(t *testing.T) {
	if _, err := print.Browser(); err != nil {
		t.Skip(err)
	}
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		r := httptest.NewRequest(http.MethodGet, s.at+"/appraisals/"+made.ID+"/paper", nil)
		w := k.do(r)
		wantStatus(t, w, http.StatusOK)
		if got := w.Header().Get("Content-Type"); got != "application/pdf" {
			t.Errorf("Content-Type is %s", got)
		}
		text, sheets := browsertest.PaperText(t, w.Body.Bytes())
		if sheets < 4 || sheets > 6 {
			t.Errorf("the paper has %d sheets, not 4 to 6", sheets)
		}
		first, _, _ := strings.Cut(text, "\f")
		holds(t, first, "Take a full layered rebuild, seeded", "Ask the meeting to approve", "What would change the answer", "not for tender", fmt.Sprintf("Page 1 of %d", sheets))
		holds(t, text, "The options side by side", "Buried services", "Appendix", "capital in all", fmt.Sprintf("Page %d of %d", sheets, sheets))
		if n := strings.Count(text, "Thornmere Golf Club: the 14th green"); n < sheets {
			t.Errorf("the running head stands on %d of %d sheets", n, sheets)
		}
	})
}
