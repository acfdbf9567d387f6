package api_test

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/gowebpki/jcs"

	"swardcase/api"
	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// keeping is a server with a store, and a short way of calling it.
type keeping struct {
	*harness
	service *service.Service
	store   *store.Store
	place   store.Place // with the login that owns the tables
	clock   *hands
}

// hands is a clock that a test can set.
type hands struct{ now time.Time }

func (h *hands) read() time.Time { return h.now }

// eachEngine runs a test against a server over an empty store of each engine.
func eachEngine(t *testing.T, test func(t *testing.T, k *keeping)) {
	t.Helper()
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			k := newKeeping(t, storetest.Open(t, place))
			k.place = place
			test(t, k)
		})
	}
}

func newKeeping(t *testing.T, s *store.Store) *keeping {
	t.Helper()
	clock := &hands{time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)}
	svc, err := service.NewKeeping(service.ModelEngine(), service.Keeping{Store: s, Clock: clock.read, Random: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	return &keeping{
		harness: harnessOf(t, svc, func(c *api.Config) { c.Logger = discard() }),
		service: svc, store: s, clock: clock,
	}
}

// thing is as much of any answer as the tests look at.
type thing struct {
	ID            string     `json:"id"`
	ClubID        string     `json:"club_id"`
	Version       int64      `json:"version"`
	ArchivedAt    *time.Time `json:"archived_at"`
	UsedAt        *time.Time `json:"used_at"`
	SeriesID      string     `json:"series_id"`
	Edition       int64      `json:"edition"`
	ReappraisesID string     `json:"reappraises_id"`
	CaseSHA256    string     `json:"case_sha256"`
	ResultSHA256  string     `json:"result_sha256"`
	Title         string     `json:"title"`
	Name          string     `json:"name"`

	tag, location string
	code          int
	body          string
}

// send makes a request; headers come in pairs.
func (k *keeping) send(method, target, body string, headers ...string) thing {
	k.t.Helper()
	r := httptest.NewRequest(method, target, bytes.NewReader([]byte(body)))
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := k.do(r)
	var out thing
	_ = json.Unmarshal(w.Body.Bytes(), &out) // a problem or a list has none of its fields
	out.tag, out.location, out.code, out.body = w.Header().Get("ETag"), w.Header().Get("Location"), w.Code, w.Body.String()
	return out
}

// want makes a request that must be answered with a status.
func (k *keeping) want(status int, method, target, body string, headers ...string) thing {
	k.t.Helper()
	out := k.send(method, target, body, headers...)
	if out.code != status {
		k.t.Fatalf("%s %s answered %d, want %d: %.2000s", method, target, out.code, status, out.body)
	}
	return out
}

// refused makes a request that must end in a problem of a type.
func (k *keeping) refused(status int, problem, method, target, body string, headers ...string) string {
	k.t.Helper()
	out := k.want(status, method, target, body, headers...)
	if !strings.Contains(out.body, `"type":"/problems/`+problem+`"`) {
		k.t.Fatalf("%s %s: %s, want the problem %s", method, target, out.body, problem)
	}
	return out.body
}

// parts are the stored parts and the rest of one of the kept cases.
type parts struct {
	club, green, rest string
	survey            json.RawMessage
}

func partsOf(t testing.TB, name string) parts {
	t.Helper()
	var whole map[string]json.RawMessage
	if err := json.Unmarshal([]byte(testCase(t, name)), &whole); err != nil {
		t.Fatal(err)
	}
	out := parts{
		club:   fmt.Sprintf(`{"name":"Thornmere Golf Club","site":%s}`, whole["site"]),
		survey: whole["survey"],
	}
	out.green = fmt.Sprintf(`{"green":%s,"upkeep":%s}`, whole["green"], whole["upkeep"])
	for _, name := range []string{"site", "green", "survey", "upkeep", "case_format"} {
		delete(whole, name)
	}
	rest, err := json.Marshal(whole)
	if err != nil {
		t.Fatal(err)
	}
	out.rest = strings.Trim(string(rest), "{}")
	return out
}

func (p parts) surveyOf(greenID string) string {
	return fmt.Sprintf(`{"green_id":%q,"survey":%s}`, greenID, p.survey)
}

// surveyOn is a survey of bare values on another day.
func surveyOn(greenID, day string, thatchMM float64) string {
	return fmt.Sprintf(`{"green_id":%q,"survey":{"surveyed_on":%q,"infiltration":{"value_mm_per_h":6},"thatch_depth":{"value_mm":%g},
		"annual_meadow_grass":{"value_pct":40},"months_playable":{"value_months":9}}}`, greenID, day, thatchMM)
}

// priceBook is the built-in book under another name, as it stands in the result
// of a trial.
func (k *keeping) priceBook(name string) string {
	k.t.Helper()
	var answer struct {
		Case struct {
			Money struct {
				PriceBook map[string]any `json:"price_book"`
			} `json:"money"`
		} `json:"case"`
	}
	w := k.post("/v1/trial-appraisals", testCase(k.t, "green_14"))
	if err := json.Unmarshal(w.Body.Bytes(), &answer); err != nil {
		k.t.Fatal(err)
	}
	answer.Case.Money.PriceBook["name"] = name
	text, err := json.Marshal(answer.Case.Money.PriceBook)
	if err != nil {
		k.t.Fatal(err)
	}
	return string(text)
}

// stored is a club with a green, a survey and its address.
type stored struct {
	parts
	at                  string // of the club
	club, green, survey thing
}

func (k *keeping) setUp() stored {
	k.t.Helper()
	p := partsOf(k.t, "green_14")
	s := stored{parts: p, club: k.want(201, "POST", "/v1/clubs", p.club)}
	s.at = "/v1/clubs/" + s.club.ID
	s.green = k.want(201, "POST", s.at+"/greens", p.green)
	s.survey = k.want(201, "POST", s.at+"/surveys", p.surveyOf(s.green.ID))
	return s
}

func (s stored) appraisal(more string) string {
	return fmt.Sprintf(`{"green_id":%q,"survey_id":%q,%s%s}`, s.green.ID, s.survey.ID, s.rest, more)
}

// TestWhatIsKept goes through every operation on what is kept, over each engine.
func TestWhatIsKept(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		if s.club.ClubID != s.club.ID || s.club.tag != `"1"` || s.club.location != s.at {
			t.Errorf("the club is %+v", s.club)
		}
		for noun, at := range map[string]string{"club": s.at, "green": s.green.location, "survey": s.survey.location} {
			k.keepAndRestore(t, noun, at)
		}
		k.replaceEach(t, s)

		book := k.want(201, "POST", s.at+"/price-books", `{"book":`+k.priceBook("Book of 2027")+`}`)
		first := k.want(201, "POST", s.at+"/appraisals", s.appraisal(`,"price_book_id":"`+book.ID+`"`))
		k.keepAndRestore(t, "appraisal", first.location)
		k.checkHashes(t, first)
		k.checkWorkbook(t, first)
		k.checkPriceBooks(t, s, book)

		second := k.want(201, "POST", first.location+"/reappraisals", `{"title":"Once more"}`)
		if second.ReappraisesID != first.ID || second.Title != "Once more" || second.ResultSHA256 == first.ResultSHA256 {
			t.Errorf("made again: %+v", second)
		}
		if got := k.want(200, "GET", s.at+"/appraisals?reappraises_id="+first.ID, ""); strings.Count(got.body, `"id":`) != 1 {
			t.Errorf("made again of the first: %s", got.body)
		}
		compared := k.want(200, "GET", s.at+"/appraisal-comparisons?first_id="+first.ID+"&second_id="+second.ID, "").body
		if !strings.Contains(compared, `"differences":[{"pointer":"/title","first":"\"`) || !strings.Contains(compared, `"same_engine":true`) {
			t.Errorf("compared: %.600s", compared)
		}
		k.checkAudit(t, s)

		for _, op := range contract.New(k.doc, nil).Operations() {
			elsewhere := op.ID == "importSurveys" || op.ID == "getTrend" || op.ID == "getPaper" ||
				strings.Contains(op.ID, "AccessKey") || strings.Contains(op.ID, "ShareLink") || strings.Contains(op.ID, "CoursePlan")
			if _, hit := k.hits.Load(op.ID); strings.HasPrefix(op.Path, "/v1/clubs") && !hit && !elsewhere {
				t.Errorf("nothing here called %s", op.ID)
			}
		}
	})
}

