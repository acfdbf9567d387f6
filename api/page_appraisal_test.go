package api_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"swardcase/api"
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
