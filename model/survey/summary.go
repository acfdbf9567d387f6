package survey

// Summary is one green's survey, read.
type Summary struct {
	SurveyedOn string `json:"surveyed_on"`
	// Infiltration is the geometric mean rate of the surface at 20 °C, mm/h.
	Infiltration Estimate `json:"infiltration_mm_per_h"`
	// ThatchDepth is the mean, mm.
	ThatchDepth Estimate `json:"thatch_depth_mm"`
	// AnnualMeadowGrass is the share of all points that were hits, %.
	AnnualMeadowGrass Estimate `json:"annual_meadow_grass_pct"`
	// MonthsPlayable is months a year open on the main green, 0 to 12.
	MonthsPlayable Estimate `json:"months_playable"`

	InfiltrationBelow InfiltrationBelow `json:"infiltration_below"`
	// InfiltrationReadings lists every test, in the order given, with what was
	// made of it.
	InfiltrationReadings []InfiltrationReading `json:"infiltration_readings"`
	Play                 PlaySummary           `json:"play"`
	OrganicMatter        OrganicMatterSummary  `json:"organic_matter"`
	Pits                 PitsSummary           `json:"pits"`
	// RootDepthMM and SurfaceHardnessGravities are as given; nil when not
	// measured.
	RootDepthMM              *float64 `json:"root_depth_mm"`
	SurfaceHardnessGravities *float64 `json:"surface_hardness_gravities"`
}

// Interval is a two-sided confidence interval, in the unit of the estimate it
// belongs to.
type Interval struct {
	Low           float64 `json:"low"`
	High          float64 `json:"high"`
	ConfidencePct float64 `json:"confidence_pct"`
}

// Estimate is one measure of the green. Its unit is in the name of the field
// that holds it.
type Estimate struct {
	// Value is nil when the measure was not made, or no reading could be used.
	Value *float64 `json:"value"`
	// Interval is nil when the readings cannot support one;
	// IntervalMissingBecause then says why.
	Interval               *Interval `json:"interval"`
	IntervalMissingBecause string    `json:"interval_missing_because,omitempty"`
	// Readings counts what was pooled: tests, cores, quadrats or months. It is
	// 0 for a bare value.
	Readings int `json:"readings"`
	// KeptOut counts readings that were made and not pooled.
	KeptOut int `json:"kept_out"`
	// ByPosition is sorted by position. Readings that name none are pooled and
	// do not appear here.
	ByPosition []PositionEstimate `json:"by_position"`
	// WorstPosition is empty unless two positions or more were told apart. Of
	// equals it is the first by name.
	WorstPosition string `json:"worst_position,omitempty"`
	// Notes are sentences for the reader of the report.
	Notes []string `json:"notes"`
}

// PositionEstimate is the same measure from the readings of one position.
type PositionEstimate struct {
	Position string    `json:"position"`
	Value    float64   `json:"value"`
	Interval *Interval `json:"interval"`
	Readings int       `json:"readings"`
}

// Method is how an infiltration rate was measured.
type Method string

// The methods.
const (
	SingleRing Method = "ring"
	DoubleRing Method = "double_ring"
)

// InfiltrationReading is one test and the rate drawn from it.
type InfiltrationReading struct {
	// Pointer is the test's place in the survey, an RFC 6901 JSON pointer.
	Pointer        string  `json:"pointer"`
	Method         Method  `json:"method"`
	Position       string  `json:"position,omitempty"`
	TakenOn        string  `json:"taken_on,omitempty"`
	Surface        Surface `json:"surface,omitempty"`
	DryPatch       bool    `json:"dry_patch"`
	DepthRemovedMM int     `json:"depth_removed_mm"`
	// RateAsReadMMPerH is at the temperature of the water.
	RateAsReadMMPerH float64 `json:"rate_as_read_mm_per_h"`
	ViscosityRatio   float64 `json:"viscosity_ratio"`
	// RateMMPerH is RateAsReadMMPerH × ViscosityRatio: at 20 °C.
	RateMMPerH float64 `json:"rate_mm_per_h"`
	// Run is nil for a single ring.
	Run *RunRates `json:"run"`
	// BelowReadable is true when the water fell too little to read and half of
	// the smallest readable drop was taken.
	BelowReadable bool `json:"below_readable"`
	// Pooled is false for a dry patch.
	Pooled bool `json:"pooled"`
}

// InfiltrationBelow holds the rates with the top taken off, and how they
// compare with the surface.
type InfiltrationBelow struct {
	Removed50MM  Estimate `json:"removed_50_mm"`
	Removed150MM Estimate `json:"removed_150_mm"`
	// Ratio50MM and Ratio150MM are the rate with that much removed divided by
	// the rate of the surface.
	Ratio50MM  RateRatio `json:"ratio_50_mm"`
	Ratio150MM RateRatio `json:"ratio_150_mm"`
}

// RatioBasis says what a ratio compares.
type RatioBasis string

// The bases of a ratio.
const (
	// SamePosition compares rates position by position.
	SamePosition RatioBasis = "same_position"
	// WholeGreen compares the pooled rates, because no position has both.
	WholeGreen RatioBasis = "whole_green"
)

// RateRatio is a rate below the surface divided by the rate of the surface.
type RateRatio struct {
	// Value is nil when there is nothing to compare.
	Value                  *float64   `json:"value"`
	Interval               *Interval  `json:"interval"`
	IntervalMissingBecause string     `json:"interval_missing_because,omitempty"`
	Basis                  RatioBasis `json:"basis,omitempty"`
	// ByPosition has one ratio for each position with both rates.
	ByPosition []PositionEstimate `json:"by_position"`
}

