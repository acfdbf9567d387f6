package sward

import (
	"math"
)

// GrowthMatch is how much more or less organic matter a green makes than the
// usual one, so that its thatch moves as its owner says.
type GrowthMatch struct {
	OrganicMatterMultiplier float64
	// ThatchChangeMMPerYear is what comes out; it falls short of what was asked
	// where Met is false.
	ThatchChangeMMPerYear float64
	Met                   bool
}

// matchYears is the span over which a green's own pace is compared: the first
// year alone still carries the shape of the profile that was assumed.
const matchYears = 5

// metWithinMM is how near the pace has to come, in mm a year.
const metWithinMM = 0.05

// MatchGrowth finds the organic matter that this green must be making under its
// present programme for its thatch to change by so many millimetres a year over
// the next five. Without it a green thatchier than most would mend by itself,
// since usual growth would be set against its sand. Thatch rises with the
// multiplier, so halving between the limits of the assumptions finds it; the
// multiplier of present is ignored. The error is a fault.List.
func MatchGrowth(start State, present Year, thatchChangeMMPerYear float64, turf TurfParameters) (GrowthMatch, error) {
	present.OrganicMatterMultiplier = 1
	faults := checkFollow(start, []Year{present}, turf)
	checkNumber(&faults, "/thatch_change_mm_per_year", thatchChangeMMPerYear, -mostThatchMM, mostThatchMM)
	if err := faults.Err(); err != nil {
		return GrowthMatch{}, err
	}
	low, high := turf.GrowthMatchLeastRatio, turf.GrowthMatchMostRatio
	for range 40 {
		middle := (low + high) / 2
		if start.thatchPace(present, middle, &turf) < thatchChangeMMPerYear {
			low = middle
		} else {
			high = middle
		}
	}
	m := GrowthMatch{OrganicMatterMultiplier: (low + high) / 2}
	m.ThatchChangeMMPerYear = start.thatchPace(present, m.OrganicMatterMultiplier, &turf)
	m.Met = math.Abs(m.ThatchChangeMMPerYear-thatchChangeMMPerYear) <= metWithinMM
	return m, nil
}

// thatchPace is the mean change of thatch in mm a year.
func (s State) thatchPace(y Year, multiplier float64, turf *TurfParameters) float64 {
	y.OrganicMatterMultiplier = multiplier
	before := s.Thatch.depthMM(&s.Profile, turf)
	for range matchYears {
		s = s.nextYear(&y, turf)
	}
	return (s.Thatch.depthMM(&s.Profile, turf) - before) / matchYears
}
