package api_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"testing"

	"swardcase/api"
	"swardcase/api/contract"
	"swardcase/api/service"
)

func sha(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// TestClubsSeeOnlyTheirOwn asks for everything of one club under the address of
// another.
func TestClubsSeeOnlyTheirOwn(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		appraisal := k.want(201, "POST", s.at+"/appraisals", s.appraisal(""))
		book := k.want(201, "POST", s.at+"/price-books", `{"book":`+k.priceBook("Ours")+`}`)
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		abroad := func(location string) string { return strings.Replace(location, s.club.ID, other.ID, 1) }
		for _, at := range []string{s.green.location, s.survey.location, appraisal.location, book.location} {
			k.refused(404, "not-found", "GET", abroad(at), "")
			k.refused(404, "not-found", "DELETE", abroad(at), "", "If-Match", "*")
			k.refused(404, "not-found", "POST", abroad(at)+"/restore", "", "If-Match", "*")
		}
		k.refused(404, "not-found", "GET", abroad(s.green.location)+"/trend", "")
		k.refused(404, "not-found", "PUT", abroad(s.green.location), s.parts.green, "If-Match", "*")
		k.refused(404, "not-found", "POST", abroad(appraisal.location)+"/reappraisals", "{}")
		k.refused(404, "not-found", "GET", fmt.Sprintf("/v1/clubs/%s/appraisal-comparisons?first_id=%s&second_id=%s", other.ID, appraisal.ID, appraisal.ID), "")
		for _, list := range []string{"greens", "surveys", "price-books", "appraisals"} {
			if n := k.count("/v1/clubs/" + other.ID + "/" + list + "?archived=true"); n != 0 {
				t.Errorf("the other club has %d %s", n, list)
			}
		}
		// A document that names another club's things is refused with the place.
		for pointer, body := range map[string]string{
			"/green_id":      s.appraisal(""),
			"/price_book_id": "",
			"/succeeds":      `{"book":` + k.priceBook("Theirs") + `,"succeeds":"` + book.ID + `"}`,
		} {
			address := "/v1/clubs/" + other.ID + "/appraisals"
			switch pointer {
			case "/succeeds":
				address = "/v1/clubs/" + other.ID + "/price-books"
			case "/price_book_id":
				address = s.at + "/appraisals"
				body = s.appraisal(`,"price_book_id":"` + other.ID + `"`)
			}
			if got := k.refused(422, "faulty-document", "POST", address, body); !strings.Contains(got, `"pointer":"`+pointer+`"`) {
				t.Errorf("%s: %s", pointer, got)
			}
		}
	})
}

// TestNothingIsStoredForAnArchivedClub, and nothing for one that is not there.
func TestNothingIsStoredForAnArchivedClub(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		gone := k.want(200, "DELETE", s.at, "", "If-Match", "*")
		posts := map[string]string{
			"/greens":  `{"green":{"name":"new","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`,
			"/surveys": surveyOn(s.green.ID, "2027-01-05", 20), "/price-books": `{"book":` + k.priceBook("B") + `}`,
			"/appraisals": s.appraisal(""),
		}
		for at, body := range posts {
			k.refused(409, "conflict", "POST", s.at+at, body)
			nowhere := "/v1/clubs/01985e3c-0000-7000-8000-000000000009" + at
			k.refused(404, "not-found", "POST", nowhere, body)
			k.refused(404, "not-found", "GET", nowhere, "")
		}
		k.refused(409, "conflict", "PUT", s.green.location, s.parts.green, "If-Match", "*")
		k.refused(409, "conflict", "PUT", s.at, clubBody, "If-Match", "*")
		k.want(200, "GET", s.green.location, "")
		k.want(200, "POST", s.at+"/restore", "", "If-Match", gone.tag)
		for at, body := range posts {
			k.want(201, "POST", s.at+at, body)
		}
	})
}

