package confidence

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// anyNumber is ordinary now and then, and otherwise as bad as a float can be.
func anyNumber() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Float64Range(-100, 100), rapid.Float64(),
		rapid.SampledFrom([]float64{
			0, math.Copysign(0, -1), 1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64,
			math.SmallestNonzeroFloat64, 1e12, -1e12, 1e15, 1e16, 1e-300, 1 + 0x1p-52,
		}),
	)
}

func hostileInput(t *rapid.T, name string) Input {
	in := Input{Name: name, Unit: "1", Shape: rapid.SampledFrom([]Shape{PERT, Triangular, Fixed}).Draw(t, "shape")}
	in.Low = anyNumber().Draw(t, "low")
	in.Likely = rapid.OneOf(anyNumber(), rapid.Just(in.Low), rapid.Just(math.Nextafter(in.Low, math.Inf(1)))).Draw(t, "likely")
	in.High = rapid.OneOf(anyNumber(), rapid.Just(in.Likely), rapid.Just(math.Nextafter(in.Likely, math.Inf(1)))).Draw(t, "high")
	in.Step = rapid.OneOf(rapid.Just(0.0), anyNumber()).Draw(t, "step")
	return in
}

func TestHostileNumbersAreRefusedOrHandled(t *testing.T) {
	// Whatever the numbers, each question ends soon, in faults or in an answer that
	// JSON can carry, with draws within their range.
	answered := 0
	rapid.Check(t, func(t *rapid.T) {
		bad := anyNumber().Draw(t, "outcome")
		bound := anyNumber().Draw(t, "bound")
		s := Study{
			Inputs:       []Input{hostileInput(t, "a"), hostileInput(t, "b")},
			Options:      []Option{{"x", true}, {"y", true}},
			Outcomes:     []Outcome{{"worth", "1"}},
			RankBy:       "worth",
			Requirements: []Requirement{{Outcome: "worth", AtLeast: &bound}},
			NewEvaluate: func() Evaluate {
				return func(draw, out []float64) { out[0], out[1] = draw[0]*draw[1], bad+draw[0] }
			},
		}
		p := Parameters{
			PERTLikelyWeight:   rapid.OneOf(rapid.Just(4.0), anyNumber()).Draw(t, "λ"),
			Draws:              rapid.OneOf(rapid.Just(100.0), rapid.Just(math.NaN())).Draw(t, "draws"),
			BreakEvenScanCells: rapid.OneOf(rapid.Just(10.0), anyNumber()).Draw(t, "cells"),
		}
		f := Figure{Option: "x", Outcome: "worth", Less: rapid.SampledFrom([]string{"", "y"}).Draw(t, "less")}
		result, errRun := s.Run(t.Context(), Settings{Workers: 1}, p)
		tornado, errTornado := s.Tornado(f)
		answer, errBreakEven := s.BreakEven(BreakEvenQuestion{
			Input: "a", Figure: f, Target: anyNumber().Draw(t, "target"), Within: anyNumber().Draw(t, "within"),
			From: new(anyNumber().Draw(t, "from")),
		}, p)
		for _, one := range []struct {
			value any
			err   error
		}{{result, errRun}, {tornado, errTornado}, {answer, errBreakEven}} {
			if one.err != nil {
				continue
			}
			answered++
			if _, err := json.Marshal(one.value); err != nil {
				t.Errorf("%v: %+v", err, one.value)
			}
		}
		sampler, faults := NewSampler(s.Inputs, 1, p)
		if len(faults) > 0 {
			return
		}
		draw := make([]float64, 2)
		for i := range 50 {
			sampler.Draw(i, draw)
			for k, in := range s.Inputs {
				if !(draw[k] >= in.Low && draw[k] <= in.High) {
					t.Errorf("%+v drew %v", in, draw[k])
				}
			}
		}
	})
	if answered == 0 {
		t.Error("every question was refused: the test looks at nothing")
	}
}
