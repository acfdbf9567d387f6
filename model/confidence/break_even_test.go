package confidence

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestRootAgainstKnownZeros(t *testing.T) {
	for _, tt := range []struct {
		what      string
		f         func(float64) float64
		low, high float64
		want      float64
		calls     int // not to be exceeded; bisection takes 47 from a width of 1
	}{
		// Wallis's cubic x³ − 2x − 5, the classical test of root finders; its root to 16
		// digits is in Brent's and many other books (from memory).
		{"Wallis", func(x float64) float64 { return x*x*x - 2*x - 5 }, 2, 3, 2.0945514815423265, 10},
		// The fixed point of the cosine, 0.739085133215160641… (from memory).
		{"cosine", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607, 10},
		{"falling", func(x float64) float64 { return 2 - math.Exp(x) }, -4, 5, math.Ln2, 20},
		{"flat at the zero", func(x float64) float64 { return (x - 1) * (x - 1) * (x - 1) }, -3, 4.3, 1, 150},
		{"steep", func(x float64) float64 { return math.Atan(1e6 * (x - 0.123)) }, -7, 1, 0.123, 80},
		{"square root", func(x float64) float64 { return x*x - 2 }, 0, 1e6, math.Sqrt2, 80},
		{"at an end", func(x float64) float64 { return x }, 0, 5, 0, 0},
	} {
		calls := 0
		f := func(x float64) float64 { calls++; return tt.f(x) }
		closest, far := root(f, point{tt.low, tt.f(tt.low)}, point{tt.high, tt.f(tt.high)}, 1e-14)
		tolerance := 1e-14
		if tt.what == "flat at the zero" {
			tolerance = 1e-5 // values within 1e-15 of zero for 1e-5 around it
		}
		near(t, tt.what, closest.x, tt.want, tolerance)
		if closest.y*far.y > 0 {
			t.Errorf("%s: both ends on one side", tt.what)
		}
		if calls > tt.calls {
			t.Errorf("%s: %d calls", tt.what, calls)
		}
	}
}

// curve is a study of one option whose worth is a function of its one input.
func curve(in Input, f func(float64) float64) Study {
	in.Name, in.Unit, in.Shape, in.Likely = "x", "1", Fixed, in.Low
	return Study{
		Inputs: []Input{in}, Options: []Option{{"it", true}}, Outcomes: []Outcome{{"worth", "1"}}, RankBy: "worth",
		NewEvaluate: func() Evaluate { return func(draw, out []float64) { out[0] = f(draw[0]) } },
	}
}

func ask(t testing.TB, s Study, q BreakEvenQuestion) BreakEven {
	t.Helper()
	q.Input, q.Figure = "x", Figure{Option: "it", Outcome: "worth"}
	answer, err := s.BreakEven(q, defaults)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := json.Marshal(answer); err != nil {
		t.Error(err)
	}
	return answer
}

// smooth is a range without steps.
func smooth(low, high float64) Input { return Input{Low: low, High: high} }

func steps(low, high, step float64) Input { return Input{Low: low, High: high, Step: step} }

// TestABreakEvenEvaluatesEachValueOnce: an evaluation may be a whole appraisal.
func TestABreakEvenEvaluatesEachValueOnce(t *testing.T) {
	for _, in := range []Input{smooth(0, 10), steps(0, 100000, 1)} {
		calls := map[float64]int{}
		answer := ask(t, curve(in, func(x float64) float64 { calls[x]++; return 3 * x }), BreakEvenQuestion{Target: 10})
		if len(answer.Crossings) != 1 {
			t.Errorf("crossings %+v", answer.Crossings)
		}
		for x, n := range calls {
			if n > 1 {
				t.Errorf("%g is evaluated %d times", x, n)
			}
		}
	}
}

