package sward_test

import (
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/fault"
	"swardcase/model/published"
	"swardcase/model/sward"
)

// readTable returns the rows of a file of test data below its citation and its
// header.
func readTable(t *testing.T, name string) [][]string {
	t.Helper()
	return published.Rows(t, "sward/"+name)
}

// climates returns the daily growth potential of each climate of the test data:
// Gelernter and Stowell (2005) at a temperature that runs in straight lines
// between mid-months.
func climates(t *testing.T) map[string][]float64 {
	t.Helper()
	out := map[string][]float64{}
	for _, row := range readTable(t, "monthly_mean_temperatures.csv") {
		var means [12]float64
		for i := range means {
			means[i] = number(t, row[i+1])
		}
		out[row[0]] = growthPotential(means, 0)
	}
	return out
}

func growthPotential(means [12]float64, warmerC float64) []float64 {
	out := make([]float64, 365)
	for day := range out {
		at := (float64(day)+0.5)/365*12 - 0.5 + 12
		month, part := int(at)%12, at-math.Floor(at)
		temperature := means[month]*(1-part) + means[(month+1)%12]*part + warmerC
		z := (temperature - 20) / 5.5
		out[day] = math.Exp(-z * z / 2)
	}
	return out
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	return published.Number(t, text)
}

func date(t *testing.T, text string) sward.Date {
	t.Helper()
	var d sward.Date
	if err := d.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return d
}

func (in input) opens(t *testing.T, p sward.Parameters) string {
	t.Helper()
	o, err := sward.Establish(sward.Input(in), p)
	if err != nil {
		t.Fatal(err)
	}
	return o.OpensOn.String()
}

type input sward.Input

// every takes one end of the range of every assumption: the quickest or the
// slowest establishment that the trade would believe.
func every(t *testing.T, point func(assumption.Assumption) float64) sward.Parameters {
	t.Helper()
	var overrides []assumption.Override
	for _, a := range assumption.Defaults().All() {
		overrides = append(overrides, assumption.Override{Name: a.Name, Likely: point(a)})
	}
	set, faults := assumption.Defaults().With(overrides)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return sward.ParametersFrom(set)
}

func quickest(t *testing.T) sward.Parameters {
	p := every(t, func(a assumption.Assumption) float64 { return a.Low })
	high := every(t, func(a assumption.Assumption) float64 { return a.High })
	p.GateClosesDayOfYear = high.GateClosesDayOfYear
	p.Seed.WaitsForSpringFromDayOfYear = high.Seed.WaitsForSpringFromDayOfYear
	return p
}

func slowest(t *testing.T) sward.Parameters {
	p := every(t, func(a assumption.Assumption) float64 { return a.High })
	low := every(t, func(a assumption.Assumption) float64 { return a.Low })
	p.GateClosesDayOfYear = low.GateClosesDayOfYear
	p.Seed.WaitsForSpringFromDayOfYear = low.Seed.WaitsForSpringFromDayOfYear
	return p
}

func likely() sward.Parameters { return sward.ParametersFrom(assumption.Defaults()) }

// TestOpeningsAgreeWithPracticeAndPrint reads the windows of
// testdata/sward/openings.csv: the likely parameters open within the window
// (or, where the file says so, some days before it), and the quickest and the
// slowest parameters enclose a part of it. For a single published day only the
// enclosing is asked.
func TestOpeningsAgreeWithPracticeAndPrint(t *testing.T) {
	growth := climates(t)
	for _, row := range readTable(t, "openings.csv") {
		in := input{Surface: sward.Surface(row[1]), WorksStart: date(t, "2026-"+row[2]), GrowthPotential: growth[row[0]]}
		opens := in.opens(t, likely())
		year := opens[:5]
		from, until := year+row[3], year+row[4]
		early, err := time.Parse(time.DateOnly, from)
		if err != nil {
			t.Fatal(err)
		}
		least := early.AddDate(0, 0, -int(number(t, row[5]))).Format(time.DateOnly)
		if from != until && (opens < least || opens > until) {
			t.Errorf("%s, %s laid %s: opens %s, want %s to %s (%s)", row[0], row[1], row[2], opens, least, until, row[6])
		}
		if first, last := in.opens(t, quickest(t)), in.opens(t, slowest(t)); first > until || last < from || first > opens || last < opens {
			t.Errorf("%s, %s laid %s: %s to %s does not enclose %s to %s and %s", row[0], row[1], row[2], first, last, from, until, opens)
		}
	}
}

