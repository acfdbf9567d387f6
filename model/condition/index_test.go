package condition_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/condition"
)

// drawScale makes any sound scale that rises or falls.
func drawScale(t *rapid.T, label string, rising bool) *condition.ValueScale {
	n := rapid.IntRange(2, 20).Draw(t, label+" points")
	ascending := func(what string, most float64) []float64 {
		set := rapid.SliceOfNDistinct(rapid.Float64Range(0, most), n, n, rapid.ID[float64]).Draw(t, label+what)
		slices.Sort(set)
		return set
	}
	values, scores := ascending(" values", 120), ascending(" scores", 100)
	if !rising {
		slices.Reverse(scores)
	}
	weight := rapid.Float64Range(0.01, 1).Draw(t, label+" weight")
	out := &condition.ValueScale{Weight: &weight}
	for i := range n {
		out.Points = append(out.Points, condition.ScalePoint{Value: values[i], Score: scores[i]})
	}
	return out
}

func drawScales(t *rapid.T) condition.Scales {
	return condition.Scales{
		InfiltrationMMPerH:   drawScale(t, "infiltration", true),
		ThatchDepthMM:        drawScale(t, "thatch", false),
		AnnualMeadowGrassPct: drawScale(t, "grass", false),
		MonthsPlayable:       drawScale(t, "months", true),
		InfiltrationReads:    rapid.SampledFrom([]string{condition.RingRate, condition.WetSurfaceRate}).Draw(t, "reads"),
	}
}

// drawEstimate makes a value with or without an interval round it.
func drawEstimate(t *rapid.T, label string, most float64) condition.Estimate {
	value := rapid.Float64Range(0, most).Draw(t, label)
	if rapid.Bool().Draw(t, label+" bare") {
		return bare(value)
	}
	return ranged(value-rapid.Float64Range(0, most).Draw(t, label+" below"), value, value+rapid.Float64Range(0, most).Draw(t, label+" above"))
}

func drawGreen(t *rapid.T) condition.Input {
	in := condition.Input{
		Infiltration:      drawEstimate(t, "infiltration", 300),
		ThatchDepth:       drawEstimate(t, "thatch", 80),
		AnnualMeadowGrass: drawEstimate(t, "grass", 100),
		MonthsPlayable:    drawEstimate(t, "months", 12),
	}
	for at, e := range measuresOf(&in) { // months playable always stays, so that something is measured
		if at < 3 && rapid.IntRange(0, 4).Draw(t, "missing") == 0 {
			*e = condition.Estimate{}
		}
	}
	return in
}

func measuresOf(in *condition.Input) []*condition.Estimate {
	return []*condition.Estimate{&in.Infiltration, &in.ThatchDepth, &in.AnnualMeadowGrass, &in.MonthsPlayable}
}

func judgeDrawn(t *rapid.T, in condition.Input, scales condition.Scales) condition.Condition {
	c, faults := condition.Judge(in, scales, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestIndexAndIntervalAreBoundedAndNested(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := judgeDrawn(t, drawGreen(t), drawScales(t))
		if !(c.Index >= 0 && c.Index <= 100) {
			t.Fatalf("index %v", c.Index)
		}
		if i := c.Interval; i != nil && !(0 <= i.Low && i.Low <= c.Index && c.Index <= i.High && i.High <= 100) {
			t.Fatalf("interval %v to %v does not hold the index %v within 0 to 100", i.Low, i.High, c.Index)
		}
		if !slices.Contains(c.GradesSpanned, c.Grade) {
			t.Fatalf("grades spanned %v leave out the grade %s", c.GradesSpanned, c.Grade)
		}
		if (c.Interval == nil) != (len(c.MeasuresWithoutInterval)+len(c.MissingMeasures) == 4) {
			t.Fatalf("interval %v, without interval %v, missing %v", c.Interval, c.MeasuresWithoutInterval, c.MissingMeasures)
		}
	})
}

