package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func of[T any](value T) *T { return &value }

// ring is a test whose rate at 20 °C is the one given: over a bore of 100 mm
// for an hour.
func ring(rateMMPerH float64, position string) RingTest {
	return RingTest{
		Position: position, VolumeML: rateMMPerH * math.Pi / 4 * 10, BoreMM: 100, Minutes: 60,
		WaterTemperatureC: 20, Surface: Wet,
	}
}

func below(t RingTest, depthMM int) RingTest {
	t.DepthRemovedMM = &depthMM
	return t
}

func summarise(t testing.TB, s Survey) Summary {
	t.Helper()
	if s.SurveyedOn == "" {
		s.SurveyedOn = "2026-01-20"
	}
	out, faults := Summarise(s, defaults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

func rings(tests ...RingTest) Survey {
	return Survey{Infiltration: &InfiltrationReadings{RingTests: tests}}
}

func hasNote(notes []string, part string) bool {
	return slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, part) })
}

func TestAnEmptySurveyMeasuresNothingAndIsNoFault(t *testing.T) {
	got := summarise(t, Survey{})
	for name, e := range map[string]Estimate{
		"infiltration": got.Infiltration, "thatch": got.ThatchDepth,
		"grass": got.AnnualMeadowGrass, "months": got.MonthsPlayable, "below": got.InfiltrationBelow.Removed50MM,
	} {
		if e.Value != nil || e.Interval != nil || e.IntervalMissingBecause != notMeasured {
			t.Errorf("%s: %+v", name, e)
		}
	}
	if got.Play.LostDaysByMonth != nil || got.InfiltrationBelow.Ratio50MM.Value != nil || got.OrganicMatter.Top20Pct != nil {
		t.Errorf("%+v", got)
	}
}

func TestABareValueHasNoInterval(t *testing.T) {
	got := summarise(t, Survey{
		Infiltration:      &InfiltrationReadings{ValueMMPerH: of(12.0)},
		ThatchDepth:       &ThatchReadings{ValueMM: of(0.0)},
		AnnualMeadowGrass: &AnnualMeadowGrassReadings{ValuePct: of(60.0)},
		MonthsPlayable:    &PlayRecord{ValueMonths: of(8.5)},
	})
	for _, tt := range []struct {
		estimate Estimate
		want     float64
	}{{got.Infiltration, 12}, {got.ThatchDepth, 0}, {got.AnnualMeadowGrass, 60}, {got.MonthsPlayable, 8.5}} {
		if e := tt.estimate; e.Value == nil || *e.Value != tt.want || e.Interval != nil || e.IntervalMissingBecause != bareValue || e.Readings != 0 {
			t.Errorf("%+v, want %g with no interval", e, tt.want)
		}
	}
	if got.Play.LostDaysPerYear != nil || !hasNote(got.MonthsPlayable.Notes, "not known") {
		t.Errorf("the causes of a bare value are made up: %+v", got.Play)
	}
}

func TestRingTestsPoolAsLogarithms(t *testing.T) {
	// 4, 8 and 16 mm/h have the geometric mean 8; their logarithms to base 2 are
	// 2, 3, 4 with deviation 1, so the interval is 8·2^(±t/√3), t = 4.30265 for 2
	// degrees (to 5e-6 in t): worked by hand.
	got := summarise(t, rings(ring(4, "back"), ring(16, "front"), ring(8, "")))
	in := got.Infiltration
	near(t, "value", *in.Value, 8, 1e-9)
	near(t, "low", in.Interval.Low, 8*math.Pow(2, -4.30265/math.Sqrt(3)), 1e-5)
	near(t, "high", in.Interval.High, 8*math.Pow(2, 4.30265/math.Sqrt(3)), 1e-3)
	if in.Interval.ConfidencePct != 95 || in.Readings != 3 || in.WorstPosition != "back" || len(in.ByPosition) != 2 {
		t.Errorf("%+v", in)
	}
	if !hasNote(in.Notes, "3 ring tests: 6 to 9 on a green are usual") {
		t.Errorf("notes %q", in.Notes)
	}
	for _, p := range in.ByPosition {
		if p.Interval != nil {
			t.Errorf("one reading has an interval: %+v", p)
		}
	}
}

