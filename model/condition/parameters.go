package condition

import (
	"fmt"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the assumptions that this package rests on; each field is the
// assumption of the same name, in its unit.
type Parameters struct {
	WeightInfiltration, WeightThatchDepth, WeightAnnualMeadowGrass, WeightMonthsPlayable float64

	WetSurfaceToRingRatio                        float64
	SoundFromIndex, FairFromIndex, PoorFromIndex float64

	WorstZoneInfiltrationShare   float64
	AdequateRingRateMMPerH       float64
	ThatchExcessDepthMM          float64
	ThatchExcessOrganicMatterPct float64
	DilutedOrganicMatterPct      float64
	SoftSurfaceGravities         float64
	AnnualMeadowGrassDominantPct float64
	SealingRatio                 float64
	ShallowRootDepthMM           float64

	SlowSubsoilMMPerH         float64
	FreeSubsoilMMPerH         float64
	PitWantedDepthMM          float64
	PitsWantedCount           float64
	SubsoilDescriptionDepthMM float64
	ShallowProfileDepthMM     float64
	LeastSunHPerDay           float64
	EnoughSunHPerDay          float64

	SurfaceShareSurfaceFaultOnly   float64
	SurfaceShareBothFaults         float64
	SurfaceShareDischargeFaultOnly float64
	SurfaceShareUndecided          float64
	OtherShareWaterRunningIn       float64
	OtherShareNoFaultFound         float64

	TrialLeastSeasons                           float64
	TrialLeastOperationsPct                     float64
	TrialLeastSandTPerHaPerYear                 float64
	TrialLeastOrganicMatterFallPctPointsPerYear float64
	TrialLeastThatchFallMMPerYear               float64

	// Mean saturated conductivities of natural soils, by texture class.
	SandMMPerH          float64
	LoamySandMMPerH     float64
	SandyLoamMMPerH     float64
	SiltLoamMMPerH      float64
	LoamMMPerH          float64
	SandyClayLoamMMPerH float64
	ClayLoamMMPerH      float64
	SiltyClayLoamMMPerH float64
	SandyClayMMPerH     float64
	SiltyClayMMPerH     float64
	ClayMMPerH          float64
}

// The assumptions whose source is printed beside the evidence that they limit.
const (
	adequateRingRateName      = "adequate_ring_rate_mm_per_h"
	annualMeadowGrassName     = "annual_meadow_grass_dominant_pct"
	enoughSunName             = "enough_sun_h_per_day"
	leastSunName              = "least_sun_h_per_day"
	pitDepthName              = "pit_wanted_depth_mm"
	sealingRatioName          = "sealing_ratio"
	shallowProfileName        = "shallow_profile_depth_mm"
	shallowRootName           = "shallow_root_depth_mm"
	slowSubsoilName           = "slow_subsoil_mm_per_h"
	freeSubsoilName           = "free_subsoil_mm_per_h"
	softSurfaceName           = "soft_surface_gravities"
	subsoilDescriptionName    = "subsoil_description_depth_mm"
	thatchDepthName           = "thatch_excess_depth_mm"
	thatchOrganicMatterName   = "thatch_excess_organic_matter_pct"
	dilutedOrganicMatterName  = "diluted_organic_matter_pct"
	classMeanConductivityName = "class_mean_conductivity_"
)

// binding ties one field to its assumption and to the range that makes sense.
type binding struct {
	name      string
	field     *float64
	low, high float64
}

// bindings lists every field once: what reads the table, and what checks it, both
// go through here.
func (p *Parameters) bindings() []binding {
	const leastRate, mostRate, mostDepth = 0.001, 50_000, 3000
	return []binding{
		{"weight_infiltration", &p.WeightInfiltration, 0, 1},
		{"weight_thatch_depth", &p.WeightThatchDepth, 0, 1},
		{"weight_annual_meadow_grass", &p.WeightAnnualMeadowGrass, 0, 1},
		{"weight_months_playable", &p.WeightMonthsPlayable, 0, 1},
		{"wet_surface_to_ring_ratio", &p.WetSurfaceToRingRatio, 0.001, 1},
		{"sound_from_index", &p.SoundFromIndex, 0, topScore},
		{"fair_from_index", &p.FairFromIndex, 0, topScore},
		{"poor_from_index", &p.PoorFromIndex, 0, topScore},
		{"worst_zone_infiltration_share", &p.WorstZoneInfiltrationShare, 0, 1},
		{adequateRingRateName, &p.AdequateRingRateMMPerH, 0, mostRate},
		{thatchDepthName, &p.ThatchExcessDepthMM, 0, 200},
		{thatchOrganicMatterName, &p.ThatchExcessOrganicMatterPct, 0, 100},
		{dilutedOrganicMatterName, &p.DilutedOrganicMatterPct, 0, 100},
		{softSurfaceName, &p.SoftSurfaceGravities, 0, 500},
		{annualMeadowGrassName, &p.AnnualMeadowGrassDominantPct, 0, 100},
		{sealingRatioName, &p.SealingRatio, 1, 1000},
		{shallowRootName, &p.ShallowRootDepthMM, 0, mostDepth},
		{slowSubsoilName, &p.SlowSubsoilMMPerH, 0, mostRate},
		{freeSubsoilName, &p.FreeSubsoilMMPerH, 0, mostRate},
		{pitDepthName, &p.PitWantedDepthMM, 100, mostDepth},
		{"pits_wanted_count", &p.PitsWantedCount, 1, 20},
		{subsoilDescriptionName, &p.SubsoilDescriptionDepthMM, 0, mostDepth},
		{shallowProfileName, &p.ShallowProfileDepthMM, 0, mostDepth},
		{leastSunName, &p.LeastSunHPerDay, 0, 24},
		{enoughSunName, &p.EnoughSunHPerDay, 0, 24},
		{"surface_share_surface_fault_only", &p.SurfaceShareSurfaceFaultOnly, 0, 1},
		{"surface_share_both_faults", &p.SurfaceShareBothFaults, 0, 1},
		{"surface_share_discharge_fault_only", &p.SurfaceShareDischargeFaultOnly, 0, 1},
		{"surface_share_undecided", &p.SurfaceShareUndecided, 0, 1},
		{"other_share_water_running_in", &p.OtherShareWaterRunningIn, 0, 1},
		{"other_share_no_fault_found", &p.OtherShareNoFaultFound, 0, 1},
		{"trial_least_seasons", &p.TrialLeastSeasons, 0, 20},
		{"trial_least_operations_pct", &p.TrialLeastOperationsPct, 0, 100},
		{"trial_least_sand_t_per_ha_per_year", &p.TrialLeastSandTPerHaPerYear, 0, 1000},
		{"trial_least_organic_matter_fall_pct_points_per_year", &p.TrialLeastOrganicMatterFallPctPointsPerYear, 0, 20},
		{"trial_least_thatch_fall_mm_per_year", &p.TrialLeastThatchFallMMPerYear, 0, 50},
		{"class_mean_conductivity_sand_mm_per_h", &p.SandMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_loamy_sand_mm_per_h", &p.LoamySandMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_sandy_loam_mm_per_h", &p.SandyLoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_silt_loam_mm_per_h", &p.SiltLoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_loam_mm_per_h", &p.LoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_sandy_clay_loam_mm_per_h", &p.SandyClayLoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_clay_loam_mm_per_h", &p.ClayLoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_silty_clay_loam_mm_per_h", &p.SiltyClayLoamMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_sandy_clay_mm_per_h", &p.SandyClayMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_silty_clay_mm_per_h", &p.SiltyClayMMPerH, leastRate, mostRate},
		{"class_mean_conductivity_clay_mm_per_h", &p.ClayMMPerH, leastRate, mostRate},
	}
}

// ParametersFrom takes the likely value of each assumption.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	for _, b := range p.bindings() {
		*b.field = set.Likely(b.name)
	}
	return p
}