func TestABetterMeasureNeverLowersTheIndex(t *testing.T) {
	rising := []bool{true, false, false, true}
	most := []float64{300, 80, 100, 12}
	rapid.Check(t, func(t *rapid.T) {
		scales, in := drawScales(t), drawGreen(t)
		for _, e := range measuresOf(&in) {
			e.Interval = nil
		}
		before := judgeDrawn(t, in, scales).Index
		at := rapid.IntRange(0, 3).Draw(t, "measure")
		e := measuresOf(&in)[at]
		if e.Value == nil {
			t.Skip("not measured")
		}
		better := rapid.Float64Range(0, *e.Value).Draw(t, "better")
		if rising[at] {
			better = rapid.Float64Range(*e.Value, most[at]).Draw(t, "better")
		}
		e.Value = &better
		if after := judgeDrawn(t, in, scales).Index; after < before {
			t.Fatalf("measure %d bettered to %v lowers the index from %v to %v", at, better, before, after)
		}
	})
}

func TestAWiderIntervalNeverNarrowsTheIndexInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scales, in := drawScales(t), drawGreen(t)
		before := judgeDrawn(t, in, scales)
		at := rapid.IntRange(0, 3).Draw(t, "measure")
		e := measuresOf(&in)[at]
		if e.Value == nil {
			t.Skip("not measured")
		}
		wider := condition.Interval{Low: *e.Value, High: *e.Value, ConfidencePct: 95}
		if e.Interval != nil {
			wider = *e.Interval
		}
		wider.Low -= rapid.Float64Range(0, 50).Draw(t, "lower")
		wider.High += rapid.Float64Range(0, 50).Draw(t, "higher")
		e.Interval = &wider
		after := judgeDrawn(t, in, scales)
		if after.Index != before.Index {
			t.Fatalf("an interval moved the index from %v to %v", before.Index, after.Index)
		}
		if before.Interval != nil && (after.Interval.Low > before.Interval.Low || after.Interval.High < before.Interval.High) {
			t.Fatalf("interval narrowed from %v to %v", *before.Interval, *after.Interval)
		}
	})
}

func TestOrderOfPositionsChangesNothing(t *testing.T) {
	names := []string{"front", "middle", "back left", "back right", "hollow"}
	rapid.Check(t, func(t *rapid.T) {
		in := drawGreen(t)
		for _, e := range measuresOf(&in) {
			for _, name := range names {
				if e.Value != nil && rapid.Bool().Draw(t, name) {
					// few distinct values, so that ties are common
					e.ByPosition = append(e.ByPosition, condition.PositionEstimate{Position: name, Value: float64(rapid.IntRange(1, 3).Draw(t, "value"))})
				}
			}
		}
		before := judgeDrawn(t, in, condition.Scales{})
		seed := rapid.Uint64().Draw(t, "seed")
		for _, e := range measuresOf(&in) {
			e.ByPosition = slices.Clone(e.ByPosition)
			rand.New(rand.NewPCG(seed, 0)).Shuffle(len(e.ByPosition), func(i, j int) {
				e.ByPosition[i], e.ByPosition[j] = e.ByPosition[j], e.ByPosition[i]
			})
		}
		if diff := cmp.Diff(before, judgeDrawn(t, in, condition.Scales{})); diff != "" {
			t.Fatal(diff)
		}
	})
}

// One measure alone, with weight 1 after the others are missing, has its own score
// interval as the index interval; two equal ones have 1/√2 of the half-width. Both
// follow from adding independent deviations in quadrature; tolerance 1e-9.
func TestDeviationsAddInQuadrature(t *testing.T) {
	scales := plainScales([4]float64{0.5, 0.5, 0, 0})
	one := judgeOn(t, condition.Input{Infiltration: ranged(40, 50, 70)}, scales)
	if i := one.Interval; !near(i.Low, 40, 1e-9) || !near(i.High, 70, 1e-9) {
		t.Errorf("one measure: %v, want 40 to 70", *i)
	}
	// thatch falls: 30 to 60 mm round 50 mm scores 70 down to 40 round 50
	two := judgeOn(t, condition.Input{Infiltration: ranged(40, 50, 70), ThatchDepth: ranged(30, 50, 60)}, scales)
	if i := two.Interval; !near(i.Low, 50-10/math.Sqrt2, 1e-9) || !near(i.High, 50+20/math.Sqrt2, 1e-9) {
		t.Errorf("two measures: %v, want 50 - 10/√2 to 50 + 20/√2", *i)
	}
}

