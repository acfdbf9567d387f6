package layered

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// checker gathers every fault of an input before anything is computed.
type checker struct{ faults *fault.List }

func (c checker) number(pointer string, value, least, most float64, unit string) {
	if !within(value, least, most) {
		c.faults.Add(pointer, value, "this is outside the range of a golf green",
			fmt.Sprintf("give a number from %g to %g %s", least, most, unit))
	}
}

// optional checks a number that may be left out as zero.
func (c checker) optional(pointer string, value, least, most float64, unit string) {
	if value != 0 {
		c.number(pointer, value, least, most, unit)
	}
}

func (c checker) pointed(pointer string, value *float64, least, most float64, unit string) {
	if value != nil {
		c.number(pointer, *value, least, most, unit)
	}
}

func oneOf[T ~string](c checker, pointer string, value T, remedy string, allowed ...T) {
	for _, a := range allowed {
		if value == a {
			return
		}
	}
	c.faults.Add(pointer, value, "this is not one of the words that may stand here", remedy)
}

// check lists everything wrong with the input.
func (in *Input) check(faults *fault.List) {
	c := checker{faults}
	in.checkOption(c)
	in.checkPlace(c)
	in.checkLayersAndDrains(c)
	in.checkTurf(c)
}

func (in *Input) checkOption(c checker) {
	oneOf(c, "/route", in.Route, "give layered_rebuild or partial_renovation", LayeredRebuild, PartialRenovation)
	switch in.Route {
	case PartialRenovation:
		oneOf(c, "/package", in.Package, "give drains_only, resurface_only or top_and_drains", DrainsOnly, ResurfaceOnly, TopAndDrains)
		oneOf(c, "/surface", in.Surface, "a partial renovation takes existing_turf or supplier_turf", ExistingTurf, SupplierTurf)
	case LayeredRebuild:
		oneOf(c, "/package", in.Package, "leave the package out of a layered rebuild", "")
		oneOf(c, "/surface", in.Surface, "give seed, supplier_turf, nursery_turf or existing_turf", Seed, SupplierTurf, NurseryTurf, ExistingTurf)
	}
	oneOf(c, "/supplier_turf_soil", in.SupplierTurfSoil, "give washed, sand or soil, or leave it out", "", Washed, SandGrown, SoilGrown)
}

// roundingShare is how far a measured perimeter may fall short of the circle's
// through rounding before it is called impossible.
const roundingShare = 0.01

func (in *Input) checkPlace(c checker) {
	c.number("/area_m2", in.AreaM2, 50, 3000, "m2")
	c.number("/perimeter_m", in.PerimeterM, 25, 500, "m")
	if circle := 2 * math.Sqrt(math.Pi*in.AreaM2); within(in.AreaM2, 50, 3000) && within(in.PerimeterM, 25, 500) &&
		in.PerimeterM < circle*(1-roundingShare) {
		c.faults.Add("/perimeter_m", in.PerimeterM,
			fmt.Sprintf("no shape of %g m2 has so short an edge: a circle has %.1f m", in.AreaM2, circle),
			"measure the perimeter and the area again")
	}
	c.pointed("/surrounds_m2", in.SurroundsM2, 0, 6000, "m2")
	c.pointed("/haul_route_m", in.HaulRouteM, 0, 3000, "m")
	if in.Sprinklers != nil {
		c.number("/sprinklers", float64(*in.Sprinklers), 0, 100, "sprinklers")
	}
	c.optional("/temporary_green/area_m2", in.TemporaryGreen.AreaM2, 50, 1000, "m2")
	c.number("/start_month", float64(in.StartMonth), 0, 12, "(0 when not known)")
	c.pointed("/own_labour_h_per_week", in.OwnLabourHPerWk, 0, 2000, "h")
	oneOf(c, "/outfall/state", in.Outfall.State, "give free, blocked, none or not_known",
		"", OutfallFree, OutfallBlocked, OutfallNone, OutfallNotKnown)
	c.pointed("/outfall/distance_m", in.Outfall.DistanceM, 0, 1000, "m")
	c.pointed("/outfall/fall_m", in.Outfall.FallM, 0, 60, "m")
}

