package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
)

// see opens a page as a browser would and gives its text.
func (k *keeping) see(status int, target string) string {
	k.t.Helper()
	w := fromBrowser(k.harness, target)
	if w.Code != status || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		k.t.Fatalf("%s answered %d, want %d: %.2000s", target, w.Code, status, w.Body)
	}
	return w.Body.String()
}

// holds fails for each text that is not in a page.
func holds(t testing.TB, page string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if !strings.Contains(page, text) {
			t.Errorf("the page lacks %q", text)
		}
	}
}

func lacks(t testing.TB, page string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if strings.Contains(page, text) {
			t.Errorf("the page holds %q", text)
		}
	}
}

// greenOf is the first case's green under another name.
func (s stored) greenOf(name string) string {
	return strings.Replace(s.parts.green, `"14th"`, fmt.Sprintf("%q", name), 1)
}

// TestAClubIsSeenAtAGlance: every green with the condition that the API gives it,
// the worst first, by name on demand.
func TestAClubIsSeenAtAGlance(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		better := k.want(201, "POST", s.at+"/greens", s.greenOf("2nd"))
		k.want(201, "POST", s.at+"/surveys", surveyOn(better.ID, "2026-03-01", 12))
		k.want(201, "POST", s.at+"/greens", s.greenOf("10th"))
		made := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))

		holds(t, k.see(200, "/clubs"), "Thornmere Golf Club", `href="/clubs/`+s.club.ID+`"`)
		worst := k.see(200, "/clubs/"+s.club.ID)
		holds(t, worst, "failing", "infiltration, 2.1 mm/h", "2026-02-13", "/clubs/"+s.club.ID+"/appraisals/"+made.ID, "layered rebuild, seed", "not surveyed yet", "3 of 3 greens")
		inOrder(t, worst, ">14th</a>", ">2nd</a>", ">10th</a>")
		inOrder(t, k.see(200, "/clubs/"+s.club.ID+"?order=name"), ">2nd</a>", ">10th</a>", ">14th</a>")

		failing := k.see(200, "/clubs/"+s.club.ID+"?grade=failing")
		holds(t, failing, "1 of 3 greens", ">14th</a>")
		lacks(t, failing, ">2nd</a>", ">10th</a>")
		holds(t, k.see(200, "/clubs/"+s.club.ID+"?grade=not_judged&name=TH"), "1 of 3 greens", ">10th</a>")
		holds(t, k.see(200, "/clubs/"+s.club.ID+"?name=nothing"), "No green fits")
	})
}

func inOrder(t testing.TB, page string, texts ...string) {
	t.Helper()
	last := -1
	for _, text := range texts {
		at := strings.Index(page, text)
		if at <= last {
			t.Errorf("%q is not where it belongs: at %d after %d", text, at, last)
		}
		last = at
	}
}

// TestAGreenAndItsComparison shows facts, surveys and appraisals of one green.
func TestAGreenAndItsComparison(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		home := "/clubs/" + s.club.ID + "/greens/" + s.green.ID
		holds(t, k.see(200, home), "It has not been appraised yet")
		for _, day := range []string{"2024-02-01", "2025-02-01"} {
			k.want(201, "POST", s.at+"/surveys", surveyOn(s.green.ID, day, 20))
		}
		first := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		second := k.want(201, "POST", first.location+"/reappraisals", `{"title":"Once more"}`)
		page := k.see(200, home)
		holds(t, page, "98 years", "2024-02-01", "32.8", "(29.1 to 36.6)", "mm/h a year", "(made again)", first.ID, second.ID)
		inOrder(t, page, `row" class="nowrap">2026-02-13`, `row" class="nowrap">2025-02-01`, `row" class="nowrap">2024-02-01`)

		compared := k.see(200, fmt.Sprintf("/clubs/%s/comparison?first=%s&second=%s", s.club.ID, first.ID, second.ID))
		holds(t, compared, "made by the same computation", "Once more", "layered rebuild, seed")
		lacks(t, compared, "seed *")
		// Amounts below nothing have a true minus, as on the page of an appraisal.
		holds(t, page, "−\u2060£")
		holds(t, compared, "−\u2060£")
		lacks(t, page+compared, ">-£")
	})
}

// TestWhatIsNotThereIsNotFound, be it another club's, nobody's or no id at all.
func TestWhatIsNotThereIsNotFound(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		other := k.want(201, "POST", "/v1/clubs", s.parts.club)
		for _, target := range []string{
			"/clubs/" + other.ID + "/greens/" + s.green.ID,
			"/clubs/" + s.green.ID,
			"/clubs/nonsense", "/clubs?cursor=nonsense",
			"/clubs/" + s.club.ID + "/greens/%00",
			"/clubs/" + s.club.ID + "/comparison",
			"/clubs/" + s.club.ID + "/comparison?first=x&second='",
		} {
			holds(t, k.see(http.StatusNotFound, target), "There is nothing at this address")
		}
	})
}

// TestMarkupInNamesIsShownAsText
func TestMarkupInNamesIsShownAsText(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		green := k.want(201, "POST", s.at+"/greens", s.greenOf("<b>x</b>"))
		for _, target := range []string{"/clubs/" + s.club.ID, "/clubs/" + s.club.ID + "/greens/" + green.ID, "/clubs/" + s.club.ID + "?name=%22%3E%3Cb%3E"} {
			page := k.see(200, target)
			lacks(t, page, "<b>")
			holds(t, page, "&lt;b&gt;")
		}
	})
}
