package model

import (
	"errors"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/fault"
)

// hasFault reports whether an error lists a fault at a place.
func hasFault(err error, pointer string) bool {
	var faults fault.List
	return errors.As(err, &faults) && slices.ContainsFunc(faults, func(f fault.Fault) bool { return f.Pointer == pointer })
}

func mustForecast(t testing.TB, c Case) ForecastReport {
	t.Helper()
	r, err := Forecasts(c, testCurves)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (r ForecastReport) option(t testing.TB, option Option) ForecastOption {
	t.Helper()
	for _, o := range r.Options {
		if o.Option == option {
			return o
		}
	}
	t.Fatalf("no option %s", option)
	return ForecastOption{}
}

// TestTheForecastIsTheAppraisals: an appraisal shows the same years, and money
// has no part in them.
func TestTheForecastIsTheAppraisals(t *testing.T) {
	for _, name := range demoCases {
		c := readCase(t, name)
		a := mustAppraise(t, c)
		c.Money = nil
		bare := mustForecast(t, c)
		for i, o := range bare.Options {
			want := a.Options[i]
			if o.Option != want.Option || o.MonthsOutOfPlay != want.MonthsOutOfPlay {
				t.Errorf("%s: %s, %g months out of play; the appraisal has %s, %g", name, o.Option, o.MonthsOutOfPlay, want.Option, want.MonthsOutOfPlay)
			}
			if diff := cmp.Diff(asJSON(t, want.Forecast), asJSON(t, o.Forecast)); diff != "" {
				t.Errorf("%s: %s (- appraisal, + forecast)\n%s", name, o.Option, diff)
			}
		}
	}
}

func TestAForecastNeedsTheMonthsPlayable(t *testing.T) {
	c := readCase(t, "green_11")
	c.Money, c.Survey.MonthsPlayable = nil, nil
	if _, err := Forecasts(c, testCurves); !hasFault(err, "/survey/months_playable") {
		t.Errorf("got %v", err)
	}
}

// TestNoOptionPassesTheCeiling: days lost to the rest of the course, to frost and
// to policy are nobody's to give back.
func TestNoOptionPassesTheCeiling(t *testing.T) {
	for _, name := range demoCases {
		r := mustForecast(t, readCase(t, name))
		for _, o := range r.Options {
			for _, y := range o.Forecast.Years {
				if y.MonthsPlayable > r.CeilingMonths+0.001 {
					t.Errorf("%s, %s, year %d: %g months of %g", name, o.Option, y.Year, y.MonthsPlayable, r.CeilingMonths)
				}
			}
		}
	}
}
