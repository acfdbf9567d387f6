package condition

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Scales says how the measures are valued. What is left out keeps its default:
// weights and grade limits come from the assumptions, points from this package.
type Scales struct {
	InfiltrationMMPerH   *ValueScale `json:"infiltration_mm_per_h,omitempty"`
	ThatchDepthMM        *ValueScale `json:"thatch_depth_mm,omitempty"`
	AnnualMeadowGrassPct *ValueScale `json:"annual_meadow_grass_pct,omitempty"`
	MonthsPlayable       *ValueScale `json:"months_playable,omitempty"`
	// InfiltrationReads is RingRate (the default) or WetSurfaceRate.
	InfiltrationReads string   `json:"infiltration_reads,omitempty"`
	SoundFromIndex    *float64 `json:"sound_from_index,omitempty"`
	FairFromIndex     *float64 `json:"fair_from_index,omitempty"`
	PoorFromIndex     *float64 `json:"poor_from_index,omitempty"`
}

// What the infiltration scale is entered with.
const (
	RingRate       = "ring_rate"
	WetSurfaceRate = "wet_surface_rate"
)

// ValueScale turns one measure into a score. Weight is from 0 to 1 and is divided
// by the sum of the weights of what was measured.
type ValueScale struct {
	Weight *float64     `json:"weight,omitempty"`
	Points []ScalePoint `json:"points,omitempty"`
}

// ScalePoint is one corner of a piecewise-linear scale: Value in the measure's
// unit, Score from 0 to 100. Beyond the first and last points the score stays at
// theirs.
type ScalePoint struct {
	Value float64 `json:"value"`
	Score float64 `json:"score"`
}

// The bounds of a scale, as in the contract.
const (
	leastPoints = 2
	mostPoints  = 20
	mostValue   = 2000
	topScore    = 100
)

// defaultPoints gives the built-in scale of a measure: common practice and
// judgement, no source, apart from what the package comment argues for the
// infiltration. Annual meadow grass keeps a floor above zero, since many good
// parkland greens are more than half of it.
func defaultPoints(at int) []ScalePoint {
	switch at {
	case infiltrationAt:
		return []ScalePoint{{1, 0}, {5, 25}, {10, 45}, {20, 65}, {50, 90}, {100, 100}}
	case thatchDepthAt:
		return []ScalePoint{{8, 100}, {12, 80}, {20, 50}, {30, 20}, {45, 0}}
	case annualMeadowGrassAt:
		return []ScalePoint{{10, 100}, {30, 85}, {50, 65}, {75, 40}, {100, 20}}
	default:
		return []ScalePoint{{6, 0}, {8, 25}, {9, 45}, {10, 65}, {11, 85}, {12, 100}}
	}
}

// Complete returns the scales with every default written in, ready to be shown or
// stored, and every fault of what was given. Pointers are relative to the scales.
func (s Scales) Complete(p Parameters) (Scales, fault.List) {
	var faults fault.List
	weights := [measureCount]float64{p.WeightInfiltration, p.WeightThatchDepth, p.WeightAnnualMeadowGrass, p.WeightMonthsPlayable}
	total := 0.0
	for at, slot := range s.slots() {
		complete := completeScale(*slot, at, weights[at])
		faults.Under("/"+string(natureOf(at).measure), complete.check(natureOf(at)))
		total += *complete.Weight
		*slot = &complete
	}
	if len(faults) == 0 && total == 0 {
		faults.Add("", nil, "every weight is zero", "give at least one measure a weight above 0")
	}
	switch s.InfiltrationReads {
	case "":
		s.InfiltrationReads = RingRate
	case RingRate, WetSurfaceRate:
	default:
		faults.Add("/infiltration_reads", s.InfiltrationReads, "not something the scale can read",
			"write ring_rate or wet_surface_rate")
	}
	s.SoundFromIndex = orElse(s.SoundFromIndex, p.SoundFromIndex)
	s.FairFromIndex = orElse(s.FairFromIndex, p.FairFromIndex)
	s.PoorFromIndex = orElse(s.PoorFromIndex, p.PoorFromIndex)
	faults.Under("", s.checkLimits())
	return s, faults
}

// slots gives the four scales in the fixed order, to be read or replaced.
func (s *Scales) slots() [measureCount]**ValueScale {
	return [measureCount]**ValueScale{&s.InfiltrationMMPerH, &s.ThatchDepthMM, &s.AnnualMeadowGrassPct, &s.MonthsPlayable}
}

