package model

import (
	"encoding/json"
	"errors"
	"os"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/costs"
	"swardcase/model/fault"
)

// demoCases are the demonstration's greens, by file name.
var demoCases = []string{"green_04", "green_11", "green_14"}

// outlineCases are kept for tests: outlines in metres and as GeoJSON, and samples
// of materials.
var outlineCases = []string{"kidney", "geojson", "materials"}

// moneyCases have terms of money beyond the usual.
var moneyCases = []string{"money"}

// readCase reads one of the demonstration's cases, or of those kept for tests.
func readCase(t testing.TB, name string) Case {
	t.Helper()
	return undrawn(readDrawnCase(t, name))
}

func readDrawnCase(t testing.TB, name string) Case {
	t.Helper()
	folder := "../testdata/cases/"
	if slices.Contains(demoCases, name) {
		folder = "../cmd/swardcase/demo/"
	}
	body, err := os.ReadFile(folder + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var c Case
	if err := json.Unmarshal(body, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// undrawn takes the draws out of a case, for tests that are not about them.
func undrawn(c Case) Case {
	none := 0
	c.Confidence = &ConfidenceSettings{Draws: &none}
	return c
}

func asJSON(t testing.TB, value any) string {
	t.Helper()
	text, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestAResolvedCaseResolvesToItself(t *testing.T) {
	for _, name := range slices.Concat(demoCases, outlineCases, moneyCases) {
		first, err := Resolve(readCase(t, name))
		if err != nil {
			t.Fatal(err)
		}
		text := asJSON(t, first.Case)
		var again Case
		if err := json.Unmarshal([]byte(text), &again); err != nil {
			t.Fatal(err)
		}
		second, err := Resolve(again)
		if err != nil {
			t.Fatalf("%s: the resolved case has faults: %v", name, err)
		}
		if diff := cmp.Diff(text, asJSON(t, second.Case)); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// TestAResolvedCaseGivesTheSameAppraisal: a stored case with every default
// written in must be judged as the bare one was.
func TestAResolvedCaseGivesTheSameAppraisal(t *testing.T) {
	for _, name := range slices.Concat(demoCases, outlineCases, moneyCases) {
		bare := mustAppraise(t, readCase(t, name))
		var resolved Case
		if err := json.Unmarshal([]byte(asJSON(t, bare.Case)), &resolved); err != nil {
			t.Fatal(err)
		}
		full := mustAppraise(t, resolved)
		if diff := cmp.Diff(asJSON(t, bare), asJSON(t, full)); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

func TestEveryFaultIsNamedAtOnce(t *testing.T) {
	c := readCase(t, "green_04")
	c.CaseFormat = 7
	c.Site.Climate.Station = "nowhere"
	c.Green.PerimeterM = 40
	c.Upkeep.Operations = append(c.Upkeep.Operations, c.Upkeep.Operations[0])
	c.Available.FirstMonth = costs.YearMonth{Year: 2020, Month: 1}
	c.Choices.Expectations = []Expectation{{Option: "layered_rebuild/moss"}, {Option: Yardstick}}
	c.Money.Currency = "XXX"
	_, err := Appraise(c)
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("got %v", err)
	}
	var pointers []string
	for _, f := range faults {
		pointers = append(pointers, f.Pointer)
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%s: detail %q, remedy %q", f.Pointer, f.Detail, f.Remedy)
		}
	}
	for _, want := range []string{
		"/case_format", "/site/climate/station", "/green/perimeter_m", "/upkeep/operations/4/operation",
		"/available/first_month", "/choices/expectations/0/option", "/choices/expectations/1", "/money/currency",
	} {
		if !slices.Contains(pointers, want) {
			t.Errorf("no fault at %s in %v", want, pointers)
		}
	}
}

func TestAnAppraisalNeedsMoneyAndPlay(t *testing.T) {
	c := readCase(t, "green_04")
	c.Money, c.Survey.MonthsPlayable = nil, nil
	_, err := Appraise(c)
	var faults fault.List
	if !errors.As(err, &faults) || len(faults) != 2 {
		t.Fatalf("got %v", err)
	}
	if _, err := JudgeCondition(c); err != nil {
		t.Errorf("the condition needs neither: %v", err)
	}
}

// TestTheFirstMonthDefaultsToTheNextFreeAutumn: nine months after the survey
// at the soonest, in October, or April south of the equator.
func TestTheFirstMonthDefaultsToTheNextFreeAutumn(t *testing.T) {
	tests := []struct {
		surveyed string
		latitude float64
		want     string
	}{
		{"2026-01-20", 52, "2026-10"},
		{"2026-02-12", 52, "2027-10"},
		{"2026-02-12", -37, "2027-04"},
	}
	for _, tt := range tests {
		c := readCase(t, "green_04")
		c.Available, c.Survey.SurveyedOn, c.Site.LatitudeDeg = nil, tt.surveyed, tt.latitude
		resolved, _ := Resolve(c) // the station is not at that latitude; the month does not depend on it
		if got := resolved.Case.Available.FirstMonth.String(); got != tt.want {
			t.Errorf("%s at %g: %s, want %s", tt.surveyed, tt.latitude, got, tt.want)
		}
	}
}
