package layered

import (
	"fmt"

	"swardcase/model/fault"
)

// checkSlits refuses a stated depth that leaves no room for a drain.
func (s *scheme) checkSlits(faults *fault.List) {
	if s.slits == nil || s.in.Slits.DepthMM == 0 {
		return
	}
	if least := s.leastSlitDepthMM(); s.in.Slits.DepthMM < least {
		faults.Add("/slits/depth_mm", s.in.Slits.DepthMM, "slits of this depth end in what is dug out or have no room for gravel",
			fmt.Sprintf("give %.0f mm or more, or a thinner top", least))
	}
}

// infeasible lists what rules the design out.
func (s *scheme) infeasible(d *Design) []Reason {
	reasons := []Reason{}
	add := func(code, text string, values ...float64) {
		reasons = append(reasons, Reason{code, sentence(text, values...)})
	}
	if s.drains != nil {
		s.outfallReasons(d, add)
	}
	if s.slits != nil {
		s.slitReasons(add)
	}
	in := s.in
	if in.Surface == ExistingTurf && in.Turf.HoldsTogether == No {
		add("turf_does_not_hold_together", "The existing turf falls apart when it is cut, so it cannot be lifted and laid again: take another surface.")
	}
	if in.Surface == NurseryTurf && in.NurseryTurfM2 < d.Covering.OrderedM2 {
		add("nursery_turf_too_small", "{} m² of nursery turf is needed, waste included, and {} m² is ready to lift.", d.Covering.OrderedM2, in.NurseryTurfM2)
	}
	return reasons
}

// outfallReasons looks at where the water goes: nowhere, or not deep enough.
func (s *scheme) outfallReasons(d *Design, add func(string, string, ...float64)) {
	out := s.in.Outfall
	if out.State == OutfallNone {
		add("no_outfall", "The drains have nowhere to discharge: without an outfall the new work is a bath.")
		return
	}
	if out.FallM == nil {
		return
	}
	needed := s.leastOutfallFallM(d.Trenches)
	if *out.FallM < needed {
		add("outfall_too_shallow", "The pipe leaves the green {} m below its lowest edge, the run of {} m at {} % included, and the outfall lies only {} m below it.",
			needed, s.drains.OutfallM, s.p.LeastFallPct, *out.FallM)
	}
}

// leastOutfallFallM is how far the outfall's water must lie below the lowest
// edge of the green: the floor of the main where it leaves, and the least fall
// over the outfall run. The formation follows the surface, so the main needs no
// more than its own depth at the low edge, unless it is drawn deeper there.
func (s *scheme) leastOutfallFallM(trenches []Trench) float64 {
	deepest := s.drains.ExitDepthMM
	for _, t := range trenches {
		if t.Kind == MainTrench && deepest == 0 {
			deepest = t.DepthMM
		}
	}
	return (s.digMM+deepest)/1000 + s.drains.OutfallM*s.p.LeastFallPct/100
}

// slitReasons holds to the rule that sand over tight soil is a bath unless the
// slits rise into the sand and their backfill is continuous with it (common
// practice, no source).
func (s *scheme) slitReasons(add func(string, string, ...float64)) {
	in, top := s.in, s.slits.BackfillTopMM
	if in.Slits.BackfillBroken {
		add("slit_backfill_not_continuous", "Something other than sand lies between the slit's backfill and the sand above it, so water cannot pass from one into the other.")
	}
	sand := s.laidTurfMM // without sand in the green, the slit must come up to the turf
	what := "the turf"
	if in.Package == TopAndDrains {
		sand, what = s.digMM-s.p.SlitSandOverlapMM, "the new top, less the lap into it,"
	} else if in.Soil.SandTopMM > 0 {
		sand, what = in.Soil.SandTopMM, "the sand at the top of the green"
	}
	if top > sand+depthToleranceMM {
		add("slits_do_not_reach_sand", "The backfill of the slits ends {} mm below the surface, and "+what+" ends {} mm below it: the slits must rise into it.", top, sand)
	}
}

