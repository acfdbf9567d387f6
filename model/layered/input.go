// Package layered designs the two routes that dig: the layered rebuild and the
// partial renovation of a green. From its area and perimeter, or from a drawn
// layout of drains, it works out layers, excavation, trenches, turf or seed,
// labour, plant, tests and aftercare as quantities that can be priced line by
// line, with the working of each; the stages of the works in weeks; and why a
// design cannot be built, where it cannot. It also checks sieve results against
// the published limits and spaces slit drains.
//
// Everything here is pure: the same input and parameters give the same design.
// Excavation, buried services, machinery and the discharge of water are
// governed by local codes and licensed practice; a design made here goes before
// a qualified person before ground is broken.
package layered

// Route is the kind of works.
type Route string

// The routes that this package designs.
const (
	LayeredRebuild    Route = "layered_rebuild"
	PartialRenovation Route = "partial_renovation"
)

// Package says which part of a green a partial renovation touches.
type Package string

// The packages of a partial renovation.
const (
	DrainsOnly    Package = "drains_only"    // slit drains through the green as it is
	ResurfaceOnly Package = "resurface_only" // turf and thatch off, new surface on
	TopAndDrains  Package = "top_and_drains" // new top over slit drains
)

// Surface is what the green is covered with.
type Surface string

// The surfaces. A partial renovation takes existing or supplier turf.
const (
	Seed         Surface = "seed"
	SupplierTurf Surface = "supplier_turf"
	NurseryTurf  Surface = "nursery_turf"
	ExistingTurf Surface = "existing_turf"
)

// TurfSoil is what supplier turf was grown on.
type TurfSoil string

// The kinds of supplier turf.
const (
	Washed    TurfSoil = "washed"
	SandGrown TurfSoil = "sand"
	SoilGrown TurfSoil = "soil"
)

// OutfallState is what is known of the place where the drains discharge.
type OutfallState string

// The states of an outfall; an empty one reads as not known.
const (
	OutfallFree     OutfallState = "free"
	OutfallBlocked  OutfallState = "blocked"
	OutfallNone     OutfallState = "none"
	OutfallNotKnown OutfallState = "not_known"
)

// Known is a question answered yes or no, or not yet.
type Known string

// The answers; an empty one reads as not known.
const (
	Yes      Known = "yes"
	No       Known = "no"
	NotKnown Known = "not_known"
)

// Input is what one option is designed from. A nil pointer or an empty part
// takes its default from the parameters.
type Input struct {
	Route   Route   `json:"route"`
	Package Package `json:"package,omitempty"` // for a partial renovation only
	Surface Surface `json:"surface"`

	AreaM2      float64  `json:"area_m2"`     // 50 to 3000
	PerimeterM  float64  `json:"perimeter_m"` // 25 to 500, no less than a circle of that area has
	SurroundsM2 *float64 `json:"surrounds_m2,omitempty"`
	HaulRouteM  *float64 `json:"haul_route_m,omitempty"` // over turf, for machines

	LayerDepths *LayerDepths `json:"layer_depths,omitempty"` // layered rebuild
	TopDepthMM  *float64     `json:"top_depth_mm,omitempty"` // top_and_drains, 25 to 300
	Drains      *Drains      `json:"drains,omitempty"`       // a drawn layout; nil reckons runs from the area
	Slits       Slits        `json:"slits"`
	Soil        NativeSoil   `json:"soil"`
	Outfall     Outfall      `json:"outfall"`

	Turf             Turf     `json:"turf"`
	SupplierTurfSoil TurfSoil `json:"supplier_turf_soil,omitempty"` // empty reads as sand
	NurseryTurfM2    float64  `json:"nursery_turf_m2"`              // ready to lift; 0 for none
	FlatStorageM2    *float64 `json:"flat_storage_m2,omitempty"`    // nil: not stated
	OwnLabourHPerWk  *float64 `json:"own_labour_h_per_week,omitempty"`

	Sprinklers     *int           `json:"sprinklers,omitempty"`
	TemporaryGreen TemporaryGreen `json:"temporary_green"`
	StartMonth     int            `json:"start_month"` // 1 to 12; 0 when not known
}

// LayerDepths are the least firm depths of the layers, in mm, top down. A zero
// blinding leaves that layer out.
type LayerDepths struct {
	RootZoneMM float64 `json:"root_zone_mm"` // 100 to 600
	BlindingMM float64 `json:"blinding_mm"`  // 0 to 200
	GravelMM   float64 `json:"gravel_mm"`    // 50 to 400
}

// Slits describes slit drains; a zero takes the default.
type Slits struct {
	SpacingM float64 `json:"spacing_m,omitempty"` // centre to centre; 0: from the soil, or the default
	DepthMM  float64 `json:"depth_mm,omitempty"`  // below the finished surface
	WidthMM  float64 `json:"width_mm,omitempty"`
	// BackfillTopMM is how far below the finished surface the sand of the slit
	// ends. Nil: under the turf, or where it laps into the new top.
	BackfillTopMM *float64 `json:"backfill_top_mm,omitempty"`
	// BackfillBroken is true when soil, fabric or a finer sand lies between the
	// backfill and the sand above it.
	BackfillBroken bool `json:"backfill_broken,omitempty"`
}

// NativeSoil is the ground under and around the slits.
type NativeSoil struct {
	// ConductivityMMPerH is the saturated conductivity. Nil: not known, and slit
	// drains are put at the default spacing.
	ConductivityMMPerH *float64 `json:"conductivity_mm_per_h,omitempty"`
	// ImperviousDepthMM is the depth below the surface of what lets nothing
	// through. Nil: at the bottom of the slits, which is on the safe side.
	ImperviousDepthMM *float64 `json:"impervious_depth_mm,omitempty"`
	// SandTopMM is the depth of sand, built up by dressing, at the top of the
	// present green; 0 where there is none.
	SandTopMM float64 `json:"sand_top_mm"`
}

// Outfall is where the drains discharge.
type Outfall struct {
	State     OutfallState `json:"state,omitempty"`
	DistanceM *float64     `json:"distance_m,omitempty"` // from the edge of the green
	FallM     *float64     `json:"fall_m,omitempty"`     // lowest edge of the green above the outfall's water
}

// Turf is the state of the turf on the green.
type Turf struct {
	ThatchDepthMM  float64 `json:"thatch_depth_mm"`            // 0 to 200
	CutThicknessMM float64 `json:"cut_thickness_mm,omitempty"` // 0: the default
	HoldsTogether  Known   `json:"holds_together,omitempty"`
}

// TemporaryGreen is what is played while the green is out of play.
type TemporaryGreen struct {
	Ready  bool    `json:"ready"`
	AreaM2 float64 `json:"area_m2,omitempty"` // 0: the default
}
