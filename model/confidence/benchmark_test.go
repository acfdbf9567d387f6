package confidence

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// manyInputs are inputs of every lean, so that no two share a table.
func manyInputs(n int, shape Shape) []Input {
	inputs := make([]Input, n)
	for i := range inputs {
		share := float64(i) / float64(max(1, n-1))
		inputs[i] = Input{Name: fmt.Sprintf("input %d", i), Unit: "1", Low: 10, Likely: 10 + 20*share, High: 30, Shape: shape}
	}
	return inputs
}

// sumStudy compares options whose outcomes are cheap sums of the draw.
func sumStudy(inputs []Input, options, outcomes int) Study {
	s := Study{Inputs: inputs, RankBy: "outcome 0", NewEvaluate: func() Evaluate {
		return func(draw, out []float64) {
			for o := range options {
				for k := range outcomes {
					total := 0.0
					for i := o; i < len(draw); i += options {
						total += draw[i]
					}
					out[o*outcomes+k] = total + float64(k)
				}
			}
		}
	}}
	for o := range options {
		s.Options = append(s.Options, Option{fmt.Sprintf("option %d", o), true})
	}
	for k := range outcomes {
		s.Outcomes = append(s.Outcomes, Outcome{fmt.Sprintf("outcome %d", k), "1"})
	}
	return s
}

func BenchmarkPrepareSampler(b *testing.B) {
	inputs := manyInputs(40, PERT)
	b.ReportAllocs()
	for b.Loop() {
		newSampler(inputs, 1, defaults)
	}
}

// BenchmarkSample draws 10,000 times 40 inputs.
func BenchmarkSample(b *testing.B) {
	for _, shape := range []Shape{PERT, Triangular} {
		b.Run(string(shape), func(b *testing.B) {
			const draws, count = 10000, 40
			sampler := newSampler(manyInputs(count, shape), 1, defaults)
			draw := make([]float64, count)
			b.ReportAllocs()
			for b.Loop() {
				for i := range draws {
					sampler.Draw(i, draw)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/draws/count, "ns/input-draw")
		})
	}
}

// BenchmarkRun makes 10,000 draws of 40 inputs for 8 options with 5 outcomes.
func BenchmarkRun(b *testing.B) {
	study := sumStudy(manyInputs(40, PERT), 8, 5)
	atLeast := 90.0
	study.Requirements = []Requirement{{Outcome: "outcome 1", AtLeast: &atLeast}, {Outcome: "outcome 2", AtLeast: &atLeast}}
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("%d workers", workers), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := study.Run(b.Context(), Settings{Draws: 10000, Workers: workers}, defaults); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkSort sorts 10,000 numbers by digits, and by comparison.
func BenchmarkSort(b *testing.B) {
	values := make([]float64, 10000)
	for i := range values {
		values[i] = 1e5 * (math.Sqrt(uniform(streamWord(1, uint64(i)))) - 0.3)
	}
	working, scratch := make([]float64, len(values)), make([]float64, len(values))
	b.Run("digits", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			copy(working, values)
			sortFloats(working, scratch)
		}
	})
	b.Run("comparison", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			copy(working, values)
			slices.Sort(working)
		}
	})
}
