package api_test

import (
	"strings"
	"testing"
	"time"
)

// TestAShareLinkShowsOneAppraisal to whoever has its secret, until it ends; and
// whatever shows nothing gives one and the same answer.
func TestAShareLinkShowsOneAppraisal(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		appraisal := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		owner, _ := k.key(t, "", s.club.ID, "owner")
		share := func(body string) (string, thing) {
			made := k.want(201, "POST", appraisal.location+"/share-links", body, bearer(owner)...)
			return secretOf(t, made), made
		}
		const at = "/v1/shared-appraisal"
		secret, made := share(`{"label":"the captain"}`)
		if want := k.clock.now.AddDate(0, 0, 90).Format(time.RFC3339); !strings.Contains(made.body, `"expires_at":"`+want+`"`) {
			t.Errorf("made %s, want an end on %s", made.body, want)
		}
		shown := k.want(200, "GET", at, "", bearer(secret)...)
		if read := k.want(200, "GET", appraisal.location, "", bearer(owner)...); !strings.Contains(shown.body, strings.TrimSpace(read.body)) || !strings.Contains(shown.body, `"club_name":"Thornmere Golf Club"`) {
			t.Errorf("shows %.500s", shown.body)
		}
		// It is no key: it opens nothing else, and no key opens it.
		for _, path := range []string{appraisal.location, s.at, "/v1/clubs", s.at + "/appraisals"} {
			k.refused(401, "unauthenticated", "GET", path, "", bearer(secret)...)
		}
		nothing := k.refused(404, "not-found", "GET", at, "")
		same := func(why string, headers ...string) {
			t.Helper()
			if got := k.refused(404, "not-found", "GET", at, "", headers...); got != nothing {
				t.Errorf("%s: %s, want %s", why, got, nothing)
			}
		}
		same("a key", bearer(owner)...)
		same("a spoilt secret", bearer(secret[:20]+"zz"+secret[22:])...)
		short, _ := share(`{"valid_days":1}`)
		k.want(200, "GET", at, "", bearer(short)...)
		k.clock.now = k.clock.now.Add(24 * time.Hour)
		same("expired", bearer(short)...)

		gone := k.want(200, "DELETE", appraisal.location, "", append(bearer(owner), "If-Match", "*")...)
		same("archived", bearer(secret)...)
		k.refused(409, "conflict", "POST", appraisal.location+"/share-links", `{}`, bearer(owner)...)
		k.want(200, "POST", appraisal.location+"/restore", "", append(bearer(owner), "If-Match", gone.tag)...)
		k.want(200, "GET", at, "", bearer(secret)...)
		k.want(200, "DELETE", s.at, "", append(bearer(owner), "If-Match", "*")...)
		same("of an archived club", bearer(secret)...)
		k.want(200, "POST", s.at+"/restore", "", append(bearer(owner), "If-Match", "*")...)

		revoked := k.want(200, "DELETE", made.location, "", bearer(owner)...)
		same("revoked", bearer(secret)...)
		if again := k.want(200, "DELETE", made.location, "", bearer(owner)...); again.body != revoked.body || !strings.Contains(again.body, `"revoked_at":"`) {
			t.Errorf("revoked twice: %s, %s", revoked.body, again.body)
		}
		if list := k.want(200, "GET", appraisal.location+"/share-links", "", bearer(owner)...); strings.Count(list.body, `"appraisal_id":"`+appraisal.ID) != 2 {
			t.Errorf("listed: %s", list.body)
		}
		for _, body := range []string{`{"valid_days":0}`, `{"valid_days":367}`, `{"label":"` + strings.Repeat("a", 61) + `"}`} {
			k.refused(422, "faulty-document", "POST", appraisal.location+"/share-links", body, bearer(owner)...)
		}
	})
}

// TestShareLinksStayWithTheirAppraisal: one is not reached by the address of
// another appraisal or club.
func TestShareLinksStayWithTheirAppraisal(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		one := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		two := k.want(201, "POST", one.location+"/reappraisals", `{}`)
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		link := k.want(201, "POST", one.location+"/share-links", `{}`)
		for _, at := range []string{
			strings.Replace(link.location, one.ID, two.ID, 1),
			strings.Replace(link.location, s.club.ID, other.ID, 1),
		} {
			k.refused(404, "not-found", "GET", at, "")
			k.refused(404, "not-found", "DELETE", at, "")
		}
		abroad := strings.Replace(one.location, s.club.ID, other.ID, 1) + "/share-links"
		k.refused(404, "not-found", "POST", abroad, `{}`)
		k.refused(404, "not-found", "GET", abroad, "")
		if n := k.count(two.location + "/share-links"); n != 0 {
			t.Errorf("the other appraisal has %d links", n)
		}
	})
}