// check refuses values that no case can mean. An override is found in a case by
// its name and not by its place, so the pointer stops at the list.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, b := range p.bindings() {
		if !within(*b.field, b.low, b.high) {
			faults.Add("/assumptions", *b.field, b.name+" is outside what it can mean",
				fmt.Sprintf("give %s a value from %g to %g", b.name, b.low, b.high))
		}
	}
	inOrder := func(lower float64, lowerName string, upper float64, upperName string) {
		if lower > upper {
			faults.Add("/assumptions", lower, fmt.Sprintf("%s is above %s, which is %g", lowerName, upperName, upper),
				"give the two values in order")
		}
	}
	inOrder(p.SlowSubsoilMMPerH, slowSubsoilName, p.FreeSubsoilMMPerH, freeSubsoilName)
	inOrder(p.DilutedOrganicMatterPct, dilutedOrganicMatterName, p.ThatchExcessOrganicMatterPct, thatchOrganicMatterName)
	inOrder(p.LeastSunHPerDay, leastSunName, p.EnoughSunHPerDay, enoughSunName)
	return faults
}

// sourceOf gives what a limit rests on, to be printed beside it. A value that is
// not the built-in one rests on the case, whatever the table cites.
func sourceOf(name string, value float64) string {
	a := assumption.Defaults().Get(name)
	switch {
	case a.Likely != value:
		return "set for this case (assumption " + name + ")"
	case a.Source == "":
		return a.Basis.Words()
	case a.Basis == assumption.Published:
		return a.Source
	}
	return a.Basis.Words() + ": " + a.Source
}
