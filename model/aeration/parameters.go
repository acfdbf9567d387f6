package aeration

import (
	"fmt"
	"slices"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the assumptions that this package takes on trust, one plain
// number each, named and sourced in the table of assumptions.
type Parameters struct {
	SandPresentTPerHaPerYear     float64
	SandIntensifiedTPerHaPerYear float64
	SandDryTPerM3                float64
	DressingMM                   float64
	HoleFillShare                float64
	RootZoneBulkDensityTPerM3    float64
	OrganicMatter0To20MMPct      float64
	OrganicMatter20To40MMPct     float64
	OrganicMatter40To60MMPct     float64
	OrganicMatter60To80MMPct     float64

	RecoveryCoring13MMDays           float64
	RecoveryCoring8MMDays            float64
	RecoveryDeepTiningDays           float64
	RecoverySlitTiningDays           float64
	RecoveryScarifyingDays           float64
	RecoveryMolePloughingDays        float64
	RecoveryOverseedingDays          float64
	RecoveryDressing1p5MMDays        float64
	RecoveryReferenceGrowthPotential float64
	GrowthFreeShareCoring            float64
	GrowthFreeShareDeepTining        float64
	GrowthFreeShareSlitTining        float64
	GrowthFreeShareScarifying        float64
	GrowthFreeShareMolePloughing     float64
	GrowthFreeShareOverseeding       float64
	GrowthFreeShareTopDressing       float64

	HeavyCoreOutsideMM                float64
	LeastGrowthPotentialHeavyCoring   float64
	LeastGrowthPotentialOverseeding   float64
	HeaviestDressingMM                float64
	MoleLeastClayPct                  float64
	ClearanceAboveBuriedMM            float64
	TargetAreaLowPct                  float64
	TargetAreaHighPct                 float64
	TargetSandLowMM                   float64
	TargetSandHighMM                  float64
	FairTrialSandTPerHaPerYear        float64
	OverseedingSeedGPerM2             float64
	AttendanceHPer1000M2              float64
	OrdinaryNitrogenKGPerHaPerYear    float64
	IntensifiedNitrogenKGPerHaPerYear float64
	FertiliserNitrogenPct             float64
	OrdinaryIrrigationMMPerYear       float64
	IntensifiedIrrigationMMPerYear    float64
	IntensifiedHandWateringHPer1000M2 float64

	GrowthPerNitrogen              float64
	GrowthPerIrrigation            float64
	LeanShare                      float64
	AnnualMeadowGrassFallPctPoints float64
	OverseedingsForCreditPerYear   float64
	CoringUnfilledRateMultiplier   float64
	CoringUnfilledLifeWeeks        float64
	DeepTiningRateMultiplier       float64
	DeepTiningLifeMonths           float64
	SlitTiningRateMultiplier       float64
	SlitTiningLifeWeeks            float64
	CoringFilledLifeYears          float64
	ReferenceAreaCoringPct         float64
	ReferenceAreaDeepTiningPct     float64
	ReferenceAreaSlitTiningPct     float64
	LargestAreaRatio               float64
	MoleDischargeMMPerDay          float64
	MoleLifeYears                  float64
}

// parameter ties a field to its name in the table and to the range outside
// which the formulas of this package lose their meaning.
type parameter struct {
	name      string
	field     *float64
	low, high float64
}

// tiny stands in for "more than nothing" where a parameter divides.
const tiny = 1e-3

// list names every field once: ParametersFrom fills through it and check
// guards through it, so that a new field cannot be half added.
func (p *Parameters) list() []parameter {
	return slices.Concat(p.materials(), p.recovery(), p.limits(), p.effects())
}

func (p *Parameters) materials() []parameter {
	return []parameter{
		{"aeration_sand_present_t_per_ha_per_year", &p.SandPresentTPerHaPerYear, 0, 1000},
		{"aeration_sand_intensified_t_per_ha_per_year", &p.SandIntensifiedTPerHaPerYear, 0, 1000},
		{"aeration_sand_dry_t_per_m3", &p.SandDryTPerM3, 0.5, 3},
		{"aeration_dressing_mm", &p.DressingMM, tiny, 20},
		{"aeration_hole_fill_share", &p.HoleFillShare, 0, 1.5},
		{"aeration_root_zone_bulk_density_t_per_m3", &p.RootZoneBulkDensityTPerM3, 0.1, 2.65},
		{"aeration_organic_matter_0_20_mm_pct", &p.OrganicMatter0To20MMPct, 0, 60},
		{"aeration_organic_matter_20_40_mm_pct", &p.OrganicMatter20To40MMPct, 0, 60},
		{"aeration_organic_matter_40_60_mm_pct", &p.OrganicMatter40To60MMPct, 0, 60},
		{"aeration_organic_matter_60_80_mm_pct", &p.OrganicMatter60To80MMPct, 0, 60},
		{"aeration_overseeding_seed_g_per_m2", &p.OverseedingSeedGPerM2, 0, 200},
		{"aeration_attendance_h_per_1000_m2", &p.AttendanceHPer1000M2, 0, 200},
		{"aeration_ordinary_nitrogen_kg_per_ha_per_year", &p.OrdinaryNitrogenKGPerHaPerYear, 1, 600},
		{"aeration_intensified_nitrogen_kg_per_ha_per_year", &p.IntensifiedNitrogenKGPerHaPerYear, 0, 600},
		{"aeration_fertiliser_nitrogen_pct", &p.FertiliserNitrogenPct, 1, 100},
		{"aeration_ordinary_irrigation_mm_per_year", &p.OrdinaryIrrigationMMPerYear, 1, 3000},
		{"aeration_intensified_irrigation_mm_per_year", &p.IntensifiedIrrigationMMPerYear, 0, 3000},
		{"aeration_intensified_hand_watering_h_per_1000_m2_per_year", &p.IntensifiedHandWateringHPer1000M2, 0, 2000},
	}
}

func (p *Parameters) recovery() []parameter {
	return []parameter{
		{"aeration_recovery_coring_13_mm_days", &p.RecoveryCoring13MMDays, 0, 365},
		{"aeration_recovery_coring_8_mm_days", &p.RecoveryCoring8MMDays, 0, 365},
		{"aeration_recovery_deep_tining_days", &p.RecoveryDeepTiningDays, 0, 365},
		{"aeration_recovery_slit_tining_days", &p.RecoverySlitTiningDays, 0, 365},
		{"aeration_recovery_scarifying_days", &p.RecoveryScarifyingDays, 0, 365},
		{"aeration_recovery_mole_ploughing_days", &p.RecoveryMolePloughingDays, 0, 365},
		{"aeration_recovery_overseeding_days", &p.RecoveryOverseedingDays, 0, 365},
		{"aeration_recovery_dressing_1_5_mm_days", &p.RecoveryDressing1p5MMDays, 0, 365},
		{"aeration_recovery_reference_growth_potential", &p.RecoveryReferenceGrowthPotential, 0.05, 1},
		{"aeration_growth_free_share_coring", &p.GrowthFreeShareCoring, 0, 1},
		{"aeration_growth_free_share_deep_tining", &p.GrowthFreeShareDeepTining, 0, 1},
		{"aeration_growth_free_share_slit_tining", &p.GrowthFreeShareSlitTining, 0, 1},
		{"aeration_growth_free_share_scarifying", &p.GrowthFreeShareScarifying, 0, 1},
		{"aeration_growth_free_share_mole_ploughing", &p.GrowthFreeShareMolePloughing, 0, 1},
		{"aeration_growth_free_share_overseeding", &p.GrowthFreeShareOverseeding, 0, 1},
		{"aeration_growth_free_share_top_dressing", &p.GrowthFreeShareTopDressing, 0, 1},
	}
}

func (p *Parameters) limits() []parameter {
	return []parameter{
		{"aeration_heavy_core_outside_mm", &p.HeavyCoreOutsideMM, 0, 100},
		{"aeration_least_growth_potential_heavy_coring", &p.LeastGrowthPotentialHeavyCoring, 0, 1},
		{"aeration_least_growth_potential_overseeding", &p.LeastGrowthPotentialOverseeding, 0, 1},
		{"aeration_heaviest_dressing_mm", &p.HeaviestDressingMM, 0, 50},
		{"aeration_mole_least_clay_pct", &p.MoleLeastClayPct, 0, 100},
		{"aeration_clearance_above_buried_mm", &p.ClearanceAboveBuriedMM, 0, 1000},
		{"aeration_target_area_low_pct", &p.TargetAreaLowPct, 0, 100},
		{"aeration_target_area_high_pct", &p.TargetAreaHighPct, 0, 100},
		{"aeration_target_sand_low_mm", &p.TargetSandLowMM, 0, 100},
		{"aeration_target_sand_high_mm", &p.TargetSandHighMM, 0, 100},
		{"aeration_fair_trial_sand_t_per_ha_per_year", &p.FairTrialSandTPerHaPerYear, 0, 1000},
	}
}

func (p *Parameters) effects() []parameter {
	return []parameter{
		{"aeration_growth_per_nitrogen", &p.GrowthPerNitrogen, 0, 1},
		{"aeration_growth_per_irrigation", &p.GrowthPerIrrigation, 0, 1},
		{"aeration_lean_share", &p.LeanShare, 0, 1},
		{"aeration_annual_meadow_grass_fall_pct_points_per_year", &p.AnnualMeadowGrassFallPctPoints, 0, 100},
		{"aeration_overseedings_for_credit_per_year", &p.OverseedingsForCreditPerYear, 0, 60},
		{"aeration_coring_unfilled_rate_multiplier", &p.CoringUnfilledRateMultiplier, 1, 50},
		{"aeration_coring_unfilled_life_weeks", &p.CoringUnfilledLifeWeeks, tiny, 520},
		{"aeration_deep_tining_rate_multiplier", &p.DeepTiningRateMultiplier, 1, 50},
		{"aeration_deep_tining_life_months", &p.DeepTiningLifeMonths, tiny, 120},
		{"aeration_slit_tining_rate_multiplier", &p.SlitTiningRateMultiplier, 1, 50},
		{"aeration_slit_tining_life_weeks", &p.SlitTiningLifeWeeks, tiny, 520},
		{"aeration_coring_filled_life_years", &p.CoringFilledLifeYears, tiny, 30},
		{"aeration_reference_area_coring_pct", &p.ReferenceAreaCoringPct, 0.1, 100},
		{"aeration_reference_area_deep_tining_pct", &p.ReferenceAreaDeepTiningPct, 0.1, 100},
		{"aeration_reference_area_slit_tining_pct", &p.ReferenceAreaSlitTiningPct, 0.1, 100},
		{"aeration_largest_area_ratio", &p.LargestAreaRatio, 0, 100},
		{"aeration_mole_discharge_mm_per_day", &p.MoleDischargeMMPerDay, 0, 1000},
		{"aeration_mole_life_years", &p.MoleLifeYears, tiny, 100},
	}
}

// ParametersFrom takes the likely value of every assumption that this package
// uses.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	for _, row := range p.list() {
		*row.field = set.Likely(row.name)
	}
	return p
}

// check reports each parameter that is not a number or lies outside the range
// in which the formulas hold.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, row := range p.list() {
		value := *row.field
		if !(value >= row.low && value <= row.high) {
			faults.Add(fault.Pointer("assumptions", row.name), value, "this assumption is out of range",
				fmt.Sprintf("give a number from %g to %g", row.low, row.high))
		}
	}
	return faults
}
