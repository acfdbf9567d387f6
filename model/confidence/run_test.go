package confidence

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/fault"
)

// coin is a study of one uniform input x from 0 to 1, with λ 0, and two options:
// steady is worth 0.7, and risky x. Each lasts x + 1 weeks, but steady has no
// length where x is above 0.9.
func coin() (Study, Parameters) {
	return Study{
		Inputs:   []Input{{Name: "x", Unit: "1", High: 1, Shape: PERT}},
		Options:  []Option{{"steady", true}, {"risky", true}},
		Outcomes: []Outcome{{"worth", "1"}, {"length", "weeks"}},
		RankBy:   "worth",
		NewEvaluate: func() Evaluate {
			return func(draw, out []float64) {
				out[0], out[1] = 0.7, draw[0]+1
				out[2], out[3] = draw[0], draw[0]+1
				if draw[0] > 0.9 {
					out[1] = math.Inf(1)
				}
			}
		},
	}, likelyWeight(0)
}

func TestProbabilitiesAndBandsAgainstHandWork(t *testing.T) {
	// x is uniform, so every figure can be written down. Tolerances are four
	// standard errors of 20,000 draws: 0.0142 of a probability at most, and the same
	// of a quantile, where the density is 1.
	s, p := coin()
	result := run(t, s, 20000, 1, p)
	steady, risky := result.Options[0], result.Options[1]
	const within = 0.0142
	near(t, "risky best", risky.Best.Probability, 0.3, within)
	near(t, "steady best", steady.Best.Probability, 0.7, within)
	near(t, "standard error", risky.Best.StandardError, math.Sqrt(0.21/20000), 5e-5)
	worth, length := risky.Outcomes[0], steady.Outcomes[1]
	near(t, "P10", *worth.P10, 0.1, within)
	near(t, "P50", *worth.P50, 0.5, within)
	near(t, "P80", *worth.P80, 0.8, within)
	near(t, "P90", *worth.P90, 0.9, within)
	near(t, "mean", *worth.Mean, 0.5, within)
	near(t, "standard deviation", *worth.StandardDeviation, math.Sqrt(1./12), within)
	near(t, "error of the mean", *worth.MeanStandardError, math.Sqrt(1./12/20000), 1e-4)
	// Absence counts as above everything: P80 is untouched and the mean is of what is
	// there, 1 + 0.45.
	near(t, "absent", length.Absent.Probability, 0.1, within)
	near(t, "P80 beside absence", *length.P80, 1.8, within)
	near(t, "mean of those present", *length.Mean, 1.45, within)
	if worth.Absent.Draws != 0 || worth.Absent.StandardError <= 0 {
		t.Errorf("absence that never came: %+v", worth.Absent)
	}
	if worth.Outcome != "worth" || length.Unit != "weeks" || result.Draws != 20000 || result.Seed != 1 {
		t.Errorf("labels: %+v", result)
	}
}

func TestRequirementsAndFeasibilityScreen(t *testing.T) {
	least, most := 0.2, 1.8
	s, p := coin()
	s.Requirements = []Requirement{{Outcome: "worth", AtLeast: &least}, {Outcome: "length", AtMost: &most}}
	result := run(t, s, 20000, 2, p)
	const within = 0.0142
	steady, risky := result.Options[0], result.Options[1]
	// Both last at most 1.8 where x ≤ 0.8; risky also wants x ≥ 0.2, and beats 0.7
	// from there on.
	near(t, "steady meets", steady.MeetsRequirements.Probability, 0.8, within)
	near(t, "steady worth", steady.Requirements[0].Met.Probability, 1, 0)
	near(t, "risky worth", risky.Requirements[0].Met.Probability, 0.8, within)
	near(t, "risky length", risky.Requirements[1].Met.Probability, 0.8, within)
	near(t, "risky meets", risky.MeetsRequirements.Probability, 0.6, within)
	near(t, "risky best", risky.Best.Probability, 0.1, within)
	near(t, "none", result.NoOption.Probability, 0.2, within)

	s.Options[0].Feasible = false
	result = run(t, s, 20000, 2, p)
	if n := result.Options[0].Best.Draws; n != 0 {
		t.Errorf("an infeasible option was best %d times", n)
	}
	near(t, "risky best alone", result.Options[1].Best.Probability, 0.6, within)
	near(t, "none without steady", result.NoOption.Probability, 0.4, within)
	if result.Options[0].MeetsRequirements != steady.MeetsRequirements {
		t.Error("feasibility changed what an option meets")
	}
}