// TestTheNorthOpensTwoToFourWeeksLater is common practice, no source. Leuchars,
// on the Scottish coast, is set against the mean of an Irish and an English
// station, Dublin and Sheffield.
func TestTheNorthOpensTwoToFourWeeksLater(t *testing.T) {
	growth := climates(t)
	for _, tt := range []struct {
		surface sward.Surface
		laid    string
	}{{sward.Seed, "2026-08-15"}, {sward.Seed, "2026-09-15"}, {sward.SupplierTurf, "2026-11-01"}, {sward.ExistingTurf, "2026-11-01"}} {
		days := func(climate string) float64 {
			o, err := sward.Establish(sward.Input{Surface: tt.surface, WorksStart: date(t, tt.laid), GrowthPotential: growth[climate]}, likely())
			if err != nil {
				t.Fatal(err)
			}
			return float64(o.DaysOutOfPlay)
		}
		weeks := (days("leuchars") - (days("dublin")+days("sheffield"))/2) / 7
		if weeks < 2 || weeks > 4 {
			t.Errorf("%s laid %s: %.1f weeks later in the north", tt.surface, tt.laid, weeks)
		}
	}
}

// TestSeedPlaysAfterTwelveToSixteenWeeksOfGoodGrowingWeather: Nelson 2008,
// Green Section Record. Good growing weather is taken as a growth potential of
// 0.55 to 0.8 on every day (about 14 to 16.3 degC).
func TestSeedPlaysAfterTwelveToSixteenWeeksOfGoodGrowingWeather(t *testing.T) {
	for _, level := range []float64{0.55, 0.65, 0.8} {
		steady := make([]float64, 365)
		for i := range steady {
			steady[i] = level
		}
		o, err := sward.Establish(sward.Input{Surface: sward.Seed, WorksStart: date(t, "2026-04-15"), GrowthPotential: steady}, likely())
		if err != nil {
			t.Fatal(err)
		}
		if weeks := float64(o.DaysOutOfPlay) / 7; weeks < 12 || weeks > 16 {
			t.Errorf("growth potential %g: %.1f weeks", level, weeks)
		}
	}
}

func TestSeedIsRefusedFromOctoberToMarch(t *testing.T) {
	growth := climates(t)["dublin"]
	for month := time.January; month <= time.December; month++ {
		for _, southern := range []bool{false, true} {
			in := sward.Input{Surface: sward.Seed, WorksStart: sward.Date{Year: 2026, Month: month, Day: 15}, GrowthPotential: growth, Southern: southern}
			_, err := sward.Establish(in, likely())
			var refusal *sward.Refusal
			refused := errors.As(err, &refusal)
			winter := (month >= time.October || month <= time.March) != southern
			if refused != winter {
				t.Errorf("%s, southern %t: refused %t (%v)", month, southern, refused, err)
			}
			season := "from 1 April to 30 September"
			if southern {
				season = "from 1 October to 30 March"
			}
			if refused && !strings.Contains(refusal.Reason, season) {
				t.Errorf("the reason %q does not name the season", refusal.Reason)
			}
		}
	}
}

func TestBothEndsOfTheSeedingSeasonCount(t *testing.T) {
	growth := climates(t)["dublin"]
	for day, want := range map[string]bool{"2026-03-31": false, "2026-04-01": true, "2026-09-30": true, "2026-10-01": false} {
		_, err := sward.Establish(sward.Input{Surface: sward.Seed, WorksStart: date(t, day), GrowthPotential: growth}, likely())
		if (err == nil) != want {
			t.Errorf("%s: %v", day, err)
		}
	}
}

