package outline

import "swardcase/model/assumption"

// Parameters are the constants that the package takes on trust. They are plain
// numbers so that a caller can vary them draw by draw.
type Parameters struct {
	SpacingM            float64 // distance between neighbouring laterals
	LateralAngleDeg     float64 // between a lateral and the line of the main
	SetbackM            float64 // a lateral stops this far short of the edge
	TrenchWidthMM       float64
	TrenchDepthMM       float64 // least depth below the formation
	PipeBedMM           float64 // gravel under the pipe
	LeastFallPct        float64
	DeepeningLimitMM    float64 // beyond the least depth
	FormationDepthMM    float64 // below the finished surface
	PipeMPerTrenchM3    float64 // pipe that costs as much as a cubic metre of trench
	PlaneResidualMM     float64 // standard deviation above which a plane is doubted
	SpotLevelErrorMM    float64 // standard error of one measured level
	HoleableEdgeM       float64
	HoleableSlopePct    float64
	DesignRateMMPerH    float64
	CorrugatedN         float64 // Manning roughnesses, s/m^(1/3)
	SmoothN             float64
	SmoothSlottedN      float64
	ClayN               float64
	LeastVelocityMPS    float64
	GreatestVelocityMPS float64
}

// ParametersFrom takes the likely value of each constant from a case's
// assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	return Parameters{
		SpacingM:            set.Likely("layout_lateral_spacing_m"),
		LateralAngleDeg:     set.Likely("layout_lateral_angle_deg"),
		SetbackM:            set.Likely("layout_edge_setback_m"),
		TrenchWidthMM:       set.Likely("layout_trench_width_mm"),
		TrenchDepthMM:       set.Likely("layout_trench_depth_mm"),
		PipeBedMM:           set.Likely("layout_pipe_bed_mm"),
		LeastFallPct:        set.Likely("layout_least_fall_pct"),
		DeepeningLimitMM:    set.Likely("layout_deepening_limit_mm"),
		FormationDepthMM:    set.Likely("layout_formation_depth_mm"),
		PipeMPerTrenchM3:    set.Likely("layout_pipe_m_per_trench_m3"),
		PlaneResidualMM:     set.Likely("plane_residual_limit_mm"),
		SpotLevelErrorMM:    set.Likely("spot_level_error_mm"),
		HoleableEdgeM:       set.Likely("holeable_edge_distance_m"),
		HoleableSlopePct:    set.Likely("holeable_greatest_slope_pct"),
		DesignRateMMPerH:    set.Likely("drain_design_rate_mm_per_h"),
		CorrugatedN:         set.Likely("pipe_corrugated_manning_n_s_per_m_third"),
		SmoothN:             set.Likely("pipe_smooth_manning_n_s_per_m_third"),
		SmoothSlottedN:      set.Likely("pipe_smooth_slotted_manning_n_s_per_m_third"),
		ClayN:               set.Likely("pipe_clay_manning_n_s_per_m_third"),
		LeastVelocityMPS:    set.Likely("pipe_least_velocity_m_per_s"),
		GreatestVelocityMPS: set.Likely("pipe_greatest_velocity_m_per_s"),
	}
}