func TestSerialIsParallelBitForBit(t *testing.T) {
	study := sumStudy(manyInputs(7, PERT), 3, 2)
	for _, draws := range []int{100, 256, 257, 5000} {
		var want []byte
		for _, workers := range []int{1, 2, 3, 8, 0} {
			result, err := study.Run(t.Context(), Settings{Draws: draws, Seed: 4, Workers: workers}, defaults)
			if err != nil {
				t.Fatal(err)
			}
			got, err := json.Marshal(result)
			if err != nil {
				t.Fatal(err)
			}
			if want == nil {
				want = got
			}
			if string(got) != string(want) {
				t.Errorf("%d draws by %d workers differ", draws, workers)
			}
		}
	}
}

// anyStudy is a comparison of options that are sums of the inputs with weights of
// their own, some infeasible, with a requirement now and then.
func anyStudy(t *rapid.T) Study {
	inputs := []Input{anyInput("a").Draw(t, "a"), anyInput("b").Draw(t, "b"), anyInput("c").Draw(t, "c")}
	options := rapid.IntRange(1, 5).Draw(t, "options")
	weights := rapid.SliceOfN(rapid.Float64Range(-2, 2), 3*options, 3*options).Draw(t, "weights")
	s := Study{
		Inputs: inputs, RankBy: "worth", Outcomes: []Outcome{{"worth", "1"}, {"rest", "1"}},
		NewEvaluate: func() Evaluate {
			return func(draw, out []float64) {
				for o := range len(out) / 2 {
					w := weights[3*o:]
					out[2*o] = w[0]*draw[0] + w[1]*draw[1] + w[2]*draw[2]
					out[2*o+1] = draw[0]
				}
			}
		},
	}
	for o := range options {
		s.Options = append(s.Options, Option{string(rune('a' + o)), rapid.IntRange(0, 3).Draw(t, "feasible") > 0})
	}
	if rapid.Bool().Draw(t, "bounded") {
		least := rapid.Float64Range(-1000, 1000).Draw(t, "least")
		s.Requirements = []Requirement{{Outcome: "worth", AtLeast: &least}}
	}
	return s
}

func TestSharesOfTheDrawsAddUpToAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		result, err := s.Run(t.Context(), Settings{Draws: 300, Seed: 1, Workers: 1}, defaults)
		if err != nil {
			t.Fatal(err)
		}
		total, share := result.NoOption.Draws, result.NoOption.Probability
		for _, o := range result.Options {
			total += o.Best.Draws
			share += o.Best.Probability
		}
		if total != 300 || math.Abs(share-1) > 1e-14 {
			t.Errorf("%d draws, probability %v", total, share)
		}
	})
}

func TestAnotherOptionMovesNoOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		before, err := s.Run(t.Context(), Settings{Draws: 300, Seed: 1}, defaults)
		if err != nil {
			t.Fatal(err)
		}
		inner := s.NewEvaluate
		known := 2 * len(s.Options)
		s.Options = append(s.Options, Option{"newcomer", true})
		s.NewEvaluate = func() Evaluate {
			evaluate := inner()
			return func(draw, out []float64) {
				evaluate(draw, out[:known])
				out[known], out[known+1] = draw[1], math.NaN()
			}
		}
		after, err := s.Run(t.Context(), Settings{Draws: 300, Seed: 1}, defaults)
		if err != nil {
			t.Fatal(err)
		}
		for o := range before.Options {
			b, a := before.Options[o], after.Options[o]
			if a.Best.Draws > b.Best.Draws {
				t.Errorf("%s is best more often beside a newcomer", b.Option)
			}
			a.Best, b.Best = ProbabilityWithError{}, ProbabilityWithError{}
			if diff := cmp.Diff(b, a); diff != "" {
				t.Error(diff)
			}
		}
	})
}

