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
}

// leastSharePct keeps the logistic from standing still: no green is free of
// annual meadow grass seed for long.
const leastSharePct = 0.1

// After is the share of annual meadow grass after so many years, in per cent:
// logistic growth from the start towards the ceiling,
//
//	A(t) = C / (1 + (C/A₀ − 1)·exp(−r·t)),
//
// the S-shape that greens kept for decades show (from memory of growth theory:
// Verhulst 1838). A sward that starts above its ceiling falls by no more than
// the given points a year and not below the ceiling.
func (i Invasion) After(years float64) float64 {
	start := max(i.StartPct, leastSharePct)
	if start >= i.CeilingPct {
		return max(i.CeilingPct, i.StartPct-i.FallPctPointsPerY*years)
	}
	return i.CeilingPct / (1 + (i.CeilingPct/start-1)*math.Exp(-i.RatePerY*years))
}
