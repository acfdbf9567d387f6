package api_test

import (
	"testing"
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
