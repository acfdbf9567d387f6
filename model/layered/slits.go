package layered

import "math"

// mmPerHToMPerDay turns mm/h into m/day.
const mmPerHToMPerDay = 24.0 / 1000

// SlitSpacing says how far apart slit drains stand and why.
type SlitSpacing struct {
	SpacingM float64 `json:"spacing_m"`
	// Basis is stated, outline, soil (by Hooghoudt) or default.
	Basis string `json:"basis"`
	// The spacing that the soil and the design rate need, with the equivalent
	// depth by the exact series, which the design uses since it is the closer,
	// and by Moody's form, which reproduces the printed tables. Zero where the
	// conductivity of the soil is not known.
	NeededM      float64 `json:"needed_m"`
	NeededMoodyM float64 `json:"needed_moody_m"`
	// Equivalent depths at those spacings.
	EquivalentDepthM      float64 `json:"equivalent_depth_m"`
	EquivalentDepthMoodyM float64 `json:"equivalent_depth_moody_m"`
	// CarriesMMPerDay is the rain that slits at SpacingM take away through the
	// native soil; DesignMMPerDay is what is asked. Zero where not known.
	CarriesMMPerDay float64 `json:"carries_mm_per_day"`
	DesignMMPerDay  float64 `json:"design_mm_per_day"`
	Working         string  `json:"working"`
}

// Slit is the cross-section of a slit drain as designed, in mm; depths are
// below the finished surface except TrenchDepthMM, which is what is cut once
// the top is off.
type Slit struct {
	DepthMM       float64     `json:"depth_mm"`
	WidthMM       float64     `json:"width_mm"`
	TrenchDepthMM float64     `json:"trench_depth_mm"`
	GravelMM      float64     `json:"gravel_mm"`
	SandMM        float64     `json:"sand_mm"`
	BackfillTopMM float64     `json:"backfill_top_mm"`
	PipeMM        float64     `json:"pipe_mm"` // 60, or 0 where the slit is too narrow for a pipe
	Spacing       SlitSpacing `json:"spacing"`
}

// slit resolves the cross-section for a dig of digMM (0 where only drains are
// cut) under laidMM of turf.
func (s *scheme) slit() Slit {
	in, p := s.in, s.p
	out := Slit{
		DepthMM: orDefault(in.Slits.DepthMM, max(p.SlitDepthMM, s.leastSlitDepthMM())),
		WidthMM: orDefault(in.Slits.WidthMM, p.SlitWidthMM),
	}
	surface := s.laidTurfMM // what lies over the slit when only drains are cut
	if in.Package == TopAndDrains {
		surface = s.digMM - p.SlitSandOverlapMM
	}
	out.BackfillTopMM = surface
	if in.Slits.BackfillTopMM != nil {
		out.BackfillTopMM = *in.Slits.BackfillTopMM
	}
	out.TrenchDepthMM = out.DepthMM - s.digMM
	fill := out.DepthMM - max(out.BackfillTopMM, s.digMM)
	out.GravelMM = max(0, min(p.SlitGravelDepthMM, fill))
	out.SandMM = max(0, fill-out.GravelMM)
	if out.WidthMM >= p.SlitPipeLeastWidthMM && out.GravelMM >= p.Pipe60OutsideMM {
		out.PipeMM = 60
	}
	out.Spacing = s.slitSpacing(out)
	return out
}

// leastSlitDepthMM leaves room below the dig for the gravel in a slit.
func (s *scheme) leastSlitDepthMM() float64 {
	return s.digMM + s.laidIfOnlyDrains() + s.p.SlitGravelDepthMM
}

func (s *scheme) laidIfOnlyDrains() float64 {
	if s.in.Package == DrainsOnly {
		return s.laidTurfMM
	}
	return 0
}

// slitSpacing takes a stated spacing, else that of a drawn layout, else what
// the soil needs within what can be cut, else the default.
func (s *scheme) slitSpacing(slit Slit) SlitSpacing {
	in, p := s.in, s.p
	out := SlitSpacing{SpacingM: p.SlitSpacingM, Basis: "default"}
	flow, known := s.flowToSlits(slit)
	if known {
		out.NeededM, out.EquivalentDepthM = HooghoudtSpacing(flow, EquivalentDepthSeries)
		out.NeededMoodyM, out.EquivalentDepthMoodyM = HooghoudtSpacing(flow, EquivalentDepthMoody)
		out.SpacingM, out.Basis = min(max(out.NeededM, p.SlitLeastSpacingM), max(p.SlitSpacingM, p.SlitLeastSpacingM)), "soil"
	}
	switch {
	case in.Drains != nil:
		out.SpacingM, out.Basis = in.Drains.LateralSpacingM, "outline"
	case in.Slits.SpacingM > 0:
		out.SpacingM, out.Basis = in.Slits.SpacingM, "stated"
	}
	if !known {
		out.Working = sentence("conductivity of the native soil not known: spacing {} m", out.SpacingM)
		return out
	}
	out.CarriesMMPerDay = 1000 * HooghoudtRecharge(flow, out.SpacingM, EquivalentDepthSeries)
	out.DesignMMPerDay = p.SlitDesignRateMMPerDay
	k := flow.AboveMPerDay
	out.Working = sentence("√((8 × {} × {} × {} + 4 × {} × {}²) ÷ {}) = {} m by the exact series ({} m by Moody's form); set at {} m, which carries {} mm/day",
		k, out.EquivalentDepthM, flow.HeadM, k, flow.HeadM, flow.RechargeMPerDay,
		out.NeededM, out.NeededMoodyM, out.SpacingM, out.CarriesMMPerDay)
	return out
}

// flowToSlits sets up Hooghoudt's flow to a slit as to a trench whose wetted
// perimeter is its floor. Without a known depth of what lets nothing through,
// the slit is taken to stand on it.
func (s *scheme) flowToSlits(slit Slit) (SteadyDrainage, bool) {
	soil, p := s.in.Soil, s.p
	head := (slit.DepthMM - p.SlitWaterTableDepthMM) / 1000
	if soil.ConductivityMMPerH == nil || head <= 0 {
		return SteadyDrainage{}, false
	}
	flow := SteadyDrainage{
		AboveMPerDay:    *soil.ConductivityMMPerH * mmPerHToMPerDay,
		BelowMPerDay:    *soil.ConductivityMMPerH * mmPerHToMPerDay,
		HeadM:           head,
		DrainRadiusM:    slit.WidthMM / 1000 / math.Pi,
		RechargeMPerDay: p.SlitDesignRateMMPerDay / 1000,
	}
	if soil.ImperviousDepthMM != nil {
		flow.BelowDrainM = max(0, (*soil.ImperviousDepthMM-slit.DepthMM)/1000)
	}
	return flow, true
}

func orDefault(value, fallback float64) float64 {
	if value == 0 {
		return fallback
	}
	return value
}
