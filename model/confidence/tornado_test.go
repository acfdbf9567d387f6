package confidence

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/fault"
)

// yard is a study whose figures can be worked out in the head: yearly worth is
// months × price − cost, against a standing choice worth 100.
func yard() Study {
	return Study{
		Inputs: []Input{
			{Name: "months", Unit: "months", Low: 2, Likely: 3, High: 4, Shape: PERT},
			{Name: "price", Unit: "1", Low: 50, Likely: 100, High: 200, Shape: Triangular},
			{Name: "cost", Unit: "1", Low: 100, Likely: 150, High: 160, Shape: Fixed},
			{Name: "idle", Unit: "1", Low: -1, Likely: 0, High: 1, Shape: PERT},
			{Name: "settled", Unit: "1", Low: 5, Likely: 5, High: 5, Shape: Fixed},
			{Name: "crew", Unit: "people", Low: 0, Likely: 2, High: 4, Shape: PERT, Step: 1},
		},
		Options:  []Option{{"stand", true}, {"work", true}},
		Outcomes: []Outcome{{"worth", "1"}, {"payback", "years"}},
		RankBy:   "worth",
		NewEvaluate: func() Evaluate {
			return func(draw, out []float64) {
				out[0], out[1] = 100, math.NaN()
				crew := 10 * (draw[5] - 2) * (draw[5] - 2) // both ends cost the same
				out[2] = draw[0]*draw[1] - draw[2] - crew
				out[3] = 1000 / (out[2] - 50)
				if out[2] <= 50 {
					out[3] = math.NaN()
				}
			}
		},
	}
}

func TestTornadoByHand(t *testing.T) {
	got, err := yard().Tornado(Figure{Option: "work", Outcome: "worth", Less: "stand"})
	if err != nil {
		t.Fatal(err)
	}
	bar := func(name, unit string, low, high, atLow, atHigh, swing float64, bestLow, bestHigh string) TornadoBar {
		return TornadoBar{name, unit, low, high, &atLow, &atHigh, &swing, bestLow, bestHigh}
	}
	want := Tornado{
		Figure: Figure{"work", "worth", "stand"}, AtLikely: new(50.0), BestAtLikely: "work",
		Bars: []TornadoBar{
			bar("price", "1", 50, 200, -100, 350, 450, "stand", "work"),
			bar("months", "months", 2, 4, -50, 150, 200, "stand", "work"),
			bar("cost", "1", 100, 160, 100, 40, 60, "work", "work"),
			bar("crew", "people", 0, 4, 10, 10, 40, "work", "work"),
			bar("idle", "1", -1, 1, 50, 50, 0, "work", "work"),
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestTornadoPutsWhatTakesTheFigureAwayFirst(t *testing.T) {
	// Payback is 1000/(worth − 50) years: 10 when all is likely; none at the low
	// price (worth 0) nor at two months (worth 50).
	got, err := yard().Tornado(Figure{Option: "work", Outcome: "payback"})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, bar := range got.Bars {
		names = append(names, bar.Input)
		if gone := bar.Input == "price" || bar.Input == "months"; (bar.Swing == nil) != gone || (bar.AtLow == nil) != gone {
			t.Errorf("%+v", bar)
		}
	}
	if diff := cmp.Diff([]string{"months", "price", "crew", "cost", "idle"}, names); diff != "" {
		t.Error(diff)
	}
	never, err := yard().Tornado(Figure{Option: "stand", Outcome: "payback"})
	if err != nil {
		t.Fatal(err)
	}
	for i, bar := range never.Bars {
		if bar.Input != []string{"months", "price", "cost", "idle", "crew"}[i] || *bar.Swing != 0 || bar.AtHigh != nil {
			t.Errorf("a figure that is never there: %+v", bar)
		}
	}
	if _, err := json.Marshal(never); err != nil || never.AtLikely != nil {
		t.Errorf("at likely %v, error %v", never.AtLikely, err)
	}
}

func TestTornadoKeepsEqualsInTheirOrder(t *testing.T) {
	// Sixty inputs, every third of which swings by 30 and the others by 20.
	s := sumStudy(alike(60), 1, 1)
	for i := range s.Inputs {
		if i%3 == 0 {
			s.Inputs[i].High = 40
		}
	}
	got, err := s.Tornado(Figure{Option: "option 0", Outcome: "outcome 0"})
	if err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, wide := range []bool{true, false} {
		for i, in := range s.Inputs {
			if (i%3 == 0) != wide {
				continue
			}
			if got.Bars[at].Input != in.Name {
				t.Fatalf("%s stands at %d, where %s should", got.Bars[at].Input, at, in.Name)
			}
			at++
		}
	}
}

// alike are inputs of equal reach and lean.
func alike(n int) []Input {
	inputs := manyInputs(n, PERT)
	for i := range inputs {
		inputs[i].Likely = 20
	}
	return inputs
}

func TestAFigureNeedsBothOfItsParts(t *testing.T) {
	// 1.5e15 lies beyond what counts as present, though the difference does not.
	s := sumStudy(manyInputs(1, PERT), 2, 1)
	for _, other := range []float64{math.NaN(), math.Inf(1), 1.5e15} {
		s.NewEvaluate = func() Evaluate { return func(_, out []float64) { out[0], out[1] = 1e15, other } }
		for _, f := range []Figure{{"option 0", "outcome 0", "option 1"}, {"option 1", "outcome 0", "option 0"}} {
			if x := s.newProbe(f).figure(0, 10); !math.IsNaN(x) {
				t.Errorf("%+v with %v: %v", f, other, x)
			}
		}
	}
}

func TestTornadoOfASumIsTheSpreadOfItsTerms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		got, err := s.Tornado(Figure{Option: "a", Outcome: "worth"})
		if err != nil {
			t.Fatal(err)
		}
		out := make([]float64, 2*len(s.Options))
		last := math.Inf(1)
		for _, bar := range got.Bars {
			// A sum's swing is the weight times the width, and the weight shows at unit draws.
			unit := make([]float64, 3)
			for i, in := range s.Inputs {
				if in.Name == bar.Input {
					unit[i] = 1
				}
			}
			s.NewEvaluate()(unit, out)
			if want := math.Abs(out[0]) * (bar.High - bar.Low); math.Abs(*bar.Swing-want) > 1e-9 {
				t.Errorf("%s swings %g, want %g", bar.Input, *bar.Swing, want)
			}
			if *bar.Swing > last {
				t.Error("bars are out of order")
			}
			last = *bar.Swing
		}
	})
}