// TestListsShowTheSeed that the draws of an appraisal were made from.
func TestListsShowTheSeed(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		settings := regexp.MustCompile(`"confidence":{[^{}]*}`)
		for seed := range 2 {
			body := settings.ReplaceAllString(s.appraisal(""), fmt.Sprintf(`"confidence":{"draws":0,"seed":%d}`, 41+seed))
			k.want(201, "POST", s.at+"/appraisals", body)
		}
		if list := k.want(200, "GET", s.at+"/appraisals", "").body; !strings.Contains(list, `"seed":41,`) || !strings.Contains(list, `"seed":42,`) {
			t.Errorf("listed: %s", list)
		}
	})
}

// keepAndRestore archives a thing and brings it back, with the versions that a
// careful caller sends and those that a careless one does.
func (k *keeping) keepAndRestore(t *testing.T, noun, at string) {
	t.Helper()
	read := k.want(200, "GET", at, "")
	k.refused(428, "precondition-required", "DELETE", at, "")
	k.refused(412, "precondition-failed", "DELETE", at, "", "If-Match", `"99"`)
	k.refused(412, "precondition-failed", "DELETE", at, "", "If-Match", "W/"+read.tag)
	k.refused(409, "conflict", "POST", at+"/restore", "", "If-Match", read.tag)
	k.clock.now = k.clock.now.Add(time.Minute)
	gone := k.want(200, "DELETE", at, "", "If-Match", `"88", `+read.tag)
	if gone.ArchivedAt == nil || !gone.ArchivedAt.Equal(k.clock.now) || gone.Version != read.Version+1 {
		t.Errorf("the %s was archived as %+v", noun, gone)
	}
	list := at[:strings.LastIndex(at, "/")]
	if strings.Contains(k.want(200, "GET", list, "").body, read.ID+`","club_id`) {
		t.Errorf("an archived %s is still listed", noun)
	}
	if !strings.Contains(k.want(200, "GET", list+"?archived=true", "").body, read.ID) {
		t.Errorf("an archived %s cannot be listed", noun)
	}
	k.refused(409, "conflict", "DELETE", at, "", "If-Match", gone.tag)
	back := k.want(200, "POST", at+"/restore", "", "If-Match", gone.tag)
	if back.ArchivedAt != nil || k.want(200, "GET", at, "").tag != back.tag {
		t.Errorf("the %s came back as %+v", noun, back)
	}
}

