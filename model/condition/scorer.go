package condition

import (
	"math"

	"swardcase/model/fault"
)

// Scorer values measures on checked scales. It is cheap to use: a forecast that
// wants the index of every year makes one Scorer and calls Index.
type Scorer struct {
	scales  [measureCount]ValueScale
	weights [measureCount]float64
	// infiltrationFactor turns a ring rate into what the scale is entered with.
	infiltrationFactor float64
	// from holds the least index of sound, fair and poor.
	from [3]float64
}

// Values holds one value per measure; nil means not measured.
type Values struct {
	InfiltrationMMPerH   *float64
	ThatchDepthMM        *float64
	AnnualMeadowGrassPct *float64
	MonthsPlayable       *float64
}

func (v Values) list() [measureCount]*float64 {
	return [measureCount]*float64{v.InfiltrationMMPerH, v.ThatchDepthMM, v.AnnualMeadowGrassPct, v.MonthsPlayable}
}

// NewScorer completes and checks the scales. Pointers of the faults are relative
// to the scales.
func NewScorer(scales Scales, p Parameters) (Scorer, fault.List) {
	complete, faults := scales.Complete(p)
	if len(faults) > 0 {
		return Scorer{}, faults
	}
	s := Scorer{infiltrationFactor: 1}
	for at, slot := range complete.slots() {
		s.scales[at] = **slot
		s.weights[at] = *(*slot).Weight
	}
	if complete.InfiltrationReads == WetSurfaceRate {
		s.infiltrationFactor = p.WetSurfaceToRingRatio
	}
	s.from = [3]float64{*complete.SoundFromIndex, *complete.FairFromIndex, *complete.PoorFromIndex}
	return s, nil
}

// entered is what the scale of the measure at a place is entered with.
func (s Scorer) entered(at int, value float64) float64 {
	if at == infiltrationAt {
		value *= s.infiltrationFactor
	}
	return value
}

// score values the measure at a place, from 0 to 100.
func (s Scorer) score(at int, value float64) float64 {
	return s.scales[at].score(s.entered(at, value))
}

// shares are the weights of what was measured, divided by their sum; 0 for what
// was not. It is false when they sum to zero.
func (s Scorer) shares(values [measureCount]*float64) (shares [measureCount]float64, ok bool) {
	total := 0.0
	for at, value := range values {
		if value != nil {
			shares[at] = s.weights[at]
			total += shares[at]
		}
	}
	if !(total > 0) {
		return shares, false
	}
	for at := range shares {
		shares[at] /= total
	}
	return shares, true
}

// Index is the weighted mean of the scores of what was measured, from 0 to 100.
// It is false when nothing that carries weight was measured. Values must be
// finite.
func (s Scorer) Index(values Values) (float64, bool) {
	return s.indexOf(values.list())
}

func (s Scorer) indexOf(values [measureCount]*float64) (float64, bool) {
	var scores [measureCount]float64
	weights := s.weights
	for at, value := range values {
		if value == nil {
			weights[at] = 0
			continue
		}
		scores[at] = s.score(at, *value)
	}
	return weightedMean(weights[:], scores[:])
}

// Grade puts an index in words.
func (s Scorer) Grade(index float64) Grade {
	names := grades()
	for i, from := range s.from {
		if index >= from {
			return names[i]
		}
	}
	return Failing
}

// weightedMean is the weighted sum model, Σ w·x with the weights divided by their
// sum: the additive rule of every textbook of multi-criteria scoring (as in
// Triantaphyllou 2000). It is false when the weights sum to zero. Every step is
// monotone in floating point, so a higher score never gives a lower mean; the
// result is held to 0 to 100, which rounding could leave by one part in 10¹⁶.
func weightedMean(weights, scores []float64) (float64, bool) {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	if !(total > 0) {
		return 0, false
	}
	sum := 0.0
	for i, w := range weights {
		sum += w / total * scores[i]
	}
	return min(max(sum, 0), topScore), true
}

// quadrature adds independent one-sided deviations: the square root of the sum of
// their squares.
func quadrature(deviations []float64) float64 {
	sum := 0.0
	for _, d := range deviations {
		sum += d * d
	}
	return math.Sqrt(sum)
}

// compareIndices orders indices, lowest first, and is zero for a tie: two that are
// equal to nine decimals are equal, since the tenth is only rounding. Callers
// break ties by name, so that no order of readings decides.
func compareIndices(a, b float64) int {
	const ninth = 1e9
	switch x, y := math.Round(a*ninth), math.Round(b*ninth); {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// Part is one measure's share in an index.
type Part struct {
	Measure string
	Value   float64
	Score   float64
	Weight  float64 // divided by the sum of the weights of what was measured
	// Entered is what the scale is entered with: the value, or the wet-surface rate
	// of a ring rate where the scale reads that.
	Entered float64
	// Below and Above are the corners of the scale that the score lies between; the
	// same one twice where the value is beyond the first or the last.
	Below, Above ScalePoint
}

// Parts are what Index is the weighted mean of, in the order of the measures.
func (s Scorer) Parts(values Values) []Part {
	shares, ok := s.shares(values.list())
	if !ok {
		return nil
	}
	var parts []Part
	for at, value := range values.list() {
		if value != nil {
			part := Part{
				Measure: string(natureOf(at).measure), Value: *value, Score: s.score(at, *value), Weight: shares[at], Entered: s.entered(at, *value),
			}
			part.Below, part.Above = s.scales[at].corners(part.Entered)
			parts = append(parts, part)
		}
	}
	return parts
}
