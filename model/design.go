package model

import (
	"errors"
	"strings"
	"time"

	"swardcase/model/layered"
	"swardcase/model/sward"
)

// design works out the works of one option and places them in the calendar. An
// option that cannot be placed is infeasible, not a fault of the case.
func (a *appraiser) design(out *OptionAppraisal) error {
	if out.Option.Route() == PartialRenovation {
		out.Package, out.PackageReason = a.renovationPackage()
	}
	first := a.Case.Available.FirstMonth.Month
	plain, err := a.layeredDesign(a.layeredInput(out.Option, out.Package, first))
	if err != nil {
		return err
	}
	drains := a.drainsFor(out, plain)
	option, pack := out.Option, out.Package
	designAt := onceAMonth(func(month time.Month) (layered.Design, error) {
		if drains == nil && month == first {
			return plain, nil
		}
		in := a.layeredInput(option, pack, month)
		in.Drains = drains
		return a.layeredDesign(in)
	})
	out.weeksFrom = func(month time.Month) (float64, error) {
		design, err := designAt(month)
		return design.Programme.Weeks.Likely, err
	}
	timeline, err := a.timelineOf(*out)
	start := a.Case.Available.FirstMonth
	var refused *sward.Refusal
	switch {
	case errors.As(err, &refused):
		out.Infeasible = append(out.Infeasible, Reason{"cannot_establish", "The surface cannot be made from any start within a year: " + refused.Reason + "."})
	case err != nil:
		return err
	default:
		out.Timeline, out.MonthsOutOfPlay = timeline, timeline.Opening.MonthsOutOfPlay
		start = timeline.StartMonth
	}
	design, err := designAt(start.Month)
	if err != nil {
		return err
	}
	out.Design = &design
	for _, reason := range design.Infeasible {
		out.Infeasible = append(out.Infeasible, Reason(reason))
	}
	a.screenTurf(out)
	return nil
}

// timelineOf places the works of a designed option in the calendar.
func (a *appraiser) timelineOf(out OptionAppraisal) (*Timeline, error) {
	ratio := a.assumptions.Likely("works_weeks_ratio")
	return a.timelineFor(out.Option, func(month time.Month) (float64, error) {
		weeks, err := out.weeksFrom(month)
		return weeks * ratio, err
	})
}

// layeredDesign designs works, its faults given their place in the case.
func (a *appraiser) layeredDesign(in layered.Input) (layered.Design, error) {
	design, bad := layered.NewDesign(in, layered.ParametersFrom(a.assumptions))
	return design, a.home(bad, designHomes...).Err()
}

// onceAMonth remembers what a function gives for each month.
func onceAMonth[T any](f func(time.Month) (T, error)) func(time.Month) (T, error) {
	var known [13]bool
	var values [13]T
	return func(month time.Month) (T, error) {
		var err error
		if !known[month] {
			values[month], err = f(month)
			known[month] = err == nil
		}
		return values[month], err
	}
}

// renovationPackage is the case's choice, or else the diagnosis's.
func (a *appraiser) renovationPackage() (name, reason string) {
	if chosen := a.Case.Choices.PartialRenovationPackage; chosen != "" {
		return chosen, "Chosen in the case."
	}
	if !a.Case.hasSurvey() {
		return string(layered.TopAndDrains), "Nothing was surveyed, so that the fullest package is designed; choose one in the case."
	}
	advised := a.report.Condition.Diagnosis.Renovation
	return string(advised.RecommendedPackage), strings.Join(advised.Reasons, " ")
}

// layeredInput hands the green to the design of one option.
func (a *appraiser) layeredInput(option Option, pack string, month time.Month) layered.Input {
	green, available := a.Case.Green, a.Case.Available
	in := layered.Input{
		Route:            layered.Route(option.Route()),
		Package:          layered.Package(pack),
		Surface:          layered.Surface(option.Surface()),
		AreaM2:           green.AreaM2,
		PerimeterM:       green.PerimeterM,
		SurroundsM2:      green.SurroundsM2,
		HaulRouteM:       green.HaulRouteM,
		Sprinklers:       green.Sprinklers,
		LayerDepths:      a.Case.Choices.LayerDepths,
		Soil:             a.nativeSoil(),
		Outfall:          layered.Outfall{State: layered.OutfallState(green.Outfall.State), DistanceM: green.Outfall.DistanceM, FallM: green.Outfall.FallM},
		Turf:             layered.Turf{ThatchDepthMM: valueOr(a.report.Survey.ThatchDepth.Value, 0), HoldsTogether: layered.Known(green.Turf.HoldsTogether)},
		SupplierTurfSoil: layered.TurfSoil(a.Case.Choices.SupplierTurfSoil),
		NurseryTurfM2:    a.nurseryTurfM2(),
		FlatStorageM2:    available.FlatStorageM2,
		OwnLabourHPerWk:  available.OwnLabourHPerWeek,
		TemporaryGreen:   layered.TemporaryGreen{Ready: available.TemporaryGreen},
		StartMonth:       int(month),
	}
	in.Turf.CutThicknessMM = valueOr(a.Case.Choices.CutThicknessMM, 0)
	if slits := a.Case.Choices.Slits; slits != nil {
		in.Slits = *slits
	}
	if pack == string(layered.TopAndDrains) {
		in.TopDepthMM = a.Case.Choices.PartialRenovationDepthMM
	}
	return in
}