func TestEarliestStartWaitsForTheSeedingSeason(t *testing.T) {
	growth := climates(t)["dublin"]
	tests := []struct {
		surface     sward.Surface
		start, want string
		weeks       float64
	}{
		{sward.Seed, "2026-10-01", "2027-03-01", 6}, // sown 12 April
		{sward.Seed, "2026-10-01", "2027-04-01", 0},
		{sward.Seed, "2026-08-10", "2026-08-10", 6}, // sown 21 September
		{sward.Seed, "2026-09-01", "2027-03-01", 6}, // the works would end on 13 October
		{sward.SupplierTurf, "2026-10-01", "2026-10-01", 6},
	}
	for _, tt := range tests {
		in := sward.Input{Surface: tt.surface, WorksStart: date(t, tt.start), WorksWeeks: tt.weeks, GrowthPotential: growth}
		got, err := sward.EarliestStart(in, likely())
		if err != nil || got.String() != tt.want {
			t.Errorf("%s from %s with %g weeks: %s, %v; want %s", tt.surface, tt.start, tt.weeks, got, err, tt.want)
		}
	}
}

func TestTurfLaidInOctoberIsNotOpenedInNovember(t *testing.T) {
	// Common practice, no source. Eternal June: growth never holds it back.
	in := input{Surface: sward.ExistingTurf, WorksStart: date(t, "2026-10-01"), GrowthPotential: climates(t)["heathrow"]}
	for i := range in.GrowthPotential {
		in.GrowthPotential[i] = 1
	}
	if got := in.opens(t, likely()); got != "2027-04-01" {
		t.Errorf("opens %s", got)
	}
	in.WorksStart = date(t, "2026-09-15")
	if got := in.opens(t, likely()); got != "2026-10-27" { // six weeks
		t.Errorf("laid on 15 September: opens %s", got)
	}
}

