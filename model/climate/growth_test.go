package climate_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/climate"
)

// TestGrowthPotentialAgreesWithPrint: values printed for one American site by
// Woods in 2020 from the formula of Gelernter and Stowell (2005), and the
// formula's own fixed points. Tolerance 0.005, the rounding of two places.
func TestGrowthPotentialAgreesWithPrint(t *testing.T) {
	for _, tt := range []struct{ temperatureC, want float64 }{
		{16.9, 0.85},
		{12, 0.35},
		{20, 1},
		{30, 0.1915}, // by the formula
		{10, 0.1915},
	} {
		if got := climate.GrowthPotential(tt.temperatureC, likely()); !near(got, tt.want, 0.005) {
			t.Errorf("at %g degC: %.4f, want %.2f", tt.temperatureC, got, tt.want)
		}
	}
}

func TestGrowthPotentialIsAShareAndRisesToTheOptimum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64().Draw(t, "a")
		got := climate.GrowthPotential(a, likely())
		if !(got >= 0 && got <= 1) {
			t.Fatalf("%g at %g degC", got, a)
		}
		cool := rapid.Float64Range(-40, 20).Draw(t, "cool")
		warmer := rapid.Float64Range(cool, 20).Draw(t, "warmer")
		if climate.GrowthPotential(cool, likely()) > climate.GrowthPotential(warmer, likely()) {
			t.Fatalf("less growth at %g than at %g degC", warmer, cool)
		}
	})
	if got := climate.GrowthPotential(math.NaN(), likely()); got != 0 {
		t.Errorf("%g at no temperature", got)
	}
}

func TestDailyCurvesKeepTheMonthlyMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m climate.Months
		for i := range m {
			m[i] = rapid.Float64Range(-30, 40).Draw(t, "mean")
		}
		days := m.Daily()
		for i, got := range days.MonthlyMeans() {
			if !near(got, m[i], 1e-9) {
				t.Fatalf("month %d: mean of days %g, normal %g", i+1, got, m[i])
			}
		}
	})
}

// TestDailyTemperatureIsSmooth: no built-in station's normal temperature jumps
// by more than 0.2 degC from one day to the next, over the new year too, and
// none runs more than 1 degC beyond its warmest or coldest month.
func TestDailyTemperatureIsSmooth(t *testing.T) {
	for _, station := range climate.Stations() {
		s := resolve(t, station.Name, station.LatitudeDeg)
		days := s.DailyTemperatureMeanC()
		low, high := math.Inf(1), math.Inf(-1)
		for _, v := range s.TemperatureMeanC {
			low, high = min(low, v), max(high, v)
		}
		for i, v := range days {
			if step := math.Abs(v - days[(i+1)%365]); step > 0.2 {
				t.Errorf("%s day %d: a step of %.2f", station.Name, i+1, step)
			}
			if v < low-1 || v > high+1 {
				t.Errorf("%s day %d: %.1f degC outside %.1f to %.1f", station.Name, i+1, v, low, high)
			}
		}
	}
}

// TestDailyGrowthPotentialStaysNearTheMonthlyFigure: the curve bends, so the
// means differ, but never by more than 0.03 for a built-in station.
func TestDailyGrowthPotentialStaysNearTheMonthlyFigure(t *testing.T) {
	for _, station := range climate.Stations() {
		s := resolve(t, station.Name, station.LatitudeDeg)
		monthly, days := s.MonthlyGrowthPotential(likely()), s.DailyGrowthPotential(likely())
		for i, mean := range days.MonthlyMeans() {
			if !near(mean, monthly[i], 0.03) {
				t.Errorf("%s month %d: %.3f by day, %.3f by month", station.Name, i+1, mean, monthly[i])
			}
		}
	}
}

func BenchmarkDailyGrowthPotential(b *testing.B) {
	s, p := resolve(b, "dublin_airport", 53.4), likely()
	b.ReportAllocs()
	for b.Loop() {
		s.DailyGrowthPotential(p)
	}
}