// TestPagesHoldEverythingOnce walks a list of greens three at a time.
func TestPagesHoldEverythingOnce(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		var made []string
		for i := range 7 {
			green := fmt.Sprintf(`{"green":{"name":"green %d","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`, i+1)
			made = append(made, k.want(201, "POST", club.location+"/greens", green).ID)
		}
		if !slices.IsSorted(made) {
			t.Errorf("ids are not in the order of making: %v", made)
		}
		var seen []string
		for cursor := ""; ; {
			var page service.Page[thing]
			unmarshal(t, k.want(200, "GET", club.location+"/greens?limit=3"+cursor, "").body, &page)
			for _, green := range page.Items {
				seen = append(seen, green.ID)
			}
			if page.NextCursor == nil {
				break
			}
			cursor = "&cursor=" + *page.NextCursor
		}
		if !slices.Equal(made, seen) {
			t.Errorf("made %v, seen %v", made, seen)
		}
		if got := k.want(200, "GET", club.location+"/greens?name=green+4", ""); !strings.Contains(got.body, made[3]) || k.count(club.location+"/greens?name=green+4") != 1 {
			t.Errorf("by name: %s", got.body)
		}
		for _, query := range []string{"limit=0", "limit=201", "limit=x", "cursor=x", "archived=perhaps", "name=", "nmae=x"} {
			k.refused(400, "bad-parameters", "GET", club.location+"/greens?"+query, "")
		}
	})
}

// TestTheSameNameOrDayTwice: the caller learns which clash it was.
func TestTheSameNameOrDayTwice(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		if got := k.refused(409, "conflict", "POST", s.at+"/greens", s.parts.green); !strings.Contains(got, "another green of this name") {
			t.Error(got)
		}
		if got := k.refused(409, "conflict", "POST", s.at+"/surveys", s.surveyOf(s.green.ID)); !strings.Contains(got, "another survey of this day") {
			t.Error(got)
		}
		// An archived green frees its name, and cannot come back while it is taken.
		gone := k.want(200, "DELETE", s.green.location, "", "If-Match", s.green.tag)
		k.want(201, "POST", s.at+"/greens", s.parts.green)
		k.refused(409, "conflict", "POST", s.green.location+"/restore", "", "If-Match", gone.tag)
		got := k.refused(422, "faulty-document", "POST", s.at+"/surveys", surveyOn(s.green.ID, "2027-01-07", 20))
		if !strings.Contains(got, "the green is archived") {
			t.Error(got)
		}
	})
}

