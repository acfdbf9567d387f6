package water

import (
	"slices"

	"swardcase/model/fault"
)

// Layer is one layer of a profile.
type Layer struct {
	ThicknessMM        float64 `json:"thickness_mm"`
	ConductivityMMPerH float64 `json:"conductivity_mm_per_h"`
}

// Channels are sand-filled holes or slits from the surface down, evenly spread.
// They close from new in a straight line over their life; where that has been
// allowed for already, or they stay open, LifeYears is 0.
type Channels struct {
	AreaPct            float64 `json:"area_pct"`
	DepthMM            float64 `json:"depth_mm"`
	ConductivityMMPerH float64 `json:"conductivity_mm_per_h"`
	AgeYears           float64 `json:"age_years"`
	LifeYears          float64 `json:"life_years"`
}

// openShare is the share of the green's area that is open channel, 0 to 1.
func (c Channels) openShare() float64 {
	share := c.AreaPct / 100
	if c.LifeYears > 0 {
		share *= max(0, 1-c.AgeYears/c.LifeYears)
	}
	return share
}

// Profile is a green in section, layers from the top.
type Profile struct {
	Layers   []Layer
	Channels []Channels
}

const (
	maxLayers   = 30
	maxChannels = 10
)

// TurfSoil is the layer that supplier turf brings with it unless it is washed:
// the soil that it was grown on, once worn.
func (p Parameters) TurfSoil() Layer {
	return Layer{ThicknessMM: p.TurfSoilThicknessMM, ConductivityMMPerH: p.TurfSoilConductivityMMPerH}
}

// ConductivityMMPerH is the saturated conductivity of the profile as a whole for
// flow straight down under a gradient of one, mm/h. Layers resist one after
// another: with thicknesses L and conductivities K it is ΣL / Σ(L/K), the harmonic
// mean (Darcy's law). Within a layer, or the part of it that channels pierce, soil
// and channels conduct side by side: K is their mean by area. That lets water move
// freely sideways into a channel at every depth, so it is the most that channels
// can do. The error is a fault.List.
func (p Profile) ConductivityMMPerH() (float64, error) {
	if err := p.check().Err(); err != nil {
		return 0, err
	}
	thickness, resistance, top := 0.0, 0.0, 0.0
	for _, layer := range p.Layers {
		bottom := top + layer.ThicknessMM
		cuts := p.cuts(top, bottom)
		for i, cut := range cuts[1:] {
			resistance += (cut - cuts[i]) / p.sideBySide(layer.ConductivityMMPerH, cut)
		}
		thickness += layer.ThicknessMM
		top = bottom
	}
	return thickness / resistance, nil
}

// cuts are the depths at which a layer is to be cut because channels end there,
// with its top and bottom.
func (p Profile) cuts(top, bottom float64) []float64 {
	cuts := []float64{top, bottom}
	for _, c := range p.Channels {
		if c.DepthMM > top && c.DepthMM < bottom {
			cuts = append(cuts, c.DepthMM)
		}
	}
	slices.Sort(cuts)
	return cuts
}

// sideBySide is the conductivity of a slice of soil that ends at a depth, with
// the channels that go through it.
func (p Profile) sideBySide(soil, bottom float64) float64 {
	left, sum := 1.0, 0.0
	for _, c := range p.Channels {
		if c.DepthMM >= bottom {
			sum += c.openShare() * c.ConductivityMMPerH
			left -= c.openShare()
		}
	}
	return sum + max(0, left)*soil
}

func (p Profile) check() fault.List {
	var faults fault.List
	if len(p.Layers) == 0 || len(p.Layers) > maxLayers {
		faults.Add("/layers", len(p.Layers), "is not a number of layers from 1 to 30", "give the layers from the top down")
		return faults
	}
	for i, l := range p.Layers {
		faults.Under(fault.Pointer("layers", i), checkBounds(
			bound{"/thickness_mm", l.ThicknessMM, 0.1, 10_000, " mm"},
			bound{"/conductivity_mm_per_h", l.ConductivityMMPerH, leastConductivity, mostConductivity, " mm/h"},
		))
	}
	if len(p.Channels) > maxChannels {
		faults.Add("/channels", len(p.Channels), "is more than 10 kinds of channel", "put like channels together")
		return faults
	}
	area := 0.0
	for i, c := range p.Channels {
		area += c.AreaPct
		faults.Under(fault.Pointer("channels", i), checkBounds(
			bound{"/area_pct", c.AreaPct, 0, 100, " %"},
			bound{"/depth_mm", c.DepthMM, 0, 10_000, " mm"},
			bound{"/conductivity_mm_per_h", c.ConductivityMMPerH, leastConductivity, mostConductivity, " mm/h"},
			bound{"/age_years", c.AgeYears, 0, 1000, " years"},
			bound{"/life_years", c.LifeYears, 0, 1000, " years"},
		))
	}
	if area > 100 {
		faults.Add("/channels", area, "is the area of all channels together in %, more than the whole green", "correct the areas")
	}
	return faults
}

// DrainDischargeMMPerDay is what parallel drains carry away when the water stands
// at a head above them midway between two, mm/day. Hooghoudt's equation solved for
// the discharge: q = (8 K d h + 4 K h²)/L², with K the conductivity (mm/h), h the
// head midway (mm), d the equivalent depth of soil below the drains (mm), and L
// the spacing (m). On a sealed formation, or one that hardly conducts, d is 0 and
// q = 4 K h²/L². Every argument must be positive but d, which may be 0; for any
// other the discharge is 0.
//
// Source: H. P. Ritzema (ed.) 1994, Drainage principles and applications, ILRI
// Publication 16, chapter 8. What the subsoil takes by itself comes on top: the
// calibrated discharge of the same green without drains. The mean conductivity of
// a texture class is no estimate of it: a clay of 4.6 mm/h (Clapp and Hornberger
// 1978) would take 110 mm/day, and no green on clay does, because the water has
// nowhere to go.
func DrainDischargeMMPerDay(conductivityMMPerH, headMM, equivalentDepthMM, spacingM float64) float64 {
	if !(conductivityMMPerH > 0 && headMM > 0 && equivalentDepthMM >= 0 && spacingM > 0) {
		return 0
	}
	spacingMM := 1000 * spacingM
	perHour := conductivityMMPerH * (8*equivalentDepthMM*headMM + 4*headMM*headMM) / (spacingMM * spacingMM)
	return hoursInDay * perHour
}
