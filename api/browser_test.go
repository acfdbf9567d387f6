package api_test

import (
	"fmt"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"swardcase/api/pages/browsertest"
	"swardcase/api/store/storetest"
)

// served is a service with an empty store, and a browser in front of it.
type served struct {
	*browsertest.Browser
	k    *keeping
	base string
}

func serve(t *testing.T) served {
	t.Helper()
	b := browsertest.Start(t)
	place := storetest.Place(t, "sqlite")
	k := newKeeping(t, storetest.Open(t, place))
	k.place = place
	server := httptest.NewServer(k.reader().handler)
	t.Cleanup(server.Close)
	return served{b, k, server.URL}
}

func (s served) open(path string) { s.k.t.Helper(); s.Open(s.base + path) }

// says fails unless the page shows these words.
func (s served) says(words ...string) {
	s.k.t.Helper()
	text := s.Text()
	for _, word := range words {
		if !strings.Contains(text, word) {
			s.k.t.Errorf("%s does not say %q: %.1500s", s.Address(), word, text)
		}
	}
}

// TestACaseIsEnteredInABrowser goes from an empty club to a stored appraisal, draws
// the edge of the green by pointer and keys, and mends what the page finds wrong.
func TestACaseIsEnteredInABrowser(t *testing.T) {
	s := serve(t)
	s.open("/clubs")
	s.Press("A new club")
	s.Fill("/name", "Ashby Heath")
	s.Fill("/site/latitude_deg", "52.2")
	s.Press("Store the club")
	s.says("1 thing is to mend", "Climate of")
	if beside := browsertest.Eval[string](s.Browser, `document.getElementById("field-site-climate-station-fault").textContent`); !strings.Contains(beside, "required") && !strings.Contains(beside, "climate") {
		t.Errorf("beside the climate stands %q", beside)
	}
	s.Accessible()
	s.Fill("/site/climate/station", "cambridge_niab")
	s.Press("Store the club")
	s.says("Ashby Heath", "The club has no greens yet")

	s.Press("A new green")
	s.Fill("/green/name", "7th")
	s.Fill("/green/age_years", "40")
	s.Fill("/green/has_drains", "no")
	s.drawEdge()
	s.Press("Store the green")
	s.says("Green 7th", "It has not been surveyed yet")

	s.Press("A new survey")
	s.Fill("/survey/surveyed_on", "2027-02-12")
	for i := range 3 {
		ring := fmt.Sprintf("/survey/infiltration/ring_tests/%d", i)
		for field, text := range map[string]string{"position": "front", "volume_ml": "70", "bore_mm": "150", "minutes": "60", "water_temperature_c": "8", "surface": "wet"} {
			s.Fill(ring+"/"+field, text)
		}
		s.Fill(fmt.Sprintf("/survey/thatch_depth/readings/%d/depth_mm", i), fmt.Sprint(28+i))
		s.Fill(fmt.Sprintf("/survey/months_playable/closed_days/%d/waterlogged_green_days", i), "20")
	}
	s.Fill("/survey/annual_meadow_grass/value_pct", "62")
	s.Press("Store the survey")
	s.says("2027-02-12", "62")

	s.Press("Appraise it")
	s.Fill("page:worth", "1200")
	s.Fill("/confidence/draws", "0")
	s.Press("Appraise and store")
	if !strings.Contains(s.Address(), "/appraisals/") {
		t.Fatalf("the appraisal led to %s: %.1000s", s.Address(), s.Text())
	}
	s.says("7th")
	if got := s.k.count("/v1/clubs/" + strings.Split(strings.TrimPrefix(s.Address(), s.base+"/clubs/"), "/")[0] + "/appraisals"); got != 1 {
		t.Errorf("%d appraisals are kept", got)
	}
}