func (k *keeping) replaceEach(t *testing.T, s stored) {
	t.Helper()
	for _, change := range []struct{ at, body, want string }{
		{s.at, strings.Replace(s.parts.club, "Thornmere", "New Thornmere", 1), "New Thornmere"},
		{s.green.location, strings.Replace(s.parts.green, `"age_years":`, `"surrounds_m2":333,"age_years":`, 1), "333"},
		{s.survey.location, strings.Replace(s.surveyOf(s.green.ID), `"green_id"`, `"note":"Mended.","green_id"`, 1), "Mended."},
	} {
		read := k.want(200, "GET", change.at, "")
		k.refused(428, "precondition-required", "PUT", change.at, change.body)
		k.refused(412, "precondition-failed", "PUT", change.at, change.body, "If-Match", `"1"`)
		if strings.Contains(read.body, change.want) {
			t.Errorf("%s holds %q already", change.at, change.want)
		}
		put := k.want(200, "PUT", change.at, change.body, "If-Match", read.tag)
		if got := k.want(200, "GET", change.at, ""); got.body != put.body || !strings.Contains(got.body, change.want) || got.tag == read.tag {
			t.Errorf("%s was replaced by %s and reads %s", change.at, put.body, got.body)
		}
		k.want(200, "PUT", change.at, change.body, "If-Match", "*")
	}
}

