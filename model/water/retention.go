package water

import "math"

// Retention is how a material holds water against tension: the curve of van
// Genuchten 1980, Soil Science Society of America Journal 44:892-898, with m = 1 −
// 1/n.
type Retention struct {
	// ResidualShare and SaturatedShare are volumes of water in a volume of
	// material, 0 to 1.
	ResidualShare  float64 `json:"residual_share"`
	SaturatedShare float64 `json:"saturated_share"`
	AlphaPerM      float64 `json:"alpha_per_m"`
	// N has no unit and is above 1.
	N float64 `json:"n"`
}

// RootZone is the retention of a new root zone that has not been tested.
func (p Parameters) RootZone() Retention {
	return Retention{
		ResidualShare: p.RootZoneResidualShare, SaturatedShare: p.RootZoneSaturatedShare,
		AlphaPerM: p.RootZoneAlphaPerM, N: p.RootZoneN,
	}
}

// WaterShare is the volume of water in a volume of material at a tension given as
// metres of water, 0 or more.
func (r Retention) WaterShare(tensionM float64) float64 {
	m := 1 - 1/r.N
	return r.ResidualShare + (r.SaturatedShare-r.ResidualShare)*math.Pow(1+math.Pow(r.AlphaPerM*tensionM, r.N), -m)
}

// PerchedMM is the water that a layer goes on holding once it has drained over a
// much coarser one, mm: the tension is nothing at the interface and rises by the
// height above it, and the curve is summed over the layer (Simpson's rule, 200
// strips).
func (r Retention) PerchedMM(depthMM float64) float64 {
	const strips = 200
	height := depthMM / 1000 / strips
	sum := r.WaterShare(0) + r.WaterShare(depthMM/1000)
	for i := 1; i < strips; i++ {
		weight := 2.0
		if i%2 == 1 {
			weight = 4
		}
		sum += weight * r.WaterShare(float64(i)*height)
	}
	return sum * height / 3 * 1000
}

// GravityStoreMM is the water that the layer gives up to gravity from full, mm:
// the gravity store of a layered rebuild whose root zone lies on gravel.
func (r Retention) GravityStoreMM(depthMM float64) float64 {
	return r.SaturatedShare*depthMM - r.PerchedMM(depthMM)
}