// drawEdge sets four corners by clicking, moves one by keys and takes out another
// that was set by mistake. What is drawn stands in the field that is sent.
func (s served) drawEdge() {
	t := s.k.t
	t.Helper()
	s.Do(chromedp.ScrollIntoView(chromedp.CSS(".sketch svg")))
	at := browsertest.Eval[[]float64](s.Browser, `(() => { const r = document.querySelector(".sketch svg").getBoundingClientRect(); return [r.left, r.top, r.width]; })()`)
	for _, corner := range [][2]float64{{0.2, 0.8}, {0.8, 0.8}, {0.8, 0.3}, {0.2, 0.3}, {0.5, 0.5}} {
		s.Do(chromedp.MouseClickXY(at[0]+corner[0]*at[2], at[1]+corner[1]*at[2]))
	}
	// Shown are 40 m by 40 m from (0, 0) on.
	if got := s.edge(); got != "8, 8\n32, 8\n32, 28\n8, 28\n20, 20" {
		t.Errorf("the corners are %q", got)
	}
	s.Do(
		chromedp.Focus(chromedp.CSS(`[data-corner="4"]`)), chromedp.KeyEvent(kb.Delete),
		chromedp.Focus(chromedp.CSS(`[data-corner="0"]`)), chromedp.KeyEvent(kb.ArrowLeft),
	)
	if got := s.edge(); got != "7.5, 8\n32, 8\n32, 28\n8, 28" {
		t.Errorf("after the keys the corners are %q", got)
	}
	s.says("4 corners: 485 m²")
	s.Accessible()
}

func (s served) edge() string {
	s.k.t.Helper()
	return browsertest.Eval[string](s.Browser, `document.querySelector(".field-ring textarea").value`)
}

// TestSigningInAndOutInABrowser: what a page of the club is to whom.
func TestSigningInAndOutInABrowser(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	other := s.k.want(201, "POST", "/v1/clubs", stored.parts.club)
	viewer, _ := s.k.key(t, "", stored.club.ID, "viewer")
	s.open("/clubs/" + stored.club.ID + "?order=name")
	s.says("Sign in")
	s.Accessible()
	s.Fill("key", viewer+"x")
	s.Press("Sign in")
	s.says("is not known")
	s.Accessible()
	s.Fill("key", viewer)
	s.Press("Sign in")
	if got := s.Address(); got != s.base+"/clubs/"+stored.club.ID+"?order=name" {
		t.Errorf("signing in led to %s", got)
	}
	s.says("the viewer, viewer", "14th")
	if browsertest.Eval[bool](s.Browser, `document.body.innerText.includes("A new green")`) {
		t.Error("a viewer is offered a new green")
	}
	if got := browsertest.Eval[string](s.Browser, "document.cookie"); got != "" {
		t.Errorf("script reads the cookie %q", got)
	}
	s.open("/clubs/" + other.ID)
	s.says("There is nothing at this address", "Status 404")
	s.Accessible()
	s.open("/clubs/" + stored.club.ID + "/greens/new")
	s.says("Status 403")
	s.open("/clubs/" + stored.club.ID)
	s.Press("Sign out")
	s.says("Sign in")
	s.open("/clubs/" + stored.club.ID)
	if got := s.Address(); !strings.Contains(got, "/sign-in?to=") {
		t.Errorf("after signing out a page of the club led to %s", got)
	}
}

