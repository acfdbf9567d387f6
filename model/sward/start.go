package sward

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Survey is what is known of a green's sward today.
type Survey struct {
	// OrganicMatter may be empty, may leave gaps and may overlap.
	OrganicMatter []OrganicMatterReading
	// ThatchDepthMM is nil where nobody measured it; it then follows from the
	// organic matter.
	ThatchDepthMM        *float64
	AnnualMeadowGrassPct float64
}

// OrganicMatterReading is organic matter by weight between two depths.
type OrganicMatterReading struct {
	DepthFromMM      float64
	DepthToMM        float64
	OrganicMatterPct float64
}

// The bounds of what a survey may hold.
const (
	mostThatchMM        = 200
	mostReadingDepthMM  = 2000
	mostOrganicReadings = 1000
)

// Surveyed is the sward of an old green. Where organic matter was measured, the
// layers take it, and those in between follow the shape of the usual profile;
// where none was, the usual profile is scaled until its thatch is the one that
// was read, within limits. The error is a fault.List.
func Surveyed(s Survey, turf TurfParameters) (State, error) {
	if err := s.check(turf).Err(); err != nil {
		return State{}, err
	}
	var profile Profile
	switch {
	case covers(s.OrganicMatter):
		profile = measuredProfile(s.OrganicMatter, &turf)
	case s.ThatchDepthMM != nil:
		profile = profileForThatch(*s.ThatchDepthMM, &turf)
	default:
		profile = settledProfile(1, &turf)
	}
	thatchMM := excessMM(&profile, &turf)
	if s.ThatchDepthMM != nil {
		thatchMM = *s.ThatchDepthMM
	}
	return State{profile, thatchOf(thatchMM, profile, &turf), s.AnnualMeadowGrassPct}, nil
}

func (s Survey) check(turf TurfParameters) fault.List {
	var faults fault.List
	if len(s.OrganicMatter) > mostOrganicReadings {
		faults.Add("/organic_matter", len(s.OrganicMatter), fmt.Sprintf("is more than %d readings", mostOrganicReadings), "give the means by depth")
	} else {
		for i, r := range s.OrganicMatter {
			checkNumber(&faults, fault.Pointer("organic_matter", i, "depth_from_mm"), r.DepthFromMM, 0, mostReadingDepthMM)
			checkNumber(&faults, fault.Pointer("organic_matter", i, "depth_to_mm"), r.DepthToMM, 0, mostReadingDepthMM)
			checkNumber(&faults, fault.Pointer("organic_matter", i, "organic_matter_pct"), r.OrganicMatterPct, 0, 100)
		}
	}
	if s.ThatchDepthMM != nil {
		checkNumber(&faults, "/thatch_depth_mm", *s.ThatchDepthMM, 0, mostThatchMM)
	}
	checkNumber(&faults, "/annual_meadow_grass_pct", s.AnnualMeadowGrassPct, 0, 100)
	turf.check(&faults)
	return faults
}

// overlapWithMM is how much of a reading lies in a layer.
func (r OrganicMatterReading) overlapWithMM(layer int) float64 {
	return math.Max(0, overlapMM(layer, r.DepthToMM)-overlapMM(layer, r.DepthFromMM))
}

// covers reports whether any reading lies in the top 80 mm.
func covers(readings []OrganicMatterReading) bool {
	for _, r := range readings {
		for layer := range layerCount {
			if r.overlapWithMM(layer) > 0 {
				return true
			}
		}
	}
	return false
}