// Months holds one figure for each calendar month, January first.
type Months [12]float64

// PlaySummary is the record of closed days, read. Its parts are nil when only a
// bare value, or nothing, was given: the causes are then not known.
type PlaySummary struct {
	// MonthsRecorded counts the lines of the record.
	MonthsRecorded int `json:"months_recorded"`
	// Years are the full years in the record, in order: runs of twelve months
	// that follow one another, counted from the first month of each unbroken
	// stretch.
	Years []YearOfPlay `json:"years"`
	// OpenShareByMonth is the share of each month that the main green was open,
	// 0 to 1.
	OpenShareByMonth *Months `json:"open_share_by_month"`
	// LostDaysByMonth are the mean days lost in each month, by cause, in a year of
	// 365 days: a February of 29 counts by the share of it that was lost.
	LostDaysByMonth *LostDaysByMonth `json:"lost_days_by_month"`
	// LostDaysPerYear are the same, summed over the months.
	LostDaysPerYear *LostDaysPerYear `json:"lost_days_per_year"`
	// LostMonthsPerYear count each month by the share of it that was lost: with
	// the months playable they add up to 12.
	LostMonthsPerYear *LostMonthsPerYear `json:"lost_months_per_year"`
	// CourseOpenMonths is 12 less the months in which the rest of the course was
	// waterlogged.
	CourseOpenMonths *float64 `json:"course_open_months"`
	// CeilingMonths is the most that any work on this green could give: 12 less
	// the months lost to the rest of the course, to frost and to policy.
	CeilingMonths *float64 `json:"ceiling_months"`
}

// YearOfPlay is one full year of the record.
type YearOfPlay struct {
	// FirstMonth is YYYY-MM.
	FirstMonth     string  `json:"first_month"`
	MonthsPlayable float64 `json:"months_playable"`
}

// LostDaysByMonth are mean days a month, January first, by cause.
// TemporaryGreenDays are among the others and not added to them.
type LostDaysByMonth struct {
	WaterloggedGreenDays  Months `json:"waterlogged_green_days"`
	WaterloggedCourseDays Months `json:"waterlogged_course_days"`
	FrostDays             Months `json:"frost_days"`
	PolicyDays            Months `json:"policy_days"`
	WorksDays             Months `json:"works_days"`
	TemporaryGreenDays    Months `json:"temporary_green_days"`
}

// LostDaysPerYear are mean days a year by cause.
type LostDaysPerYear struct {
	WaterloggedGreenDays  float64 `json:"waterlogged_green_days"`
	WaterloggedCourseDays float64 `json:"waterlogged_course_days"`
	FrostDays             float64 `json:"frost_days"`
	PolicyDays            float64 `json:"policy_days"`
	WorksDays             float64 `json:"works_days"`
	TemporaryGreenDays    float64 `json:"temporary_green_days"`
}

// LostMonthsPerYear are mean months a year by cause.
type LostMonthsPerYear struct {
	WaterloggedGreenMonths  float64 `json:"waterlogged_green_months"`
	WaterloggedCourseMonths float64 `json:"waterlogged_course_months"`
	FrostMonths             float64 `json:"frost_months"`
	PolicyMonths            float64 `json:"policy_months"`
	WorksMonths             float64 `json:"works_months"`
}

// OrganicMatterSummary is organic matter by depth.
type OrganicMatterSummary struct {
	// Layers are sorted from the surface down; of layers that start together
	// the thinner comes first.
	Layers []LayerMean `json:"layers"`
	// Top20Pct and Top80Pct are the depth-weighted means of the top 20 and 80
	// mm; nil where the readings leave a gap.
	Top20Pct *float64 `json:"top_20_mm_pct"`
	Top80Pct *float64 `json:"top_80_mm_pct"`
}

// LayerMean is the mean of all readings between the same two depths.
type LayerMean struct {
	DepthFromMM      float64   `json:"depth_from_mm"`
	DepthToMM        float64   `json:"depth_to_mm"`
	OrganicMatterPct float64   `json:"organic_matter_pct"`
	Interval         *Interval `json:"interval"`
	Readings         int       `json:"readings"`
}

// PitsSummary is what the pits showed, taken together.
type PitsSummary struct {
	Pits int `json:"pits"`
	// DeepestMM is nil when there are no pits.
	DeepestMM *float64 `json:"deepest_mm"`
	// WithFreeWater counts pits in which water stood.
	WithFreeWater int `json:"with_free_water"`
	// ShallowestFreeWaterMM is nil when every pit stayed dry.
	ShallowestFreeWaterMM       *float64 `json:"shallowest_free_water_mm"`
	ShallowestFreeWaterPosition string   `json:"shallowest_free_water_position,omitempty"`
	// MeanRootDepthMM and ShallowestRootDepthMM are nil when no pit gave one.
	MeanRootDepthMM       *float64 `json:"mean_root_depth_mm"`
	ShallowestRootDepthMM *float64 `json:"shallowest_root_depth_mm"`
	// BlackLayerLookedFor counts pits in which somebody looked for a black
	// layer, BlackLayerSeen those in which it was there.
	BlackLayerLookedFor int `json:"black_layer_looked_for"`
	BlackLayerSeen      int `json:"black_layer_seen"`
}
