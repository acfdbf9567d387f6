package model

import (
	"math"
	"slices"

	"swardcase/costs"
	"swardcase/model/confidence"
	"swardcase/model/fault"
)

// The inputs of the draws that are no assumption of their own.
const (
	// inputPriceLevel moves all rates of the price book together: -1 is low, 0
	// likely and 1 high. One shared level spreads the totals more than rates that
	// err each for itself would, and contractors' prices do move together.
	inputPriceLevel = "price_level"
	// inputDiscountRate is agreed and not guessed: it is never drawn, but a tornado
	// or a break-even may move it.
	inputDiscountRate = "discount_rate_pct"
)

// The assumptions that are drawn, grouped by what has to be worked out again
// when one of them changes. They are those that move money or play by more than
// the width of a line in the report; the rest stay likely.
var (
	drawnMoney = []string{
		"works_quantity_ratio", "worth_of_playable_month_ratio", "renewal_share_partial_renovation", "renewal_share_layered_rebuild",
	}
	drawnLives    = []string{"life_partial_renovation_years", "life_layered_rebuild_years"}
	drawnWorks    = []string{"works_weeks_ratio", "growth_days_to_play_seed", "growth_days_to_play_supplier_turf", "growth_days_to_play_nursery_turf", "growth_days_to_play_existing_turf"}
	drawnForecast = []string{
		"wet_surface_to_ring_ratio", "draining_base_discharge_mm_per_day", "new_root_zone_laboratory_mm_per_h",
		"new_root_zone_field_to_laboratory_ratio", "thatch_growth_present_mm_per_year", "organic_matter_sealing_per_pct",
		"soft_threshold_fall_pct_per_mm_thatch", "sand_channel_conductivity_mm_per_h", "sward_net_organic_matter_kg_per_m2_per_year",
	}
)

// drawnTogether are the groups whose members do more, or less, together than
// each alone: what makes the present green decline; how fast a new root zone is;
// and works and growth, which together make or miss a season.
var drawnTogether = [][]string{
	{"wet_surface_to_ring_ratio", "thatch_growth_present_mm_per_year", "organic_matter_sealing_per_pct"},
	{"new_root_zone_laboratory_mm_per_h", "new_root_zone_field_to_laboratory_ratio"},
	{"works_weeks_ratio", "growth_days_to_play_seed"},
	{"works_weeks_ratio", "growth_days_to_play_supplier_turf"},
	{"works_weeks_ratio", "growth_days_to_play_nursery_turf"},
	{"works_weeks_ratio", "growth_days_to_play_existing_turf"},
}

// The outcomes of a draw, in their order.
const (
	outcomeValue = iota
	outcomeCapital
	outcomePayback
	outcomeMonths
	outcomeIndex
	outcomeMonthsOut
	outcomeCount
)

// drawOutcomes names them; money is in the currency of the case.
func drawOutcomes(currency costs.Currency) []confidence.Outcome {
	code := currency.Code()
	return []confidence.Outcome{
		{Name: "net_present_value", Unit: code},
		{Name: "capital", Unit: code},
		{Name: "payback_years", Unit: "years"},
		{Name: "months_playable_year_5", Unit: "months"},
		{Name: "index_year_5", Unit: "points"},
		{Name: "months_out_of_play", Unit: "months"},
	}
}

// drawInputs lists what is drawn.
func (a *appraiser) drawInputs() []confidence.Input {
	level := map[costs.Level]float64{costs.Low: -1, costs.High: 1}[a.Case.Money.PriceLevel]
	inputs := []confidence.Input{{Name: inputPriceLevel, Unit: "-1 low, 0 likely, 1 high", Low: -1, Likely: level, High: 1, Shape: confidence.PERT}}
	for _, name := range slices.Concat(drawnMoney, drawnLives, drawnWorks, drawnForecast) {
		inputs = append(inputs, a.assumptionInput(name, confidence.PERT))
	}
	if a.Case.Money.DiscountRatePct == nil {
		return inputs // a schedule of rates has no one rate to move
	}
	row, rate := a.assumptions.Get("discount_rate_real_pct"), *a.Case.Money.DiscountRatePct
	return append(inputs, confidence.Input{
		Name: inputDiscountRate, Unit: "% a year", Shape: confidence.Fixed,
		Low: max(0, rate+row.Low-row.Likely), Likely: rate, High: min(25, rate+row.High-row.Likely),
	})
}

// assumptionInput makes an input of an assumption. A life that is given in whole
// years moves in whole years.
func (a *appraiser) assumptionInput(name string, shape confidence.Shape) confidence.Input {
	row := a.assumptions.Get(name)
	in := confidence.Input{Name: name, Unit: row.Unit, Low: row.Low, Likely: row.Likely, High: row.High, Shape: shape}
	if slices.Contains(drawnLives, name) && whole(row.Low) && whole(row.Likely) && whole(row.High) {
		in.Step = 1
	}
	return in
}

func whole(x float64) bool { return x == math.Trunc(x) }

// study sets the options up for draws.
func (a *appraiser) study(options []OptionAppraisal) (confidence.Study, error) {
	form, err := a.drawForm(options)
	if err != nil {
		return confidence.Study{}, err
	}
	s := confidence.Study{
		Inputs: form.inputs, Outcomes: drawOutcomes(a.currency), NewEvaluate: form.newEvaluate,
		RankBy: "net_present_value", Requirements: a.drawRequirements(),
	}
	for _, o := range options {
		s.Options = append(s.Options, confidence.Option{Name: string(o.Option), Feasible: len(o.Infeasible) == 0})
	}
	return s, nil
}

// drawRequirements are the club's, as bounds on the outcomes, with the slack
// that the screen of the likely case allows.
func (a *appraiser) drawRequirements() []confidence.Requirement {
	r := a.Case.Requirements
	var out []confidence.Requirement
	least := func(outcome string, limit *float64) {
		if limit != nil {
			at := *limit - meetsWithin
			out = append(out, confidence.Requirement{Outcome: outcome, AtLeast: &at})
		}
	}
	most := func(outcome string, limit *float64) {
		if limit != nil {
			at := *limit + meetsWithin
			out = append(out, confidence.Requirement{Outcome: outcome, AtMost: &at})
		}
	}
	least("months_playable_year_5", r.LeastMonthsPlayable)
	least("index_year_5", r.LeastIndex)
	most("months_out_of_play", r.MostMonthsOutOfPlay)
	if r.CapitalCeiling != nil {
		ceiling := r.CapitalCeiling.Float()
		most("capital", &ceiling)
	}
	return out
}

// likelyOf reads a fault of an uncertain constant as what it is: the case's own
// range reaches values that cannot be worked with.
func likelyOf(name string, err error) error {
	list, ok := err.(fault.List)
	if !ok {
		return err
	}
	for i := range list {
		list[i].Detail = "at an end of the range of " + name + ", " + list[i].Detail
	}
	return list
}