// checkLimits wants 100 ≥ sound > fair > poor ≥ 0.
func (s Scales) checkLimits() fault.List {
	var faults fault.List
	limits := []struct {
		name  string
		value float64
	}{{"sound_from_index", *s.SoundFromIndex}, {"fair_from_index", *s.FairFromIndex}, {"poor_from_index", *s.PoorFromIndex}}
	for i, limit := range limits {
		pointer := "/" + limit.name
		switch {
		case !within(limit.value, 0, topScore):
			faults.Add(pointer, limit.value, "a grade limit lies from 0 to 100", "give an index from 0 to 100")
		case i > 0 && !(limit.value < limits[i-1].value):
			faults.Add(pointer, limit.value,
				fmt.Sprintf("must be below %s, which is %g", limits[i-1].name, limits[i-1].value),
				"give limits that fall from sound to fair to poor")
		}
	}
	return faults
}

// completeScale copies a scale and writes in what it leaves out.
func completeScale(given *ValueScale, at int, weight float64) ValueScale {
	out := ValueScale{Weight: &weight}
	if given != nil {
		out.Weight = orElse(given.Weight, weight)
		out.Points = append(out.Points, given.Points...)
	}
	if len(out.Points) == 0 {
		out.Points = defaultPoints(at)
	}
	return out
}

// check finds what is wrong with a complete scale for a measure of that nature.
func (v ValueScale) check(n nature) fault.List {
	var faults fault.List
	if !within(*v.Weight, 0, 1) {
		faults.Add("/weight", *v.Weight, "a weight lies from 0 to 1", "give a weight from 0 to 1; weights are divided by their sum")
	}
	if len(v.Points) < leastPoints || len(v.Points) > mostPoints {
		faults.Add("/points", len(v.Points), "a scale has from 2 to 20 points", "give from 2 to 20 points, in order of value")
		return faults
	}
	for i, point := range v.Points {
		if !within(point.Value, 0, mostValue) {
			faults.Add(fault.Pointer("points", i, "value"), point.Value, "outside what a scale can hold", "give a value from 0 to 2000")
		}
		if !within(point.Score, 0, topScore) {
			faults.Add(fault.Pointer("points", i, "score"), point.Score, "outside what a scale can hold", "give a score from 0 to 100")
		}
	}
	if len(faults) == 0 {
		faults.Under("", v.checkOrder(n))
	}
	return faults
}

// checkOrder wants values that rise strictly and scores that move strictly in the
// measure's own direction.
func (v ValueScale) checkOrder(n nature) fault.List {
	var faults fault.List
	rises, falls := 0, 0
	for i := 1; i < len(v.Points); i++ {
		before, here := v.Points[i-1], v.Points[i]
		if here.Value <= before.Value {
			faults.Add(fault.Pointer("points", i, "value"), here.Value,
				fmt.Sprintf("must be above the value before it, which is %g", before.Value), "list the points in order of value, each value once")
		}
		switch {
		case here.Score > before.Score:
			rises++
		case here.Score < before.Score:
			falls++
		}
	}
	steps := len(v.Points) - 1
	better, right := "fall: less is better", falls
	if n.rising {
		better, right = "rise: more is better", rises
	}
	switch {
	case rises != steps && falls != steps:
		faults.Add("/points", nil, "the scores neither all rise nor all fall", "make each score of "+n.words+" "+better)
	case right != steps:
		faults.Add("/points", nil, "the scores run the wrong way for "+n.words, "make the scores "+better)
	}
	return faults
}

// score reads a checked scale at a value. Between two points it is held to their
// scores, so that rounding cannot make it fall where the scale rises.
func (v ValueScale) score(value float64) float64 {
	a, b := v.corners(value)
	if a == b {
		return a.Score
	}
	s := a.Score + (b.Score-a.Score)*(value-a.Value)/(b.Value-a.Value)
	return min(max(s, min(a.Score, b.Score)), max(a.Score, b.Score))
}

// corners are the two points of a checked scale that a value lies between: the
// same one twice at a point, and beyond the first or the last.
func (v ValueScale) corners(value float64) (below, above ScalePoint) {
	for i, point := range v.Points {
		switch {
		case value == point.Value || i == 0 && value < point.Value:
			return point, point
		case value < point.Value:
			return v.Points[i-1], point
		}
	}
	last := v.Points[len(v.Points)-1]
	return last, last
}

// within reports whether a value is a number from low to high; NaN is not.
func within(value, low, high float64) bool { return value >= low && value <= high }

func finite(value float64) bool { return !math.IsNaN(value) && !math.IsInf(value, 0) }

// orElse gives a fresh pointer to the value pointed at, or to the fallback.
func orElse(value *float64, fallback float64) *float64 {
	if value != nil {
		fallback = *value
	}
	return &fallback
}
