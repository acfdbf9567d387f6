package climate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/climate"
	"swardcase/model/fault"
)

func pointers(faults fault.List) string {
	var out []string
	for _, f := range faults {
		out = append(out, f.Pointer)
	}
	return strings.Join(out, " ")
}

// TestNormalsOfTheDublinRecord: the record of 2015-2019 against what a plain
// average of the same file gives: frost 39.8 days a year; and against the means
// of 1991-2020 within what five years differ by: 10 % of the year's rain, 1.3
// degC in a month.
func TestNormalsOfTheDublinRecord(t *testing.T) {
	_, record := dublinRain(t)
	n, coverage, faults := record.Normals(likely())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	rain, frost := 0.0, 0.0
	site := resolve(t, "dublin_airport", 53.4)
	for i := range 12 {
		if coverage.RainMonths[i] != 5 || coverage.TemperatureMonths[i] != 5 {
			t.Errorf("month %d: %d and %d years", i+1, coverage.RainMonths[i], coverage.TemperatureMonths[i])
		}
		rain, frost = rain+n.RainMM[i], frost+n.AirFrostDays[i]
		if !near(n.TemperatureMeanC[i], site.TemperatureMeanC[i], 1.3) {
			t.Errorf("month %d: %.1f degC", i+1, n.TemperatureMeanC[i])
		}
	}
	if !near(frost, 39.8, 0.01) || !near(rain, site.RainMM.Sum(), 0.1*site.RainMM.Sum()) {
		t.Errorf("%.2f days of frost, %.1f mm", frost, rain)
	}
	if _, faults := climate.Resolve(climate.Climate{MonthlyNormals: &n}, 53.4, likely()); faults != nil {
		t.Errorf("the normals of a record do not resolve: %v", faults)
	}
	if len(record.Gaps) != 0 {
		t.Errorf("gaps %v", record.Gaps)
	}
}

func TestGapsAreNamedAndScaledOver(t *testing.T) {
	readings := dublinReadings(t)
	// Without 10 to 12 March 2016; 20 March's rain not read; most of May 2017 gone.
	var kept []climate.DailyReading
	for _, r := range readings {
		switch {
		case r.Date >= "2016-03-10" && r.Date <= "2016-03-12", r.Date >= "2017-05-05" && r.Date <= "2017-05-31":
			continue
		case r.Date == "2016-03-20":
			r.RainMM = nil
		}
		kept = append(kept, r)
	}
	record, faults := climate.NewRecord(kept)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	want := []climate.Gap{
		{From: "2016-03-10", To: "2016-03-12", Days: 3},
		{From: "2016-03-20", To: "2016-03-20", Days: 1},
		{From: "2017-05-05", To: "2017-05-31", Days: 27},
	}
	if diff := cmp.Diff(want, record.Gaps); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	_, coverage, faults := record.Normals(likely())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	// March 2016 has rain on 27 of 31 days, under nine tenths; its temperatures
	// on 28. May 2017 counts for neither.
	if coverage.RainMonths[2] != 4 || coverage.TemperatureMonths[2] != 5 || coverage.RainMonths[4] != 4 || coverage.TemperatureMonths[4] != 4 {
		t.Errorf("coverage %+v", coverage)
	}
}

func TestARecordOfOneSummerGivesNoNormals(t *testing.T) {
	_, record := dublinRain(t)
	var rows strings.Builder
	rows.WriteString("date,rain_mm\n")
	for _, d := range record.Days {
		if strings.HasPrefix(d.Date(), "2018-07") {
			rain, _ := d.RainMM()
			fmt.Fprintf(&rows, "%s,%g\n", d.Date(), rain)
		}
	}
	july, faults := climate.ParseRecordCSV(strings.NewReader(rows.String()))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	_, _, faults = july.Normals(likely())
	if len(faults) != 23 { // eleven months without rain, twelve without temperature
		t.Errorf("%d faults: %v", len(faults), faults)
	}
}

func TestCSVAndJSONReadAlike(t *testing.T) {
	fromCSV, faults := climate.ParseRecordCSV(strings.NewReader(
		"# the club's gauge\n\ufeffdate, temperature_min_c ,rain_mm,temperature_max_c\n2024-02-29,-1.5,0,4\n2024-02-28,,3.2,\n"))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	fromJSON, faults := climate.ParseRecordJSON(strings.NewReader(
		`[{"date":"2024-02-28","rain_mm":3.2},{"date":"2024-02-29","rain_mm":0,"temperature_max_c":4,"temperature_min_c":-1.5}]`))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	for i, d := range fromCSV.Days {
		other := fromJSON.Days[i]
		rain, _ := d.RainMM()
		otherRain, _ := other.RainMM()
		_, _, warm := d.TemperaturesC()
		if d.Date() != other.Date() || d.Month() != 1 || rain != otherRain || warm != (i == 1) {
			t.Errorf("%s %g, %s %g", d.Date(), rain, other.Date(), otherRain)
		}
	}
}