// measuredProfile gives each layer the mean of the readings in it, weighted by
// the depth they share. A layer without one takes the usual profile's value
// times the ratio that the nearest measured layer has to it, the upper of two.
func measuredProfile(readings []OrganicMatterReading, turf *TurfParameters) Profile {
	var pct, weight [layerCount]float64
	for layer := range pct {
		for _, r := range readings {
			mm := r.overlapWithMM(layer)
			weight[layer] += mm
			pct[layer] += mm * r.OrganicMatterPct
		}
		if weight[layer] > 0 {
			pct[layer] /= weight[layer]
		}
	}
	var profile Profile
	for layer := range profile {
		value := pct[layer]
		if weight[layer] == 0 {
			near := nearestMeasured(weight, layer)
			if usual := turf.SettledOrganicMatterPct; usual[near] > 0 {
				value = math.Min(100, pct[near]*usual[layer]/usual[near])
			}
		}
		profile[layer] = fullLayer(value, turf)
	}
	return profile
}

func nearestMeasured(weight [layerCount]float64, layer int) int {
	for distance := range layerCount {
		if above := layer - distance; above >= 0 && weight[above] > 0 {
			return above
		}
		if below := layer + distance; below < layerCount && weight[below] > 0 {
			return below
		}
	}
	return layer
}

// settledProfile is the usual profile of an old green times a ratio.
func settledProfile(ratio float64, turf *TurfParameters) Profile {
	var profile Profile
	for layer, pct := range turf.SettledOrganicMatterPct {
		profile[layer] = fullLayer(math.Min(100, pct*ratio), turf)
	}
	return profile
}

// profileForThatch scales the usual profile until its excess of organic matter
// makes the thatch that was read; the excess rises with the ratio, so halving
// finds it. Where the limits stop short, the thatch's offset takes the rest.
func profileForThatch(thatchMM float64, turf *TurfParameters) Profile {
	low, high := turf.AssumedProfileLeastRatio, turf.AssumedProfileMostRatio
	for range 50 {
		middle := (low + high) / 2
		profile := settledProfile(middle, turf)
		if excessMM(&profile, turf) < thatchMM {
			low = middle
		} else {
			high = middle
		}
	}
	return settledProfile((low+high)/2, turf)
}

// NewSurface is a surface that has been sown or laid.
type NewSurface struct {
	Surface Surface
	// Below is what it lies on, from its own top down; nil for a new root zone.
	Below *Profile
	// Relaid is the turf lifted for existing_turf; nil for all others.
	Relaid *Relaid
}

// Relaid is turf cut from an old green.
type Relaid struct {
	Green    State
	CutMM    float64
	ThatchMM float64 // thatch that travels with the cut
}

// Laid is the sward of a new surface on the day it opens. Seed starts without
// thatch; supplier and nursery turf bring what the assumptions say; existing
// turf keeps its own organic matter to the depth of the cut, the thatch that
// travels with it, and its share of annual meadow grass. The error is a
// fault.List.
func Laid(n NewSurface, turf TurfParameters) (State, error) {
	if err := n.check(turf).Err(); err != nil {
		return State{}, err
	}
	below := rootZone(turf.NewRootZoneOrganicMatterPct, &turf)
	if n.Below != nil {
		below = *n.Below
	}
	var thatchMM, grassPct float64
	profile := below
	switch n.Surface {
	case Seed:
		grassPct = turf.AnnualMeadowGrassStartSeedPct
	case SupplierTurf:
		thatchMM, grassPct = turf.ThatchStartSupplierTurfMM, turf.AnnualMeadowGrassStartSupplierTurfPct
		profile = turfOfThatch(thatchMM, &turf).over(below, layerDepthMM)
	case NurseryTurf:
		thatchMM, grassPct = turf.ThatchStartNurseryTurfMM, turf.AnnualMeadowGrassStartNurseryTurfPct
		profile = turfOfThatch(thatchMM, &turf).over(below, layerDepthMM)
	case ExistingTurf:
		thatchMM, grassPct = n.Relaid.ThatchMM, n.Relaid.Green.AnnualMeadowGrassPct
		profile = n.Relaid.Green.Profile.over(below, n.Relaid.CutMM)
	}
	return State{profile, thatchOf(thatchMM, profile, &turf), grassPct}, nil
}

