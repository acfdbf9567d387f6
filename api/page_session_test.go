package api_test

import (
	"net/http"
	"net/netip"
	"strings"
	"testing"
	"time"

	"swardcase/api"
)

// signIn opens a page as somebody who is not signed in, and signs in with a key on
// the way.
func (r *reader) signIn(target, secret string) *reader {
	r.k.t.Helper()
	r.open(target).want(200)
	if !strings.HasPrefix(r.at, "/sign-in?to=") {
		r.k.t.Fatalf("%s led to %s", target, r.at)
	}
	return r.fill("key", secret)
}

// TestSigningIn leads back to the page that was asked for; each role is shown what
// it may do, and another club's pages are nowhere.
func TestSigningIn(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		other := k.want(201, "POST", "/v1/clubs", s.parts.club)
		operator := k.operatorKey(t)
		editor, _ := k.key(t, operator, s.club.ID, "editor")
		viewer, _ := k.key(t, operator, s.club.ID, "viewer")
		owner, _ := k.key(t, operator, s.club.ID, "owner")
		home := "/clubs/" + s.club.ID
		green := home + "/greens/" + s.green.ID

		for _, tt := range []struct {
			secret           string
			signedInAs       string
			greens, ownsClub bool
		}{
			{viewer, "the viewer, viewer", false, false},
			{editor, "the editor, editor", true, false},
			{owner, "the owner, owner", true, true},
		} {
			r := k.reader().signIn(home+"?order=name", tt.secret).want(200)
			if r.at != home+"?order=name" {
				t.Errorf("signing in led to %s", r.at)
			}
			holds(t, r.body, tt.signedInAs, "14th")
			lacks(t, r.body, tt.secret)
			if r.offers("A new green") != tt.greens || r.offers("Change the club") != tt.ownsClub {
				t.Errorf("%s: offered a new green %v, a change of the club %v", tt.signedInAs, r.offers("A new green"), r.offers("Change the club"))
			}
			formStatus := map[bool]int{true: http.StatusOK, false: http.StatusForbidden}
			r.open(green + "/change").want(formStatus[tt.greens])
			r.open(green + "/surveys/new").want(formStatus[tt.greens])
			r.open(green + "/appraisals/new").want(formStatus[tt.greens])
			r.open(home + "/change").want(formStatus[tt.ownsClub])
			r.open("/clubs/new").want(http.StatusForbidden)
			for _, foreign := range []string{"", "/greens/new", "/greens/" + s.green.ID, "/comparison"} {
				holds(t, r.open("/clubs/"+other.ID+foreign).want(http.StatusNotFound).body, "There is nothing at this address")
			}
			if r.open("/clubs").want(200).offers("A new club") || strings.Contains(r.body, other.ID) {
				t.Error("a key of one club sees others")
			}
		}
		r := k.reader().signIn("/clubs/new", operator).want(200)
		enterName := r.fill("/name", "Ashby Heath", "/site/latitude_deg", "52", "/site/climate/station", "oxford").want(200)
		if enterName.at != "/clubs" || !strings.Contains(enterName.body, "Ashby Heath") {
			t.Errorf("an operator who made a club was led to %s", enterName.at)
		}
		r.open(home).want(http.StatusForbidden)
	})
}

