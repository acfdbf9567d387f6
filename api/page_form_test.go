package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
)

// enterClub makes a club with its forms.
func enterClub(r *reader) *reader {
	r.open("/clubs").want(200).follow("A new club").want(200)
	return r.fill("/name", "Ashby Heath", "/site/latitude_deg", "52.2", "/site/climate/station", "cambridge_niab").want(200)
}

const edge = "0, 0\n24, 0\n24, 20\n0, 20"

// enterGreen makes a green in a club that is open.
func enterGreen(r *reader) *reader {
	r.follow("A new green").want(200)
	return r.fill("/green/name", "7th", "/green/age_years", "40", "/green/outline/metres", edge, "/green/has_drains", "no",
		"/green/outfall/state", "free", "/green/outfall/distance_m", "30", "/green/outfall/fall_m", "1.5",
		"/green/soil_layers/0/texture", "clay_loam", "/green/soil_layers/0/thickness_mm", "300",
		"/upkeep/operations/0/operation", "hollow_coring", "/upkeep/operations/0/times_per_year", "1").want(200)
}

// enterSurvey makes a survey of a green that is open.
func enterSurvey(r *reader) *reader {
	r.follow("A new survey").want(200)
	pairs := []string{"/survey/surveyed_on", "2027-02-12"}
	for i := range 3 {
		at := fmt.Sprintf("/survey/infiltration/ring_tests/%d", i)
		pairs = append(pairs, at+"/position", "front", at+"/volume_ml", fmt.Sprint(70+i), at+"/bore_mm", "150", at+"/minutes", "60", at+"/water_temperature_c", "8", at+"/surface", "wet",
			fmt.Sprintf("/survey/thatch_depth/readings/%d/depth_mm", i), fmt.Sprint(28+i),
			fmt.Sprintf("/survey/annual_meadow_grass/point_quadrats/%d/hits", i), fmt.Sprint(60+i), fmt.Sprintf("/survey/annual_meadow_grass/point_quadrats/%d/points", i), "100",
			fmt.Sprintf("/survey/months_playable/closed_days/%d/waterlogged_green_days", i), "20")
	}
	return r.fill(pairs...).want(200)
}

// TestFromNothingToAnAppraisal goes the whole way without script and without JSON,
// and finds by the API what was filled in.
func TestFromNothingToAnAppraisal(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		r := k.reader()
		holds(t, enterClub(r).body, "Ashby Heath", "The club has no greens yet")
		club := strings.TrimPrefix(r.at, "/clubs/")
		holds(t, enterGreen(r).body, "480 m²", "88 m", "It has not been surveyed yet")
		if r.offers("Appraise it") {
			t.Error("a green without a survey is offered to be appraised")
		}
		holds(t, enterSurvey(r).body, "2027-02-12", "29.0", "61.0")
		months := k.want(200, "GET", "/v1/clubs/"+club+"/surveys", "").body
		holds(t, months, `{"month":"2025-03","waterlogged_green_days":20}`, `{"month":"2027-02"}`, `"closed_days"`)
		if got := strings.Count(months, `"month":`); got != 24 {
			t.Errorf("%d months were stored, want 24", got)
		}
		r.follow("Appraise it").want(200)
		if r.value("/available/first_month") != "2027-12" || r.value("/money/currency") != "GBP" {
			t.Errorf("it begins with %s and %s", r.value("/available/first_month"), r.value("/money/currency"))
		}
		r.fill("page:worth", "1200", "/money/worth_of_playable_month/0", "300", "/requirements/least_months_playable", "10", "/confidence/draws", "0").want(200)
		if !strings.HasPrefix(r.at, "/clubs/"+club+"/appraisals/") {
			t.Fatalf("the appraisal led to %s", r.at)
		}
		kept := k.want(200, "GET", "/v1"+r.at, "").body
		holds(t, kept, `"amount":"300.00"`, `"amount":"1200.00"`, `"least_months_playable":10`, `"first_month":"2027-12"`)

		// The next appraisal begins with the terms of this one.
		r.open("/clubs/" + club).follow("7th").follow("Appraise it")
		if r.value("/requirements/least_months_playable") != "10" || r.value("/money/worth_of_playable_month/0") != "300" {
			t.Error("the terms of the last appraisal are forgotten")
		}
		r.fill("/requirements/least_months_playable", "9").want(200)
		if got := k.count("/v1/clubs/" + club + "/appraisals"); got != 2 {
			t.Errorf("%d appraisals are kept", got)
		}
		// The next survey has the places of this one, and none of its readings.
		r.open("/clubs/" + club).follow("7th").follow("A new survey")
		if r.value("/survey/infiltration/ring_tests/2/position") != "front" || r.value("/survey/infiltration/ring_tests/2/volume_ml") != "" {
			t.Error("the places of the last survey are not there, or its readings are")
		}
	})
}

