package water

import "math"

// A rate at which water gets into a green means one of three things, and the
// three types keep them apart. They differ by a factor of ten to a hundred on the
// same green, so a rate taken for another is a wrong answer and not a slip:
//
//	LaboratoryMMPerH —InField→ RingMMPerH —WhenWet→ WetSurfaceMMPerH
//
// A ring reading on a green in use already holds what age has done to it. There
// is no way here to age it again: InField starts only from a laboratory figure,
// and the balance accepts only a wet-surface rate.
type (
	// LaboratoryMMPerH is the saturated conductivity of root-zone material,
	// tested before it is laid, mm/h at 20 °C.
	LaboratoryMMPerH float64
	// RingMMPerH is what a ring test on the green reads on a fair day, mm/h at
	// 20 °C.
	RingMMPerH float64
	// WetSurfaceMMPerH is the rate of the same surface wet and trodden in winter,
	// mm/h with water of 20 °C; the balance allows for colder water.
	WetSurfaceMMPerH float64
)

// WhenWet turns a ring reading into the rate of the wet, trodden surface; the
// ratio is Parameters.WetSurfaceToRingRatio or what a calibration made of it.
func (r RingMMPerH) WhenWet(ratio float64) WetSurfaceMMPerH {
	return WetSurfaceMMPerH(float64(r) * ratio)
}

// InField is what a ring would read on a root zone of that laboratory
// conductivity in play for some years. It falls from the laboratory figure when
// new, by equal shares in equal times, through the ratio of year 1 to that of year
// 4, where regular dressing with sand holds it. An undressed root zone goes on
// falling at the same pace to a floor. Trials in which the fall was measured had
// organic matter building up in them, so SealedBy is not applied on top.
//
// Source of the ratio after four years, about a tenth: Baker and Richards 1997,
// International Turfgrass Society Research Journal 8:47-58; the course of the
// fall is judgement.
func (l LaboratoryMMPerH) InField(ageYears float64, dressed bool, p Parameters) RingMMPerH {
	fresh := float64(l)
	held := fresh * fieldShare(min(ageYears, 4), p)
	if dressed || ageYears <= 4 {
		return RingMMPerH(held)
	}
	return RingMMPerH(max(fresh*fieldShare(ageYears, p), min(held, p.UndressedRootZoneFloorMMPerH)))
}

// fieldShare is the field rate as a share of the laboratory's.
func fieldShare(ageYears float64, p Parameters) float64 {
	year1, year4 := p.FieldToLaboratoryRatioYear1, p.FieldToLaboratoryRatioYear4
	if ageYears <= 1 {
		return math.Pow(year1, max(ageYears, 0))
	}
	return year1 * math.Pow(year4/year1, (ageYears-1)/3)
}

// SealedBy is what the ring would read once the organic matter at the surface (% by
// weight) has gone from one value to another. A surface takes exp(−s x) of what it
// would without an excess of organic matter, x being the per cent beyond what does
// no harm and s the rate of sealing. Form and constants are judgement, no source.
func (r RingMMPerH) SealedBy(fromPct, toPct float64, p Parameters) RingMMPerH {
	excess := func(pct float64) float64 { return max(0, pct-p.OrganicMatterWithoutSealingPct) }
	return RingMMPerH(float64(r) * math.Exp(-p.OrganicMatterSealingPerPct*(excess(toPct)-excess(fromPct))))
}

// SoftAboveShare is the share of the gravity store above which a surface with so
// much thatch (mm) is soft. Wet thatch is a sponge under the foot and the wheel,
// so thicker thatch lowers the share. Taking it for one more store that fills
// before the surface is wet would be the wrong way round: thicker thatch would
// then lose fewer days. Judgement, no source.
func SoftAboveShare(thatchMM float64, p Parameters) float64 {
	excess := max(0, thatchMM-p.ThatchWithoutSofteningMM)
	return clamp(p.SoftAboveStoreShare-p.SoftFallPctPerMMThatch/100*excess, leastSoftShare, mostSoftShare)
}
