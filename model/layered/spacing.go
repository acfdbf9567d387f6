package layered

import "math"

// SteadyDrainage is the steady flow of rain to parallel drains. Lengths in m,
// conductivities and recharge in m/day.
type SteadyDrainage struct {
	AboveMPerDay    float64 // conductivity of the soil above drain level
	BelowMPerDay    float64 // conductivity of the soil below drain level
	HeadM           float64 // water table midway between drains, above drain level
	BelowDrainM     float64 // drain level to what lets nothing through; 0 when the drain stands on it
	DrainRadiusM    float64 // of a pipe; wetted perimeter ÷ π of a trench
	RechargeMPerDay float64 // rain that must be taken away
}

// EquivalentDepth gives the depth (m) of an imaginary layer below drain level
// that resists horizontal flow as much as the true layer of depth belowM resists
// flow that converges on the drain.
type EquivalentDepth func(belowM, spacingM, radiusM float64) float64

// EquivalentDepthSeries is the exact series (van der Molen and Wesseling 1991;
// Ritzema (ed.) 1994, Drainage Principles and Applications, eq. 8.9 to 8.13).
// It gives 2 to 3 % less than the printed tables of Hooghoudt.
func EquivalentDepthSeries(belowM, spacingM, radiusM float64) float64 {
	if belowM <= 0 {
		return 0
	}
	spacingM = apart(spacingM, radiusM)
	x := 2 * math.Pi * belowM / spacingM
	f := math.Pi*math.Pi/(4*x) + math.Log(x/(2*math.Pi))
	if x > 0.5 {
		f = 0
		for n := 1; n < 100; n += 2 {
			e := math.Exp(-2 * float64(n) * x)
			f += 4 * e / (float64(n) * (1 - e))
			if e < 1e-16 {
				break
			}
		}
	}
	return capped(math.Pi*spacingM/8/(math.Log(spacingM/(math.Pi*radiusM))+f), belowM)
}

// EquivalentDepthMoody is Moody's closed form (1966; United States Bureau of
// Reclamation, Drainage Manual 1993, section 5-5), which reproduces the printed
// tables of Hooghoudt within 0.3 %.
func EquivalentDepthMoody(belowM, spacingM, radiusM float64) float64 {
	if belowM <= 0 {
		return 0
	}
	spacingM = apart(spacingM, radiusM)
	ratio := belowM / spacingM
	if ratio > 0.31 {
		return capped(spacingM/(8/math.Pi*(math.Log(spacingM/radiusM)-1.15)), belowM)
	}
	c := 3.55 - 1.6*ratio + 2*ratio*ratio
	return capped(belowM/(1+ratio*(8/math.Pi*math.Log(belowM/radiusM)-c)), belowM)
}

// leastRadiiApart is where the equivalent depth of a deep soil is least in both
// forms (at e·π and e^2.15 radii). They are made for drains far apart, and would
// grow again for drains closer than that.
const leastRadiiApart = 8.6

// apart holds the spacing to the range in which the forms make sense.
func apart(spacingM, radiusM float64) float64 { return max(spacingM, leastRadiiApart*radiusM) }

// capped keeps an equivalent depth at or below the true one: near a drain as
// wide as its layer is deep the formulas run away or change sign.
func capped(depth, belowM float64) float64 {
	if !(depth > 0) || depth > belowM {
		return belowM
	}
	return depth
}

// HooghoudtSpacing returns the spacing at which drains hold the water table at
// the head, L² = (8·Kb·d·h + 4·Ka·h²)/q, and the equivalent depth d there; both
// in m. Since d grows with L more slowly than L itself, repeated substitution
// from the true depth converges.
func HooghoudtSpacing(s SteadyDrainage, equivalent EquivalentDepth) (spacingM, depthM float64) {
	depthM = s.BelowDrainM
	for range 200 {
		next := math.Sqrt((8*s.BelowMPerDay*depthM*s.HeadM + 4*s.AboveMPerDay*s.HeadM*s.HeadM) / s.RechargeMPerDay)
		if math.Abs(next-spacingM) <= 1e-9*next {
			return next, depthM
		}
		spacingM = next
		depthM = equivalent(s.BelowDrainM, spacingM, s.DrainRadiusM)
	}
	return spacingM, depthM
}

// HooghoudtRecharge is the same relation turned round: the recharge in m/day
// that drains at a given spacing take away at the head.
func HooghoudtRecharge(s SteadyDrainage, spacingM float64, equivalent EquivalentDepth) float64 {
	d := equivalent(s.BelowDrainM, spacingM, s.DrainRadiusM)
	return (8*s.BelowMPerDay*d*s.HeadM + 4*s.AboveMPerDay*s.HeadM*s.HeadM) / (spacingM * spacingM)
}