// TestWhatIsWrongStandsBesideTheField: the words are those of the API's problem
// document, what was filled in is kept, and nothing is stored.
func TestWhatIsWrongStandsBesideTheField(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		r := k.reader().open("/clubs/" + s.club.ID + "/greens/new")
		r.fill("/green/name", "<i>9th", "/green/age_years", "old", "/green/area_m2", "20", "/green/outline/metres", "0,0\nx\n5,5",
			"/green/soil_layers/1/texture", "clay").want(http.StatusUnprocessableEntity)
		for name, want := range map[string]string{
			"/green/age_years":                  "“old” is not a number. Give a number from 0 to 300.",
			"/green/area_m2":                    "“20” is below the least allowed, 50. Give a number from 50 to 3000.",
			"/green/outline/metres":             "Line 2 does not hold two numbers. Write x and y in metres, such as 12.5, 4.",
			"/green/has_drains":                 "Choose yes or no.",
			"/green/soil_layers/1/thickness_mm": "This is required but missing. Add it: a number from 5 to 3000.",
			"/green/name":                       "",
		} {
			if got := r.beside(name); got != want {
				t.Errorf("beside %s stands %q, want %q", name, got, want)
			}
		}
		holds(t, r.body, "<title>Not stored yet: A new green", "5 things are to mend", `href="#field-green-area_m2"`)
		lacks(t, r.body, "<i>9th")
		if r.value("/green/name") != "<i>9th" || r.value("/green/outline/metres") != "0,0\nx\n5,5" {
			t.Error("what was filled in is lost")
		}
		if got := k.count(s.at + "/greens"); got != 1 {
			t.Errorf("%d greens are kept", got)
		}
		// What only the model can judge finds its field as well.
		r.fill("/green/name", "9th", "/green/age_years", "4", "/green/area_m2", "", "/green/has_drains", "yes", "/green/soil_layers/1/texture", "",
			"/green/outline/metres", "0,0\n20,0\n0,20\n20,20").want(http.StatusUnprocessableEntity)
		if got := r.beside("/green/outline/metres"); !strings.Contains(got, "crosses") {
			t.Errorf("beside the edge stands %q", got)
		}
		r.fill("/green/outline/metres", edge).want(200)
		// A name that is taken.
		r.open("/clubs/"+s.club.ID+"/greens/new").fill("/green/name", "9th", "/green/age_years", "4", "/green/area_m2", "400", "/green/perimeter_m", "75", "/green/has_drains", "no").want(http.StatusConflict)
		holds(t, r.body, "another green of this name")
	})
}

// TestSentTwiceIsStoredOnce: the page names its form, and the name serves once.
func TestSentTwiceIsStoredOnce(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		r := k.reader().open("/clubs/" + s.club.ID + "/greens/new")
		values := r.fields()
		once := values.Get("once")
		for name, text := range map[string]string{"/green/name": "9th", "/green/age_years": "4", "/green/area_m2": "400", "/green/perimeter_m": "75", "/green/has_drains": "no"} {
			values.Set(name, text)
		}
		address := "/clubs/" + s.club.ID + "/greens/new"
		first := r.send(http.MethodPost, address, values).want(200).at
		if again := r.send(http.MethodPost, address, values).want(200).at; again != first || k.count(s.at+"/greens") != 2 {
			t.Errorf("it led to %s and then to %s; %d greens are kept", first, again, k.count(s.at+"/greens"))
		}
		values.Set("/green/name", "10th")
		r.send(http.MethodPost, address, values).want(http.StatusUnprocessableEntity)
		holds(t, r.body, "was stored already, with other entries")
		if r.value("once") == once {
			t.Error("the form kept a name that has been used")
		}
		r.fill().want(200)
		if got := k.count(s.at + "/greens"); got != 3 {
			t.Errorf("%d greens are kept", got)
		}
	})
}

