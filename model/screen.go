package model

import (
	"fmt"
	"math"
	"strconv"

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
	year           int     // the year in which the green is judged
	monthsPlayable float64 // in that year
	index          float64 // in that year
	monthsOut      float64
	capital        costs.Money
}

// screenRequirements lists every requirement that the option misses, and by
// how much.
func screenRequirements(r Requirements, in screenInput) ([]Shortfall, error) {
	var out []Shortfall
	miss := func(requirement, text string, by, of float64) {
		out = append(out, Shortfall{requirement, text, by / of})
	}
	if limit := r.LeastMonthsPlayable; limit != nil && in.monthsPlayable < *limit-meetsWithin {
		value, by := apart(in.monthsPlayable, *limit, 1)
		miss("least_months_playable", fmt.Sprintf("%s months playable in year %d, against the %g required: %s short", value, in.year, *limit, by),
			*limit-in.monthsPlayable, max(*limit, 1e-9))
	}
	if limit := r.LeastIndex; limit != nil && in.index < *limit-meetsWithin {
		value, by := apart(in.index, *limit, 0)
		miss("least_index", fmt.Sprintf("condition index %s in year %d, against the %g required: %s short", value, in.year, *limit, by),
			*limit-in.index, max(*limit, 1e-9))
	}
	if limit := r.MostMonthsOutOfPlay; limit != nil && in.monthsOut > *limit+meetsWithin {
		value, by := apart(in.monthsOut, *limit, 1)
		miss("most_months_out_of_play", fmt.Sprintf("this green on a temporary for %s months, against the %g allowed: %s too many", value, *limit, by),
			in.monthsOut-*limit, max(*limit, 1))
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

// meetsWithin is how near a figure must be to a limit to count as meeting it.
const meetsWithin = 1e-9

// apart writes a figure and how far it is from a limit, to so many places, or to
// two where fewer would show the two as equal. A difference that two places do
// not show is called less than a hundredth.
func apart(value, limit float64, places int) (figure, difference string) {
	write := func(x float64) string { return strconv.FormatFloat(x, 'f', places, 64) }
	between := math.Abs(value - limit)
	if between < 0.5*math.Pow10(-places) || write(value) == write(limit) {
		places = 2
	}
	if between < 0.005 {
		return write(value), "less than 0.01"
	}
	return write(value), write(between)
}
