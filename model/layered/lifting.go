package layered

import "math"

// Lifting is the job of taking turf up and putting it down again: the existing
// turf, or that of a nursery.
type Lifting struct {
	From            string  `json:"from"` // existing_turf or nursery_turf
	CutThicknessMM  float64 `json:"cut_thickness_mm"`
	ThatchDepthMM   float64 `json:"thatch_depth_mm"`   // before lifting; 0 for a nursery
	ThatchCarriedMM float64 `json:"thatch_carried_mm"` // travels with the turf
	ThatchLeftMM    float64 `json:"thatch_left_mm"`    // stays, and must be dug out
	ThatchLeftM3    float64 `json:"thatch_left_m3"`

	LiftedM2    float64 `json:"lifted_m2"`
	UsableM2    float64 `json:"usable_m2"`    // after what falls apart
	ShortfallM2 float64 `json:"shortfall_m2"` // to be made up with other turf
	Rolls       int     `json:"rolls"`

	StorageM2    float64 `json:"storage_m2"`    // level ground, one layer, no overlap; 0 when laid as it is lifted
	SheetM2      float64 `json:"sheet_m2"`      // under the turf
	StoredWeeks  float64 `json:"stored_weeks"`  // likely, from stripping to laying
	WateringDays float64 `json:"watering_days"` // of those

	CutterGangH float64 `json:"cutter_gang_h"` // elapsed, with the cutter
	GangPersons float64 `json:"gang_persons"`
	LiftingH    float64 `json:"lifting_h"`    // person hours, from the ground to where it lies next
	WateringH   float64 `json:"watering_h"`   // person hours
	CarryBackH  float64 `json:"carry_back_h"` // person hours, from the store to the green; 0 when laid as it is lifted
	LayingH     float64 `json:"laying_h"`     // person hours, whatever turf is laid
}

// lifting works out the job without its storage, which depends on the
// programme; nil when no turf is lifted over the whole green or a nursery.
func (s *scheme) lifting(layingH float64) *Lifting {
	in, p := s.in, s.p
	l := Lifting{CutThicknessMM: s.cutMM, GangPersons: p.GangPersons, LayingH: layingH}
	switch {
	case s.keepsTurf():
		l.From = string(ExistingTurf)
		l.LiftedM2 = in.AreaM2
		l.UsableM2 = in.AreaM2 * (1 - p.WasteExistingTurfPct/100)
		l.ShortfallM2 = in.AreaM2 - l.UsableM2
		l.ThatchDepthMM = in.Turf.ThatchDepthMM
		l.ThatchCarriedMM = ThatchCarried(in.Turf.ThatchDepthMM, s.cutMM, p.ThatchTravellingShare)
		l.CarryBackH = l.UsableM2 / p.CarryingBackM2PerPersonH
		l.ThatchLeftMM, l.ThatchLeftM3 = s.leftMM, in.AreaM2*s.leftMM/1000
	case in.Surface == NurseryTurf:
		l.From = string(NurseryTurf)
		l.CutThicknessMM = p.NurseryTurfThicknessMM
		l.LiftedM2 = in.AreaM2 * (1 + p.WasteNurseryTurfPct/100)
		l.UsableM2 = in.AreaM2
	default:
		return nil
	}
	l.Rolls = int(math.Ceil(l.LiftedM2 / p.TurfRollM2))
	l.CutterGangH = l.LiftedM2 / p.StrippingM2PerGangH
	l.LiftingH = l.LiftedM2 / p.LiftingM2PerPersonH
	return &l
}

// ThatchCarried is the thatch in mm that travels with turf cut at a thickness:
// a share of the lesser of thatch depth and cut (common practice, no source). What lies
// below the cut stays on the green.
func ThatchCarried(thatchMM, cutMM, travellingShare float64) float64 {
	return travellingShare * min(thatchMM, cutMM)
}

// store adds what keeping the turf alive takes while the green is open.
func (s *scheme) store(l *Lifting, weeks float64) {
	if l == nil || l.From != string(ExistingTurf) {
		return
	}
	p := s.p
	l.StorageM2 = l.LiftedM2 * (1 + p.StorageGapPct/100)
	l.SheetM2 = l.StorageM2 * (1 + p.StorageSheetLapsPct/100)
	l.StoredWeeks = weeks
	l.WateringDays = math.Ceil(7 * weeks * p.StoredTurfWateringShare)
	l.WateringH = l.WateringDays * l.LiftedM2 / 100 * p.StoredTurfWateringHPer100M2
}

// stripsM2 is the turf lifted over slits, main and edge drain where only drains are cut.
func (s *scheme) stripsM2() float64 {
	if s.in.Package != DrainsOnly {
		return 0
	}
	return min(s.in.AreaM2, (s.drains.LateralM+s.drains.MainM+s.drains.EdgeM)*s.p.SlitTurfStripWidthMM/1000)
}