func TestBadRowsAreNamed(t *testing.T) {
	tests := []struct{ name, csv, pointers string }{
		{"empty", "", ""},
		{"only a header", "date,rain_mm\n", ""},
		{"unknown column", "date,rain\n2024-01-01,1\n", " "},
		{"column twice", "date,rain_mm,rain_mm\n", ""},
		{"no date", "rain_mm\n1\n", ""},
		{"no such day", "date,rain_mm\n2023-02-29,1\n2023-02-28,1\n", "/0/date"},
		{"twice", "date,rain_mm\n2023-02-28,1\n2023-03-01,1\n2023-02-28,2\n", "/2/date"},
		{"absurd", "date,rain_mm\n2023-02-27,-1\n2023-02-28,501\n2023-03-01,NaN\n2023-03-02,Inf\n", "/0/rain_mm /1/rain_mm /2/rain_mm /3/rain_mm"},
		{"not a number", "date,rain_mm\n2023-02-27,trace\n2023-02-28,99999\n", "/0/rain_mm /1/rain_mm"},
		{"min above max", "date,temperature_max_c,temperature_min_c\n2023-02-27,3,4\n", "/0/temperature_min_c"},
		{"broken quotes", "date,rain_mm\n2023-02-27,\"1\n", ""},
		{"short row", "date,rain_mm\n2023-02-27\n2023-13-01\n", "/1/date"},
	}
	for _, tt := range tests {
		record, faults := climate.ParseRecordCSV(strings.NewReader(tt.csv))
		if got := pointers(faults); len(faults) == 0 || got != tt.pointers {
			t.Errorf("%s: pointers %q, want %q (%v)", tt.name, got, tt.pointers, faults)
		}
		if record.Days != nil {
			t.Errorf("%s: a record comes with its faults", tt.name)
		}
	}
}

func TestBadRowsAreCappedInNumber(t *testing.T) {
	rows := "date,rain_mm\n" + strings.Repeat("2023-02-30,-1\n", 1000)
	_, faults := climate.ParseRecordCSV(strings.NewReader(rows))
	last := faults[len(faults)-1]
	if len(faults) != 101 || last.Value != "950" {
		t.Errorf("%d faults, the last %v", len(faults), last)
	}
}

// endless is a file that never ends.
type endless struct{ line string }

func (e endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		n += copy(p[n:], e.line)
	}
	return n, nil
}

func TestEndlessFilesAreGivenUp(t *testing.T) {
	for _, line := range []string{"date,rain_mm\n", "#\n", "x", "\n", "\"", ","} {
		if _, faults := climate.ParseRecordCSV(endless{line}); len(faults) == 0 {
			t.Errorf("endless %q was read", line)
		}
	}
	for _, line := range []string{"[", " ", "[{},", "[{\"a"} {
		if _, faults := climate.ParseRecordJSON(endless{line}); len(faults) == 0 {
			t.Errorf("endless %q was read", line)
		}
	}
}

func TestBadJSONIsNamed(t *testing.T) {
	for _, text := range []string{"", "{}", "[]", "null", `[{"date":"2024-01-01","rain":1}]`, `[] []`, `[{"date":"2024-01-01","rain_mm":1e999}]`, `[{"date":1}]`} {
		if _, faults := climate.ParseRecordJSON(strings.NewReader(text)); len(faults) == 0 || faults[0].Remedy == "" {
			t.Errorf("%s: %v", text, faults)
		}
	}
}

func TestARecordIsInOrderWhateverTheRows(t *testing.T) {
	readings := dublinReadings(t)[:60]
	want, _ := climate.NewRecord(readings)
	rapid.Check(t, func(t *rapid.T) {
		got, faults := climate.NewRecord(rapid.Permutation(readings).Draw(t, "order"))
		if faults != nil || len(got.Days) != len(want.Days) {
			t.Fatal(faults)
		}
		for i, d := range got.Days {
			if d != want.Days[i] {
				t.Fatalf("day %d is %s, want %s", i, d.Date(), want.Days[i].Date())
			}
		}
	})
}

func FuzzParseRecordCSV(f *testing.F) {
	f.Add("date,rain_mm\n2024-01-01,1.5\n")
	f.Add("date,rain_mm,temperature_max_c,temperature_min_c\n2024-01-01,,5,-2\n2024-01-03,0,,\n")
	f.Add("rain_mm,date\n1e308,2024-02-30\n\"\"\"")
	f.Add("# note\n\xef\xbb\xbfdate,rain_mm\n2199-12-31,0\n1700-01-01,0\n")
	f.Fuzz(func(t *testing.T, text string) {
		record, faults := climate.ParseRecordCSV(strings.NewReader(text))
		if (len(record.Days) == 0) != (len(faults) > 0) {
			t.Fatalf("%d days and %d faults", len(record.Days), len(faults))
		}
		for _, f := range faults {
			if f.Detail == "" || f.Remedy == "" || len(f.Detail) > 1000 {
				t.Fatalf("unhelpful fault %+v", f)
			}
		}
		if len(faults) > 0 {
			return
		}
		for i, d := range record.Days {
			if rain, ok := d.RainMM(); ok && !(rain >= 0 && rain <= 500) {
				t.Fatalf("%s: %g mm", d.Date(), rain)
			}
			if i > 0 && d.Date() <= record.Days[i-1].Date() {
				t.Fatalf("%s follows %s", d.Date(), record.Days[i-1].Date())
			}
		}
		m := record.RainModel()
		for i := range 12 {
			if share := m.WetAfterDry[i]; !(share >= 0 && share <= 1) || math.IsNaN(m.GammaShape[i]*m.GammaScaleMM[i]) {
				t.Fatalf("month %d: %+v", i+1, m)
			}
		}
		record.Normals(likely())
	})
}