func TestBreakEvensOfKnownCurves(t *testing.T) {
	equal := func(x, target float64, below, above Side) Crossing {
		return Crossing{EqualAt, x, x, target, target, below, above}
	}
	square := func(x float64) float64 { return x * x }
	stairs := func(x float64) float64 { return math.Floor(x) }
	for _, tt := range []struct {
		what    string
		study   Study
		target  float64
		verdict Verdict
		want    []Crossing
	}{
		{"line", curve(smooth(0, 10), func(x float64) float64 { return 3 * x }), 10, Found, []Crossing{equal(10./3, 10, Smaller, Greater)}},
		{"two roots", curve(smooth(-3, 5), square), 2, Found, []Crossing{
			equal(-math.Sqrt2, 2, Greater, Smaller), equal(math.Sqrt2, 2, Smaller, Greater),
		}},
		{"never", curve(smooth(-3, 5), square), -1, NeverInRange, []Crossing{}},
		{"at the end of the range", curve(smooth(0, 1), square), 1, Found, []Crossing{equal(1, 1, Smaller, EndOfRange)}},
		{"throughout", curve(smooth(0, 1), func(float64) float64 { return 7 }), 7, EqualThroughout, []Crossing{
			{EqualFromTo, 0, 1, 7, 7, EndOfRange, EndOfRange},
		}},
		{"touching at a point that is looked at", curve(smooth(-1, 1), square), 0, Found, []Crossing{equal(0, 0, Greater, Greater)}},
		{"jump", curve(smooth(0, 2.5), func(x float64) float64 {
			if x < 1.234 {
				return 5
			}
			return 9
		}), 7, Found, []Crossing{{TurnsBetween, 1.234, 1.234, 5, 9, Smaller, Greater}}},
		{"plateau", curve(smooth(0, 4), func(x float64) float64 { return max(0, x-3) - max(0, 1-x) }), 0, Found, []Crossing{
			{EqualFromTo, 1, 3, 0, 0, Smaller, Greater},
		}},
		{"absent all over", curve(smooth(0, 4), func(float64) float64 { return math.Inf(1) }), 0, AbsentInRange, []Crossing{}},
		{"absent below 1", curve(smooth(0, 4), func(x float64) float64 {
			if x < 1 {
				return math.NaN()
			}
			return x
		}), 3, Found, []Crossing{equal(3, 3, Smaller, Greater)}},
		{"whole numbers pass it", curve(steps(0, 10, 1), square), 20, Found, []Crossing{{TurnsBetween, 4, 5, 16, 25, Smaller, Greater}}},
		{"a whole number fits", curve(steps(0, 10, 1), square), 25, Found, []Crossing{equal(5, 25, Smaller, Greater)}},
		{"more steps than parts", curve(steps(0, 100000, 1), square), 1e9, Found, []Crossing{
			{TurnsBetween, 31622, 31623, 31622 * 31622, 31623 * 31623, Smaller, Greater},
		}},
		{"more steps than parts, one fits", curve(steps(0, 100000, 1), square), 1234 * 1234, Found, []Crossing{
			equal(1234, 1234*1234, Smaller, Greater),
		}},
		{"a figure that starts equal", curve(smooth(0, 4), func(x float64) float64 { return max(0, x-1) }), 0, Found, []Crossing{
			{EqualFromTo, 0, 1, 0, 0, EndOfRange, Greater},
		}},
		{"whole numbers stay whole", curve(steps(0, 49, 1), func(x float64) float64 { return x - math.Floor(x) }), 0, EqualThroughout, []Crossing{
			{EqualFromTo, 0, 49, 0, 0, EndOfRange, EndOfRange},
		}},
		{"steps around a gap", curve(steps(0, 100000, 1), func(x float64) float64 {
			if x > 30100 && x < 30400 {
				return math.NaN()
			}
			return x
		}), 30250, Found, []Crossing{{TurnsBetween, 30000, 30500, 30000, 30500, Smaller, Greater}}},
		{"steps of a quarter", curve(steps(0.5, 3.5, 0.25), square), 3, Found, []Crossing{
			{TurnsBetween, 1.5, 1.75, 2.25, 3.0625, Smaller, Greater},
		}},
		{"never on steps", curve(steps(1, 3, 1), stairs), 4, NeverInRange, []Crossing{}},
	} {
		got := ask(t, tt.study, BreakEvenQuestion{Target: tt.target})
		if got.Verdict != tt.verdict || got.CrossingsLeftOut {
			t.Errorf("%s: verdict %s", tt.what, got.Verdict)
		}
		// Values are found to a million-millionth of the range.
		if diff := cmp.Diff(tt.want, got.Crossings, cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-8 })); diff != "" {
			t.Errorf("%s: %s", tt.what, diff)
		}
	}
}

