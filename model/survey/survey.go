// Package survey turns what was measured on one green into measures with
// intervals: infiltration from ring tests, thatch depth, the share of annual
// meadow grass from point quadrats, and the months playable from the record of
// closed days. It passes on, summarised, what the diagnosis needs beside them:
// rates below the surface, organic matter by depth, and what the pits showed.
//
// Three choices run through the package.
//
// Readings are pooled for the whole green, and shown again for each position
// that the readings name, because one wet corner can take a green out of play.
//
// An interval is given only where the readings can support one. A bare value,
// or a single reading, has none, and the reason is said instead.
//
// What was not measured is marked so and is not a fault. What cannot be true
// (more hits than points, the thirty-first of February, more closed days than
// the month has) is a fault, and every fault in a survey is reported at once.
//
// The package is pure: the same survey and parameters give the same summary,
// whatever the order in which the readings are listed.
package survey

// Survey is what was measured on one green. Only the date is compulsory.
type Survey struct {
	// SurveyedOn is the day of the survey, YYYY-MM-DD.
	SurveyedOn        string                     `json:"surveyed_on"`
	Infiltration      *InfiltrationReadings      `json:"infiltration,omitempty"`
	ThatchDepth       *ThatchReadings            `json:"thatch_depth,omitempty"`
	AnnualMeadowGrass *AnnualMeadowGrassReadings `json:"annual_meadow_grass,omitempty"`
	MonthsPlayable    *PlayRecord                `json:"months_playable,omitempty"`
	OrganicMatter     []OrganicMatterReading     `json:"organic_matter,omitempty"`
	// RootDepthMM is the depth of the main mass of roots, 0 to 1000 mm.
	RootDepthMM *float64 `json:"root_depth_mm,omitempty"`
	// SurfaceHardnessGravities is the peak deceleration of a dropped weight,
	// 0 to 500 gravities.
	SurfaceHardnessGravities *float64 `json:"surface_hardness_gravities,omitempty"`
	Pits                     []Pit    `json:"pits,omitempty"`
}

// InfiltrationReadings holds a bare value or tests, not both.
type InfiltrationReadings struct {
	// ValueMMPerH is a bare rate at 20 °C from a ring on the wet surface,
	// 0.01 to 2000 mm/h.
	ValueMMPerH     *float64         `json:"value_mm_per_h,omitempty"`
	RingTests       []RingTest       `json:"ring_tests,omitempty"`
	DoubleRingTests []DoubleRingTest `json:"double_ring_tests,omitempty"`
}

// Surface is how wet the surface was when a test was made.
type Surface string

// The states of the surface. An empty Surface was not recorded.
const (
	Wet   Surface = "wet"
	Moist Surface = "moist"
	Dry   Surface = "dry"
)

// RingTest is one measured volume of water that sank in from a single ring.
type RingTest struct {
	// Position is where on the green; empty when not recorded.
	Position string `json:"position,omitempty"`
	// TakenOn is YYYY-MM-DD; empty when not recorded.
	TakenOn string `json:"taken_on,omitempty"`
	// DepthRemovedMM is how much of the top was taken off before the test: 0
	// (also when left out), 50 or 150 mm.
	DepthRemovedMM *int `json:"depth_removed_mm,omitempty"`
	// VolumeML is the water that sank in, 1 to 50000 ml.
	VolumeML float64 `json:"volume_ml"`
	// BoreMM is the measured inside diameter of the ring, 20 to 1000 mm.
	BoreMM float64 `json:"bore_mm"`
	// Minutes is the time it took, 0.1 to 2880 minutes.
	Minutes float64 `json:"minutes"`
	// WaterTemperatureC is 0 to 40 °C.
	WaterTemperatureC float64 `json:"water_temperature_c"`
	Surface           Surface `json:"surface,omitempty"`
	// DryPatch marks a water-repellent patch: kept out of the pooled value.
	DryPatch bool `json:"dry_patch,omitempty"`
}