// DonnanSpacing is the ellipse formula L = √(4K(b² − a²)/q) in m, with a the
// height of the drain and b that of the water table midway, above what lets
// nothing through (United States Bureau of Reclamation, Drainage Manual 1993,
// section 5-11). K and q in m/day.
func DonnanSpacing(conductivityMPerDay, drainHeightM, waterHeightM, rechargeMPerDay float64) float64 {
	return math.Sqrt(4 * conductivityMPerDay * (waterHeightM*waterHeightM - drainHeightM*drainHeightM) / rechargeMPerDay)
}

// TwoLayers describes drains near the boundary of two soils for Ernst's formula.
type TwoLayers struct {
	RechargeMPerDay float64
	HeadM           float64 // available, midway between drains
	UpperMPerDay    float64 // conductivity of the layer that holds the drain
	LowerMPerDay    float64
	DrainToLowerM   float64 // drain level to the lower layer
	LowerM          float64 // thickness of the lower layer
	DrainRadiusM    float64
	GeometryFactor  float64 // a, from the ratio of conductivities and thicknesses
}

// HeadLosses are the three parts of the head that Ernst's formula spends, in m.
type HeadLosses struct{ VerticalM, HorizontalM, RadialM float64 }

// Sum is the head spent in all, in m.
func (h HeadLosses) Sum() float64 { return h.VerticalM + h.HorizontalM + h.RadialM }

// ErnstLosses gives the head losses at a spacing:
// h = q·Dv/Kv + q·L²/(8·ΣKD) + q·L·ln(a·Dr/u)/(π·Kr)
// (Ritzema (ed.) 1994, eq. 8.17 to 8.23). The geometry factor a belongs inside
// the logarithm; leaving it out makes the spacing a third too wide.
func ErnstLosses(t TwoLayers, spacingM float64) HeadLosses {
	upperM := t.DrainToLowerM + t.HeadM/2
	transmissivity := t.UpperMPerDay*upperM + t.LowerMPerDay*t.LowerM
	wetted := math.Pi * t.DrainRadiusM
	return HeadLosses{
		VerticalM:   t.RechargeMPerDay * t.HeadM / t.UpperMPerDay,
		HorizontalM: t.RechargeMPerDay * spacingM * spacingM / (8 * transmissivity),
		RadialM:     t.RechargeMPerDay * spacingM * math.Log(t.GeometryFactor*t.DrainToLowerM/wetted) / (math.Pi * t.UpperMPerDay),
	}
}

// ErnstSpacing is the spacing in m at which the head losses use up the head; 0
// when vertical flow alone does. The losses are quadratic in the spacing.
func ErnstSpacing(t TwoLayers) float64 {
	one := ErnstLosses(t, 1)
	left := t.HeadM - one.VerticalM
	if left <= 0 {
		return 0
	}
	return (-one.RadialM + math.Sqrt(one.RadialM*one.RadialM+4*one.HorizontalM*left)) / (2 * one.HorizontalM)
}

// FallingWaterTable is the drawdown between drains after rain has stopped.
type FallingWaterTable struct {
	ConductivityMPerDay float64
	DepthM              float64 // equivalent depth of flow
	DrainablePorosity   float64 // as a fraction
	StartHeadM          float64
	EndHeadM            float64
}

// drawdown is ln(1.16·h0/ht); 1.16 belongs to a water table that starts as a
// parabola of the fourth degree (Ritzema (ed.) 1994, eq. 8.31 to 8.33).
func (w FallingWaterTable) drawdown() float64 { return math.Log(1.16 * w.StartHeadM / w.EndHeadM) }

// GloverDummSpacing is the spacing in m at which the water table falls in the
// given days: L = π·√(K·d·t/(μ·ln(1.16·h0/ht))).
func GloverDummSpacing(w FallingWaterTable, days float64) float64 {
	return math.Pi * math.Sqrt(w.ConductivityMPerDay*w.DepthM*days/(w.DrainablePorosity*w.drawdown()))
}

// GloverDummDays is how long the fall takes at a spacing, in days.
func GloverDummDays(w FallingWaterTable, spacingM float64) float64 {
	return w.DrainablePorosity * spacingM * spacingM * w.drawdown() / (math.Pi * math.Pi * w.ConductivityMPerDay * w.DepthM)
}
