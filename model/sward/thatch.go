package sward

import "math"

// Thatch ties a thatch reading to the organic matter of a profile.
//
// Thatch and organic matter are one thing measured twice. Organic matter above
// a threshold counts as excess, and a millimetre of thatch holds a given mass
// of it:
//
//	thatch = offset + Σ max(0, organic − threshold · dry matter) ÷ mass per mm
//
// summed over the four layers. The offset makes the first year agree with the
// reading, since no two people stop their ruler at the same shade of brown.
// Undressed growth thus comes out as net organic matter over mass per
// millimetre, and sand slows it by the threshold's share of its own weight.
type Thatch struct {
	OffsetMM float64
	// LeastMM is the depth below which this sward does not fall.
	LeastMM float64
	// DriftMMPerYear moves the offset for DriftYears more years: what a trial read
	// with a ruler beyond what its organic matter accounts for.
	DriftMMPerYear float64
	DriftYears     int
}

// yearOn is the tie a year on.
func (t Thatch) yearOn() Thatch {
	if t.DriftYears > 0 {
		t.OffsetMM += t.DriftMMPerYear
		t.DriftYears--
	}
	return t
}

// thatchOf fits the offset to a reading.
func thatchOf(readingMM float64, profile Profile, p *TurfParameters) Thatch {
	return Thatch{
		OffsetMM: readingMM - excessMM(&profile, p),
		LeastMM:  math.Min(readingMM, p.ThatchLeastMM),
	}
}

// depthMM is the thatch of a profile.
func (t Thatch) depthMM(profile *Profile, p *TurfParameters) float64 {
	return math.Max(t.LeastMM, t.OffsetMM+excessMM(profile, p))
}

// excessMM is a profile's organic matter above the threshold as a depth of
// thatch.
func excessMM(profile *Profile, p *TurfParameters) float64 {
	kg, threshold := 0.0, p.ThatchThresholdPct/100
	for _, l := range profile {
		kg += math.Max(0, l.OrganicKGPerM2-threshold*(l.OrganicKGPerM2+l.MineralKGPerM2))
	}
	return kg / p.ThatchOrganicMatterKGPerM2PerMM
}