func TestDaysOutOfPlayAreCountedByMonth(t *testing.T) {
	steady := make([]float64, 365)
	for i := range steady {
		steady[i] = 0.5
	}
	in := sward.Input{Surface: sward.ExistingTurf, WorksStart: date(t, "2027-05-20"), WorksWeeks: 2, GrowthPotential: steady}
	o, err := sward.Establish(in, likely())
	if err != nil {
		t.Fatal(err)
	}
	// By hand: works 20 May to 2 June, laid 3 June, six weeks (42 days) to 15
	// July: growth 21 by then, above the 12 that are needed.
	want := `{"surface":"existing_turf","works_start":"2027-05-20","laid_on":"2027-06-03","ready_on":"2027-07-15",` +
		`"opens_on":"2027-07-15","held_by":"minimum_weeks","growth_days":21,"growth_days_needed":12,"days_out_of_play":56,` +
		`"months_out_of_play":1.841095890410959,"by_month":[{"month":"2027-05","works_days":12,"establishment_days":0},` +
		`{"month":"2027-06","works_days":2,"establishment_days":28},{"month":"2027-07","works_days":0,"establishment_days":14}]}`
	got, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestAClimateWithoutGrowthIsRefusedNotWaitedFor(t *testing.T) {
	_, err := sward.Establish(sward.Input{Surface: sward.SupplierTurf, WorksStart: date(t, "2026-04-01"), GrowthPotential: make([]float64, 365)}, likely())
	var refusal *sward.Refusal
	if !errors.As(err, &refusal) {
		t.Fatalf("got %v", err)
	}
}

func TestEveryFaultIsNamedAtOnce(t *testing.T) {
	p := likely()
	p.Seed.GrowthDays = math.Inf(1)
	p.GateReopensDayOfYear = math.NaN()
	_, err := sward.Establish(sward.Input{Surface: "moss", WorksWeeks: math.NaN(), GrowthPotential: []float64{1}}, p)
	var list fault.List
	if !errors.As(err, &list) {
		t.Fatalf("got %v", err)
	}
	var pointers []string
	for _, f := range list {
		pointers = append(pointers, f.Pointer)
	}
	want := "/surface /works_start /works_weeks /growth_potential /assumptions/growth_days_to_play_seed /assumptions/opening_gate_reopens_day_of_year"
	if got := strings.Join(pointers, " "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

var surfaces = []sward.Surface{sward.Seed, sward.SupplierTurf, sward.NurseryTurf, sward.ExistingTurf}

// drawInput draws work that is never refused: seed in its season, growth in
// every month.
func drawInput(t *rapid.T) sward.Input {
	surface := rapid.SampledFrom(surfaces).Draw(t, "surface")
	month := rapid.IntRange(1, 12).Draw(t, "month")
	if surface == sward.Seed {
		month = rapid.IntRange(4, 7).Draw(t, "seeding month") // seven weeks on, still in season
	}
	in := sward.Input{
		Surface:         surface,
		WorksStart:      sward.Date{Year: 2026, Month: time.Month(month), Day: rapid.IntRange(1, 28).Draw(t, "day")},
		WorksWeeks:      rapid.Float64Range(0, 4).Draw(t, "weeks"),
		GrowthPotential: make([]float64, 365),
	}
	for i := range in.GrowthPotential {
		in.GrowthPotential[i] = rapid.Float64Range(0.15, 1).Draw(t, "growth")
	}
	return in
}

func opensOn(t *rapid.T, in sward.Input, p sward.Parameters) sward.Opening {
	o, err := sward.Establish(in, p)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestOpeningNeverMovesTheWrongWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in, p := drawInput(t), likely()
		before := opensOn(t, in, p)

		later := in
		later.WorksWeeks += rapid.Float64Range(0, 3).Draw(t, "delay")
		if got := opensOn(t, later, p); got.OpensOn.String() < before.OpensOn.String() {
			t.Errorf("laid on %s instead of %s, it opens earlier: %s, not %s", got.LaidOn, before.LaidOn, got.OpensOn, before.OpensOn)
		}
		hungrier := p
		for _, n := range []*sward.Needs{&hungrier.Seed, &hungrier.SupplierTurf, &hungrier.NurseryTurf, &hungrier.ExistingTurf} {
			n.GrowthDays += rapid.Float64Range(0, 30).Draw(t, "more growth-days")
			n.MinimumWeeks += rapid.Float64Range(0, 5).Draw(t, "more weeks")
			n.GrowingWeeks += rapid.Float64Range(0, 5).Draw(t, "more growing weeks")
		}
		if got := opensOn(t, in, hungrier); got.OpensOn.String() < before.OpensOn.String() {
			t.Errorf("a hungrier surface opens earlier: %s, not %s", got.OpensOn, before.OpensOn)
		}
		faster := in
		faster.GrowthPotential = make([]float64, 365)
		for i, g := range in.GrowthPotential {
			faster.GrowthPotential[i] = g + (1-g)*rapid.Float64Range(0, 1).Draw(t, "faster")
		}
		if got := opensOn(t, faster, p); got.OpensOn.String() > before.OpensOn.String() {
			t.Errorf("with more growth it opens later: %s, not %s", got.OpensOn, before.OpensOn)
		}
	})
}

// TestAWarmerYearNeverOpensLater holds while no day passes the optimum of
// 20 degC, which is so in every climate of these islands with 1 degC added.
func TestAWarmerYearNeverOpensLater(t *testing.T) {
	rows := readTable(t, "monthly_mean_temperatures.csv")
	rapid.Check(t, func(t *rapid.T) {
		row := rows[rapid.IntRange(0, 6).Draw(t, "climate")]
		var means [12]float64
		for i := range means {
			means[i], _ = strconv.ParseFloat(row[i+1], 64)
		}
		in := drawInput(t)
		in.GrowthPotential = growthPotential(means, 0)
		before := opensOn(t, in, likely())
		in.GrowthPotential = growthPotential(means, rapid.Float64Range(0, 1).Draw(t, "warmer"))
		if got := opensOn(t, in, likely()); got.OpensOn.String() > before.OpensOn.String() {
			t.Errorf("%s: warmer, it opens on %s, not %s", row[0], got.OpensOn, before.OpensOn)
		}
	})
}

func TestAnOpeningAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.Southern = in.Surface != sward.Seed && rapid.Bool().Draw(t, "southern")
		o := opensOn(t, in, likely())
		days := 0
		for _, m := range o.ByMonth {
			days += m.WorksDays + m.EstablishmentDays
		}
		if days != o.DaysOutOfPlay || math.Abs(o.MonthsOutOfPlay-float64(days)*12/365) > 1e-9 {
			t.Errorf("months add up to %d days of %d", days, o.DaysOutOfPlay)
		}
		if o.GrowthDays < o.GrowthDaysNeeded-1e-9 || o.OpensOn.String() < o.ReadyOn.String() || o.ReadyOn.String() < o.LaidOn.String() {
			t.Errorf("out of order: %+v", o)
		}
		month := int(o.OpensOn.Month)
		if in.Southern {
			month = (month+5)%12 + 1
		}
		if month == 12 || month <= 2 {
			t.Errorf("opened in winter, on %s (southern %t)", o.OpensOn, in.Southern)
		}
	})
}

