package api_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/problem"
	"swardcase/api/service"
)

func unmarshal(t testing.TB, text string, into any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), into); err != nil {
		t.Fatalf("%v: %.500s", err, text)
	}
}

func (k *keeping) importFile(at, file string, headers ...string) thing {
	k.t.Helper()
	return k.send("POST", at+"/survey-imports", file, append(headers, "Content-Type", "text/csv")...)
}

// TestAFileOfReadingsBecomesSurveys: two greens on two days, from one row for
// each sampling point.
func TestAFileOfReadingsBecomesSurveys(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		for _, name := range []string{"the 3rd", "the 7th, lower"} {
			k.want(201, "POST", club.location+"/greens", fmt.Sprintf(`{"green":{"name":%q,"area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`, name))
		}
		file := "\ufeffgreen,surveyed_on,position,thatch_depth_mm,hits,points,volume_ml,bore_mm,minutes,water_temperature_c,surface,months_playable\r\n" +
			"the 3rd,2027-02-01,front,21,30,100,500,150,20,8,wet,9.5\r\n" +
			"the 3rd,2027-02-01, back left ,24.5,41,100,,,,,,9.5\r\n" +
			"\"the 7th, lower\",2027-02-01,,18,,,,,,,,\r\n" +
			"the 3rd,2026-02-01,front,19,25,100,,,,,,\r\n"
		answer := k.importFile(club.location, file, "Idempotency-Key", "sheet-1")
		var report service.ImportReport
		unmarshal(t, answer.body, &report)
		if answer.code != 201 || report.Rows != 4 || len(report.Surveys) != 3 || report.Surveys[0].Rows != 2 || report.Surveys[1].Green != "the 7th, lower" {
			t.Fatalf("answered %d: %s", answer.code, answer.body)
		}
		var first struct {
			Survey any `json:"survey"`
		}
		unmarshal(t, k.want(200, "GET", club.location+"/surveys/"+report.Surveys[0].ID, "").body, &first)
		var want any
		unmarshal(t, `{"surveyed_on":"2027-02-01",
			"infiltration":{"ring_tests":[{"position":"front","volume_ml":500,"bore_mm":150,"minutes":20,"water_temperature_c":8,"surface":"wet"}]},
			"thatch_depth":{"readings":[{"position":"front","depth_mm":21},{"position":"back left","depth_mm":24.5}]},
			"annual_meadow_grass":{"point_quadrats":[{"position":"front","hits":30,"points":100},{"position":"back left","hits":41,"points":100}]},
			"months_playable":{"value_months":9.5}}`, &want)
		if diff := cmp.Diff(want, first.Survey); diff != "" {
			t.Errorf("the first survey (- file, + stored):\n%s", diff)
		}
		if again := k.importFile(club.location, file, "Idempotency-Key", "sheet-1"); again.body != answer.body || k.count(club.location+"/surveys") != 3 {
			t.Errorf("sent again: %s", again.body)
		}
		if got := k.importFile(club.location, file); got.code != 422 || strings.Count(got.body, "has a survey of this day already") != 3 {
			t.Errorf("stored twice: %d %s", got.code, got.body)
		}
		if n := k.count(club.location + "/surveys?from=2027-01-01&to=2027-12-31"); n != 2 {
			t.Errorf("%d surveys of that year", n)
		}
	})
}

