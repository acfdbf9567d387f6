package water

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"swardcase/model/assumption"
	"swardcase/model/published"
)

// The tests run on the daily record of Dublin Airport, 2015 to 2019 (Met Éireann
// open data, CC BY 4.0): rain, Penman evapotranspiration, temperatures, and the
// soil-moisture deficit that the service publishes.

// frostMinimumC is the night's minimum below which the green counts as frozen in
// the tests: it gives the twenty days a year that clubs there lose to frost.
const frostMinimumC = -1

type dublinDay struct {
	date                   string
	day                    Day
	deficitWell, deficitMM float64 // published, well and moderately drained grassland
}

func num(tb testing.TB, text string) float64 {
	tb.Helper()
	return published.Number(tb, text)
}

func dublin(tb testing.TB) []dublinDay {
	tb.Helper()
	var days []dublinDay
	for _, row := range published.Rows(tb, "climate/dublin_daily_2015_2019.csv") {
		maximum, minimum := num(tb, row[1]), num(tb, row[2])
		days = append(days, dublinDay{date: row[0], deficitWell: num(tb, row[5]), deficitMM: num(tb, row[6]), day: Day{
			Month: int(num(tb, strings.Split(row[0], "-")[1])) - 1, RainMM: num(tb, row[3]), EvapotranspirationMM: num(tb, row[4]),
			MeanTemperatureC: (maximum + minimum) / 2, Frozen: minimum < frostMinimumC,
		}})
	}
	return days
}

func dublinRecord(tb testing.TB, times int) []Day {
	tb.Helper()
	var record []Day
	for range times {
		for _, d := range dublin(tb) {
			record = append(record, d.day)
		}
	}
	return record
}

// viscosity reads the ratio from the published table, between whole degrees in
// proportion.
func viscosity(tb testing.TB) func(float64) float64 {
	tb.Helper()
	var temperature, ratio []float64
	for _, row := range published.Rows(tb, "survey/viscosity.csv") {
		temperature, ratio = append(temperature, num(tb, row[0])), append(ratio, num(tb, row[2]))
	}
	return func(c float64) float64 {
		i := 0
		for i < len(temperature)-2 && temperature[i+1] < c {
			i++
		}
		return ratio[i] + (c-temperature[i])/(temperature[i+1]-temperature[i])*(ratio[i+1]-ratio[i])
	}
}

func defaults() Parameters { return ParametersFrom(assumption.Defaults()) }

func dublinWeather(tb testing.TB, times int) *Weather {
	tb.Helper()
	w, err := NewWeather(dublinRecord(tb, times), viscosity(tb), defaults(), rand.NewPCG(1, 2))
	if err != nil {
		tb.Fatal(err)
	}
	return w
}

func lostDays(tb testing.TB, w *Weather, surface WetSurfaceMMPerH, discharge, softAbove float64) float64 {
	tb.Helper()
	run, err := w.Run(Rates{surface, discharge}, softAbove, defaults().Stores())
	if err != nil {
		tb.Fatal(err)
	}
	return run.Lost.WaterloggedDays.Sum()
}

func near(tb testing.TB, what string, got, want, tolerance float64) {
	tb.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		tb.Errorf("%s: got %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

func between(tb testing.TB, what string, got, low, high float64) {
	tb.Helper()
	if !(got >= low && got <= high) {
		tb.Errorf("%s: got %.4g, want %g to %g", what, got, low, high)
	}
}
