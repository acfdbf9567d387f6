package model

import (
	"fmt"

	"swardcase/costs"
)

// Reason is why an option cannot be done, or why it gives the committee pause.
// Code is stable; Text is a sentence for people.
type Reason struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Shortfall is a requirement of the club that an option does not meet.
type Shortfall struct {
	Requirement string `json:"requirement"`
	Text        string `json:"text"`
	// Relative is by how much, as a share of the requirement: it ranks the
	// options when none meets them all.
	Relative float64 `json:"relative"`
}

// screenInput is what the screens need to know of one option.
type screenInput struct {
	option         Option
	monthsPlayable float64 // in year 5
	index          float64 // in year 5
	monthsOut      float64
	capital        costs.Money
}

// screenRequirements lists every requirement that the option misses, and by
// how much.
func screenRequirements(r Requirements, in screenInput) ([]Shortfall, error) {
	var out []Shortfall
	least := func(name string, limit *float64, value float64, text string) {
		if limit != nil && value < *limit-1e-9 {
			out = append(out, Shortfall{name, fmt.Sprintf(text, value, *limit, *limit-value), (*limit - value) / max(*limit, 1e-9)})
		}
	}
	least("least_months_playable", r.LeastMonthsPlayable, in.monthsPlayable,
		"%.1f months playable in year 5, against the %g required: %.1f short")
	least("least_index", r.LeastIndex, in.index,
		"condition index %.0f in year 5, against the %g required: %.0f short")
	if limit := r.MostMonthsOutOfPlay; limit != nil && in.monthsOut > *limit+1e-9 {
		out = append(out, Shortfall{
			"most_months_out_of_play",
			fmt.Sprintf("this green on a temporary for %.1f months, against the %g allowed: %.1f too many", in.monthsOut, *limit, in.monthsOut-*limit),
			(in.monthsOut - *limit) / max(*limit, 1),
		})
	}
	if r.CapitalCeiling == nil {
		return out, nil
	}
	over, err := in.capital.Sub(*r.CapitalCeiling)
	if err != nil {
		return nil, err
	}
	if over.Sign() > 0 {
		out = append(out, Shortfall{
			"capital_ceiling",
			fmt.Sprintf("capital of %s, against the ceiling of %s: %s over", in.capital.Format(), r.CapitalCeiling.Format(), over.Format()),
			over.Float() / max(r.CapitalCeiling.Float(), 1),
		})
	}
	return out, nil
}