func TestUnknownNamesInQuestionsAreFaults(t *testing.T) {
	_, err := yard().Tornado(Figure{Option: "nothing", Outcome: "colour", Less: "neither"})
	pointersOf(t, err, "/figure/option", "/figure/outcome", "/figure/less")
	_, err = yard().Tornado(Figure{Option: "work", Outcome: "worth", Less: "work"})
	pointersOf(t, err, "/figure/less")
	_, err = yard().BreakEven(BreakEvenQuestion{
		Input: "colour", Figure: Figure{Option: "work", Outcome: "worth", Less: "work"}, Target: math.Inf(1), Within: -1,
	}, defaults)
	pointersOf(t, err, "/question/figure/less", "/question/target", "/question/within", "/question/input")
	if err == nil || !strings.Contains(err.Error(), "months, price") {
		t.Errorf("the remedy names no input: %v", err)
	}
	worth := Figure{Option: "work", Outcome: "worth"}
	_, err = yard().BreakEven(BreakEvenQuestion{Input: "crew", Figure: worth, From: new(0.5), To: new(math.NaN())}, defaults)
	pointersOf(t, err, "/question/from", "/question/to")
	_, err = yard().BreakEven(BreakEvenQuestion{Input: "settled", Figure: worth}, defaults)
	pointersOf(t, err, "/question/input")
	_, err = yard().BreakEven(BreakEvenQuestion{Input: "crew", Figure: worth, To: new(1e12)}, defaults)
	pointersOf(t, err, "/question/input")
}

func pointersOf(t *testing.T, err error, want ...string) {
	t.Helper()
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Errorf("no faults but %v", err)
		return
	}
	var got []string
	for _, f := range faults {
		got = append(got, f.Pointer)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
