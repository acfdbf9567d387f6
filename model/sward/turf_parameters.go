package sward

import (
	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// TurfParameters are the assumptions by which a sward changes from year to
// year. Each field holds the assumption named beside it in fields.
type TurfParameters struct {
	// Organic matter; the settled profile is that of an old green where none was
	// measured, surface first.
	NetOrganicMatterKGPerM2PerYear float64
	DecayBelow40MMRatio            float64
	DecayPerYear                   float64
	MadeInTopLayerShare            float64
	OrganicBulkDensityTPerM3       float64
	SandBulkDensityTPerM3          float64
	SettledOrganicMatterPct        [layerCount]float64
	NewRootZoneOrganicMatterPct    float64
	OrganicMatterPondingPct        float64
	OrganicMatterSteadyPctPerYear  float64
	AssumedProfileLeastRatio       float64
	AssumedProfileMostRatio        float64
	GrowthMatchLeastRatio          float64
	GrowthMatchMostRatio           float64
	// Thatch.
	ThatchThresholdPct              float64
	ThatchOrganicMatterKGPerM2PerMM float64
	ThatchLeastMM                   float64
	ThatchConcernMM                 float64
	ThatchDeepMM                    float64
	ThatchStartSupplierTurfMM       float64
	ThatchStartNurseryTurfMM        float64
	// Annual meadow grass.
	AnnualMeadowGrassRateDryPerYear          float64
	AnnualMeadowGrassRateWetPerYear          float64
	AnnualMeadowGrassCeilingDryPct           float64
	AnnualMeadowGrassCeilingWetPct           float64
	AnnualMeadowGrassRatePerOrganicMatterPct float64
	AnnualMeadowGrassRatePerDisturbedShare   float64
	AnnualMeadowGrassLeastPct                float64
	AnnualMeadowGrassDominantPct             float64
	AnnualMeadowGrassStartSeedPct            float64
	AnnualMeadowGrassStartSupplierTurfPct    float64
	AnnualMeadowGrassStartNurseryTurfPct     float64
}

// field ties a parameter to its assumption and to the values that the formulas
// can bear.
type field struct {
	value     *float64
	name      string
	low, high float64
}

func (t *TurfParameters) fields() []field {
	return []field{
		{&t.NetOrganicMatterKGPerM2PerYear, "sward_net_organic_matter_kg_per_m2_per_year", 0, 5},
		{&t.DecayPerYear, "sward_organic_matter_decay_per_year", 0, 2},
		{&t.DecayBelow40MMRatio, "sward_organic_matter_decay_below_40_mm_ratio", 0, 1},
		{&t.MadeInTopLayerShare, "sward_organic_matter_made_in_top_20_mm_share", 0, 1},
		{&t.OrganicBulkDensityTPerM3, "sward_organic_matter_bulk_density_t_per_m3", 0.05, 3},
		{&t.SandBulkDensityTPerM3, "aeration_sand_dry_t_per_m3", 0.5, 3},
		{&t.SettledOrganicMatterPct[0], "aeration_organic_matter_0_20_mm_pct", 0, 100},
		{&t.SettledOrganicMatterPct[1], "aeration_organic_matter_20_40_mm_pct", 0, 100},
		{&t.SettledOrganicMatterPct[2], "aeration_organic_matter_40_60_mm_pct", 0, 100},
		{&t.SettledOrganicMatterPct[3], "aeration_organic_matter_60_80_mm_pct", 0, 100},
		{&t.NewRootZoneOrganicMatterPct, "sward_new_root_zone_organic_matter_pct", 0, 100},
		{&t.OrganicMatterPondingPct, "sward_organic_matter_ponding_pct", 0, 100},
		{&t.OrganicMatterSteadyPctPerYear, "sward_organic_matter_steady_pct_points_per_year", 0, 10},
		{&t.AssumedProfileLeastRatio, "sward_assumed_profile_least_ratio", 0, 1},
		{&t.AssumedProfileMostRatio, "sward_assumed_profile_most_ratio", 1, 10},
		{&t.GrowthMatchLeastRatio, "sward_growth_match_least_ratio", 0, 1},
		{&t.GrowthMatchMostRatio, "sward_growth_match_most_ratio", 1, 10},
		{&t.ThatchThresholdPct, "sward_thatch_threshold_pct", 0, 90},
		{&t.ThatchOrganicMatterKGPerM2PerMM, "sward_thatch_organic_matter_kg_per_m2_per_mm", 0.01, 3},
		{&t.ThatchLeastMM, "thatch_least_mm", 0, 200},
		{&t.ThatchConcernMM, "sward_thatch_concern_mm", 0, 200},
		{&t.ThatchDeepMM, "sward_thatch_deep_mm", 0, 300},
		{&t.ThatchStartSupplierTurfMM, "thatch_start_supplier_turf_mm", 0, 200},
		{&t.ThatchStartNurseryTurfMM, "thatch_start_nursery_turf_mm", 0, 200},
		{&t.AnnualMeadowGrassRateDryPerYear, "annual_meadow_grass_rate_dry_per_year", 0, 20},
		{&t.AnnualMeadowGrassRateWetPerYear, "annual_meadow_grass_rate_wet_per_year", 0, 20},
		{&t.AnnualMeadowGrassCeilingDryPct, "annual_meadow_grass_ceiling_dry_pct", 0, 100},
		{&t.AnnualMeadowGrassCeilingWetPct, "annual_meadow_grass_ceiling_wet_pct", 0, 100},
		{&t.AnnualMeadowGrassRatePerOrganicMatterPct, "sward_annual_meadow_grass_rate_per_organic_matter_pct_point", 0, 1},
		{&t.AnnualMeadowGrassRatePerDisturbedShare, "sward_annual_meadow_grass_rate_per_disturbed_share", 0, 20},
		{&t.AnnualMeadowGrassLeastPct, "sward_annual_meadow_grass_least_pct", 0, 100},
		{&t.AnnualMeadowGrassDominantPct, "sward_annual_meadow_grass_dominant_pct", 0, 100},
		{&t.AnnualMeadowGrassStartSeedPct, "annual_meadow_grass_start_seed_pct", 0, 100},
		{&t.AnnualMeadowGrassStartSupplierTurfPct, "annual_meadow_grass_start_supplier_turf_pct", 0, 100},
		{&t.AnnualMeadowGrassStartNurseryTurfPct, "annual_meadow_grass_start_nursery_turf_pct", 0, 100},
	}
}

// TurfParametersFrom takes the likely values from the table of assumptions.
func TurfParametersFrom(set assumption.Set) TurfParameters {
	var t TurfParameters
	for _, f := range t.fields() {
		*f.value = set.Likely(f.name)
	}
	return t
}

// check refuses parameters that an override has made absurd. The pointers name
// the assumption.
func (t TurfParameters) check(faults *fault.List) {
	for _, f := range t.fields() {
		checkRange(f.name, *f.value, f.low, f.high, faults)
	}
}