// checkHashes makes both hashes again from what is read.
func (k *keeping) checkHashes(t *testing.T, made thing) {
	t.Helper()
	read := k.want(200, "GET", made.location, "")
	var documents struct {
		Case   json.RawMessage `json:"case"`
		Result json.RawMessage `json:"result"`
	}
	if err := json.Unmarshal([]byte(read.body), &documents); err != nil {
		t.Fatal(err)
	}
	for want, document := range map[string][]byte{made.CaseSHA256: documents.Case, made.ResultSHA256: documents.Result} {
		canonical, err := jcs.Transform(document)
		if err != nil {
			t.Fatal(err)
		}
		if sum := sha256.Sum256(canonical); hex.EncodeToString(sum[:]) != want {
			t.Errorf("the hash %s is not that of the document", want)
		}
	}
	// The snapshot is itself a case: appraised anew it gives the same result.
	again := k.post("/v1/trial-appraisals", string(documents.Case))
	canonical, err := jcs.Transform(again.Body.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if sum := sha256.Sum256(canonical); hex.EncodeToString(sum[:]) != made.ResultSHA256 {
		t.Error("the kept case gives another result")
	}
}

func (k *keeping) checkPriceBooks(t *testing.T, s stored, book thing) {
	t.Helper()
	used := k.want(200, "GET", book.location, "")
	if used.UsedAt == nil || book.UsedAt != nil {
		t.Errorf("after its use the book is %+v", used)
	}
	other := `{"book":` + k.priceBook("Another book") + `}`
	k.refused(409, "conflict", "PUT", book.location, other, "If-Match", used.tag)
	next := k.want(201, "POST", s.at+"/price-books", strings.TrimSuffix(other, "}")+`,"succeeds":"`+book.ID+`"}`)
	if next.SeriesID != book.SeriesID || next.Edition != 2 || next.UsedAt != nil {
		t.Errorf("the next edition is %+v", next)
	}
	k.want(200, "PUT", next.location, other, "If-Match", next.tag)
	k.keepAndRestore(t, "price book", next.location)
	if got := k.want(200, "GET", s.at+"/price-books?series_id="+book.SeriesID, ""); strings.Count(got.body, `"edition":`) != 2 {
		t.Errorf("the editions are %s", got.body)
	}
}

// checkAudit reads the trail in small pages: every entry once, in order, each
// before equal to the after that came before it.
func (k *keeping) checkAudit(t *testing.T, s stored) {
	t.Helper()
	type entry struct {
		Number         int64           `json:"number"`
		Who            string          `json:"who"`
		Action         string          `json:"action"`
		NounID         string          `json:"noun_id"`
		BeforeDocument json.RawMessage `json:"before"`
		AfterDocument  json.RawMessage `json:"after"`
	}
	last, total, number, cursor := map[string]string{}, 0, int64(0), ""
	for {
		var page struct {
			Items      []entry `json:"items"`
			NextCursor *string `json:"next_cursor"`
		}
		if err := json.Unmarshal([]byte(k.want(200, "GET", s.at+"/audit-entries?limit=7"+cursor, "").body), &page); err != nil {
			t.Fatal(err)
		}
		for _, e := range page.Items {
			total++
			if e.Number <= number || e.Who != "local" {
				t.Errorf("entry %+v after number %d", e, number)
			}
			number = e.Number
			if before, known := last[e.NounID]; known != (e.Action != "create") || known && string(e.BeforeDocument) != before {
				t.Errorf("entry %d (%s) does not go on from the one before: %s, %s", e.Number, e.Action, e.BeforeDocument, before)
			}
			last[e.NounID] = string(e.AfterDocument)
		}
		if page.NextCursor == nil {
			break
		}
		cursor = "&cursor=" + *page.NextCursor
	}
	if total < 20 || len(last) != 7 {
		t.Errorf("%d entries on %d things", total, len(last))
	}
	if got := k.want(200, "GET", s.at+"/audit-entries?noun_id="+s.green.ID, ""); strings.Count(got.body, `"number":`) != 5 {
		t.Errorf("the green's own entries are %.500s", got.body)
	}
}