// TestAChangeByAnotherIsShown: what was stored meanwhile is not undone unseen, and
// what the form does not show is kept.
func TestAChangeByAnotherIsShown(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		first, second := k.reader(), k.reader()
		home := "/clubs/" + s.club.ID + "/greens/" + s.green.ID
		first.open(home + "/change").want(200)
		second.open(home+"/change").fill("/green/age_years", "99").want(200)
		first.fill("/green/age_years", "50").want(http.StatusPreconditionFailed)
		holds(t, first.body, "Somebody else has changed it", "Age, years", ">50</span>", ">99</span>")
		if first.value("/green/age_years") != "50" {
			t.Error("what was filled in is lost")
		}
		values, again := first.fields(), first.at
		holds(t, first.fill().want(200).body, "50 years")
		if first.send(http.MethodPost, again, values).want(200); first.at != home {
			t.Errorf("a change that was sent twice led to %s", first.at)
		}
		before := k.want(200, "GET", s.survey.location, "").body
		first.open("/clubs/" + s.club.ID + "/surveys/" + s.survey.ID + "/change").fill().want(200)
		after := k.want(200, "GET", s.survey.location, "").body
		if cut(before, `"survey":`) != cut(after, `"survey":`) {
			t.Errorf("a form that was sent back as it came changed\n%s\ninto\n%s", cut(before, `"survey":`), cut(after, `"survey":`))
		}
		green := k.want(200, "GET", s.green.location, "").body
		first.open(home + "/change").fill().want(200)
		if again := k.want(200, "GET", s.green.location, "").body; cut(green, `"green":`) != cut(again, `"green":`) {
			t.Errorf("%s\nbecame\n%s", green, again)
		}
	})
}

func cut(text, from string) string {
	_, rest, _ := strings.Cut(text, from)
	return rest
}

// TestRowsAreAddedWithoutLosingAny
func TestRowsAreAddedWithoutLosingAny(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		r := k.reader().open("/clubs/" + s.club.ID + "/greens/" + s.green.ID + "/surveys/new")
		r.fill("/survey/surveyed_on", "2027-02-20", "/survey/thatch_depth/readings/0/depth_mm", "31", "more", "/survey/thatch_depth/readings").want(200)
		if r.value("/survey/thatch_depth/readings/0/depth_mm") != "31" || r.value("/survey/surveyed_on") != "2027-02-20" {
			t.Error("what was filled in is lost")
		}
		r.fill("/survey/thatch_depth/readings/11/depth_mm", "29").want(200)
		holds(t, k.want(200, "GET", s.at+"/surveys?from=2027-02-20", "").body, `"readings":[{"position":"front","depth_mm":31},{"depth_mm":29}]`)
	})
}

// TestFormsAreSentWhole: what is too long, of another kind or from another site is
// refused.
func TestFormsAreSentWhole(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		s := k.setUp()
		r := k.reader().open("/clubs/" + s.club.ID + "/greens/new")
		values := r.fields()
		r.send(http.MethodPost, r.at, values, "Content-Type", "text/plain").want(http.StatusUnsupportedMediaType)
		r.send(http.MethodPost, r.at, values, "Sec-Fetch-Site", "cross-site").want(http.StatusForbidden)
		r.send(http.MethodPost, r.at, values, "Sec-Fetch-Site", "", "Origin", "https://elsewhere.example").want(http.StatusForbidden)
		values.Set("/green/outline/metres", strings.Repeat("1,1\n", 100_000))
		r.send(http.MethodPost, r.at, values).want(http.StatusRequestEntityTooLarge)
		if got := k.count(s.at + "/greens"); got != 1 {
			t.Errorf("%d greens are kept", got)
		}
	})
}