// depthToleranceMM keeps rounding of depths that are meant to be equal from
// reading as a gap.
const depthToleranceMM = 1e-6

// cautions lists what a reader must know before relying on the design.
func (s *scheme) cautions(d *Design) []Reason {
	reasons := []Reason{}
	add := func(code, text string, values ...float64) {
		reasons = append(reasons, Reason{code, sentence(text, values...)})
	}
	add("before_digging", "Trace and mark buried services before any digging; excavation, machinery and spoil follow local codes and licensed practice.")
	if s.drains != nil {
		s.drainCautions(d, add)
	}
	s.turfCautions(d, add)
	in := s.in
	if in.SurroundsM2 != nil && s.digs() && !within(*in.SurroundsM2/in.AreaM2, 0.5, 1) {
		add("surrounds_unusual", "Works usually disturb surrounds of 50 to 100 % of the green's area; {} % is stated.", 100**in.SurroundsM2/in.AreaM2)
	}
	if d.Programme.Winter {
		add("winter_works", "Works that start between November and February take longer, by {} %.", s.p.WinterExtraPct)
	}
	return reasons
}

func (s *scheme) drainCautions(d *Design, add func(string, string, ...float64)) {
	add("consent_to_discharge", "Discharge of drainage water to a ditch, stream or sewer may need consent.")
	out := s.in.Outfall
	switch out.State {
	case OutfallBlocked:
		add("outfall_blocked", "The outfall is blocked: clear it and watch it run before anything else is spent.")
	case OutfallFree, OutfallNone:
	default:
		add("outfall_not_known", "Whether there is an outfall is not known; the design stands or falls with it.")
	}
	if out.FallM == nil && out.State != OutfallNone {
		add("outfall_level_not_known", "Level the outfall: its water must lie at least {} m below the lowest edge of the green.", s.leastOutfallFallM(d.Trenches))
	}
	if s.slits == nil {
		return
	}
	spacing := s.slits.Spacing
	if spacing.CarriesMMPerDay > 0 && spacing.CarriesMMPerDay < 0.99*spacing.DesignMMPerDay {
		add("soil_too_slow_for_slits", "Through the native soil, slits {} m apart carry {} mm/day where {} is asked; the rest must reach them through sand kept open by dressing.",
			spacing.SpacingM, spacing.CarriesMMPerDay, spacing.DesignMMPerDay)
	}
	if s.in.Package == DrainsOnly && s.in.Soil.SandTopMM == 0 {
		add("slits_seal", "There is no sand at the surface: slits seal where soil and thatch are trodden over them, unless the green is dressed with sand from then on.")
	}
}

func (s *scheme) turfCautions(d *Design, add func(string, string, ...float64)) {
	in, l := s.in, d.Lifting
	if in.Surface == ExistingTurf && in.Turf.HoldsTogether != Yes && in.Turf.HoldsTogether != No {
		add("turf_not_tried", "Whether the existing turf holds together when cut is not known: lift a trial strip first.")
	}
	if l == nil {
		return
	}
	if in.FlatStorageM2 != nil && *in.FlatStorageM2 < l.StorageM2 {
		add("storage_too_small", "{} m² of level ground is needed to lay the turf out in one layer, and {} m² is stated: turf that is stacked or overlaps heats and dies.", l.StorageM2, *in.FlatStorageM2)
	}
	if s.keepsTurf() && l.ThatchLeftMM > 0 {
		add("thatch_left", "The cut of {} mm leaves {} mm of thatch on the green, which is dug out; {} mm travels with the turf.", l.CutThicknessMM, l.ThatchLeftMM, l.ThatchCarriedMM)
	}
	if own := d.Labour.OwnH; own != nil {
		if needed := l.LiftingH + l.WateringH + l.CarryBackH + l.LayingH; *own < needed {
			add("own_labour_short", "Lifting, keeping and laying the turf takes {} hours, and the club's own people have {} in the weeks of the works.", needed, *own)
		}
	}
}
