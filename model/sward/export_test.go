package sward

// LayerDepthMM is the depth of one layer.
const LayerDepthMM = layerDepthMM

// FullLayer is a layer of 20 mm with the given organic matter by weight.
func FullLayer(organicMatterPct float64, turf TurfParameters) Layer {
	return fullLayer(organicMatterPct, &turf)
}

// RootZone is a uniform profile.
func RootZone(organicMatterPct float64, turf TurfParameters) Profile {
	return rootZone(organicMatterPct, &turf)
}

// ThicknessMM is the depth that a layer fills.
func (l Layer) ThicknessMM(turf TurfParameters) float64 { return l.thicknessMM(&turf) }

// DressedOnce lays sand on one layer in a single step.
func (l Layer) DressedOnce(sandMM float64, turf TurfParameters) Layer {
	d := doseOf(&Year{}, &turf)
	out, _ := d.settle(l, Layer{MineralKGPerM2: sandMM * turf.SandBulkDensityTPerM3})
	return out
}

// InvasionOf is the spread of annual meadow grass in one year.
func (t TurfParameters) InvasionOf(startPct, organicMatterPct float64, y Year) Invasion {
	return t.invasion(startPct, organicMatterPct, &y)
}
