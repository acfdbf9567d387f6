package sward

import (
	"math"
)

// Pace is how a green's sward is known to move in a year, negative for a fall.
// What was not measured is nil.
type Pace struct {
	// OrganicMatterPctPoints is of organic matter by weight in the top 20 mm.
	OrganicMatterPctPoints *float64
	ThatchMM               *float64
}

// GrowthMatch is how much more or less organic matter a green makes than the
// usual one, so that its sward moves as its owner says.
type GrowthMatch struct {
	OrganicMatterMultiplier float64
	// By is what the multiplier was matched to; it falls short where Met is false.
	By  Measure
	Met bool
	// OrganicMatterPctPointsPerYear and ThatchMMPerYear are what comes out.
	OrganicMatterPctPointsPerYear float64
	ThatchMMPerYear               float64
	// ThatchDriftMMPerYear is what the known pace of thatch has beyond that which
	// comes out, where organic matter rules and both are known.
	ThatchDriftMMPerYear float64
}

// Start is a sward from which the match holds: where both paces are known, its
// thatch moves at the known one over the years of the match, and on from there
// with its organic matter.
func (m GrowthMatch) Start(s State) State {
	s.Thatch.DriftMMPerYear, s.Thatch.DriftYears = m.ThatchDriftMMPerYear, matchYears
	return s
}

// Measure is what a green's growth is matched to.
type Measure string

// The measures of growth.
const (
	ByNothing       Measure = "nothing"
	ByOrganicMatter Measure = "organic_matter"
	ByThatch        Measure = "thatch"
)

// matchYears is the span over which a green's own pace is compared: the first
// year alone still carries the shape of the profile that was assumed.
const matchYears = 5

// How near a pace has to come, in mm and in per cent points a year.
const (
	metWithinMM        = 0.05
	metWithinPctPoints = 0.02
)

// mostPctPointsPerYear is beyond any pace of organic matter.
const mostPctPointsPerYear = 100

// MatchGrowth finds the organic matter that this green must be making under its
// present programme for its sward to move at a known pace over the next five
// years. Without it a green thatchier than most would mend by itself, since usual
// growth would be set against its sand.
//
// Where the pace of organic matter is known it rules: a laboratory's figure is
// worth more than a ruler's, and it is organic matter that seals the surface and
// feeds annual meadow grass. Thatch follows from it, or drifts at its own pace
// where that is known too. Where only the pace of thatch is known, it rules.
// Both rise with the multiplier, so halving between the limits of the assumptions
// finds it; the multiplier of present is ignored, and a pace of nothing known
// gives 1. The error is a fault.List.
func MatchGrowth(start State, present Year, pace Pace, turf TurfParameters) (GrowthMatch, error) {
	present.OrganicMatterMultiplier = 1
	faults := checkFollow(start, []Year{present}, turf)
	if p := pace.OrganicMatterPctPoints; p != nil {
		checkNumber(&faults, "/organic_matter_change_pct_points_per_year", *p, -mostPctPointsPerYear, mostPctPointsPerYear)
	}
	if p := pace.ThatchMM; p != nil {
		checkNumber(&faults, "/thatch_change_mm_per_year", *p, -mostThatchMM, mostThatchMM)
	}
	if err := faults.Err(); err != nil {
		return GrowthMatch{}, err
	}
	at := func(multiplier float64) GrowthMatch { return start.growthAt(present, multiplier, &turf) }
	out := at(1)
	switch {
	case pace.OrganicMatterPctPoints != nil:
		wanted := *pace.OrganicMatterPctPoints
		out = at(matched(&turf, func(x float64) bool { return at(x).OrganicMatterPctPointsPerYear < wanted }))
		out.By, out.Met = ByOrganicMatter, math.Abs(out.OrganicMatterPctPointsPerYear-wanted) <= metWithinPctPoints
		if pace.ThatchMM != nil {
			out.ThatchDriftMMPerYear = *pace.ThatchMM - out.ThatchMMPerYear
		}
	case pace.ThatchMM != nil:
		wanted := *pace.ThatchMM
		out = at(matched(&turf, func(x float64) bool { return at(x).ThatchMMPerYear < wanted }))
		out.By, out.Met = ByThatch, math.Abs(out.ThatchMMPerYear-wanted) <= metWithinMM
	default:
		out.By, out.Met = ByNothing, true
	}
	return out, nil
}

// matched halves the span of multipliers until what is too small and what is not
// meet.
func matched(turf *TurfParameters, tooSmall func(multiplier float64) bool) float64 {
	low, high := turf.GrowthMatchLeastRatio, turf.GrowthMatchMostRatio
	for range 40 {
		if middle := (low + high) / 2; tooSmall(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// growthAt is the mean pace of a sward that makes so many times the usual organic
// matter.
func (s State) growthAt(y Year, multiplier float64, turf *TurfParameters) GrowthMatch {
	y.OrganicMatterMultiplier = multiplier
	thatch, organic := s.Thatch.depthMM(&s.Profile, turf), s.Profile[0].OrganicMatterPct()
	for range matchYears {
		s = s.nextYear(&y, turf)
	}
	return GrowthMatch{
		OrganicMatterMultiplier:       multiplier,
		OrganicMatterPctPointsPerYear: (s.Profile[0].OrganicMatterPct() - organic) / matchYears,
		ThatchMMPerYear:               (s.Thatch.depthMM(&s.Profile, turf) - thatch) / matchYears,
	}
}
