package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestAForecastAsCSVHasARowForEachOptionAndYear reads the table back.
func TestAForecastAsCSVHasARowForEachOptionAndYear(t *testing.T) {
	code, out, stderr := runCommand(t, "", "forecast", "demo/green_14.json", "--format", "csv")
	if code != 0 {
		t.Fatal(stderr)
	}
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil || len(rows) != 1+8*25 {
		t.Fatalf("%d rows, %v; want a header and 25 years of 8 options", len(rows), err)
	}
	for i, row := range rows[1:] {
		if want := strconv.Itoa(i%25 + 1); row[1] != want {
			t.Errorf("row %d is year %s, want %s", i+1, row[1], want)
		}
		for column, cell := range row[2:9] {
			if _, err := strconv.ParseFloat(cell, 64); err != nil {
				t.Errorf("row %d, %s: %q is not a number", i+1, rows[0][column+2], cell)
			}
		}
	}
}

// A condition is no table: csv is refused, and what can be had is named.
func TestAFormatThatIsNoTableIsRefused(t *testing.T) {
	code, _, stderr := runCommand(t, "", "condition", "demo/green_14.json", "--format", "csv")
	if code != 1 || !strings.Contains(stderr, "text or json") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}

// TestAChartKeepsToItsScale: the lowest value takes the lowest block, the
// highest the highest, and a rate ten times another is as many steps above it
// wherever the two lie.
func TestAChartKeepsToItsScale(t *testing.T) {
	linear, ratio := forecastChart{}, forecastChart{logarithmic: true}
	for _, tt := range []struct {
		chart            forecastChart
		value, low, high float64
		want             int
	}{
		{linear, 6, 6, 12, 0},
		{linear, 12, 6, 12, 7},
		{linear, 9, 6, 12, 4},
		{linear, 5, 5, 5, 0},
		{ratio, 1, 1, 10_000_000, 0},
		{ratio, 10, 1, 10_000_000, 1},
		{ratio, 1_000_000, 1, 10_000_000, 6},
		{ratio, 0, 0, 100, 0},
	} {
		if got := tt.chart.level(tt.value, tt.low, tt.high); got != tt.want {
			t.Errorf("%g between %g and %g takes step %d, want %d", tt.value, tt.low, tt.high, got, tt.want)
		}
	}
}

// TestARecordIsPutIntoTheCase: with a record beside it a case is forecast as the
// resolved case that carries the record is; a bad row is named.
func TestARecordIsPutIntoTheCase(t *testing.T) {
	days := []string{"date,rain_mm,temperature_max_c,temperature_min_c"}
	for day := time.Date(2021, time.March, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2024; day = day.AddDate(0, 0, 1) {
		mean := 10 - 6*math.Cos(2*math.Pi*float64(day.YearDay()-20)/365)
		days = append(days, fmt.Sprintf("%s,%d,%.1f,%.1f", day.Format(time.DateOnly), 4*(day.YearDay()%2), mean+4, mean-4))
	}
	write := func(lines []string) string {
		path := filepath.Join(t.TempDir(), "record.csv")
		if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	record := write(days)
	_, beside, stderr := runCommand(t, "", "forecast", "demo/green_14.json", "--record", record)
	if !strings.Contains(beside, "2022-01-01 to 2023-12-31") {
		t.Fatalf("%s\n%s", stderr, beside)
	}
	_, resolved, stderr := runCommand(t, "", "resolve", "demo/green_14.json", "--record", record)
	if _, within, more := runCommand(t, resolved, "forecast", "-"); within != beside {
		t.Errorf("the resolved case gives another forecast: %s%s", stderr, more)
	}
	days[100] = "2021-06-08,wet,20,10"
	code, _, stderr := runCommand(t, "", "appraise", "demo/green_14.json", "--record", write(days))
	if code != 2 || !strings.Contains(stderr, "/site/climate/daily_record/99/rain_mm") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}