func TestNeverShowsBothEnds(t *testing.T) {
	got := ask(t, curve(smooth(2, 3), func(x float64) float64 { return x * x }), BreakEvenQuestion{Target: 50})
	if got.From != 2 || got.To != 3 || *got.AtFrom != 4 || *got.AtTo != 9 || got.Unit != "1" || got.Points != 201 {
		t.Errorf("%+v", got)
	}
	got = ask(t, curve(smooth(0, 3), math.Log), BreakEvenQuestion{Target: 50})
	if got.AtFrom != nil || got.AtTo == nil || got.AbsentPoints != 1 || got.Verdict != NeverInRange {
		t.Errorf("%+v", got)
	}
}

func TestTheEndsOfTheRangeAreMetExactly(t *testing.T) {
	for _, in := range []Input{smooth(0.1, 0.7), smooth(-0.3, 0.9), smooth(0.7, 1e9), steps(0, 0.3, 0.1), steps(0.1, 0.7, 0.1)} {
		got := ask(t, curve(in, func(x float64) float64 { return x }), BreakEvenQuestion{Target: 1e10})
		if got.From != in.Low || got.To != in.High || *got.AtFrom != in.Low || *got.AtTo != in.High {
			t.Errorf("%v to %v became %v to %v", in.Low, in.High, got.From, got.To)
		}
	}
}

func TestTheFigureIsGivenAsItIs(t *testing.T) {
	// Not as its distance from the target and back, which loses digits.
	got := ask(t, curve(smooth(0.1, 0.7), func(x float64) float64 { return x }), BreakEvenQuestion{Target: 1e6, Within: 2e6})
	if c := got.Crossings[0]; c.AtFrom != 0.1 || c.AtTo != 0.7 {
		t.Errorf("%+v", c)
	}
}

func TestAStatedRangeIsSearched(t *testing.T) {
	s := curve(smooth(0, 1), func(x float64) float64 { return x })
	if got := ask(t, s, BreakEvenQuestion{Target: 7}); got.Verdict != NeverInRange {
		t.Errorf("within the input's range: %+v", got)
	}
	got := ask(t, s, BreakEvenQuestion{Target: 7, From: new(-5.0), To: new(20.0)})
	if got.Verdict != Found || math.Abs(got.Crossings[0].From-7) > 1e-9 || got.From != -5 || got.To != 20 {
		t.Errorf("within the stated range: %+v", got)
	}
	got = ask(t, curve(steps(3, 5, 1), func(x float64) float64 { return x }), BreakEvenQuestion{Target: 0.5, From: new(-2.0)})
	if got.Verdict != Found || got.Crossings[0].From != 0 || got.Crossings[0].To != 1 {
		t.Errorf("steps outside the input's range: %+v", got)
	}
}

func TestCrossingsAreBounded(t *testing.T) {
	got := ask(t, curve(smooth(0.1, 50*math.Pi), math.Sin), BreakEvenQuestion{})
	if len(got.Crossings) != mostCrossings || !got.CrossingsLeftOut {
		t.Fatalf("%d crossings, left out %v", len(got.Crossings), got.CrossingsLeftOut)
	}
	for i, c := range got.Crossings {
		near(t, fmt.Sprintf("crossing %d", i), c.From, float64(i+1)*math.Pi, 1e-8)
	}
}

