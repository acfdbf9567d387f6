package model

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/costs"
	"swardcase/model/fault"
)

// keptCourse is a course of kept cases, each as a case has it.
func keptCourse(t testing.TB, names ...string) CourseCase {
	t.Helper()
	cases := make([]Case, len(names))
	for i, name := range names {
		text, err := os.ReadFile(filepath.Join("..", "testdata", "cases", name+".json"))
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &cases[i]); err != nil {
			t.Fatal(err)
		}
	}
	budget := mustMoney(t, "60000.00")
	return CourseOf(cases, PlanTerms{Years: 2, Budget: PlanBudget{PerYear: &budget, CarryOver: true}, MostOutOfPlay: []int{1}})
}

func asText(t testing.TB, value any) string {
	t.Helper()
	text, err := json.MarshalIndent(value, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestAResolvedCourseIsTheSameCourse: resolved again it does not change, and its
// plan is that of the course as it was given.
func TestAResolvedCourseIsTheSameCourse(t *testing.T) {
	own := keptCourse(t, "green_04", "green_14")
	worth := make([]costs.Money, 12)
	for i := range worth {
		worth[i] = mustMoney(t, "900.00")
	}
	own.Greens[0].WorthOfPlayableMonth, own.Greens[1].Choices = worth, nil
	own.Choices.SupplierTurfSoil = "washed"
	for name, course := range map[string]CourseCase{"of cases": keptCourse(t, "green_04", "green_14"), "with terms of its own": own} {
		t.Run(name, func(t *testing.T) {
			resolved, err := ResolveCourse(course)
			if err != nil {
				t.Fatal(err)
			}
			again, err := ResolveCourse(resolved)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(asText(t, resolved), asText(t, again)); diff != "" {
				t.Errorf("resolved again (- once, + twice):\n%s", diff)
			}
			if resolved.Plan.MostNodes == nil || resolved.Money.PriceBook == nil || len(resolved.Assumptions) < 100 || resolved.Greens[1].Choices == nil {
				t.Errorf("not every default is written in: %.2000s", asText(t, resolved))
			}
			given, err := PlanCourse(t.Context(), course, testCurves, nil)
			if err != nil {
				t.Fatal(err)
			}
			planned, err := PlanCourse(t.Context(), resolved, testCurves, nil)
			if err != nil {
				t.Fatal(err)
			}
			// What the case replaced is listed as replaced, and a resolved one replaces all.
			given.Assumptions, planned.Assumptions = nil, nil
			if diff := cmp.Diff(asText(t, given), asText(t, planned)); diff != "" {
				t.Errorf("the plans differ (- given, + resolved):\n%.3000s", diff)
			}
		})
	}
}

// TestFaultsOfACourseComeAllAtOnce, each where the course has what is wrong.
func TestFaultsOfACourseComeAllAtOnce(t *testing.T) {
	course := keptCourse(t, "green_04", "green_14")
	course.Greens[0].Survey.MonthsPlayable = nil
	course.Greens[1].Survey.SurveyedOn = "2026-02-31"
	_, err := ResolveCourse(course)
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatal(err)
	}
	var at []string
	for _, f := range faults {
		at = append(at, f.Pointer)
	}
	if got := strings.Join(at, " "); got != "/greens/0/survey/months_playable /greens/1/survey/surveyed_on" {
		t.Errorf("faults at %s", got)
	}
	course.Plan.Years = 20
	if _, err := ResolveCourse(course); err == nil || strings.Contains(err.Error(), "months_playable") {
		t.Errorf("the terms are not looked at first: %v", err)
	}
}
