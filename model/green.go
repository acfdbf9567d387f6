package model

import "swardcase/model/outline"

// Green is the green itself: its size, what lies below it, and what lies
// around it.
type Green struct {
	Name string `json:"name"`
	// AreaM2 and PerimeterM may be left out (zero) where there is an outline: it
	// is then measured, and stated figures are held to it.
	AreaM2     float64          `json:"area_m2,omitempty"`
	PerimeterM float64          `json:"perimeter_m,omitempty"`
	Outline    *outline.Outline `json:"outline,omitempty"`
	AgeYears   float64          `json:"age_years"`
	// SurroundsM2 is the collar, apron and surrounds that works disturb; left
	// out, a share of the green's own area is taken.
	SurroundsM2 *float64 `json:"surrounds_m2,omitempty"`
	// HaulRouteM is the length of the route over turf by which machines come.
	HaulRouteM *float64 `json:"haul_route_m,omitempty"`
	// Sprinklers that the works take out and reset; left out, they are reckoned
	// from the perimeter.
	Sprinklers   *int           `json:"sprinklers,omitempty"`
	SoilLayers   []SoilLayer    `json:"soil_layers,omitempty"`
	HasDrains    bool           `json:"has_drains"`
	Drains       ExistingDrains `json:"drains,omitzero"`
	Outfall      Outfall        `json:"outfall,omitzero"`
	Turf         TurfState      `json:"turf,omitzero"`
	Surroundings Surroundings   `json:"surroundings,omitzero"`
}

// SoilLayer is one layer of the present profile, from below the thatch down.
type SoilLayer struct {
	Texture     string  `json:"texture"`
	ThicknessMM float64 `json:"thickness_mm"`
	// ConductivityMMPerH is the measured saturated conductivity, when known.
	ConductivityMMPerH *float64 `json:"conductivity_mm_per_h,omitempty"`
	ClayPct            *float64 `json:"clay_pct,omitempty"`
	Stony              bool     `json:"stony,omitempty"`
	Note               string   `json:"note,omitempty"`
}

// ExistingDrains describes drains that are already there.
type ExistingDrains struct {
	SpacingM *float64 `json:"spacing_m,omitempty"`
	DepthMM  *float64 `json:"depth_mm,omitempty"`
}

// The states of an outfall.
const (
	OutfallFree     = "free"
	OutfallBlocked  = "blocked"
	OutfallNone     = "none"
	OutfallNotKnown = "not_known"
)

// Outfall is where drained water can go.
type Outfall struct {
	State     string   `json:"state"`
	AfterRain string   `json:"after_rain,omitempty"`
	DistanceM *float64 `json:"distance_m,omitempty"`
	// FallM is the level of the green's lowest edge above the water level at
	// the outfall, in metres.
	FallM *float64 `json:"fall_m,omitempty"`
}

// TurfState says whether the present turf could be lifted and relaid.
type TurfState struct {
	// HoldsTogether is yes, no or not_known.
	HoldsTogether string `json:"holds_together,omitempty"`
}

// Surroundings is what is wrong around the green: no rebuild cures it, and it
// is put right first under every option.
type Surroundings struct {
	SunHPerDay       *float64 `json:"sun_h_per_day,omitempty"`
	Air              string   `json:"air,omitempty"`
	WaterRunsIn      *bool    `json:"water_runs_in,omitempty"`
	CutOffDrainM     *float64 `json:"cut_off_drain_m,omitempty"`
	WalkOnPoints     *int     `json:"walk_on_points,omitempty"`
	SprinklerOverlap string   `json:"sprinkler_overlap,omitempty"`
	TreesToFell      *int     `json:"trees_to_fell,omitempty"`
}