func TestADominatedOptionNeverWins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		s.Options[0].Feasible = true
		less := rapid.Float64Range(0.001, 10).Draw(t, "less")
		inner := s.NewEvaluate
		known := 2 * len(s.Options)
		s.Options = append(s.Options, Option{"dominated", true})
		s.NewEvaluate = func() Evaluate {
			evaluate := inner()
			return func(draw, out []float64) {
				evaluate(draw, out[:known])
				out[known], out[known+1] = out[0]-less, out[1]
			}
		}
		result, err := s.Run(t.Context(), Settings{Draws: 300, Seed: 1}, defaults)
		if err != nil {
			t.Fatal(err)
		}
		if n := result.Options[len(s.Options)-1].Best.Draws; n != 0 {
			t.Errorf("it won %d times", n)
		}
	})
}

func TestACancelledRunStops(t *testing.T) {
	for _, workers := range []int{1, 2} {
		ctx, cancel := context.WithCancel(t.Context())
		s, p := coin()
		evaluated := 0
		s.NewEvaluate = func() Evaluate {
			return func(draw, out []float64) {
				evaluated++
				clear(out)
				cancel()
			}
		}
		if workers > 1 { // counting is not safe there
			s.NewEvaluate = func() Evaluate { return func(_, out []float64) { clear(out); cancel() } }
		}
		_, err := s.Run(ctx, Settings{Draws: 100000, Workers: workers}, p)
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%d workers: error %v", workers, err)
		}
		if evaluated > chunkDraws {
			t.Errorf("went on for %d draws", evaluated)
		}
	}
}

func TestSharedWorkStopsOrIsDone(t *testing.T) {
	for _, workers := range []int{1, 3} {
		ctx, cancel := context.WithCancel(t.Context())
		err := shareOut(ctx, workers, 1_000_000, func(int) func(int) { return func(int) { cancel() } })
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%d workers, stopped half way: %v", workers, err)
		}
		ctx, cancel = context.WithCancel(t.Context())
		if err := shareOut(ctx, workers, 1, func(int) func(int) { return func(int) { cancel() } }); err != nil {
			t.Errorf("%d workers, cancelled when all was done: %v", workers, err)
		}
	}
	// A panic stops the others, who wait for it and then go on slowly.
	var done atomic.Int64
	spoilt := make(chan struct{})
	defer func() {
		if reason := recover(); reason != "spoilt" || done.Load() > 10_000 {
			t.Errorf("recovered %v after %d pieces", reason, done.Load())
		}
	}()
	_ = shareOut(t.Context(), 2, 20_000, func(int) func(int) {
		return func(piece int) {
			if piece == 0 {
				close(spoilt)
				panic("spoilt")
			}
			<-spoilt
			time.Sleep(50 * time.Microsecond)
			done.Add(1)
		}
	})
}

func TestAPanicComesUpInTheCaller(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, workers := range []int{1, 4} {
		func() {
			defer func() {
				if reason := recover(); reason != "spoilt" {
					t.Errorf("%d workers: recovered %v", workers, reason)
				}
			}()
			s, p := coin()
			s.NewEvaluate = func() Evaluate { return func(_, _ []float64) { panic("spoilt") } }
			_, err := s.Run(t.Context(), Settings{Draws: 5000, Workers: workers}, p)
			t.Errorf("%d workers: went on, error %v", workers, err)
		}()
	}
	if now := runtime.NumGoroutine(); now > before {
		t.Errorf("%d goroutines became %d", before, now)
	}
}

