package model

import (
	"math"
	"testing"
)

// TestATrialIsNotPromisedAgain: where the present programme is the one that was
// tried, organic matter goes on at the pace that the trial found (to a tenth of a
// point over five years; years are stated at their middle), and more of the same
// is not forecast to open holes that three seasons of it did not.
func TestATrialIsNotPromisedAgain(t *testing.T) {
	for _, pace := range []float64{-0.4, -0.2, -0.15} {
		c := readCase(t, "green_11")
		c.Upkeep.Trial.OrganicMatterChangePctPointsPerYear = &pace
		r := mustForecast(t, c)
		for _, option := range []Option{Yardstick, Option(IntensifiedAeration)} {
			years := r.option(t, option).Forecast.Years
			if got := years[4].OrganicMatterTop20MMPct - years[0].OrganicMatterTop20MMPct; math.Abs(got-4*pace) > 0.25 {
				t.Errorf("%s: organic matter moves by %.2f points in four years, the trial found %.1f", option, got, 4*pace)
			}
			if got := (years[4].ThatchDepthMM - years[0].ThatchDepthMM) / 4; math.Abs(got+1) > 0.25 {
				t.Errorf("%s: thatch moves by %.2f mm a year, the trial found -1", option, got)
			}
		}
	}
	r := mustForecast(t, readCase(t, "green_11"))
	present, intensified := r.option(t, Yardstick).Forecast, r.option(t, Option(IntensifiedAeration)).Forecast
	if gain := intensified.MonthsPlayableYear5 - present.MonthsPlayableYear5; gain < -0.05 || gain > 0.3 {
		t.Errorf("more of the programme that failed gains %.2f months in year 5", gain)
	}
	if gain := present.MonthsPlayableYear5 - present.Years[0].MonthsPlayable; math.Abs(gain) > 0.5 {
		t.Errorf("the programme that failed is forecast to gain %.2f months in four years", gain)
	}
}

// TestThatchRulesWhereOrganicMatterWasNotMeasured: thatch then moves at the
// trial's pace (to a quarter of a millimetre a year).
func TestThatchRulesWhereOrganicMatterWasNotMeasured(t *testing.T) {
	for _, pace := range []float64{-1, 0, 0.5} {
		c := readCase(t, "green_11")
		c.Upkeep.Trial.OrganicMatterChangePctPointsPerYear, c.Upkeep.Trial.ThatchChangeMMPerYear = nil, &pace
		years := mustForecast(t, c).option(t, Yardstick).Forecast.Years
		if got := (years[4].ThatchDepthMM - years[0].ThatchDepthMM) / 4; math.Abs(got-pace) > 0.25 {
			t.Errorf("thatch moves by %.2f mm a year, the trial found %.1f", got, pace)
		}
	}
}