func TestAGapWithinAPartIsShownAsAPair(t *testing.T) {
	// There is no figure just where the line would cross: what is left is the pair
	// on either side, not a made-up value.
	got := ask(t, curve(smooth(0, 1), func(x float64) float64 {
		if math.Abs(x-0.5025) < 1e-5 {
			return math.NaN()
		}
		return x - 0.5025
	}), BreakEvenQuestion{})
	if len(got.Crossings) != 1 {
		t.Fatalf("%+v", got)
	}
	c := got.Crossings[0]
	if c.Kind != TurnsBetween || !(c.From < 0.5025 && c.To > 0.5025) {
		t.Errorf("%+v", c)
	}
}

func TestRoundingStepCountsAsEqual(t *testing.T) {
	// Worth to the penny is a stair: with a penny as the distance that counts, the
	// crossing is one value and not a pair.
	worth := func(x float64) float64 { return math.Round(x*123.456*100) / 100 }
	pennies := curve(smooth(0, 10), worth)
	got := ask(t, pennies, BreakEvenQuestion{Target: 777.777, Within: 0.01})
	if c := got.Crossings[0]; c.Kind != EqualAt || c.AtFrom != worth(c.From) || math.Abs(c.AtFrom-777.777) > 0.01 || math.Abs(c.From-777.777/123.456) > 1e-4 {
		t.Errorf("%+v", c)
	}
	if c := ask(t, pennies, BreakEvenQuestion{Target: 777.777}).Crossings[0]; c.Kind != TurnsBetween || math.Abs(c.AtTo-c.AtFrom-0.01) > 1e-9 {
		t.Errorf("%+v", c)
	}
}

func TestBreakEvenMakesTwoOptionsEqual(t *testing.T) {
	// Whatever the options: putting the value found back in makes them equal; a pair
	// has them on opposite sides; and where none is found, the ends do not straddle.
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		if len(s.Options) < 2 || s.Inputs[1].Low == s.Inputs[1].High {
			t.Skip("nothing to compare, or nowhere to look")
		}
		answer, err := s.BreakEven(BreakEvenQuestion{Input: "b", Figure: Figure{Option: "a", Outcome: "worth", Less: "b"}}, defaults)
		if err != nil {
			t.Fatal(err)
		}
		difference := func(x float64) float64 {
			draw, out := s.likely(), make([]float64, 2*len(s.Options))
			draw[1] = x
			s.NewEvaluate()(draw, out)
			return out[0] - out[2]
		}
		low, high := difference(answer.From), difference(answer.To)
		scale := max(math.Abs(low), math.Abs(high))
		for _, c := range answer.Crossings {
			switch c.Kind {
			case EqualAt:
				if d := difference(c.From); math.Abs(d) > 1e-8*scale || d != c.AtFrom {
					t.Errorf("at %v they differ by %v, said to be %v", c.From, d, c.AtFrom)
				}
			case TurnsBetween:
				if difference(c.From)*difference(c.To) >= 0 || s.Inputs[1].Step == 0 {
					t.Errorf("%+v", c)
				}
				gap := c.To - c.From - s.Inputs[1].Step
				if math.Abs(gap) > 1e-9 {
					t.Errorf("not neighbouring steps: %+v", c)
				}
			}
		}
		if answer.Verdict == NeverInRange && low*high < 0 {
			t.Errorf("never, yet %v at one end and %v at the other", low, high)
		}
	})
}

func TestTheOtherInputsStayLikely(t *testing.T) {
	// Work is worth 3 × price − 150 less 0 for the crew: it equals the standing 100
	// at a price of 250/3.
	answer, err := yard().BreakEven(BreakEvenQuestion{
		Input: "price", Figure: Figure{Option: "work", Outcome: "worth", Less: "stand"},
	}, defaults)
	if err != nil {
		t.Fatal(err)
	}
	if len(answer.Crossings) != 1 || answer.Crossings[0].Above != Greater {
		t.Fatalf("%+v", answer)
	}
	near(t, "price", answer.Crossings[0].From, 250./3, 1e-9)
}