// TestABadRowKeepsTheWholeFileOut, and every bad row is named.
func TestABadRowKeepsTheWholeFileOut(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		k.want(201, "POST", club.location+"/greens", `{"green":{"name":"3","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`)
		file := strings.Join([]string{
			"green,surveyed_on,position,thatch_depth_mm,hits,points,volume_ml,bore_mm,minutes,water_temperature_c,months_playable",
			"3,2027-02-01,front,21,,,,,,,9",     // line 2 is sound
			"3,2027-02-01,back,-4,,,,,,,",       // too little
			"3,2027-02-01,back,abc,,,,,,,",      // no number
			"3,2027-02-01,back,,120,100,,,,,",   // more hits than points
			"3,2027-02-01,back,,,,500,,20,9,",   // no bore
			"3,2027-02-01,back,20,,,,,,,11",     // another number of months
			"3,2027-02-01,back,,,,,,,,",         // nothing measured
			"3,2027-02-01,back,20,",             // cells missing
			",2027-02-01,back,20,,,,,,,",        // no green
			"4,2027-02-01,back,20,,,,,,,",       // no such green
			"3,2027-02-31,back,20,,,,,,,",       // no such day
			`3,2027-02-02,ba"ck,20,,,,,,,`,      // a stray quotation mark
			"3,2027-02-03,front,20,,,,,,,12.01", // more than a year
		}, "\n") + "\n"
		answer := k.importFile(club.location, file)
		var p problem.Document
		unmarshal(t, answer.body, &p)
		if answer.code != 422 || p.Type != "/problems/faulty-import" {
			t.Fatalf("answered %d: %s", answer.code, answer.body)
		}
		got := map[string]bool{}
		for _, e := range p.Errors {
			got[e.Pointer] = true
		}
		for _, pointer := range []string{
			"/3/thatch_depth_mm", "/4/thatch_depth_mm", "/6/bore_mm", "/7/months_playable", "/8", "/9", "/10/green",
			"/11/green", "/12/surveyed_on", "/13", "/14/months_playable",
		} {
			if !got[pointer] {
				t.Errorf("%s is not named in %s", pointer, answer.body)
			}
		}
		// The model looks at a survey once the contract has nothing against it.
		answer = k.importFile(club.location, "green,surveyed_on,hits,points\n3,2027-02-01,10,100\n3,2027-02-01,120,100\n")
		if answer.code != 422 || !strings.Contains(answer.body, `"pointer":"/3/hits"`) {
			t.Errorf("answered %d: %s", answer.code, answer.body)
		}
		if n := k.count(club.location + "/surveys?archived=true"); n != 0 {
			t.Errorf("%d surveys were stored", n)
		}
	})
}

// TestEveryOneOfManyBadRowsIsNamed: unlike a document's, a file's faults are not
// cut short at a hundred.
func TestEveryOneOfManyBadRowsIsNamed(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		var file strings.Builder
		file.WriteString("green,surveyed_on,thatch_depth_mm\n")
		for i := range 450 {
			fmt.Fprintf(&file, "green %d,2027-02-01,20\n", i)
		}
		answer := k.importFile(club.location, file.String())
		if strings.Count(answer.body, `/green"`) != 450 || !strings.Contains(answer.body, "450 faults in 450 lines") {
			t.Errorf("answered %d: %.300s", answer.code, answer.body)
		}
		for range 5_000 {
			file.WriteString("x,2027-02-01,20\n")
		}
		if answer := k.importFile(club.location, file.String()); !strings.Contains(answer.body, "more than 5000 rows") {
			t.Errorf("answered %d: %.300s", answer.code, answer.body)
		}
		for file, want := range map[string]string{
			"":                                    "no line of column names",
			"green,surveyed_on\n":                 "no rows",
			"green,thatch\n3,4\n":                 "no such column",
			"green,green,surveyed_on\n3,3,2027\n": "stands twice",
			"position\nfront\n":                   "the column green is missing",
			"green,surveyed_on\n\xff,2027\n":      "not UTF-8",
		} {
			if got := k.importFile(club.location, file); got.code != 422 || !strings.Contains(got.body, want) {
				t.Errorf("%q answered %d: %s", file, got.code, got.body)
			}
		}
		k.refused(415, "unsupported-media-type", "POST", club.location+"/survey-imports", "{}")
	})
}

// TestTrend follows a green over five years of surveys whose thatch rises by two
// millimetres a year.
func TestTrend(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		green := k.want(201, "POST", club.location+"/greens", `{"green":{"name":"3","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false}}`)
		var trend service.Trend
		for i, year := range []int{2026, 2023, 2025, 2024, 2022} {
			k.want(201, "POST", club.location+"/surveys", surveyOn(green.ID, fmt.Sprintf("%d-02-01", year), float64(12+2*(year-2022))))
			unmarshal(t, k.want(200, "GET", green.location+"/trend", "").body, &trend)
			if len(trend.Points) != i+1 || (trend.ChangePerYear == nil) != (i < 2) {
				t.Errorf("after %d surveys the trend is %+v", i+1, trend)
			}
		}
		for i, point := range trend.Points {
			if want := fmt.Sprintf("%d-02-01", 2022+i); point.SurveyedOn != want || *point.ThatchDepthMM != float64(12+2*i) {
				t.Errorf("point %d is %+v", i, point)
			}
		}
		// Two millimetres a year to within the day's drift of leap years.
		if got := *trend.ChangePerYear.ThatchDepthMM; math.Abs(got-2) > 0.002 {
			t.Errorf("thatch changes by %v mm a year, want 2", got)
		}
		if got := *trend.ChangePerYear.MonthsPlayable; math.Abs(got) > 1e-9 || *trend.ChangePerYear.Index >= 0 {
			t.Errorf("months %v, index %v", got, *trend.ChangePerYear.Index)
		}
	})
}
