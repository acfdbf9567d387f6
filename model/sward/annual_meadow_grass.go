package sward

import "math"

// Invasion is how annual meadow grass spreads into a sward.
type Invasion struct {
	StartPct   float64 // share of the sward at the start, 0 to 100
	CeilingPct float64 // share that this green's moisture and feeding let it reach
	RatePerY   float64 // intrinsic rate of the logistic, per year
	// FallPctPointsPerY bounds how fast it can fall back where it starts above
	// the ceiling, in percentage points a year.
	FallPctPointsPerY float64
	// LeastPct is the share that blown and buried seed keeps up; it lets a sward
	// that starts without the grass be invaded. At 0 such a sward stays clean.
	LeastPct float64
}

// After is the share of annual meadow grass after so many years, in per cent:
// logistic growth from the start towards the ceiling,
//
//	A(t) = C / (1 + (C/A₀ − 1)·exp(−r·t)),
//
// the S-shape that greens kept for decades show (from memory of growth theory:
// Verhulst 1838). A sward that starts above its ceiling falls by no more than
// the given points a year and not below the ceiling. After splits: two years
// are one year twice, so a rate or a ceiling may change from year to year.
func (i Invasion) After(years float64) float64 {
	start := max(i.StartPct, i.LeastPct)
	if start <= 0 {
		return 0
	}
	if start >= i.CeilingPct {
		return max(i.CeilingPct, start-i.FallPctPointsPerY*years)
	}
	return i.CeilingPct / (1 + (i.CeilingPct/start-1)*math.Exp(-i.RatePerY*years))
}

// invasion is the spread in one year of a sward's life.
//
// The ceiling and the rate run in a straight line from those of a dry and lean
// green to those of a wet one. The rate rises with organic matter at the
// surface above the thatch threshold, which stays wet longer, and with the share
// of the surface opened, which is a seedbed:
//
//	rate = (dry + (wet − dry) · wetness) · (1 + a · organic matter above the threshold) · (1 + b · share opened)
//
// All four are judgement; coring is credited with no fall of its own.
func (t *TurfParameters) invasion(startPct, organicMatterPct float64, y *Year) Invasion {
	between := func(dry, wet float64) float64 { return dry + (wet-dry)*y.Wetness }
	rate := between(t.AnnualMeadowGrassRateDryPerYear, t.AnnualMeadowGrassRateWetPerYear)
	rate *= 1 + t.AnnualMeadowGrassRatePerOrganicMatterPct*max(0, organicMatterPct-t.ThatchThresholdPct)
	rate *= 1 + t.AnnualMeadowGrassRatePerDisturbedShare*min(1, y.DisturbedAreaPct/100)
	return Invasion{
		StartPct:          startPct,
		CeilingPct:        between(t.AnnualMeadowGrassCeilingDryPct, t.AnnualMeadowGrassCeilingWetPct),
		RatePerY:          rate,
		FallPctPointsPerY: y.AnnualMeadowGrassFallPctPoints,
		LeastPct:          t.AnnualMeadowGrassLeastPct,
	}
}
