package water

import (
	"math"
	"math/rand/v2"
	"testing"

	"swardcase/model/fault"
)

// Every drop of a day falls in its hours, no hour is counted twice, and the
// hours of the day add up.
func TestHoursAddUp(t *testing.T) {
	record := dublinRecord(t, 1)
	w := dublinWeather(t, 1)
	for i, d := range w.days {
		rain, evapotranspiration, hours, looks := 0.0, 0.0, 0.0, 0
		for _, s := range w.steps[d.from:d.to] {
			rain += s.rainMM
			evapotranspiration += s.evapotranspirationMM
			hours += s.hours
			if s.rainMM > 0 && s.hours != 1 {
				t.Fatalf("day %d has rain over %g hours", i, s.hours)
			}
			if s.look != noLook {
				looks++
			}
			if (s.look == atOpening) != (hours == 9 && s.hours > 0) {
				t.Fatalf("day %d is looked at as at opening after %g hours", i, hours)
			}
		}
		near(t, "rain", rain, record[i].RainMM, 1e-12)
		near(t, "evapotranspiration", evapotranspiration, record[i].EvapotranspirationMM, 1e-12)
		if hours != hoursInDay || looks != 2 {
			t.Fatalf("day %d has %g hours and %d looks", i, hours, looks)
		}
	}
}

// The mean of a wet hour is as asked where the day's rain allows it, and
// intensities within long wet days scatter as an exponential does: its standard
// deviation is its mean.
func TestWetHourMoments(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 9))
	const rainMM, wetHourMM, days = 12, 1.2, 4000
	count, squares := 0.0, 0.0
	for range days {
		var hours [hoursInDay]float64
		spreadRain(rainMM, wetHourMM, random, &hours)
		for _, mm := range hours {
			if mm > 0 {
				count++
				squares += mm * mm
			}
		}
	}
	mean := rainMM * days / count
	near(t, "mean", mean, wetHourMM, 0.01)
	// Ten exponentials that are made to add up scatter by √(9/11) of their mean.
	near(t, "standard deviation", math.Sqrt(squares/count-mean*mean), wetHourMM*math.Sqrt(9.0/11), 0.03)
}

func TestBadRecordsAreNamed(t *testing.T) {
	good := func() []Day { return dublinRecord(t, 1) }
	for _, tt := range []struct {
		name    string
		record  func() []Day
		pointer string
	}{
		{"none", func() []Day { return nil }, ""},
		{"half a year", func() []Day { return good()[:180] }, ""},
		{"NaN rain", func() []Day { r := good(); r[7].RainMM = math.NaN(); return r }, "/7/rain_mm"},
		{"rain without end", func() []Day { r := good(); r[7].RainMM = math.Inf(1); return r }, "/7/rain_mm"},
		{"negative evapotranspiration", func() []Day { r := good(); r[3].EvapotranspirationMM = -1; return r }, "/3/evapotranspiration_mm"},
		{"NaN temperature", func() []Day { r := good(); r[3].MeanTemperatureC = math.NaN(); return r }, "/3/mean_temperature_c"},
		{"thirteenth month", func() []Day { r := good(); r[9].Month = 12; return r }, "/9/month"},
		{"no February", func() []Day {
			r := good()
			for i := range r {
				if r[i].Month == 1 {
					r[i].Month = 2
				}
			}
			return r
		}, ""},
	} {
		_, err := NewWeather(tt.record(), warmWater, defaults(), rand.NewPCG(1, 2))
		list, ok := err.(fault.List)
		if !ok || len(list) != 1 || list[0].Pointer != tt.pointer || list[0].Remedy == "" {
			t.Errorf("%s: got %v, want one fault at %q", tt.name, err, tt.pointer)
		}
	}
}

func TestBadParametersAreNamed(t *testing.T) {
	p := defaults()
	p.WetHourRainMMPerH, p.GravityStoreMM = math.NaN(), 0
	_, err := NewWeather(dublinRecord(t, 1), warmWater, p, rand.NewPCG(1, 2))
	if list, _ := err.(fault.List); len(list) != 2 {
		t.Errorf("got %v, want two faults", err)
	}
}

func TestFaultsOfAHopelessRecordAreBounded(t *testing.T) {
	record := make([]Day, 5000)
	for i := range record {
		record[i] = Day{RainMM: math.NaN(), EvapotranspirationMM: math.NaN(), MeanTemperatureC: math.NaN(), Month: -1}
	}
	_, err := NewWeather(record, warmWater, defaults(), rand.NewPCG(1, 2))
	if list, _ := err.(fault.List); len(list) == 0 || len(list) > maxFaults+4 {
		t.Errorf("%d faults", len(list))
	}
}