func TestWhatIsMissingIsNamedAndItsWeightShared(t *testing.T) {
	in := bareGreen(20, 20, 50, 9)
	in.ThatchDepth = condition.Estimate{}
	in.Infiltration = ranged(15, 20, 27)
	c := judge(t, in)
	if !c.Incomplete || !slices.Equal(c.MissingMeasures, []condition.Measure{condition.ThatchDepth}) {
		t.Errorf("incomplete %v, missing %v", c.Incomplete, c.MissingMeasures)
	}
	if want := []condition.Measure{condition.AnnualMeadowGrass, condition.MonthsPlayable}; !slices.Equal(c.MeasuresWithoutInterval, want) {
		t.Errorf("without interval %v, want %v", c.MeasuresWithoutInterval, want)
	}
	// weights .25, .15 and .35 over their sum .75; scores 65, 65 and 45
	if want := (0.25*65 + 0.15*65 + 0.35*45) / 0.75; !near(c.Index, want, 1e-9) {
		t.Errorf("index %v, want %v", c.Index, want)
	}
	if !near(*c.CausesScore, 65, 1e-9) || *c.OutcomeScore != 45 {
		t.Errorf("causes %v, outcome %v, want 65 and 45", *c.CausesScore, *c.OutcomeScore)
	}
	if want := []condition.Measure{condition.MonthsPlayable, condition.Infiltration, condition.AnnualMeadowGrass}; !slices.Equal(c.WorstFirst, want) {
		t.Errorf("worst first %v, want %v (65 and 65 tie: fixed order)", c.WorstFirst, want)
	}
}

func TestNothingMeasuredIsAFault(t *testing.T) {
	weightless := condition.Scales{MonthsPlayable: &condition.ValueScale{Weight: of(0.0)}}
	for name, tt := range map[string]struct {
		in     condition.Input
		scales condition.Scales
	}{
		"nothing":                 {},
		"only what has no weight": {condition.Input{MonthsPlayable: bare(9)}, weightless},
	} {
		if _, faults := condition.Judge(tt.in, tt.scales, parameters()); len(faults) != 1 || faults[0].Pointer != "" {
			t.Errorf("%s: faults %v, want one at the whole input", name, faults)
		}
	}
}

// The default limits are 75, 55 and 35; an index on a limit has the better grade.
func TestGradesAndTheGradesSpanned(t *testing.T) {
	onScale := plainScales([4]float64{1, 0, 0, 0})
	tests := []struct {
		low, index, high float64
		grade            condition.Grade
		spanned          []condition.Grade
	}{
		{76, 80, 90, condition.Sound, []condition.Grade{condition.Sound}},
		{75, 75, 75, condition.Sound, []condition.Grade{condition.Sound}},
		{60, 74.9, 80, condition.Fair, []condition.Grade{condition.Sound, condition.Fair}},
		{54.9, 55, 56, condition.Fair, []condition.Grade{condition.Fair, condition.Poor}},
		{10, 35, 80, condition.Poor, []condition.Grade{condition.Sound, condition.Fair, condition.Poor, condition.Failing}},
		{10, 34.9, 34.95, condition.Failing, []condition.Grade{condition.Failing}},
	}
	for _, tt := range tests {
		c := judgeOn(t, condition.Input{Infiltration: ranged(tt.low, tt.index, tt.high)}, onScale)
		if c.Grade != tt.grade || !slices.Equal(c.GradesSpanned, tt.spanned) {
			t.Errorf("index %v: %s %v, want %s %v", tt.index, c.Grade, c.GradesSpanned, tt.grade, tt.spanned)
		}
	}
}

