package report

import "fmt"

// drawnInput is how an input of the draws is named and measured for people.
type drawnInput struct{ words, unit string }

// drawnInputs names what the draws move. A test holds the list to the model's.
var drawnInputs = map[string]drawnInput{
	"price_level":                                 {"all prices together", ""},
	"works_quantity_ratio":                        {"quantities of the works", "times"},
	"worth_of_playable_month_ratio":               {"worth of a playable month", "times"},
	"renewal_share_partial_renovation":            {"renewing a partial renovation", "of its cost"},
	"renewal_share_layered_rebuild":               {"renewing a layered rebuild", "of its cost"},
	"life_partial_renovation_years":               {"life of a partial renovation", "years"},
	"life_layered_rebuild_years":                  {"life of a layered rebuild", "years"},
	"works_weeks_ratio":                           {"weeks of works", "times"},
	"growth_days_to_play_seed":                    {"growth that seed needs", "days"},
	"growth_days_to_play_supplier_turf":           {"growth that supplier turf needs", "days"},
	"growth_days_to_play_nursery_turf":            {"growth that nursery turf needs", "days"},
	"growth_days_to_play_existing_turf":           {"growth that relaid turf needs", "days"},
	"wet_surface_to_ring_ratio":                   {"wet surface against ring reading", "times"},
	"draining_base_discharge_mm_per_day":          {"discharge of a base that drains", "mm/day"},
	"new_root_zone_laboratory_mm_per_h":           {"new root zone in the laboratory", "mm/h"},
	"new_root_zone_field_to_laboratory_ratio":     {"new root zone, field to laboratory", "times"},
	"thatch_growth_present_mm_per_year":           {"growth of thatch at present", "mm/year"},
	"organic_matter_sealing_per_pct":              {"sealing by organic matter", "per %"},
	"soft_threshold_fall_pct_per_mm_thatch":       {"softening by thatch", "% per mm"},
	"sand_channel_conductivity_mm_per_h":          {"rate of sand in cored holes", "mm/h"},
	"sward_net_organic_matter_kg_per_m2_per_year": {"organic matter added", "kg/m²/year"},
	"discount_rate_pct":                           {"discount rate", "% a year"},
}

// InputWords names an input of the draws.
func InputWords(name string) string {
	if input, known := drawnInputs[name]; known {
		return input.words
	}
	return Plain(name)
}

// InputEnds writes the two ends of an input, the second with its unit.
func InputEnds(name string, low, high float64) (from, to string) {
	if name == "price_level" {
		return "low", "high"
	}
	to = fmt.Sprintf("%.4g", high)
	if unit := drawnInputs[name].unit; unit != "" {
		to += " " + unit
	}
	return fmt.Sprintf("%.4g", low), to
}