// nativeSoil is what slit drains would stand in: the slowest of the lower
// layers that was measured, else unknown; and the sand at the top.
func (a *appraiser) nativeSoil() layered.NativeSoil {
	var soil layered.NativeSoil
	for i, layer := range a.Case.Green.SoilLayers {
		if i == 0 && layer.Texture == "sand" {
			soil.SandTopMM = layer.ThicknessMM
			continue
		}
		if k := layer.ConductivityMMPerH; k != nil && (soil.ConductivityMMPerH == nil || *k < *soil.ConductivityMMPerH) {
			soil.ConductivityMMPerH = k
		}
	}
	if soil.ConductivityMMPerH == nil {
		soil.ConductivityMMPerH = a.report.Survey.InfiltrationBelow.Removed150MM.Value
	}
	return soil
}

// nurseryTurfM2 is what the nursery will hold when the works start: what is
// there, and the surplus of the years until then.
func (a *appraiser) nurseryTurfM2() float64 {
	available := a.Case.Available
	years := 0.0
	if surveyed, dated := a.surveyMonth(); dated {
		years = max(0, float64(available.FirstMonth.MonthsSince(surveyed))/12)
	}
	return valueOr(available.NurseryTurfM2, 0) + years*valueOr(available.NurseryTurfSurplusM2PerYear, 0)
}

// designHomes is where the input of a design comes from in the case.
var designHomes = [][2]string{
	{"/area_m2", "/green/area_m2"},
	{"/perimeter_m", "/green/perimeter_m"},
	{"/surrounds_m2", "/green/surrounds_m2"},
	{"/haul_route_m", "/green/haul_route_m"},
	{"/sprinklers", "/green/sprinklers"},
	{"/layer_depths", "/choices/layer_depths"},
	{"/slits", "/choices/slits"},
	{"/turf/cut_thickness_mm", "/choices/cut_thickness_mm"},
	{"/drains", "/choices/drains"},
	{"/outfall", "/green/outfall"},
	{"/soil", "/green/soil_layers"},
	{"/turf/thatch_depth_mm", "/survey/thatch_depth"},
	{"/top_depth_mm", "/choices/partial_renovation_depth_mm"},
	{"/flat_storage_m2", "/available/flat_storage_m2"},
	{"/nursery_turf_m2", "/available/nursery_turf_m2"},
	{"", "/assumptions"},
}

// screenTurf rules out turf that the club would not lay: too much annual
// meadow grass under its own ceiling, or a thatch-bound turf without roots to
// hold it.
func (a *appraiser) screenTurf(out *OptionAppraisal) {
	if out.Option.Surface() != ExistingTurf || out.Package == string(layered.DrainsOnly) {
		return
	}
	grass := a.report.Survey.AnnualMeadowGrass.Value
	if ceiling := a.Case.Requirements.MostAnnualMeadowGrassPct; ceiling != nil && grass != nil && *grass > *ceiling {
		out.infeasible("annual_meadow_grass_over_ceiling",
			"The turf is %.0f %% annual meadow grass, above the club's ceiling of %.0f %% for turf that is relaid.", *grass, *ceiling)
	}
	rooted := a.report.Survey.RootDepthMM
	least := a.assumptions.Likely("least_root_depth_for_lifting_mm")
	if a.Case.Green.Turf.HoldsTogether != "yes" && rooted != nil && *rooted < least {
		out.infeasible("turf_rootless",
			"Roots reach %.0f mm, less than the %.0f mm that holds a cut turf together, and no trial lift has shown otherwise.", *rooted, least)
	}
}