func (n NewSurface) check(turf TurfParameters) fault.List {
	var faults fault.List
	switch n.Surface {
	case Seed, SupplierTurf, NurseryTurf, ExistingTurf:
	default:
		faults.Add("/surface", n.Surface, "is not a surface", "give seed, supplier_turf, nursery_turf or existing_turf")
	}
	if n.Below != nil {
		faults.Under("/below", State{Profile: *n.Below}.check())
	}
	switch {
	case n.Surface == ExistingTurf && n.Relaid == nil:
		faults.Add("/relaid", nil, "is missing", "say which turf is relaid")
	case n.Surface == ExistingTurf:
		faults.Under("/relaid/green", n.Relaid.Green.check())
		checkNumber(&faults, "/relaid/cut_mm", n.Relaid.CutMM, 0, mostThatchMM)
		checkNumber(&faults, "/relaid/thatch_mm", n.Relaid.ThatchMM, 0, mostThatchMM)
	}
	turf.check(&faults)
	return faults
}

// rootZone is a uniform profile.
func rootZone(organicMatterPct float64, turf *TurfParameters) Profile {
	layer := fullLayer(organicMatterPct, turf)
	return Profile{layer, layer, layer, layer}
}

// turfOfThatch is turf whose top 20 mm, of sand otherwise, holds the excess of
// organic matter that so much thatch is. From
//
//	organic − t · (organic + mineral) = thatch · mass per mm
//	organic ÷ ρₒ + mineral ÷ ρₘ = 20 mm
//
// organic = (excess + t·ρₘ·20) ÷ (1 − t + t·ρₘ/ρₒ). Without thatch it is sand
// at the threshold's share or less: that of a new root zone.
func turfOfThatch(thatchMM float64, turf *TurfParameters) Profile {
	profile := rootZone(turf.NewRootZoneOrganicMatterPct, turf)
	if thatchMM <= 0 {
		return profile
	}
	t, organicDensity, sand := turf.ThatchThresholdPct/100, turf.OrganicBulkDensityTPerM3, turf.SandBulkDensityTPerM3
	organic := (thatchMM*turf.ThatchOrganicMatterKGPerM2PerMM + t*sand*layerDepthMM) / (1 - t + t*sand/organicDensity)
	organic = math.Min(organic, layerDepthMM*organicDensity)
	profile[0] = Layer{organic, (layerDepthMM - organic/organicDensity) * sand}
	return profile
}

// over lays the top of one profile, to a depth, on another.
func (p Profile) over(below Profile, depthMM float64) Profile {
	var out Profile
	for i := range out {
		top, bottom := float64(i)*layerDepthMM, float64(i+1)*layerDepthMM
		own := p.between(math.Min(top, depthMM), math.Min(bottom, depthMM))
		out[i] = own.plus(below.between(math.Max(0, top-depthMM), math.Max(0, bottom-depthMM)))
	}
	return out
}

// Stripped is the profile once its top has been taken off: what lay below 80 mm
// is taken to be like the lowest layer.
func (p Profile) Stripped(depthMM float64) Profile {
	if !(depthMM > 0) {
		return p
	}
	depthMM = math.Min(depthMM, layerCount*layerDepthMM)
	var out Profile
	for i := range out {
		top := float64(i)*layerDepthMM + depthMM
		out[i] = p.between(top, top+layerDepthMM)
	}
	return out
}

// between is the matter between two depths; below 80 mm it is like the lowest
// layer.
func (p Profile) between(fromMM, toMM float64) Layer {
	var sum Layer
	for i, l := range p {
		sum = sum.plus(l.times(math.Max(0, overlapMM(i, toMM)-overlapMM(i, fromMM)) / layerDepthMM))
	}
	const bottom = layerCount * layerDepthMM
	deeper := math.Max(0, toMM-bottom) - math.Max(0, fromMM-bottom)
	return sum.plus(p[layerCount-1].times(deeper / layerDepthMM))
}
