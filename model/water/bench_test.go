package water

import (
	"math/rand/v2"
	"testing"
)

// Thirty years by the hour, one point.
func BenchmarkRunThirtyYears(b *testing.B) {
	w, stores, counts := dublinWeather(b, 6), defaults().Stores(), make([]Months, 1)
	b.ReportAllocs()
	for b.Loop() {
		w.run(Rates{1, 4}, []float64{0.9}, stores, counts)
	}
}

func BenchmarkNewCurveThirtyYears(b *testing.B) {
	w := dublinWeather(b, 6)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewCurve(w, defaults().Stores()); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLookup(b *testing.B) {
	c, _ := curve(b)
	b.ReportAllocs()
	for b.Loop() {
		c.Lookup(Point{Rates{1.3, 3.3}, 0.83})
	}
}

func BenchmarkCalibrate(b *testing.B) {
	c, _ := curve(b)
	p := defaults()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Calibrate(winter(10), 15, 0.85, p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNewWeatherThirtyYears(b *testing.B) {
	record, ratio, p := dublinRecord(b, 6), viscosity(b), defaults()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewWeather(record, ratio, p, rand.NewPCG(1, 2)); err != nil {
			b.Fatal(err)
		}
	}
}
