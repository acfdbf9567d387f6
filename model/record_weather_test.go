package model

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/climate"
)

// dublinRecord is the daily record of Dublin Airport, 2015 to 2019: Met Éireann
// open data, CC BY 4.0, as cited in the file.
func dublinRecord(t testing.TB) []climate.DailyReading {
	t.Helper()
	body, err := os.ReadFile(filepath.FromSlash("../testdata/climate/dublin_daily_2015_2019.csv"))
	if err != nil {
		t.Fatal(err)
	}
	var table strings.Builder
	for line := range strings.Lines(string(body)) {
		if !strings.HasPrefix(line, "#") {
			cells := strings.Split(line, ",")
			table.WriteString(strings.Join(cells[:4], ",") + "\n")
		}
	}
	text := strings.NewReplacer("tmax_c", "temperature_max_c", "tmin_c", "temperature_min_c").Replace(table.String())
	record, faults := climate.ParseRecordCSV(strings.NewReader(text))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return record.Readings()
}

// recordedCase is the 14th green under the Dublin record alone.
func recordedCase(t testing.TB) Case {
	t.Helper()
	c := readCase(t, "green_14")
	c.Site.LatitudeDeg, c.Green.Outline.Origin.LatitudeDeg = 53.4, 53.4
	c.Site.Climate = climate.Climate{DailyRecord: dublinRecord(t)}
	return c
}

// TestTheBalanceRunsOnTheRecordItself: every day of the weather is a day of the
// record, six times over for thirty years.
func TestTheBalanceRunsOnTheRecordItself(t *testing.T) {
	resolved, err := Resolve(recordedCase(t))
	if err != nil {
		t.Fatal(err)
	}
	days, err := resolved.weather(30)
	if err != nil {
		t.Fatal(err)
	}
	readings := dublinRecord(t)
	if len(days) != 6*len(readings) {
		t.Fatalf("%d days, want six times %d", len(days), len(readings))
	}
	frozen, freezing := 0.0, 0.0
	for i, day := range days {
		reading := readings[i%len(readings)]
		mean := (*reading.TemperatureMaxC + *reading.TemperatureMinC) / 2
		if day.RainMM != *reading.RainMM || math.Abs(day.MeanTemperatureC-mean) > 1e-9 {
			t.Fatalf("day %d: %g mm at %g °C, the record of %s has %g at %g", i, day.RainMM, day.MeanTemperatureC, reading.Date, *reading.RainMM, mean)
		}
		if *reading.TemperatureMinC < 0 {
			freezing++
		}
		if day.Frozen {
			frozen++
			if *reading.TemperatureMinC >= 0 {
				t.Fatalf("closed by frost on %s, when it did not freeze", reading.Date)
			}
		}
	}
	// Some 1,200 nights of frost: the share that closes the green comes out to
	// within four standard errors.
	share := resolved.assumptions.Likely("frost_closure_share")
	if got := frozen / freezing; math.Abs(got-share) > 4*math.Sqrt(share*(1-share)/freezing) {
		t.Errorf("%.3f of the frosts close the green, want %.3f", got, share)
	}
	if got := mustForecast(t, recordedCase(t)).Weather; !got.Recorded || got.Years != 5 || got.GapDays != 0 {
		t.Errorf("weather %+v", got)
	}
}