func TestZonesFallBackToTheGreen(t *testing.T) {
	in := bareGreen(20, 20, 50, 9)
	in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: "front", Value: 50}, {Position: "hollow", Value: 5}}
	in.ThatchDepth.ByPosition = []condition.PositionEstimate{{Position: "hollow", Value: 30}}
	c := judge(t, in)
	if c.WorstZone != "hollow" {
		t.Errorf("worst zone %q, want hollow", c.WorstZone)
	}
	want := []condition.Zone{
		{
			Position: "hollow", Index: judge(t, bareGreen(5, 30, 50, 9)).Index, Grade: condition.Poor,
			OwnMeasures: []condition.Measure{condition.Infiltration, condition.ThatchDepth},
		},
		{
			Position: "front", Index: judge(t, bareGreen(50, 20, 50, 9)).Index, Grade: condition.Fair,
			OwnMeasures: []condition.Measure{condition.Infiltration},
		},
	}
	if diff := cmp.Diff(want, c.Zones); diff != "" {
		t.Error(diff)
	}
	one := in
	one.Infiltration.ByPosition = in.Infiltration.ByPosition[:1]
	one.ThatchDepth.ByPosition = nil
	if c := judge(t, one); c.WorstZone != "" {
		t.Errorf("one zone alone is called the worst: %q", c.WorstZone)
	}
}

func TestScorerAgreesWithJudge(t *testing.T) {
	scorer := must(condition.NewScorer(condition.Scales{}, parameters()))
	c := judge(t, bareGreen(12, 22, 60, 8.5))
	index, ok := scorer.Index(condition.Values{
		InfiltrationMMPerH: of(12.0), ThatchDepthMM: of(22.0), AnnualMeadowGrassPct: of(60.0), MonthsPlayable: of(8.5),
	})
	if !ok || index != c.Index || scorer.Grade(index) != c.Grade {
		t.Errorf("scorer %v %v, judge %v %v", index, scorer.Grade(index), c.Index, c.Grade)
	}
	if _, ok := scorer.Index(condition.Values{}); ok {
		t.Error("an index of nothing")
	}
}

// Equal readings give an interval of no width beside a value that differs from it
// only by rounding, as exp(log(x)) does from x.
func TestAnIntervalOfNoWidthSurvivesRounding(t *testing.T) {
	value := 12.0
	beside := math.Nextafter(value, 13)
	c := judge(t, condition.Input{Infiltration: ranged(beside, value, beside)})
	if i := c.Interval; !(i.Low <= c.Index && c.Index <= i.High) || i.High-i.Low > 1e-9 {
		t.Errorf("interval %v to %v about %v", i.Low, i.High, c.Index)
	}
	if _, faults := condition.Judge(condition.Input{Infiltration: ranged(12.1, 12, 13)}, condition.Scales{}, parameters()); len(faults) != 1 {
		t.Errorf("a value outside its interval gives faults %v", faults)
	}
}

// 0.1 × 3 and 0.3 × 1 differ in the last bit of floating point, and in nothing else:
// the zones tie, and the name decides.
func TestATieInAllButRoundingIsATie(t *testing.T) {
	v := valuesScoring([4]float64{0, 0, 0, 0})
	in := bareGreen(v[0], v[1], v[2], v[3])
	in.Infiltration.ByPosition = []condition.PositionEstimate{{Position: "A", Value: 3}}
	in.AnnualMeadowGrass.ByPosition = []condition.PositionEstimate{{Position: "B", Value: 99}}
	c := judgeOn(t, in, plainScales([4]float64{0.1, 0.2, 0.3, 0.4}))
	if c.Zones[0].Index == c.Zones[1].Index {
		t.Fatal("the two indices are equal to the last bit: the example shows nothing")
	}
	if c.WorstZone != "A" {
		t.Errorf("worst zone %s with %v against %v, want A by name", c.WorstZone, c.Zones[0].Index, c.Zones[1].Index)
	}
}

func TestConfidenceIsTheLowestThatWentIn(t *testing.T) {
	in := condition.Input{Infiltration: ranged(10, 12, 14), ThatchDepth: ranged(10, 12, 14)}
	in.Infiltration.Interval.ConfidencePct = 80
	if got := judge(t, in).Interval.ConfidencePct; got != 80 {
		t.Errorf("confidence %v %%, want 80", got)
	}
}