func TestARateIsBroughtTo20Degrees(t *testing.T) {
	// At 5 °C water is 1.516 times as viscous as at 20 °C (IAPWS, to 0.0005).
	cold := ring(10, "")
	cold.WaterTemperatureC = 5
	got := summarise(t, rings(cold))
	near(t, "rate", *got.Infiltration.Value, 15.16, 0.005)
	reading := got.InfiltrationReadings[0]
	near(t, "as read", reading.RateAsReadMMPerH, 10, 1e-9)
	if got.Infiltration.Interval != nil || got.Infiltration.IntervalMissingBecause != oneReading {
		t.Errorf("one test: %+v", got.Infiltration)
	}
	if reading.Pointer != "/infiltration/ring_tests/0" || reading.Method != SingleRing || !reading.Pooled {
		t.Errorf("%+v", reading)
	}
}

func TestADryPatchIsListedAndKeptOut(t *testing.T) {
	dry := ring(1, "front")
	dry.DryPatch, dry.TakenOn = true, "2026-01-19"
	got := summarise(t, rings(ring(10, "front"), dry, ring(10, "back")))
	near(t, "value", *got.Infiltration.Value, 10, 1e-9)
	if got.Infiltration.KeptOut != 1 || got.Infiltration.Readings != 2 || !hasNote(got.Infiltration.Notes, "dry patch") {
		t.Errorf("%+v", got.Infiltration)
	}
	if r := got.InfiltrationReadings[1]; r.Pooled || r.TakenOn != "2026-01-19" || r.RateMMPerH == 0 {
		t.Errorf("%+v", r)
	}
	alone := summarise(t, rings(dry))
	if in := alone.Infiltration; in.Value != nil || in.IntervalMissingBecause != nothingPooled || in.KeptOut != 1 {
		t.Errorf("only a dry patch: %+v", in)
	}
}

func TestADryOrUnrecordedSurfaceIsAdvisedAgainst(t *testing.T) {
	moist, unrecorded := ring(10, ""), ring(11, "")
	moist.Surface, unrecorded.Surface = Moist, ""
	deeper := below(moist, 50) // a test lower down is no test of the surface
	got := summarise(t, rings(moist, unrecorded, ring(12, ""), deeper))
	if !hasNote(got.Infiltration.Notes, "2 of 3 ring tests are not marked as taken on a wet surface") {
		t.Errorf("notes %q", got.Infiltration.Notes)
	}
}

func TestSixWetRingTestsNeedNoAdvice(t *testing.T) {
	var tests []RingTest
	for i := range 6 {
		tests = append(tests, ring(float64(5+i), ""))
	}
	if got := summarise(t, rings(tests...)).Infiltration.Notes; len(got) != 0 {
		t.Errorf("notes %q", got)
	}
}

func TestADoubleRingTestReadsItsLatePart(t *testing.T) {
	// Drops of 30, 10, 5, 5 mm in 20 minutes each at 20 °C: the last third of 80
	// minutes is 26⅔, which holds 5 + 5·(6⅔/20) = 6⅔ mm: 15 mm/h, worked by hand.
	test := DoubleRingTest{WaterTemperatureC: 20, Surface: Wet, Intervals: []RingInterval{{20, 30}, {20, 10}, {20, 5}, {20, 5}}}
	got := summarise(t, Survey{Infiltration: &InfiltrationReadings{DoubleRingTests: []DoubleRingTest{test}}})
	near(t, "rate", *got.Infiltration.Value, 15, 1e-6)
	if run := got.InfiltrationReadings[0].Run; run == nil || !run.Settled || run.AccumulatedMM != 50 {
		t.Errorf("%+v", run)
	}
	if hasNote(got.Infiltration.Notes, "settled") {
		t.Errorf("notes %q", got.Infiltration.Notes)
	}
	test.Intervals = test.Intervals[:2]
	got = summarise(t, Survey{Infiltration: &InfiltrationReadings{
		RingTests: []RingTest{ring(10, "")}, DoubleRingTests: []DoubleRingTest{test, test},
	}})
	// The last third of 40 minutes lies wholly in the last interval: one interval
	// cannot show that the rate is steady.
	if r := got.InfiltrationReadings[1]; r.Pointer != "/infiltration/double_ring_tests/0" || r.Run.Settled {
		t.Errorf("%+v", r)
	}
	if !hasNote(got.Infiltration.Notes, "Single and double rings") || !hasNote(got.Infiltration.Notes, "2 double-ring tests cannot be called settled") {
		t.Errorf("notes %q", got.Infiltration.Notes)
	}
}