// TestASessionEnds by signing out, on every process, and with its key.
func TestASessionEnds(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		operator := k.operatorKey(t)
		secret, made := k.key(t, operator, s.club.ID, "editor")
		home := "/clubs/" + s.club.ID
		r := k.reader().signIn(home, secret).want(200)
		kept := *r.cookies["swardcase"]
		elsewhere := k.reader()
		elsewhere.cookies["swardcase"] = &kept
		elsewhere.open(home).want(200)
		form := elsewhere.open(home + "/greens/new").fields()

		r.send(http.MethodPost, "/sign-out", nil).want(200)
		if r.at != "/sign-in" || len(r.cookies) > 0 {
			t.Errorf("signing out led to %s with %v", r.at, r.cookies)
		}
		if elsewhere.open(home).want(200); !strings.HasPrefix(elsewhere.at, "/sign-in?") {
			t.Errorf("another process went on to %s", elsewhere.at)
		}
		elsewhere.send(http.MethodPost, home+"/greens/new", form).want(http.StatusUnauthorized)
		holds(t, elsewhere.body, "sign in in another window")

		again := k.reader().signIn(home, secret).want(200)
		k.want(200, "DELETE", made.location, "", bearer(operator)...)
		if again.open(home); !strings.HasPrefix(again.at, "/sign-in?") {
			t.Error("a session outlived its key")
		}
		again.fill("key", secret).want(http.StatusUnauthorized)
		holds(t, again.body, "revoked")
		lacks(t, again.body, secret)
		if again.beside("key") == "" {
			t.Error("nothing stands beside the key")
		}
		third, _ := k.key(t, operator, s.club.ID, "viewer")
		late := k.reader().signIn(home, third).want(200)
		k.clock.now = k.clock.now.Add(12*time.Hour + time.Second)
		if late.open(home); !strings.HasPrefix(late.at, "/sign-in?") {
			t.Error("a session outlived its hours")
		}
	})
}

// TestTheCookieIsKeptClose: no script reads it, other sites' forms do not send it,
// and over TLS it goes nowhere else.
func TestTheCookieIsKeptClose(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		secret, _ := k.key(t, "", s.club.ID, "viewer")
		r := k.reader().signIn("/clubs", secret).want(200)
		cookie := r.cookies["swardcase"]
		if cookie == nil || !cookie.HttpOnly || cookie.Secure || cookie.SameSite != http.SameSiteLaxMode || cookie.Path != "/" || cookie.Domain != "" {
			t.Fatalf("the cookie is %+v", cookie)
		}
		if strings.Contains(k.everything(t), cookie.Value) {
			t.Error("the secret of the session is in the store")
		}

		behind := k.reader()
		behind.handler = harnessOf(t, k.service, func(c *api.Config) {
			c.Logger, c.TrustedProxies = discard(), []netip.Prefix{netip.MustParsePrefix("192.0.2.0/24")}
		}).handler
		encrypted := []string{"X-Forwarded-Proto", "https"}
		behind.send(http.MethodGet, "/sign-in", nil, encrypted...)
		values := behind.fields()
		values.Set("key", secret)
		values.Set("to", "//elsewhere.example")
		behind.send(http.MethodPost, "/sign-in", values, encrypted...).want(200)
		safe := behind.cookies["__Host-swardcase"]
		if safe == nil || !safe.Secure || !safe.HttpOnly || safe.Path != "/" || safe.Domain != "" || len(behind.cookies) != 1 {
			t.Fatalf("over TLS the cookies are %+v", behind.cookies)
		}
		if behind.at != "/clubs/"+s.club.ID {
			t.Errorf("signing in led to %s", behind.at)
		}
	})
}

// TestNobodySignsInByAnotherSite: a form elsewhere cannot put a visitor into
// somebody else's session, nor sign a visitor out.
func TestNobodySignsInByAnotherSite(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		secret, _ := k.key(t, "", s.club.ID, "viewer")
		r := k.reader().signIn("/clubs", secret).want(200)
		for _, target := range []string{"/sign-in", "/sign-out"} {
			r.send(http.MethodPost, target, map[string][]string{"key": {secret}}, "Sec-Fetch-Site", "cross-site").want(http.StatusForbidden)
			r.send(http.MethodPost, target, map[string][]string{"key": {secret}}, "Sec-Fetch-Site", "same-site").want(http.StatusForbidden)
		}
		r.open("/clubs/" + s.club.ID).want(200)
		if !strings.HasPrefix(r.at, "/clubs/") {
			t.Error("the session ended")
		}
	})
}
