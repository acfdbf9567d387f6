package model

import (
	"encoding/json"
	"slices"
	"sync"
	"testing"

	"swardcase/costs"
	"swardcase/model/aeration"
	"swardcase/model/assumption"
)

// excused are the assumptions that move no appraisal of the cases below, by the
// reason.
var excused = map[string][]string{
	"a limit or a mark that no green of these cases comes to": {
		"aeration_clearance_above_buried_mm",
		"aeration_heaviest_dressing_mm",
		"aeration_heavy_core_outside_mm",
		"aeration_least_growth_potential_overseeding",
		"aeration_mole_least_clay_pct",
		"aeration_target_area_high_pct",
		"aeration_target_sand_high_mm",
		"annual_meadow_grass_dominant_pct",
		"diluted_organic_matter_pct",
		"least_root_depth_for_lifting_mm",
		"soft_surface_gravities",
		"sward_annual_meadow_grass_dominant_pct",
		"sward_annual_meadow_grass_least_pct",
		"sward_assumed_profile_least_ratio",
		"outline_measure_tolerance_pct",
		"plane_residual_limit_mm",
		"pipe_greatest_velocity_m_per_s",
		"pipe_least_velocity_m_per_s",
		"layout_edge_setback_m",
		"ring_drop_readable_mm",
		"other_share_no_fault_found",
		"surface_share_discharge_fault_only",
		"subsoil_description_depth_mm",
		"existing_drain_depth_mm",
	},
	"only where annual meadow grass stands above its ceiling": {
		"annual_meadow_grass_best_fall_pct_points_per_year",
	},
	"only a soil of that texture without a measured conductivity asks for it": {
		"class_mean_conductivity_loamy_sand_mm_per_h",
		"class_mean_conductivity_sandy_clay_loam_mm_per_h",
		"class_mean_conductivity_sandy_clay_mm_per_h",
		"class_mean_conductivity_silt_loam_mm_per_h",
		"class_mean_conductivity_silty_clay_loam_mm_per_h",
	},
	"only a double-ring test asks for it": {
		"double_ring_late_share",
		"double_ring_settled_change_pct",
	},
	"how finely a break-even is looked for, which finds the same one": {
		"break_even_scan_cells",
	},
	"the choice is not near enough to its range on the green that is drawn": {
		"close_call_best_share",
	},
	"the usual number of draws: every case here states its own": {
		"confidence_draws",
	},
	"for the drawn design, which an appraisal holds only in its quantities": {
		"holeable_edge_distance_m",
		"holeable_greatest_slope_pct",
		"layout_formation_depth_mm",
		"layout_trench_width_mm",
		"level_stake_grid_m",
		"pipe_clay_manning_n_s_per_m_third",
		"pipe_smooth_manning_n_s_per_m_third",
		"spot_level_error_mm",
	},
	"for the store of a rebuilt profile, by which it is shown that one curve serves all options": {
		"root_zone_residual_water_share",
		"root_zone_retention_alpha_per_m",
		"root_zone_retention_n",
		"root_zone_saturated_water_share",
	},
	"for a root zone that is not dressed: the programme after works always dresses it": {
		"undressed_root_zone_floor_mm_per_h",
	},
	"for the material that cores lift, which the calendar tells and an appraisal does not": {
		"aeration_root_zone_bulk_density_t_per_m3",
	},
	"only a resurfacing of a green without a ring below the mat asks for it": {
		"rate_under_mat_not_measured_ratio",
	},
}

// usingCases are cases that between them reach every part of the model.
var usingCases = []string{"green_04", "green_11", "green_14", "small", "record", "kidney", "materials", "geojson"}

