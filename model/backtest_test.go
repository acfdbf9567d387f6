package model

import (
	"math"
	"math/rand/v2"
	"testing"

	"swardcase/model/survey"
	"swardcase/model/water"
)

// lostUnder counts the days lost to water in each block of so many years of a
// weather, with all that one is run through to settle.
func lostUnder(t testing.TB, days []water.Day, p water.Parameters, rate water.WetSurfaceMMPerH) float64 {
	t.Helper()
	weather, err := water.NewWeather(days, survey.ViscosityRatio, p, rand.NewPCG(weatherSeed, streamHours))
	if err != nil {
		t.Fatal(err)
	}
	run, err := weather.Run(water.Rates{SurfaceMMPerH: rate, DischargeMMPerDay: 10}, water.SoftAboveShare(10, p), p.Stores())
	if err != nil {
		t.Fatal(err)
	}
	return run.Lost.WaterloggedDays.Sum()
}

// TestGeneratedWeatherAgainstTheRecord is a backtest. The truth is the daily record
// of Dublin Airport, 2015 to 2019 (Met Éireann open data, CC BY 4.0), run as it
// is; against it stand thirty years generated from nothing but that record's own
// monthly means, at a discharge of 10 mm/day and five conductivities of the wet
// surface. The bias is stated, and the spread of the generator's own six blocks
// of five years: a record of five years is one such block. Allowed is a bias of a
// tenth and two days, and no more than three standard deviations of a block.
func TestGeneratedWeatherAgainstTheRecord(t *testing.T) {
	resolved, err := Resolve(recordedCase(t))
	if err != nil {
		t.Fatal(err)
	}
	recorded, err := resolved.recordedWeather(30)
	if err != nil {
		t.Fatal(err)
	}
	generated, err := resolved.generatedWeather(30)
	if err != nil {
		t.Fatal(err)
	}
	p := water.ParametersFrom(resolved.assumptions)
	for _, rate := range []water.WetSurfaceMMPerH{0.2, 0.3, 0.5, 1, 2} {
		truth, mean := lostUnder(t, recorded, p, rate), lostUnder(t, generated, p, rate)
		const blocks = 6
		sum, squares := 0.0, 0.0
		for block := range blocks {
			length := len(generated) / blocks
			lost := lostUnder(t, generated[block*length:(block+1)*length], p, rate)
			sum, squares = sum+lost, squares+lost*lost
		}
		spread := math.Sqrt((squares - sum*sum/blocks) / (blocks - 1))
		bias := mean - truth
		t.Logf("%.1f mm/h: record %.1f days, generated %.1f, bias %+.1f, spread of five years %.1f", float64(rate), truth, mean, bias, spread)
		if math.Abs(bias) > truth/10+2 || math.Abs(bias) > 3*spread+1 {
			t.Errorf("%.1f mm/h: bias of %+.1f days on %.1f", float64(rate), bias, truth)
		}
	}
}

// TestARebuiltProfilesStoreMovesItsLostDaysLittle is why one curve serves all
// options: the gravity store of a new 300 mm root zone differs from an old
// green's, and where its water leaves as freely as a drained rebuild's does, that
// moves less than half a day a year at any surface rate that a rebuild comes to.
func TestARebuiltProfilesStoreMovesItsLostDaysLittle(t *testing.T) {
	resolved, err := Resolve(readCase(t, "green_14"))
	if err != nil {
		t.Fatal(err)
	}
	days, err := resolved.weather(30)
	if err != nil {
		t.Fatal(err)
	}
	p := water.ParametersFrom(resolved.assumptions)
	weather, err := water.NewWeather(days, survey.ViscosityRatio, p, rand.NewPCG(weatherSeed, streamHours))
	if err != nil {
		t.Fatal(err)
	}
	a := mustAppraise(t, readCase(t, "green_14"))
	rebuild := a.option(t, "layered_rebuild/seed").Forecast.Years
	for _, discharge := range []float64{20, rebuild[9].DischargeMMPerDay} {
		for _, ring := range []float64{12, rebuild[1].InfiltrationMMPerH, rebuild[9].InfiltrationMMPerH} {
			surface := water.RingMMPerH(ring).WhenWet(a.Calibration.WetSurfaceToRingRatio)
			lost := func(s water.Stores) float64 {
				run, err := weather.Run(water.Rates{SurfaceMMPerH: surface, DischargeMMPerDay: discharge}, water.SoftAboveShare(8, p), s)
				if err != nil {
					t.Fatal(err)
				}
				return run.Lost.WaterloggedDays.Sum()
			}
			old, rebuilt := lost(p.Stores()), lost(p.RebuiltStores(300))
			t.Logf("ring %.0f mm/h, discharge %.0f mm/day: %.2f days with an old store of %.0f mm, %.2f with a rebuilt one of %.0f", ring, discharge, old, p.Stores().GravityMM, rebuilt, p.RebuiltStores(300).GravityMM)
			if math.Abs(old-rebuilt) > 0.5 {
				t.Errorf("ring %.0f mm/h, discharge %.0f mm/day: the store moves %.2f days to %.2f", ring, discharge, old, rebuilt)
			}
		}
	}
}
