package condition

// Input is everything that the judgement rests on. What was not measured or not
// recorded is nil or empty; nothing is guessed in its place.
type Input struct {
	// Infiltration is the ring rate at 20 °C on the wet surface.
	Infiltration      Estimate `json:"infiltration_mm_per_h"`
	ThatchDepth       Estimate `json:"thatch_depth_mm"`
	AnnualMeadowGrass Estimate `json:"annual_meadow_grass_pct"`
	// MonthsPlayable is a year's, on the main green.
	MonthsPlayable Estimate `json:"months_playable"`

	// RatioUnderMat is the rate with the top 50 mm removed as a multiple of the
	// rate of the surface.
	RatioUnderMat Estimate `json:"ratio_50_mm"`
	// RateBelow is the rate with the top 150 mm removed, mm/h.
	RateBelow Estimate `json:"removed_150_mm_per_h"`
	// OrganicMatterTopPct is by weight, the depth-weighted mean of 0 to 20 mm.
	OrganicMatterTopPct      *float64 `json:"organic_matter_top_20_mm_pct"`
	RootDepthMM              *float64 `json:"root_depth_mm"`
	SurfaceHardnessGravities *float64 `json:"surface_hardness_gravities"`
	Pits                     []Pit    `json:"pits"`

	// SoilLayers run from below the thatch down.
	SoilLayers   []SoilLayer  `json:"soil_layers"`
	HasDrains    bool         `json:"has_drains"`
	Outfall      Outfall      `json:"outfall"`
	Surroundings Surroundings `json:"surroundings"`

	// LostDays is nil when the causes of the lost days were not recorded.
	LostDays *LostDays `json:"lost_days"`
	// Trial is nil when no intensified programme has been tried.
	Trial *ProgrammeTrial `json:"trial"`
}

// Estimate is one measured quantity, pooled and by position. A nil Value means
// that it was not measured; a nil Interval that nothing is known of its spread.
type Estimate struct {
	Value      *float64           `json:"value"`
	Interval   *Interval          `json:"interval"`
	ByPosition []PositionEstimate `json:"by_position"`
}

// PositionEstimate is the same quantity from the readings of one position.
type PositionEstimate struct {
	Position string    `json:"position"`
	Value    float64   `json:"value"`
	Interval *Interval `json:"interval"`
}

// Interval is a two-sided confidence interval in the unit of what it belongs to.
type Interval struct {
	Low           float64 `json:"low"`
	High          float64 `json:"high"`
	ConfidencePct float64 `json:"confidence_pct"`
}

// at gives the estimate for one position, or the pooled one when the position is
// empty or has no readings of its own.
func (e Estimate) at(position string) (*float64, *Interval) {
	if position != "" {
		for i := range e.ByPosition {
			if e.ByPosition[i].Position == position {
				return &e.ByPosition[i].Value, e.ByPosition[i].Interval
			}
		}
	}
	return e.Value, e.Interval
}

// Pit is what one hole showed, in mm below the surface. FreeWaterDepthMM is nil
// when the pit stayed dry, BlackLayer when nobody looked.
type Pit struct {
	DepthMM          float64  `json:"depth_mm"`
	FreeWaterDepthMM *float64 `json:"free_water_depth_mm,omitempty"`
	RootDepthMM      *float64 `json:"root_depth_mm,omitempty"`
	BlackLayer       *bool    `json:"black_layer,omitempty"`
}

// SoilLayer is one layer of the present profile. ConductivityMMPerH is nil unless
// it was measured.
type SoilLayer struct {
	Texture            Texture  `json:"texture"`
	ThicknessMM        float64  `json:"thickness_mm"`
	ConductivityMMPerH *float64 `json:"conductivity_mm_per_h,omitempty"`
}

// Texture is a soil's texture class.
type Texture string

// The textures.
const (
	Sand          Texture = "sand"
	LoamySand     Texture = "loamy_sand"
	SandyLoam     Texture = "sandy_loam"
	Loam          Texture = "loam"
	SiltLoam      Texture = "silt_loam"
	Silt          Texture = "silt"
	SandyClayLoam Texture = "sandy_clay_loam"
	ClayLoam      Texture = "clay_loam"
	SiltyClayLoam Texture = "silty_clay_loam"
	SandyClay     Texture = "sandy_clay"
	SiltyClay     Texture = "silty_clay"
	Clay          Texture = "clay"
	Gravel        Texture = "gravel"
	Peat          Texture = "peat"
)

// Outfall is where drained water can go. Empty words mean that nothing is known.
type Outfall struct {
	State     string `json:"state,omitempty"`
	AfterRain string `json:"after_rain,omitempty"`
}

// The states of an outfall, and what was seen there within a day of rain.
const (
	OutfallFree     = "free"
	OutfallBlocked  = "blocked"
	OutfallNone     = "none"
	OutfallNotKnown = "not_known"

	OutfallRunning     = "running"
	OutfallTrickling   = "trickling"
	OutfallDry         = "dry"
	OutfallNotObserved = "not_observed"
)

// Surroundings is what lies around the green. What is nil or empty was not
// looked at.
type Surroundings struct {
	SunHPerDay       *float64 `json:"sun_h_per_day,omitempty"`
	Air              string   `json:"air,omitempty"`
	WaterRunsIn      *bool    `json:"water_runs_in,omitempty"`
	WalkOnPoints     *int     `json:"walk_on_points,omitempty"`
	SprinklerOverlap string   `json:"sprinkler_overlap,omitempty"`
}

// The words for air and for the overlap of the sprinklers.
const (
	AirOpen     = "open"
	AirEnclosed = "enclosed"
	OverlapGood = "good"
	OverlapPoor = "poor"
)

// LostDays is a mean year's days on which the main green was not in play, each
// day under one cause.
type LostDays struct {
	WaterloggedGreenDays  float64 `json:"waterlogged_green_days"`
	WaterloggedCourseDays float64 `json:"waterlogged_course_days"`
	FrostDays             float64 `json:"frost_days"`
}

// ProgrammeTrial is an intensified programme already tried on this green. A
// negative change is a fall. What was not recorded is nil.
type ProgrammeTrial struct {
	Seasons                             float64  `json:"seasons"`
	OperationsDonePct                   *float64 `json:"operations_done_pct,omitempty"`
	SandTPerHaPerYear                   *float64 `json:"sand_t_per_ha_per_year,omitempty"`
	OrganicMatterChangePctPointsPerYear *float64 `json:"organic_matter_change_pct_points_per_year,omitempty"`
	ThatchChangeMMPerYear               *float64 `json:"thatch_change_mm_per_year,omitempty"`
}
