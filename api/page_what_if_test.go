package api_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"swardcase/api/pages/browsertest"
)

// given is a what-if with a dearer month and a lower rate, as a form sends it.
var given = url.Values{"/worth_of_playable_month": {"3000"}, "/discount_rate_pct": {"2"}}

// shareOf makes a link to an appraisal and gives its secret.
func (k *keeping) shareOf(appraisal string) string {
	k.t.Helper()
	var made struct{ Secret string }
	if err := json.Unmarshal([]byte(k.want(201, "POST", appraisal+"/share-links", `{}`).body), &made); err != nil {
		k.t.Fatal(err)
	}
	return made.Secret
}

// TestWhatIfWithoutScript: the form moves the answer, the stored one stays, and an
// editor may keep what came of it.
func TestWhatIfWithoutScript(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		stored := k.want(200, "GET", made.location, "").body
		at := "/clubs/" + s.club.ID + "/appraisals/" + made.ID + "/what-if"
		r := k.reader()
		r.open(strings.TrimSuffix(at, "/what-if")).want(200).follow("What if? Try other figures").want(200)
		holds(t, r.body, "The answer as stored", "Take a full layered rebuild, seeded")
		lacks(t, r.body, "Save as new")
		r.open(at + "?" + given.Encode()).want(200)
		holds(t, r.body, "The answer with other figures", "<strong>3000</strong>", "As stored: Take a full layered rebuild, seeded", "Save as new")
		if got := k.count(s.at + "/appraisals"); got != 1 {
			t.Errorf("%d appraisals are kept after trying", got)
		}
		r.fill("page:title", "A dearer month").want(200)
		holds(t, r.body, "<h1>A dearer month</h1>")
		if got := k.count(s.at + "/appraisals"); got != 2 {
			t.Errorf("%d appraisals are kept after keeping one", got)
		}
		if again := k.want(200, "GET", made.location, "").body; again != stored {
			t.Error("the stored appraisal has changed")
		}
		kept := k.want(200, "GET", s.at+"/appraisals/"+r.at[strings.LastIndex(r.at, "/")+1:], "")
		if !strings.Contains(kept.body, `"reappraises_id":"`+made.ID+`"`) {
			t.Error("the new appraisal is not linked to the one that it began from")
		}
	})
}

// TestFaultsOfAWhatIf stand beside their fields, and nothing is kept.
func TestFaultsOfAWhatIf(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		at := "/clubs/" + s.club.ID + "/appraisals/" + made.ID + "/what-if"
		r := k.reader()
		bad := url.Values{"/horizon_years": {"99"}, "/discount_rate_pct": {"<b>"}, "/worth_of_playable_month": {"-1"}, "/first_month": {"soon"}}
		r.open(at + "?" + bad.Encode()).want(http.StatusUnprocessableEntity)
		holds(t, r.body, "No answer to these figures", "&lt;b&gt;", "aria-invalid")
		lacks(t, r.body, "<b>", "Save as new")
		r.send(http.MethodPost, at, bad).want(http.StatusUnprocessableEntity)
		r.send(http.MethodPost, at, given, "Sec-Fetch-Site", "cross-site").want(http.StatusForbidden)
		if got := k.count(s.at + "/appraisals"); got != 1 {
			t.Errorf("%d appraisals are kept", got)
		}
	})
}

// TestASharedWhatIfKeepsNothing: whoever has the link may try, and not keep.
func TestASharedWhatIfKeepsNothing(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		at := "/shared/" + k.shareOf(made.location) + "/what-if"
		r := k.reader()
		r.open(at + "?" + given.Encode()).want(200)
		holds(t, r.body, "The answer with other figures")
		lacks(t, r.body, "Save as new", `method="post"`)
		r.send(http.MethodPost, at, given).want(http.StatusMethodNotAllowed)
	})
}

// TestWhatIfMovesWithScript: the answer follows the field, without leaving the page,
// and so do the faults.
func TestWhatIfMovesWithScript(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	made := s.k.want(201, "POST", stored.at+"/appraisals", stored.appraisal(""))
	s.open("/clubs/" + stored.club.ID + "/appraisals/" + made.ID + "/what-if")
	s.says("The answer as stored", "Take a full layered rebuild, seeded")
	browsertest.Eval[bool](s.Browser, `window.stays = true`)
	s.Fill("/worth_of_playable_month", "4000")
	s.Do(chromedp.PollFunction[chromedp.Void](`() => document.getElementById("trial").innerText.includes("4000 in place of")`))
	s.says("The answer with other figures", "Save as new")
	s.Fill("/horizon_years", "99")
	s.Do(chromedp.PollFunction[chromedp.Void](`() => document.getElementById("field-horizon_years").getAttribute("aria-invalid") === "true"`))
	s.says("No answer to these figures")
	s.Accessible()
	s.Fill("/horizon_years", "30")
	s.Do(chromedp.PollFunction[chromedp.Void](`() => document.getElementById("trial").innerText.includes("30 in place of")`))
	if !browsertest.Eval[bool](s.Browser, `window.stays === true && !document.querySelector("#what-if .fault") && location.search.includes("horizon_years=30")`) {
		t.Error("the page was left, a fault that is mended still stands, or the address does not follow")
	}
	if got := s.k.count(stored.at + "/appraisals"); got != 1 {
		t.Errorf("%d appraisals are kept after trying", got)
	}
}