// DoubleRingTest is a run of readings of the inner of two concentric rings.
// The fields it shares with RingTest mean the same.
type DoubleRingTest struct {
	Position          string         `json:"position,omitempty"`
	TakenOn           string         `json:"taken_on,omitempty"`
	DepthRemovedMM    *int           `json:"depth_removed_mm,omitempty"`
	WaterTemperatureC float64        `json:"water_temperature_c"`
	Surface           Surface        `json:"surface,omitempty"`
	DryPatch          bool           `json:"dry_patch,omitempty"`
	Intervals         []RingInterval `json:"intervals"`
}

// RingInterval is one interval of a double-ring test, in the order observed.
type RingInterval struct {
	// Minutes is the length of this interval alone, 0.1 to 1440 minutes.
	Minutes float64 `json:"minutes"`
	// DropMM is how far the water fell in this interval alone, 0 to 5000 mm.
	DropMM float64 `json:"drop_mm"`
}

// ThatchReadings holds a bare value or readings, not both.
type ThatchReadings struct {
	// ValueMM is 0 to 200 mm.
	ValueMM  *float64        `json:"value_mm,omitempty"`
	Readings []ThatchReading `json:"readings,omitempty"`
}

// ThatchReading is the thickness of the thatch layer in one core.
type ThatchReading struct {
	Position string `json:"position,omitempty"`
	// DepthMM is 0 to 200 mm.
	DepthMM float64 `json:"depth_mm"`
}

// AnnualMeadowGrassReadings holds a bare value or point quadrats, not both.
type AnnualMeadowGrassReadings struct {
	// ValuePct is the share of the sward, 0 to 100 %.
	ValuePct      *float64       `json:"value_pct,omitempty"`
	PointQuadrats []PointQuadrat `json:"point_quadrats,omitempty"`
}

// PointQuadrat is one frame: how many of its points touched annual meadow
// grass.
type PointQuadrat struct {
	Position string `json:"position,omitempty"`
	// Hits is 0 to Points.
	Hits int `json:"hits"`
	// Points is 1 to 10000.
	Points int `json:"points"`
}

// PlayRecord holds a bare value or closed days by month, not both.
type PlayRecord struct {
	// ValueMonths is how many months a year the main green is open, 0 to 12.
	ValueMonths *float64     `json:"value_months,omitempty"`
	ClosedDays  []ClosedDays `json:"closed_days,omitempty"`
}

// ClosedDays is how many days of one month the main green was not in play, by
// cause. Each day stands under one cause only; a cause left out is no days. A
// day on a temporary green is a day lost by the main green.
type ClosedDays struct {
	// Month is YYYY-MM.
	Month                 string   `json:"month"`
	WaterloggedGreenDays  *float64 `json:"waterlogged_green_days,omitempty"`
	WaterloggedCourseDays *float64 `json:"waterlogged_course_days,omitempty"`
	FrostDays             *float64 `json:"frost_days,omitempty"`
	PolicyDays            *float64 `json:"policy_days,omitempty"`
	WorksDays             *float64 `json:"works_days,omitempty"`
	// TemporaryGreenDays is how many of those days had a temporary green in
	// play.
	TemporaryGreenDays *float64 `json:"temporary_green_days,omitempty"`
}

// OrganicMatterReading is the organic matter of one slice of a core.
type OrganicMatterReading struct {
	Position string `json:"position,omitempty"`
	// DepthFromMM is 0 to 300 mm below the surface.
	DepthFromMM float64 `json:"depth_from_mm"`
	// DepthToMM is more than DepthFromMM, up to 400 mm.
	DepthToMM float64 `json:"depth_to_mm"`
	// OrganicMatterPct is by weight, from loss on ignition, 0 to 60 %.
	OrganicMatterPct float64 `json:"organic_matter_pct"`
}

// Pit is what one hole dug by hand showed.
type Pit struct {
	Position string `json:"position,omitempty"`
	// DepthMM is how deep the pit was dug, 100 to 3000 mm.
	DepthMM float64 `json:"depth_mm"`
	// FreeWaterDepthMM is how far below the surface water stood, 0 to 3000
	// mm; nil when the pit stayed dry.
	FreeWaterDepthMM *float64 `json:"free_water_depth_mm,omitempty"`
	// RootDepthMM is 0 to 1500 mm.
	RootDepthMM *float64 `json:"root_depth_mm,omitempty"`
	// BlackLayer is nil when nobody looked for one.
	BlackLayer *bool `json:"black_layer,omitempty"`
}