// TestTheSouthIsTheNorthHalfAYearOn: the same growth and the same works, both
// six calendar months later, take the same time to within the three days by
// which half-years differ, or four days where that moves a month's end.
func TestTheSouthIsTheNorthHalfAYearOn(t *testing.T) {
	growth := climates(t)["dublin"]
	turned := append(append([]float64{}, growth[184:]...), growth[:184]...)
	for month := time.January; month <= time.December; month++ {
		for _, surface := range surfaces {
			north := sward.Input{Surface: surface, WorksStart: sward.Date{Year: 2026, Month: month, Day: 1}, GrowthPotential: growth}
			south := sward.Input{
				Surface: surface, WorksStart: sward.Date{Year: 2026, Month: (month+5)%12 + 1, Day: 1}, GrowthPotential: turned, Southern: true,
			}
			a, errA := sward.Establish(north, likely())
			b, errB := sward.Establish(south, likely())
			if (errA == nil) != (errB == nil) {
				t.Errorf("%s from %s: %v in the north, %v in the south", surface, month, errA, errB)
			}
			if errA == nil && math.Abs(float64(a.DaysOutOfPlay-b.DaysOutOfPlay)) > 4 {
				t.Errorf("%s from %s: %d days in the north, %d in the south", surface, month, a.DaysOutOfPlay, b.DaysOutOfPlay)
			}
		}
	}
}

func TestHostileInputsAreRefusedWithoutPanic(t *testing.T) {
	hostile := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1, 366, 1e9}))
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.WorksStart = sward.Date{
			Year: rapid.Int().Draw(t, "year"), Month: time.Month(rapid.IntRange(-1, 14).Draw(t, "month")), Day: rapid.Int().Draw(t, "day"),
		}
		if rapid.Bool().Draw(t, "sound date") {
			in.WorksStart = sward.Date{Year: 2026, Month: 5, Day: 1}
		}
		in.WorksWeeks = hostile.Draw(t, "weeks")
		in.GrowthPotential[rapid.IntRange(0, 364).Draw(t, "at")] = hostile.Draw(t, "growth")
		p := likely()
		p.Seed.GrowthDays, p.SupplierTurf.MinimumWeeks = hostile.Draw(t, "growth-days"), hostile.Draw(t, "minimum")
		p.GateClosesDayOfYear, p.SeedingOpensDayOfYear = hostile.Draw(t, "gate"), hostile.Draw(t, "seeding")
		p.ExistingTurf.WaitsForSpringFromDayOfYear = hostile.Draw(t, "waits")
		o, err := sward.Establish(in, p)
		if err == nil && (o.DaysOutOfPlay < 0 || o.DaysOutOfPlay > 7*104+5*365) {
			t.Fatalf("%d days out of play", o.DaysOutOfPlay)
		}
		if _, err := sward.EarliestStart(in, p); err != nil && err.Error() == "" {
			t.Fatal("an error without words")
		}
	})
}

func TestDatesRoundTripAndRefuseWhatDoesNotExist(t *testing.T) {
	for _, text := range []string{"2026-02-30", "2026-13-01", "26-01-01", "", "2026-1-1"} {
		var d sward.Date
		if err := d.UnmarshalText([]byte(text)); err == nil {
			t.Errorf("%q was read as %s", text, d)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		at := time.Date(rapid.IntRange(1900, 2199).Draw(t, "year"), 1, rapid.IntRange(1, 366).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
		var d sward.Date
		if err := d.UnmarshalText([]byte(at.Format(time.DateOnly))); err != nil || d.String() != at.Format(time.DateOnly) {
			t.Fatalf("%s became %s, %v", at, d, err)
		}
	})
}

func BenchmarkEstablish(b *testing.B) {
	in := sward.Input{Surface: sward.Seed, WorksStart: sward.Date{Year: 2026, Month: 8, Day: 1}, WorksWeeks: 6, GrowthPotential: make([]float64, 365)}
	for i := range in.GrowthPotential {
		in.GrowthPotential[i] = 0.2
	}
	p := likely()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := sward.Establish(in, p); err != nil {
			b.Fatal(err)
		}
	}
}
