package aeration

import "math"

// SandDepthMM turns a mass of sand per area into a depth: a kilogram on a
// square metre at 1 t/m³ lies 1 mm deep.
func SandDepthMM(kgPerM2, densityTPerM3 float64) float64 { return kgPerM2 / densityTPerM3 }

// SandKGPerM2 turns a depth of sand into mass per area; the inverse of
// SandDepthMM.
func SandKGPerM2(depthMM, densityTPerM3 float64) float64 { return depthMM * densityTPerM3 }

// TPerHa turns kilograms per square metre into tonnes per hectare.
func TPerHa(kgPerM2 float64) float64 { return 10 * kgPerM2 }

// KGPerM2 turns tonnes per hectare into kilograms per square metre.
func KGPerM2(tPerHa float64) float64 { return tPerHa / 10 }

// OrganicMatterKGPerM2 is the organic matter held by a layer: depth × dry bulk
// density × percentage by weight.
func OrganicMatterKGPerM2(depthMM, bulkDensityTPerM3, organicMatterPct float64) float64 {
	return depthMM * bulkDensityTPerM3 * organicMatterPct / 100
}

// DressedOrganicMatterPct is the percentage of organic matter found in a sample
// of fixed depth from the surface after sand has been added on top: the sand
// pushes as much of the old layer below the sample as it brings in.
//
//	percentage · (1 − sand ÷ layer), never below 0
//
// Source: Woods, Three reasons why sand topdressing is best expressed as a
// depth, 8 August 2019, who treats sand and layer as equally dense.
func DressedOrganicMatterPct(organicMatterPct, layerMM, sandMM float64) float64 {
	return organicMatterPct * math.Max(0, 1-sandMM/layerMM)
}

// MixedOrganicMatterPct is the percentage of organic matter of a layer once
// some of it has been taken out as cores and sand has been mixed evenly through
// what is left:
//
//	percentage · M ÷ (M + sand), M = (layer − removed) · density
//
// What is removed has the layer's own make-up, so that taking it out changes no
// percentage by itself; it makes the sand that follows count for more. This is
// the slow limit of dilution; DressedOrganicMatterPct is the fast one.
// Depths in millimetres, densities in t/m³.
func MixedOrganicMatterPct(organicMatterPct, layerMM, removedMM, sandMM, layerTPerM3, sandTPerM3 float64) float64 {
	layer, sand := math.Max(0, layerMM-removedMM)*layerTPerM3, sandMM*sandTPerM3
	if sand <= 0 {
		return organicMatterPct
	}
	return organicMatterPct * (layer / (layer + sand))
}

// SandToReachMM is the sand, in millimetres, that brings a sample of fixed
// depth from one percentage of organic matter to a lower one; 0 when it is
// there already. It is the inverse of DressedOrganicMatterPct.
func SandToReachMM(fromPct, toPct, layerMM float64) float64 {
	if fromPct <= toPct || fromPct <= 0 {
		return 0
	}
	return layerMM * (1 - toPct/fromPct)
}
