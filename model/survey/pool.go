package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Why an estimate has no value or no interval.
const (
	notMeasured     = "not measured"
	bareValue       = "a bare value was given, without the readings behind it"
	nothingPooled   = "no reading could be used"
	oneReading      = "one reading shows no spread"
	nothingToRelate = "there are no readings to compare"
)

// sample is one reading on the scale on which readings are averaged.
type sample struct {
	position string
	value    float64
}

// sorted orders samples by position, then value, so that a pool is summed in
// the same order however its readings were listed.
func sorted(samples []sample) []sample {
	slices.SortFunc(samples, func(a, b sample) int {
		return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.value, b.value))
	})
	return samples
}

func values(samples []sample) []float64 {
	out := make([]float64, len(samples))
	for i, s := range samples {
		out[i] = s.value
	}
	return out
}

// runs cuts a sorted list into runs of readings that have the same key.
func runs[T any, K comparable](sorted []T, key func(T) K) [][]T {
	var out [][]T
	start := 0
	for i := range sorted {
		if i+1 == len(sorted) || key(sorted[i+1]) != key(sorted[i]) {
			out = append(out, sorted[start:i+1])
			start = i + 1
		}
	}
	return out
}

// positions cuts sorted readings into one run for each position. Readings that
// name none come first in the order and are left out.
func positions[T any](sorted []T, position func(T) string) [][]T {
	out := runs(sorted, position)
	if len(out) > 0 && position(out[0][0]) == "" {
		return out[1:]
	}
	return out
}

func positionOf(s sample) string { return s.position }

// scale says how a kind of reading is averaged: what brings a mean back to the
// unit that is reported, where the quantity can lie, and which end is worse.
type scale struct {
	back       func(float64) float64
	within     limit
	lowIsWorse bool
}

var (
	// Rates through soil spread log-normally: they are averaged as logarithms,
	// so the estimate is the geometric mean, which a single fast reading along a
	// tine hole or crack cannot carry away.
	rateScale   = scale{back: math.Exp, within: rateLimit, lowIsWorse: true}
	thatchScale = scale{back: identity, within: thatchLimit}
	layerScale  = scale{back: identity, within: limit{0, 100, "%"}}
	// A ratio of two rates is bounded by the ends of the range of rates.
	ratioScale = scale{back: math.Exp, within: limit{0, rateLimit.high / rateLimit.low, ""}, lowIsWorse: true}
)

func identity(x float64) float64 { return x }

// one pools samples into a value and, from two readings on, Student's interval
// for the mean on the scale of averaging.
func (e *estimator) one(samples []sample, s scale) (float64, *Interval) {
	mean, half := e.meanAndHalfWidth(values(samples))
	value := min(s.back(mean), s.within.high) // the way back may round upwards
	if len(samples) < 2 {
		return value, nil
	}
	return value, e.interval(s.back(mean-half), value, s.back(mean+half), s.within)
}

// pool makes the estimate of the whole green and of each position.
func (e *estimator) pool(samples []sample, s scale) Estimate {
	if len(samples) == 0 {
		return missing(notMeasured)
	}
	samples = sorted(samples)
	value, interval := e.one(samples, s)
	out := Estimate{Value: &value, Interval: interval, Readings: len(samples), Notes: []string{}}
	if interval == nil {
		out.IntervalMissingBecause = oneReading
	}
	out.ByPosition = e.byPosition(samples, s)
	out.WorstPosition = worst(out.ByPosition, s.lowIsWorse)
	return out
}

// byPosition wants its samples sorted.
func (e *estimator) byPosition(samples []sample, s scale) []PositionEstimate {
	out := []PositionEstimate{}
	for _, run := range positions(samples, positionOf) {
		value, interval := e.one(run, s)
		out = append(out, PositionEstimate{run[0].position, value, interval, len(run)})
	}
	return out
}

// worst names the position with the worst value, the first by name of equals;
// none when fewer than two positions were told apart.
func worst(by []PositionEstimate, lowIsWorse bool) string {
	if len(by) < 2 {
		return ""
	}
	at := 0
	for i, p := range by {
		if p.Value != by[at].Value && (p.Value < by[at].Value) == lowIsWorse {
			at = i
		}
	}
	return by[at].Position
}

// missing is the estimate of a measure without a value.
func missing(because string) Estimate {
	return Estimate{IntervalMissingBecause: because, ByPosition: []PositionEstimate{}, Notes: []string{}}
}

// bare is the estimate of a value given without readings.
func bare(value float64) Estimate {
	out := missing(bareValue)
	out.Value = &value
	return out
}

// counted writes "1 core" or "3 cores".
func counted(n int, singular, plural string) string {
	if n == 1 {
		return "1 " + singular
	}
	return fmt.Sprintf("%d %s", n, plural)
}
