package water

import (
	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the assumptions that this package takes on trust.
type Parameters struct {
	GravityStoreMM           float64
	GreatestDeficitMM        float64
	SurfaceDetentionMM       float64
	StandingWaterMM          float64
	WetHourRainMMPerH        float64
	SoftAboveStoreShare      float64
	SoftFallPctPerMMThatch   float64
	ThatchWithoutSofteningMM float64
	// WetSurfaceToRingRatio and its range: the calibration may move the ratio,
	// and never out of the range.
	WetSurfaceToRingRatio          float64
	WetSurfaceToRingRatioLow       float64
	WetSurfaceToRingRatioHigh      float64
	FieldToLaboratoryRatioYear1    float64
	FieldToLaboratoryRatioYear4    float64
	UndressedRootZoneFloorMMPerH   float64
	OrganicMatterWithoutSealingPct float64
	OrganicMatterSealingPerPct     float64
	TurfSoilConductivityMMPerH     float64
	TurfSoilThicknessMM            float64
	RootZoneResidualShare          float64
	RootZoneSaturatedShare         float64
	RootZoneAlphaPerM              float64
	RootZoneN                      float64
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	ratio := set.Get("wet_surface_to_ring_ratio")
	return Parameters{
		GravityStoreMM:                 set.Likely("gravity_store_mm"),
		GreatestDeficitMM:              set.Likely("greatest_soil_moisture_deficit_mm"),
		SurfaceDetentionMM:             set.Likely("surface_detention_mm"),
		StandingWaterMM:                set.Likely("standing_water_mm"),
		WetHourRainMMPerH:              set.Likely("wet_hour_rain_mm_per_h"),
		SoftAboveStoreShare:            set.Likely("soft_above_store_share"),
		SoftFallPctPerMMThatch:         set.Likely("soft_threshold_fall_pct_per_mm_thatch"),
		ThatchWithoutSofteningMM:       set.Likely("thatch_without_softening_mm"),
		WetSurfaceToRingRatio:          ratio.Likely,
		WetSurfaceToRingRatioLow:       ratio.Low,
		WetSurfaceToRingRatioHigh:      ratio.High,
		FieldToLaboratoryRatioYear1:    set.Likely("new_root_zone_field_to_laboratory_ratio_year_1"),
		FieldToLaboratoryRatioYear4:    set.Likely("new_root_zone_field_to_laboratory_ratio"),
		UndressedRootZoneFloorMMPerH:   set.Likely("undressed_root_zone_floor_mm_per_h"),
		OrganicMatterWithoutSealingPct: set.Likely("organic_matter_without_sealing_pct"),
		OrganicMatterSealingPerPct:     set.Likely("organic_matter_sealing_per_pct"),
		TurfSoilConductivityMMPerH:     set.Likely("turf_soil_conductivity_worn_mm_per_h"),
		TurfSoilThicknessMM:            set.Likely("turf_soil_thickness_mm"),
		RootZoneResidualShare:          set.Likely("root_zone_residual_water_share"),
		RootZoneSaturatedShare:         set.Likely("root_zone_saturated_water_share"),
		RootZoneAlphaPerM:              set.Likely("root_zone_retention_alpha_per_m"),
		RootZoneN:                      set.Likely("root_zone_retention_n"),
	}
}

// check refuses parameters that an override has made absurd. The pointers name
// the assumption.
func (p Parameters) check() fault.List {
	at := func(name string) string { return fault.Pointer("assumptions", name) }
	return checkBounds(
		bound{at("gravity_store_mm"), p.GravityStoreMM, 1, 1000, " mm"},
		bound{at("greatest_soil_moisture_deficit_mm"), p.GreatestDeficitMM, 1, 500, " mm"},
		bound{at("surface_detention_mm"), p.SurfaceDetentionMM, 0, 500, " mm"},
		bound{at("standing_water_mm"), p.StandingWaterMM, 0, 50, " mm"},
		bound{at("wet_hour_rain_mm_per_h"), p.WetHourRainMMPerH, 0.05, 50, " mm/h"},
		bound{at("soft_above_store_share"), p.SoftAboveStoreShare, leastSoftShare, mostSoftShare, ""},
		bound{at("soft_threshold_fall_pct_per_mm_thatch"), p.SoftFallPctPerMMThatch, 0, 20, " %"},
		bound{at("thatch_without_softening_mm"), p.ThatchWithoutSofteningMM, 0, 200, " mm"},
		bound{at("wet_surface_to_ring_ratio"), p.WetSurfaceToRingRatio, 1e-4, 1, ""},
		bound{at("wet_surface_to_ring_ratio"), p.WetSurfaceToRingRatioLow, 1e-4, p.WetSurfaceToRingRatio, ""},
		bound{at("wet_surface_to_ring_ratio"), p.WetSurfaceToRingRatioHigh, p.WetSurfaceToRingRatio, 1, ""},
		bound{at("new_root_zone_field_to_laboratory_ratio_year_1"), p.FieldToLaboratoryRatioYear1, 1e-3, 1, ""},
		bound{at("new_root_zone_field_to_laboratory_ratio"), p.FieldToLaboratoryRatioYear4, 1e-3, p.FieldToLaboratoryRatioYear1, ", the ratio in year 1"},
		bound{at("undressed_root_zone_floor_mm_per_h"), p.UndressedRootZoneFloorMMPerH, 0, 1000, " mm/h"},
		bound{at("organic_matter_without_sealing_pct"), p.OrganicMatterWithoutSealingPct, 0, 100, " %"},
		bound{at("organic_matter_sealing_per_pct"), p.OrganicMatterSealingPerPct, 0, 10, " per %"},
		bound{at("turf_soil_conductivity_worn_mm_per_h"), p.TurfSoilConductivityMMPerH, leastConductivity, mostConductivity, " mm/h"},
		bound{at("turf_soil_thickness_mm"), p.TurfSoilThicknessMM, 0, 200, " mm"},
		bound{at("root_zone_saturated_water_share"), p.RootZoneSaturatedShare, 0.01, 0.99, ""},
		bound{at("root_zone_residual_water_share"), p.RootZoneResidualShare, 0, p.RootZoneSaturatedShare, ", the share when saturated"},
		bound{at("root_zone_retention_alpha_per_m"), p.RootZoneAlphaPerM, 0.01, 1000, " per m"},
		bound{at("root_zone_retention_n"), p.RootZoneN, 1.01, 20, ""},
	)
}