func TestADoubleRingThatNeverMovedKeepsItsPlace(t *testing.T) {
	// Half of 1 mm over the last third of three hours is 0.5 mm/h.
	test := DoubleRingTest{WaterTemperatureC: 20, Surface: Wet, Intervals: []RingInterval{{120, 1}, {60, 0}}}
	got := summarise(t, Survey{Infiltration: &InfiltrationReadings{DoubleRingTests: []DoubleRingTest{test}}})
	near(t, "rate", *got.Infiltration.Value, 0.5, 1e-9)
	if !got.InfiltrationReadings[0].BelowReadable || !hasNote(got.Infiltration.Notes, "too little to read") {
		t.Errorf("%+v", got.Infiltration)
	}
}

func TestRatiosBelowTheSurface(t *testing.T) {
	// Under the mat the rate is 4 times the surface's at the front and 16 times
	// at the back: geometric mean 8, logarithms to base 2 of 2 and 4 with
	// deviation √2, interval 8·2^(±12.7062·√2/√2): worked by hand, t to 5e-5.
	got := summarise(t, rings(
		ring(2, "front"), below(ring(8, "front"), 50),
		ring(1, "back"), below(ring(16, "back"), 50),
		ring(500, "left"),
	)).InfiltrationBelow
	ratio := got.Ratio50MM
	near(t, "ratio", *ratio.Value, 8, 1e-9)
	near(t, "low", ratio.Interval.Low, 8*math.Pow(2, -12.7062), 1e-7)
	near(t, "high", ratio.Interval.High, 8*math.Pow(2, 12.7062), 3)
	if ratio.Basis != SamePosition || len(ratio.ByPosition) != 2 || ratio.ByPosition[0].Position != "back" {
		t.Errorf("%+v", ratio)
	}
	if got.Removed50MM.Readings != 2 || got.Removed150MM.Value != nil || got.Ratio150MM.IntervalMissingBecause != nothingToRelate {
		t.Errorf("%+v", got)
	}
}

func TestRatiosFallBackOnTheWholeGreen(t *testing.T) {
	// No position has both: the geometric means are 4 and 12. One pair alone
	// gives a ratio and no interval.
	whole := summarise(t, rings(ring(2, "front"), ring(8, "front"), below(ring(6, "back"), 150), below(ring(24, ""), 150)))
	ratio := whole.InfiltrationBelow.Ratio150MM
	near(t, "ratio", *ratio.Value, 3, 1e-9)
	if ratio.Basis != WholeGreen || ratio.Interval == nil || ratio.Interval.Low >= 3 || ratio.Interval.High <= 3 {
		t.Errorf("%+v", ratio)
	}
	// Both depths hold two readings a factor of 4 apart, so each deviation is
	// ln 4/√2, the standard error (ln 4/√2)·√(1/2 + 1/2), and Welch's degrees of
	// freedom are 2: t = 4.30265. Worked by hand.
	half := 4.30265 * math.Log(4) / math.Sqrt2
	near(t, "low", math.Log(ratio.Interval.Low), math.Log(3)-half, 1e-5)
	one := summarise(t, rings(ring(2, "front"), ring(9, "left"), below(ring(6, "front"), 50)))
	if r := one.InfiltrationBelow.Ratio50MM; r.Interval != nil || r.IntervalMissingBecause != oneReading || math.Abs(*r.Value-3) > 1e-9 {
		t.Errorf("%+v", r)
	}
}

func TestThatchByMeanAndPosition(t *testing.T) {
	// 10, 12, 14 mm: mean 12, deviation 2, half width 4.30265·2/√3 = 4.96827.
	got := summarise(t, Survey{ThatchDepth: &ThatchReadings{Readings: []ThatchReading{{"front", 10}, {"front", 12}, {"back", 14}}}}).ThatchDepth
	near(t, "mean", *got.Value, 12, 1e-12)
	near(t, "low", got.Interval.Low, 12-4.96827, 1e-5)
	near(t, "high", got.Interval.High, 12+4.96827, 1e-5)
	if got.WorstPosition != "back" || !hasNote(got.Notes, "3 cores") {
		t.Errorf("%+v", got)
	}
	held := summarise(t, Survey{ThatchDepth: &ThatchReadings{Readings: []ThatchReading{{"", 1}, {"", 9}}}}).ThatchDepth
	if held.Interval.Low != 0 {
		t.Errorf("the interval is not held at 0: %+v", held.Interval)
	}
}