// TestPagesAreAccessible checks every page of a club and every form, wide and
// narrow, and that none is wider than its window.
func TestPagesAreAccessible(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	for _, day := range []string{"2024-02-01", "2025-02-01"} {
		s.k.want(201, "POST", stored.at+"/surveys", surveyOn(stored.green.ID, day, 20))
	}
	bare := s.k.want(201, "POST", stored.at+"/greens", stored.greenOf("2nd"))
	first := s.k.want(201, "POST", stored.at+"/appraisals", stored.appraisal(""))
	second := s.k.want(201, "POST", first.location+"/reappraisals", `{"title":"Once more"}`)
	book := s.k.want(201, "POST", stored.at+"/price-books", `{"book":`+s.k.priceBook("Book of 2027")+`}`)
	planned := s.k.want(202, "POST", stored.at+"/course-plans", conditionPlanBody(t))
	s.k.work(t)
	waiting := s.k.want(202, "POST", stored.at+"/course-plans", planBody(t)) // wakes the workers
	s.k.until(t, planned.location, inState("done"))
	s.k.until(t, waiting.location, inState("done"))
	club := "/clubs/" + stored.club.ID
	green := club + "/greens/" + stored.green.ID
	appraisal := club + "/appraisals/" + first.ID
	for _, path := range []string{
		"/", "/clubs", "/clubs/new", "/sign-in", club, club + "?name=nothing", club + "/change", club + "/greens/new", club + "/greens/" + bare.ID,
		green, green + "/change", green + "/surveys/new", green + "/appraisals/new",
		club + "/surveys/" + stored.survey.ID + "/change",
		club + "/comparison?first=" + first.ID + "&second=" + second.ID,
		club + "/price-books", club + "/price-books/new", club + "/price-books/" + book.ID,
		appraisal, appraisal + "/assumptions", appraisal + "/workings", appraisal + "/what-if", appraisal + "/what-if?" + given.Encode(),
		"/shared/" + s.k.shareOf(first.location),
		club + "/course-plans", club + "/course-plans/" + planned.ID,
		club + "/nothing",
	} {
		for _, width := range []int64{1280, 360} {
			s.Width(width)
			s.open(path)
			s.NoOverflow()
			s.Accessible()
		}
		s.lightEnough(path)
	}
}

// TestLongNamesStayWithinThePage: a name may be one long word, on a phone too.
func TestLongNamesStayWithinThePage(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	word := strings.Repeat("W", 80)
	green := s.k.want(201, "POST", stored.at+"/greens", stored.greenOf(word))
	made := s.k.want(201, "POST", stored.at+"/appraisals", strings.Replace(stored.appraisal(""), "Thornmere Golf Club: the 14th green", word, 1))
	club := "/clubs/" + stored.club.ID
	appraisal := club + "/appraisals/" + made.ID
	for _, path := range []string{club, club + "/greens/" + green.ID, club + "/greens/" + green.ID + "/surveys/new", appraisal, appraisal + "/what-if"} {
		for _, width := range []int64{1280, 360} {
			s.Width(width)
			s.open(path)
			s.says(word[:40])
			s.NoOverflow()
		}
	}
}

// TestLongAmountsStayWithinThePage: a currency of many digits widens the tables.
func TestLongAmountsStayWithinThePage(t *testing.T) {
	s := serve(t)
	stored := s.k.setUp()
	made := s.k.want(201, "POST", stored.at+"/appraisals", strings.Replace(stored.appraisal(""), `"draws":0`, `"draws":1000`, 1))
	for _, width := range []int64{1280, 900, 360} {
		s.Width(width)
		s.open("/clubs/" + stored.club.ID + "/appraisals/" + made.ID)
		changed := browsertest.Eval[int](s.Browser, `(() => {
			const cells = [...document.querySelectorAll(".options td.figure, .options small")].filter((e) => /£.* to /.test(e.textContent) && !e.querySelector("small"));
			cells.forEach((e) => { e.textContent = "−JPY 113,600,000 to −JPY 115,700,000"; });
			return cells.length;
		})()`)
		if changed == 0 {
			t.Fatal("no range of money stands in the tables")
		}
		s.NoOverflow()
	}
}

// mostPageBytes is how much a page may take with all that it loads.
const mostPageBytes = 150_000

func (s served) lightEnough(path string) {
	s.k.t.Helper()
	sent := browsertest.Eval[int](s.Browser, `performance.getEntriesByType("navigation")[0].encodedBodySize + performance.getEntriesByType("resource").reduce((sum, e) => sum + e.encodedBodySize, 0)`)
	if sent > mostPageBytes || sent < 1000 {
		s.k.t.Errorf("%s sends %d bytes", path, sent)
	}
}
