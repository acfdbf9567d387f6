package layered

import "math"

// LooseFromBank is the loose volume of ground dug out: the volume in the ground
// times 1 + swell. Volumes in m3, swell in % of the volume in the ground.
func LooseFromBank(bankM3, swellPct float64) float64 { return bankM3 * (1 + swellPct/100) }

// BankFromLoose turns LooseFromBank round (the load factor is 1 ÷ (1 + swell)).
func BankFromLoose(looseM3, swellPct float64) float64 { return looseM3 / (1 + swellPct/100) }

// BankForCompacted is the volume in the ground that makes a compacted fill,
// with shrinkage in % of the volume in the ground, below 100.
func BankForCompacted(compactedM3, shrinkPct float64) float64 {
	return compactedM3 / (1 - shrinkPct/100)
}

// Excavation is what is dug and what leaves the site.
type Excavation struct {
	MeanDepthMM      float64 `json:"mean_depth_mm"`      // over the whole green, below its surface
	CavityM3         float64 `json:"cavity_m3"`          // area × depth, in the ground; turf beside trenches where only drains are cut
	TrenchM3         float64 `json:"trench_m3"`          // all trenches, in the ground
	KeptTurfM3       float64 `json:"kept_turf_m3"`       // lifted and laid again
	ReturnedSoilM3   float64 `json:"returned_soil_m3"`   // put back over the outfall and slits
	SpoilBankM3      float64 `json:"spoil_bank_m3"`      // cavity + trenches - what is kept and returned
	SpoilLooseM3     float64 `json:"spoil_loose_m3"`     // after bulking
	LorryLoads       int     `json:"lorry_loads"`        // of spoil
	ThatchLeftMM     float64 `json:"thatch_left_mm"`     // below the cut, dug out with the rest
	ExcavatorDepthMM float64 `json:"excavator_depth_mm"` // of the mean depth, what the cutter did not take
	ExcavatorH       float64 `json:"excavator_h"`        // machine hours on the cavity
}

func (s *scheme) excavation(trenches []Trench, usableTurfM2 float64) Excavation {
	in, p := s.in, s.p
	e := Excavation{MeanDepthMM: s.digMM, CavityM3: in.AreaM2 * s.digMM / 1000, ExcavatorDepthMM: s.digMM}
	if s.digs() {
		e.ThatchLeftMM = s.leftMM
	}
	if s.stripsWithCutter() {
		e.ExcavatorDepthMM = max(0, s.digMM-s.cutMM)
	}
	if s.keepsTurf() {
		e.KeptTurfM3 = usableTurfM2 * s.cutMM / 1000
	}
	overTrenches := 0.0
	for _, t := range trenches {
		e.TrenchM3 += t.TrenchM3
		e.ReturnedSoilM3 += t.ReturnedSoilM3
		overTrenches += t.TurfM3
	}
	if strips := s.stripsM2(); strips > 0 {
		e.CavityM3 = max(0, strips*s.cutMM/1000-overTrenches)
		if in.Surface == ExistingTurf {
			e.KeptTurfM3 = strips * (1 - p.WasteExistingTurfPct/100) * s.cutMM / 1000
		}
	}
	e.SpoilBankM3 = max(0, e.CavityM3+e.TrenchM3-e.KeptTurfM3-e.ReturnedSoilM3)
	e.SpoilLooseM3 = LooseFromBank(e.SpoilBankM3, p.BulkingPct)
	e.LorryLoads = int(math.Ceil(e.SpoilLooseM3 / p.LorryLoadM3))
	e.ExcavatorH = in.AreaM2 / p.ExcavationM2PerH * e.ExcavatorDepthMM / excavationRateDepthMM
	return e
}

// excavationRateDepthMM is the depth that the output of the excavator is
// quoted for.
const excavationRateDepthMM = 450