// variants are what the kept cases leave out: greens with gaps in their survey, bad
// surroundings, deep drains over clay, and turf of another soil.
func variants(t testing.TB) []Case {
	bare := readCase(t, "green_14")
	bare.Survey.Infiltration, bare.Survey.AnnualMeadowGrass, bare.Survey.OrganicMatter = nil, nil, nil
	bare.Upkeep = Upkeep{}
	bare.Green.Outfall.State, bare.Green.Outfall.AfterRain, bare.Green.HasDrains = OutfallBlocked, "dry", true
	bare.Green.Drains = ExistingDrains{}
	wet, dark := true, 2.0
	bare.Green.Surroundings.WaterRunsIn, bare.Green.Surroundings.SunHPerDay = &wet, &dark
	bare.Green.Surroundings.CutOffDrainM, bare.Green.Surroundings.TreesToFell = nil, nil
	bare.Choices.SupplierTurfSoil, bare.Choices.PartialRenovationPackage = "soil", "top_and_drains"
	money := *bare.Money
	money.Basis, money.InflationPct, money.DiscountRatePct = Nominal, nil, nil
	bare.Money = &money
	bare.Available = &Available{FirstMonth: costs.YearMonth{Year: 2027, Month: 12}}

	moled := readCase(t, "green_14")
	clay, deep, rare, seeded := 45.0, 1200.0, 0.2, 2.0
	last := &moled.Green.SoilLayers[len(moled.Green.SoilLayers)-1]
	last.Texture, last.ClayPct, last.Stony, last.ConductivityMMPerH = "silty_clay", &clay, false, nil
	moled.Green.HasDrains, moled.Green.Drains = true, ExistingDrains{DepthMM: &deep}
	moled.Green.Outfall.State = OutfallFree
	moled.Upkeep = Upkeep{IntensifiedProgramme: &aeration.Programme{Works: []aeration.Work{
		{Operation: aeration.MolePloughing, TimesPerYear: &rare},
		{Operation: aeration.DeepTining},
		{Operation: aeration.TopDressing},
		{Operation: aeration.Overseeding, TimesPerYear: &seeded, Months: []int{3, 10}},
	}}}
	moled.Choices.SupplierTurfSoil, moled.Choices.PartialRenovationPackage = "washed", "drains_only"
	moled.Available.FirstMonth = costs.YearMonth{Year: 2028, Month: 6}
	kept := readCase(t, "money") // its accounts, with what they leave to assumptions
	accounts, kinds := *kept.Money.Accounts, *kept.Money
	accounts.StaysAwayPct, kinds.Accounts = nil, &accounts
	kept.Money = &kinds
	ready, available := kept, *kept.Available
	available.TemporaryGreen = !available.TemporaryGreen
	ready.Available = &available
	return []Case{bare, moled, kept, ready}
}

// TestEveryAssumptionMovesAnAnswer moves each assumption to the ends of its range
// and looks for another appraisal of some case. A row that moves none is not read,
// and stands in the table for nothing.
func TestEveryAssumptionMovesAnAnswer(t *testing.T) {
	cases := variants(t)
	for _, name := range usingCases {
		cases = append(cases, readCase(t, name))
	}
	drawn := readCase(t, "green_14") // last, since draws take longest
	draws := leastDraws
	drawn.Confidence = &ConfidenceSettings{Draws: &draws, Seed: 1}
	cases = append(cases, drawn)
	before := make([]string, len(cases))
	for i, c := range cases {
		before[i] = answerUnder(t, c, nil)
	}
	var wait sync.WaitGroup
	var mutex sync.Mutex
	var still []string
	isExcused := map[string]bool{}
	for _, names := range excused {
		for _, name := range names {
			isExcused[name] = true
			if !assumption.Defaults().Has(name) {
				t.Errorf("%s is excused and is no assumption", name)
			}
		}
	}
	table := assumption.Defaults().All()
	const workers = 2
	for worker := range workers {
		wait.Go(func() {
			for i := worker; i < len(table); i += workers {
				if name := table[i].Name; !isExcused[name] && !movesAny(t, cases, before, table[i]) {
					mutex.Lock()
					still = append(still, name)
					mutex.Unlock()
				}
			}
		})
	}
	wait.Wait()
	slices.Sort(still)
	for _, name := range still {
		t.Errorf("%s moves no appraisal", name)
	}
}

func movesAny(t testing.TB, cases []Case, before []string, a assumption.Assumption) bool {
	for i, c := range cases {
		for _, value := range []float64{a.High, a.Low} {
			if value != a.Likely && answerUnder(t, c, &assumption.Override{Name: a.Name, Likely: value}) != before[i] {
				return true
			}
		}
	}
	return false
}

// answerUnder is the appraisal of a case under one more override as text, or its fault;
// without the case and the assumptions themselves, which always differ.
func answerUnder(t testing.TB, c Case, o *assumption.Override) string {
	overrides := []assumption.Override{{Name: "weather_years", Likely: 2}}
	for _, given := range c.Assumptions {
		if given.Name != "weather_years" && (o == nil || given.Name != o.Name) {
			overrides = append(overrides, given)
		}
	}
	if o != nil {
		if o.Name == "weather_years" {
			overrides = overrides[1:]
		}
		overrides = append(overrides, *o)
	}
	c.Assumptions = overrides
	a, err := AppraiseWith(c, testCurves)
	if err != nil {
		return err.Error()
	}
	a.Case, a.Assumptions = Case{}, nil
	text, err := json.Marshal(a)
	if err != nil {
		t.Error(err)
	}
	return string(text)
}