func TestAnnualMeadowGrassPoolsHits(t *testing.T) {
	// 15 of 148 points, Newcombe 1998, Table I, method 3: 0.0624 to 0.1605; in
	// percent, to half a unit of the last place.
	got := summarise(t, Survey{AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: []PointQuadrat{
		{"front", 4, 50}, {"back", 6, 50}, {"front", 5, 48},
	}}}).AnnualMeadowGrass
	near(t, "share", *got.Value, 100*15.0/148, 1e-12)
	near(t, "low", got.Interval.Low, 6.24, 0.005)
	near(t, "high", got.Interval.High, 16.05, 0.005)
	if got.WorstPosition != "back" || got.Readings != 3 || len(got.Notes) != 0 {
		t.Errorf("%+v", got)
	}
	few := summarise(t, Survey{AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: []PointQuadrat{{"", 20, 40}}}}).AnnualMeadowGrass
	// z²/4 over 0.1 squared is 96.04: 97 points.
	if few.Interval == nil || !hasNote(few.Notes, "40 points: 97 would bring") {
		t.Errorf("%+v", few)
	}
}

func TestPatchesWidenTheWarning(t *testing.T) {
	quadrats := func(a, b int) Survey {
		return Survey{AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: []PointQuadrat{{"", a, 100}, {"", b, 100}}}}
	}
	// Pearson's chi-squared of 42 and 58 of 100 is 5.12 on one degree, of 45 and 55
	// it is 2.0; the 5 % point is 3.841 (NIST e-Handbook, 1.3.6.7.4).
	if got := summarise(t, quadrats(42, 58)).AnnualMeadowGrass; !hasNote(got.Notes, "patches") {
		t.Errorf("notes %q", got.Notes)
	}
	if got := summarise(t, quadrats(45, 55)).AnnualMeadowGrass; hasNote(got.Notes, "patches") {
		t.Errorf("notes %q", got.Notes)
	}
}

func TestOrganicMatterByDepth(t *testing.T) {
	got := summarise(t, Survey{OrganicMatter: []OrganicMatterReading{
		{"front", 0, 20, 8}, {"back", 0, 20, 6}, {"front", 20, 40, 4}, {"front", 40, 80, 2},
	}}).OrganicMatter
	near(t, "0-20", *got.Top20Pct, 7, 1e-12)
	// (7·20 + 4·20 + 2·40)/80 = 3.75.
	near(t, "0-80", *got.Top80Pct, 3.75, 1e-12)
	if len(got.Layers) != 3 || got.Layers[0].Readings != 2 || got.Layers[0].Interval == nil || got.Layers[1].Interval != nil {
		t.Errorf("%+v", got.Layers)
	}
}

func TestOrganicMatterWithGapsAndOverlaps(t *testing.T) {
	gap := summarise(t, Survey{OrganicMatter: []OrganicMatterReading{{"", 0, 10, 8}, {"", 15, 80, 4}}}).OrganicMatter
	if gap.Top20Pct != nil || gap.Top80Pct != nil {
		t.Errorf("a gap from 10 to 15 mm is not seen: %+v", gap)
	}
	// 0-10 at 9 %, then 10-30 at 5 %: the top 20 mm is (9·10 + 5·10)/20 = 7. The
	// core of 0-80 as a whole is taken as it stands.
	overlap := summarise(t, Survey{OrganicMatter: []OrganicMatterReading{{"", 0, 10, 9}, {"", 10, 30, 5}, {"", 0, 80, 3}}}).OrganicMatter
	near(t, "0-20", *overlap.Top20Pct, 7, 1e-12)
	near(t, "0-80", *overlap.Top80Pct, 3, 0)
}

func TestPitsTogether(t *testing.T) {
	got := summarise(t, Survey{Pits: []Pit{
		{"front", 600, nil, of(120.0), of(false)},
		{"hollow", 600, of(250.0), of(60.0), of(true)},
		{"back", 500, of(400.0), nil, nil},
		{"apron side", 600, of(250.0), nil, of(true)},
	}}).Pits
	want := PitsSummary{
		Pits: 4, DeepestMM: of(600.0), WithFreeWater: 3, ShallowestFreeWaterMM: of(250.0), ShallowestFreeWaterPosition: "apron side",
		MeanRootDepthMM: of(90.0), ShallowestRootDepthMM: of(60.0), BlackLayerLookedFor: 3, BlackLayerSeen: 2,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