// TestWhatTheModelRefusesIsNotStored: each fault has the place of the field in
// the body that was sent.
func TestWhatTheModelRefusesIsNotStored(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		survey := func(inner string) string {
			return fmt.Sprintf(`{"green_id":%q,"survey":{"surveyed_on":"2027-02-01",%s}}`, s.green.ID, inner)
		}
		for _, tt := range []struct{ method, at, body, pointer string }{
			{"POST", "/v1/clubs", strings.Replace(clubBody, "oxford", "atlantis", 1), "/site/climate/station"},
			{"POST", "/v1/clubs", strings.Replace(clubBody, "Thornmere", `Thorn\u0000mere`, 1), "/name"},
			{"POST", s.at + "/greens", `{"green":{"name":"a","area_m2":400,"perimeter_m":40,"age_years":9,"has_drains":false}}`, "/green/perimeter_m"},
			{"POST", s.at + "/greens", `{"green":{"name":"a\u0007","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`, "/green/name"},
			{"POST", s.at + "/greens", `{"green":{"name":"a","area_m2":4,"perimeter_m":75,"age_years":9,"has_drains":false}}`, "/green/area_m2"},
			{"POST", s.at + "/surveys", survey(`"annual_meadow_grass":{"point_quadrats":[{"hits":9,"points":5}]}`), "/survey/annual_meadow_grass/point_quadrats/0/hits"},
			{"POST", s.at + "/surveys", strings.Replace(survey(`"thatch_depth":{"value_mm":20}`), "2027-02-01", "2027-02-30", 1), "/survey/surveyed_on"},
			{"PUT", s.survey.location, surveyOn("01985e3c-0000-7000-8000-000000000009", "2027-02-01", 9), "/green_id"},
			{"POST", s.at + "/price-books", `{"book":{"name":"b","currency":"JPY","price_date":"2027-01-01","items":[{"item":"gravel","unit":"t","low":"1.5","likely":"2","high":"3","tax_class":"standard"}]}}`, "/book/items/0/low"},
			{"POST", s.at + "/appraisals", strings.Replace(s.appraisal(""), `"assumptions":[`, `"assumptions":[{"name":"no_such","likely":1},`, 1), "/assumptions/0/name"},
			{"POST", s.at + "/appraisals", fmt.Sprintf(`{"green_id":%q,"survey_id":%q}`, s.green.ID, s.survey.ID), "/money"},
			{"POST", s.at + "/appraisals", s.appraisal(`,"survey_id":"01985e3c-0000-7000-8000-000000000009"`), "/survey_id"},
		} {
			if tt.pointer == "/survey_id" { // JSON takes a name once
				tt.body = strings.Replace(tt.body, `"survey_id":"`+s.survey.ID+`",`, "", 1)
			}
			got := k.send(tt.method, tt.at, tt.body, "If-Match", "*")
			if got.code != 422 || !strings.Contains(got.body, `"pointer":"`+tt.pointer+`"`) {
				t.Errorf("%s %s with a fault at %s answered %d: %s", tt.method, tt.at, tt.pointer, got.code, got.body)
			}
		}
		if n := k.count("/v1/clubs"); n != 1 {
			t.Errorf("%d clubs", n)
		}
		if n := k.count(s.at + "/audit-entries"); n != 3 {
			t.Errorf("%d audit entries", n)
		}
	})
}

// TestWithoutAStore: every operation on what is kept says so, and trials work.
func TestWithoutAStore(t *testing.T) {
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		t.Fatal(err)
	}
	k := &keeping{harness: harnessOf(t, svc, func(c *api.Config) { c.Logger = discard() })}
	bodies := map[string]string{
		"ClubInput": clubBody, "GreenInput": partsOf(t, "green_14").green,
		"SurveyInput":        surveyOn("01985e3c-0000-7000-8000-000000000001", "2027-01-05", 20),
		"PriceBookInput":     `{"book":` + k.priceBook("B") + `}`,
		"AppraisalRequest":   `{"green_id":"01985e3c-0000-7000-8000-000000000001","survey_id":"01985e3c-0000-7000-8000-000000000001"}`,
		"ReappraisalRequest": `{}`, "SurveyFile": "green,surveyed_on\n",
		"AccessKeyInput": `{"label":"a","role":"viewer"}`, "ShareLinkInput": `{}`, "CoursePlanRequest": planBody(t),
	}
	asked := 0
	for _, op := range contract.New(k.doc, nil).Operations() {
		if !strings.HasPrefix(op.Path, "/v1/clubs") {
			continue
		}
		asked++
		parts := strings.Split(op.Path, "/")
		for i, part := range parts {
			if strings.HasPrefix(part, "{") {
				parts[i] = "01985e3c-0000-7000-8000-000000000001"
			}
		}
		at := strings.Join(parts, "/")
		if op.ID == "compareAppraisals" {
			at += "?first_id=01985e3c-0000-7000-8000-000000000001&second_id=01985e3c-0000-7000-8000-000000000001"
		}
		media := op.BodyMedia
		if media == "" {
			media = "application/json"
		}
		k.refused(501, "no-store", op.Method, at, bodies[op.BodySchema], "If-Match", "*", "Content-Type", media)
	}
	if asked < 30 {
		t.Errorf("only %d operations were asked", asked)
	}
	wantStatus(t, k.post("/v1/trial-conditions", smallCase(t)), 200)
	wantStatus(t, k.get("/readyz"), 200)
}