func (in *Input) checkLayersAndDrains(c checker) {
	if d := in.LayerDepths; d != nil {
		c.number("/layer_depths/root_zone_mm", d.RootZoneMM, 100, 600, "mm")
		c.optional("/layer_depths/blinding_mm", d.BlindingMM, 25, 200, "mm, or 0 to leave the layer out")
		c.number("/layer_depths/gravel_mm", d.GravelMM, 50, 400, "mm")
	}
	c.pointed("/top_depth_mm", in.TopDepthMM, 25, 300, "mm")
	c.optional("/slits/spacing_m", in.Slits.SpacingM, 0.25, 10, "m")
	c.optional("/slits/depth_mm", in.Slits.DepthMM, 150, 1000, "mm")
	c.optional("/slits/width_mm", in.Slits.WidthMM, 25, 200, "mm")
	c.pointed("/slits/backfill_top_mm", in.Slits.BackfillTopMM, 0, 1000, "mm")
	c.pointed("/soil/conductivity_mm_per_h", in.Soil.ConductivityMMPerH, 0.001, 50000, "mm/h")
	c.pointed("/soil/impervious_depth_mm", in.Soil.ImperviousDepthMM, 100, 20000, "mm")
	c.number("/soil/sand_top_mm", in.Soil.SandTopMM, 0, 3000, "mm")
	if in.Drains != nil {
		in.Drains.check(c)
	}
}

func (d *Drains) check(c checker) {
	oneOf(c, "/drains/source", d.Source, "give area_by_spacing or outline", AreaBySpacing, Outline)
	c.number("/drains/main_m", d.MainM, 0, 1000, "m")
	c.number("/drains/lateral_m", d.LateralM, 0, 20000, "m")
	c.number("/drains/outfall_m", d.OutfallM, 0, 2000, "m")
	c.number("/drains/edge_m", d.EdgeM, 0, 1000, "m")
	c.number("/drains/lateral_spacing_m", d.LateralSpacingM, 0.25, 10, "m")
	c.number("/drains/laterals", float64(d.Laterals), 0, 2000, "laterals")
	c.optional("/drains/trench_width_mm", d.TrenchWidthMM, 50, 600, "mm, or 0 for the usual width")
	c.number("/drains/main_deepened_mm", d.MainDeepenedMM, 0, 2000, "mm")
	c.number("/drains/lateral_deepened_mm", d.LateralDeepenedMM, 0, 2000, "mm")
	c.number("/drains/edge_deepened_mm", d.EdgeDeepenedMM, 0, 2000, "mm")
	c.number("/drains/exit_depth_mm", d.ExitDepthMM, 0, 5000, "mm")
	for _, pipe := range []struct {
		pointer string
		mm      float64
	}{{"/drains/main_pipe_mm", d.MainPipeMM}, {"/drains/outfall_pipe_mm", d.OutfallPipeMM}} {
		if pipe.mm != 0 && pipe.mm != 100 && pipe.mm != 150 {
			c.faults.Add(pipe.pointer, pipe.mm, "no such pipe is priced", "give 100 or 150 mm, or 0 to have it chosen by area")
		}
	}
}

func (in *Input) checkTurf(c checker) {
	c.number("/turf/thatch_depth_mm", in.Turf.ThatchDepthMM, 0, 200, "mm")
	c.optional("/turf/cut_thickness_mm", in.Turf.CutThicknessMM, 10, 100, "mm")
	oneOf(c, "/turf/holds_together", in.Turf.HoldsTogether, "give yes, no or not_known", "", Yes, No, NotKnown)
	c.number("/nursery_turf_m2", in.NurseryTurfM2, 0, 20000, "m2")
	c.pointed("/flat_storage_m2", in.FlatStorageM2, 0, 20000, "m2")
}
