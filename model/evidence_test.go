package model

import (
	"math"
	"strconv"
	"testing"
	"time"

	"swardcase/costs"
	"swardcase/model/aeration"
	"swardcase/model/assumption"
	"swardcase/model/climate"
	"swardcase/model/published"
)

// study looks one condition up in the table of infiltration studies.
func study(t testing.TB, condition string) (low, high float64) {
	t.Helper()
	for _, row := range published.Rows(t, "water/infiltration_studies.csv") {
		if row[1] == condition {
			low, _ = strconv.ParseFloat(row[2], 64)
			high, _ = strconv.ParseFloat(row[3], 64)
			return low, high
		}
	}
	t.Fatalf("no study of %s", condition)
	return 0, 0
}

// TestNewGreensAgainstTheInfiltrationStudies takes the studies of
// testdata/water/infiltration_studies.csv (Canaway 1993; Baker and Richards 1993;
// Baker, Binns and Cook 1997) through the whole model: a layered rebuild of the
// 14th green, its ring rate just after opening and once worn. Asked is the order
// of magnitude (within a factor of two of the range of the study) and the same
// ranking. Where the model disagrees: the study's soil-grown turf was still at 12
// mm/h after its wear, while here dressing and coring work the layer out over
// turf_layer_worked_out_years, so that the figure is taken in its first year; and
// the model takes a laboratory conductivity, not a share of fines, so that the mix
// of 13 % silt and clay stands here as a root zone of 25 mm/h in the laboratory,
// which an acceptance test would refuse.
func TestNewGreensAgainstTheInfiltrationStudies(t *testing.T) {
	ring := func(option Option, age int, change func(*Case)) float64 {
		c := readCase(t, "green_14")
		change(&c)
		o := mustForecast(t, c).option(t, option)
		opened := int(math.Ceil(float64(o.Timeline.opensMonth+6) / 12)) // the first year whose middle has it open
		return o.Forecast.Years[opened+age-1].InfiltrationMMPerH
	}
	as := func(*Case) {}
	turfFrom := func(soil string) func(*Case) { return func(c *Case) { c.Choices.SupplierTurfSoil = soil } }
	fine := func(c *Case) {
		c.Assumptions = []assumption.Override{{Name: "new_root_zone_laboratory_mm_per_h", Likely: 25}}
	}
	const worn = 4
	tests := []struct {
		condition string
		got       float64
	}{
		{"all-sand green before wear", ring("layered_rebuild/seed", 0, as)},
		{"washed turf on sand after wear", ring("layered_rebuild/supplier_turf", worn, turfFrom("washed"))},
		{"pure sand after three years of wear", ring("layered_rebuild/seed", worn, as)},
		{"soil-grown turf on sand after wear", ring("layered_rebuild/supplier_turf", 0, turfFrom("soil"))},
		{"13 % of silt and clay after three years of wear", ring("layered_rebuild/seed", worn, fine)},
	}
	for i, tt := range tests {
		low, high := study(t, tt.condition)
		t.Logf("%s: %.0f mm/h, the study has %g to %g", tt.condition, tt.got, low, high)
		if tt.got < low/2 || tt.got > high*2 {
			t.Errorf("%s: %.1f mm/h, the study has %g to %g", tt.condition, tt.got, low, high)
		}
		if i > 0 && tt.got > tests[i-1].got*1.001 {
			t.Errorf("%s: %.1f mm/h, faster than %s with %.1f", tt.condition, tt.got, tests[i-1].condition, tests[i-1].got)
		}
	}
	low, high := study(t, "58 sand-dominated greens of 5 to 20 years")
	for _, age := range []int{5, 10, 20} {
		if got := ring("layered_rebuild/seed", age, as); got < low || got > high {
			t.Errorf("aged %d years: %.1f mm/h, surveyed greens have %g to %g", age, got, low, high)
		}
	}
}

// stationOf names the built-in climate of a climate of the table of openings.
var stationOf = map[string]string{
	"dublin": "dublin_airport", "sheffield": "sheffield", "heathrow": "heathrow", "leuchars": "leuchars",
}