// TestARecordedCaseResolvesToItself: the record stays, its monthly means are
// written in beside it, and the same forecast comes out.
func TestARecordedCaseResolvesToItself(t *testing.T) {
	first, err := Resolve(recordedCase(t))
	if err != nil {
		t.Fatal(err)
	}
	again, err := Resolve(first.Case)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(asJSON(t, first.Case), asJSON(t, again.Case)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(asJSON(t, mustForecast(t, recordedCase(t))), asJSON(t, mustForecast(t, first.Case))); diff != "" {
		t.Error(diff)
	}
	if n := len(first.Case.Site.Climate.DailyRecord); n != 1826 {
		t.Errorf("%d days are left of the record", n)
	}
}

// TestGapsAreNamedAndFilled: two weeks of January without a rain reading are
// named, and rained on in the end.
func TestGapsAreNamedAndFilled(t *testing.T) {
	c := recordedCase(t)
	readings := c.Site.Climate.DailyRecord
	for i := 365; i < 372; i++ {
		readings[i].RainMM = nil
	}
	c.Site.Climate.DailyRecord = slices.Delete(readings, 372, 379)
	w := mustForecast(t, c).Weather
	if len(w.Gaps) != 1 || w.GapDays != 14 || w.Gaps[0] != (climate.Gap{From: "2016-01-01", To: "2016-01-14", Days: 14}) {
		t.Errorf("gaps %+v, %d days", w.Gaps, w.GapDays)
	}
	resolved, err := Resolve(c)
	if err != nil {
		t.Fatal(err)
	}
	days, err := resolved.weather(30)
	if err != nil {
		t.Fatal(err)
	}
	wet, first, differ := 0, days[365:379], false
	for round := range 6 {
		gap := days[round*1826+365 : round*1826+379]
		for i, day := range gap {
			if day.Month != 0 {
				t.Fatalf("a day of the gap is in month %d", day.Month+1)
			}
			if day.RainMM > 0 {
				wet++
			}
			differ = differ || day.RainMM != first[i].RainMM
		}
	}
	if wet < 84/4 || wet > 84*3/4 || !differ {
		t.Errorf("%d of 84 filled days are wet (half of January's are), differing from round to round: %t", wet, differ)
	}
}

func TestARecordThatCannotServeIsRefused(t *testing.T) {
	tests := []struct {
		name   string
		change func(*Case)
		at     string
	}{
		{"half a year", func(c *Case) { c.Site.Climate.DailyRecord = c.Site.Climate.DailyRecord[:180] }, "/site/climate/daily_record"},
		{"rain on too few days", func(c *Case) {
			for i := range c.Site.Climate.DailyRecord {
				if i%3 == 0 {
					c.Site.Climate.DailyRecord[i].RainMM = nil
				}
			}
		}, "/site/climate/daily_record"},
		{"absurd rain", func(c *Case) { *c.Site.Climate.DailyRecord[7].RainMM = 900 }, "/site/climate/daily_record/7/rain_mm"},
		{"a day twice", func(c *Case) { c.Site.Climate.DailyRecord[9].Date = "2015-01-01" }, "/site/climate/daily_record/9/date"},
		{"more than twenty years", func(c *Case) {
			c.Site.Climate.DailyRecord = make([]climate.DailyReading, climate.MostCaseRecordDays+1)
		}, "/site/climate/daily_record"},
		{"the wrong half of the world", func(c *Case) { c.Site.LatitudeDeg = -53.4 }, "/site/climate/daily_record"},
		{"no temperatures and no station", func(c *Case) {
			for i := range c.Site.Climate.DailyRecord {
				c.Site.Climate.DailyRecord[i].TemperatureMaxC = nil
			}
		}, "/site/climate/daily_record"},
	}
	for _, tt := range tests {
		c := recordedCase(t)
		tt.change(&c)
		if _, err := Resolve(c); !hasFault(err, tt.at) {
			t.Errorf("%s: got %v, want a fault at %s", tt.name, err, tt.at)
		}
	}
}

// TestARainGaugeAloneIsEnoughBesideAStation: rain and wet days are then the
// club's, temperatures the station's.
func TestARainGaugeAloneIsEnoughBesideAStation(t *testing.T) {
	c := recordedCase(t)
	whole, err := Resolve(c)
	if err != nil {
		t.Fatal(err)
	}
	for i := range c.Site.Climate.DailyRecord {
		c.Site.Climate.DailyRecord[i].TemperatureMaxC, c.Site.Climate.DailyRecord[i].TemperatureMinC = nil, nil
	}
	c.Site.Climate.Station = "cambridge_niab"
	gauge, err := Resolve(c)
	if err != nil {
		t.Fatal(err)
	}
	station, err := Resolve(readCase(t, "green_14"))
	if err != nil {
		t.Fatal(err)
	}
	got := gauge.site
	if got.RainMM != whole.site.RainMM || got.WetDays != whole.site.WetDays || got.TemperatureMeanC != station.site.TemperatureMeanC {
		t.Errorf("rain %v, wet days %v, temperatures %v", got.RainMM, got.WetDays, got.TemperatureMeanC)
	}
	if !strings.Contains(got.Source, "2015-01-01 to 2019-12-31") || !strings.Contains(got.Source, "temperatures: ") {
		t.Errorf("source %q", got.Source)
	}
}