func TestMoreDrawsAllocateNoMore(t *testing.T) {
	study := sumStudy(manyInputs(10, PERT), 3, 2)
	allocations := func(draws int) float64 {
		return testing.AllocsPerRun(5, func() {
			if _, err := study.Run(t.Context(), Settings{Draws: draws, Workers: 1}, defaults); err != nil {
				t.Fatal(err)
			}
		})
	}
	// One or two may go astray to the run time; 9,000 draws would show.
	if few, many := allocations(1000), allocations(10000); many > few+10 {
		t.Errorf("%v allocations for 1,000 draws, %v for 10,000", few, many)
	}
}

func TestEveryFaultOfAStudyIsNamed(t *testing.T) {
	nan, big := math.NaN(), 1e16
	s := Study{
		Inputs: []Input{
			{Name: "", Low: 0, Likely: 1, High: 2, Shape: PERT},
			{Name: "a", Low: nan, Likely: 1, High: math.Inf(1), Shape: "normal"},
			{Name: "a", Low: 3, Likely: 2, High: 4, Shape: PERT},
			{Name: "b", Low: 0, Likely: 0.5, High: 2, Shape: PERT, Step: 1},
			{Name: "c", Low: 0, Likely: 1, High: 2, Shape: PERT, Step: -1},
			{Name: "d", Low: 0, Likely: 1, High: 2, Shape: PERT, Step: 1e-12},
		},
		Options:      []Option{{"x", true}, {"x", true}, {NoOption, true}},
		Outcomes:     nil,
		RankBy:       "worth",
		Requirements: []Requirement{{Outcome: "length", AtLeast: &nan, AtMost: &big}},
	}
	_, err := s.Run(t.Context(), Settings{Draws: 5, Seed: -1, Workers: -1}, Parameters{nan, 10, 0})
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatal(err)
	}
	var got []string
	for _, f := range faults {
		got = append(got, f.Pointer)
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%+v says too little", f)
		}
	}
	want := []string{
		"", "", "", // the three parameters
		"/inputs/0/name", "/inputs/1/low", "/inputs/1/high", "/inputs/1/shape", "/inputs/2/likely",
		"/inputs/3/step", "/inputs/4/step", "/inputs/5/step", "/inputs/2/name",
		"/options/1/name", "/outcomes", "/options/2/name", "/rank_by", "/requirements/0/outcome",
		"/requirements/0/at_least", "/requirements/0/at_most", "",
		"/settings/draws", "/settings/seed", "/settings/workers",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestSizesAreBounded(t *testing.T) {
	study := sumStudy(manyInputs(2, PERT), 64, 64)
	if _, err := study.Run(t.Context(), Settings{Draws: 100000}, defaults); err == nil || !strings.Contains(err.Error(), "at most 2441 draws") {
		t.Errorf("400 million values: %v", err)
	}
	if _, err := sumStudy(manyInputs(501, PERT), 1, 1).Run(t.Context(), Settings{}, defaults); err == nil {
		t.Error("501 inputs were taken")
	}
	if _, faults := NewSampler([]Input{{Name: strings.Repeat("x", 1000), Shape: Fixed}}, 0, defaults); len(faults) != 1 || len(faults[0].Value) > 200 {
		t.Errorf("a long name: %v", faults)
	}
	twisted := []Requirement{{Outcome: "outcome 0", AtLeast: new(2.0), AtMost: new(1.0)}}
	study.Requirements = twisted
	if _, err := study.Run(t.Context(), Settings{Draws: 100}, defaults); err == nil {
		t.Error("bounds out of order were taken")
	}
}

func TestDefaultsAreTaken(t *testing.T) {
	s, p := coin()
	if result := run(t, s, 0, 0, p); result.Draws != int(defaults.Draws) {
		t.Errorf("%d draws, not the table's %g", result.Draws, defaults.Draws)
	}
}