// TestOpeningsThroughTheCalendarOfWorks takes the table of openings
// (testdata/sward/openings.csv, each row with its source) through a whole case
// with a built-in climate: works of the length that lays the surface on the day of
// the table must open it in the table's window. The table says by how many days
// the likely assumptions are known to be early. The one single day that was published
// (Leuchars) is met to three weeks, since the day of laying is not stated there.
func TestOpeningsThroughTheCalendarOfWorks(t *testing.T) {
	checked := 0
	for _, row := range published.Rows(t, "sward/openings.csv") {
		station, builtIn := stationOf[row[0]]
		if !builtIn {
			continue // American climates are checked by their growth alone
		}
		checked++
		laid := day(t, "2027-"+row[2])
		start := time.Date(laid.Year(), laid.Month()-1, 1, 0, 0, 0, 0, time.UTC)
		c := readCase(t, "green_14")
		c.Site.Climate = climate.Climate{Station: station}
		c.Site.LatitudeDeg = latitudeOf(t, station)
		c.Green.Outline.Origin.LatitudeDeg = c.Site.LatitudeDeg
		c.Available.FirstMonth = costs.YearMonth{Year: start.Year(), Month: start.Month()}
		resolved, err := Resolve(c)
		if err != nil {
			t.Fatal(err)
		}
		weeks := laid.Sub(start).Hours() / 24 / 7
		timeline, err := resolved.timelineFor(Option("layered_rebuild/"+row[1]), func(time.Month) (float64, error) { return weeks, nil })
		if err != nil || timeline.DeferredBecause != "" {
			t.Errorf("%s, %s laid on %s: %v, %+v", row[0], row[1], row[2], err, timeline)
			continue
		}
		opened := day(t, timeline.Opening.OpensOn.String())
		from, until := windowAfter(t, laid, row[3]), windowAfter(t, laid, row[4])
		early, _ := strconv.ParseFloat(row[5], 64)
		if from.Equal(until) {
			from, until = from.AddDate(0, 0, -21), until.AddDate(0, 0, 21)
		}
		if opened.Before(from.AddDate(0, 0, -int(early))) || opened.After(until) || timeline.Opening.LaidOn.String() != laid.Format(time.DateOnly) {
			t.Errorf("%s, %s laid on %s opens on %s, expected from %s to %s", row[0], row[1], timeline.Opening.LaidOn, timeline.Opening.OpensOn, row[3], row[4])
		}
	}
	if checked < 25 {
		t.Errorf("only %d openings were checked", checked)
	}
}

func latitudeOf(t testing.TB, station string) float64 {
	t.Helper()
	for _, s := range climate.Stations() {
		if s.Name == station {
			return s.LatitudeDeg
		}
	}
	t.Fatalf("no station %s", station)
	return 0
}

func day(t testing.TB, text string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// windowAfter is the first such day (MM-DD) after another.
func windowAfter(t testing.TB, after time.Time, monthDay string) time.Time {
	d := day(t, strconv.Itoa(after.Year())+"-"+monthDay)
	if !d.After(after) {
		d = d.AddDate(1, 0, 0)
	}
	return d
}

// TestMoreSandNeverRaisesOrganicMatter end to end: year by year, under a programme
// that differs in its sand alone.
func TestMoreSandNeverRaisesOrganicMatter(t *testing.T) {
	for _, name := range demoCases {
		c := readCase(t, name)
		base := mustForecast(t, c).Programmes[1].Programme
		before := []ForecastYear(nil)
		for _, sand := range []float64{60, 90, 120, 150, 180, 210} {
			programme := base
			programme.Works = append([]aeration.Work{}, base.Works...)
			for i := range programme.Works {
				programme.Works[i].DressingMM = nil
				if tines := programme.Works[i].Tines; tines != nil {
					open := *tines
					open.Filled = false // so that all the sand can vary
					programme.Works[i].Tines = &open
				}
			}
			programme.SandTPerHaPerYear = &sand
			edited := readCase(t, name)
			edited.Upkeep.Trial = nil // growth is then the assumed one, whatever the sand
			edited.Upkeep.IntensifiedProgramme = &programme
			years := mustForecast(t, edited).option(t, Option(IntensifiedAeration)).Forecast.Years
			for i := range before {
				if years[i].OrganicMatterTop20MMPct > before[i].OrganicMatterTop20MMPct+0.01 {
					t.Errorf("%s, %g t/ha, year %d: %.2f %%, with less sand %.2f", name, sand, i+1, years[i].OrganicMatterTop20MMPct, before[i].OrganicMatterTop20MMPct)
				}
			}
			before = years
		}
	}
}

// TestTheWorstZoneDrivesLostDays: the corner that is clearly slowest takes the
// whole green out of play, so that it is the rate of the forecast, and a better
// front changes nothing.
func TestTheWorstZoneDrivesLostDays(t *testing.T) {
	c := readCase(t, "green_14")
	r := mustForecast(t, c)
	a := mustAppraise(t, c)
	worst := math.Inf(1)
	for _, position := range a.Condition.Survey.Infiltration.ByPosition {
		worst = min(worst, position.Value)
	}
	if math.Abs(r.Calibration.RingMMPerH-worst) > 1e-9 || worst >= *a.Condition.Survey.Infiltration.Value {
		t.Fatalf("days are lost by %g mm/h; the worst zone has %g, the green %g", r.Calibration.RingMMPerH, worst, *a.Condition.Survey.Infiltration.Value)
	}
	better := readCase(t, "green_14")
	for i := range better.Survey.Infiltration.RingTests {
		if ring := &better.Survey.Infiltration.RingTests[i]; ring.Position == "front" && ring.DepthRemovedMM == nil {
			ring.VolumeML *= 1.3
		}
	}
	if got := mustForecast(t, better); asJSON(t, got.Options) != asJSON(t, r.Options) {
		t.Error("a better front changes the forecast of a green that its back corner closes")
	}
}

// TestTheSameCaseGivesTheSameBytes with curves made anew: the weather has no seed
// but its own.
func TestTheSameCaseGivesTheSameBytes(t *testing.T) {
	c := readCase(t, "green_11")
	c.Assumptions = []assumption.Override{{Name: "weather_years", Likely: 3}}
	first, err := Forecasts(c, noKeeper{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := Forecasts(c, noKeeper{})
	if err != nil {
		t.Fatal(err)
	}
	if asJSON(t, first) != asJSON(t, again) {
		t.Error("two forecasts of one case differ")
	}
}
