package model

import "swardcase/model/assumption"

// monthDays is the length of each calendar month, January first, in a year
// without a leap day: every account of days in the model uses it.
var monthDays = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// LostDays is a year's days on which the main green was not in play, by cause
// and calendar month, January first. Only the days lost by the green itself
// can be bought back by work on the green.
type LostDays struct {
	WaterloggedGreenDays  [12]float64 `json:"waterlogged_green_days"`
	WaterloggedCourseDays [12]float64 `json:"waterlogged_course_days"`
	FrostDays             [12]float64 `json:"frost_days"`
	PolicyDays            [12]float64 `json:"policy_days"`
	WorksDays             [12]float64 `json:"works_days"`
	// Estimated is true when the record gave only a number of months and the
	// causes and the spread over the year were filled in from the climate.
	Estimated bool `json:"estimated"`
}

// GreenDays is the year's total lost by the green itself.
func (l LostDays) GreenDays() float64 { return sum(l.WaterloggedGreenDays) }

// OtherDays is the year's total that no work on the green can give back.
func (l LostDays) OtherDays() float64 {
	total := 0.0
	for month := range monthDays {
		total += l.other(month)
	}
	return total
}

// other is what the month loses to causes other than the green, in days.
func (l LostDays) other(month int) float64 {
	return min(monthDays[month], l.WaterloggedCourseDays[month]+l.FrostDays[month]+l.PolicyDays[month]+l.WorksDays[month])
}

// monthsPlayable converts a year of lost days to months open on the main
// green: the sum over months of the open share of each.
func (l LostDays) monthsPlayable() float64 {
	months := 0.0
	for month, length := range monthDays {
		lost := min(length, l.other(month)+l.WaterloggedGreenDays[month])
		months += 1 - lost/length
	}
	return months
}

// mostMonthsPlayable is what work on the green could give at the most: it loses no
// day of its own to water, and all the others are lost as ever.
func (l LostDays) mostMonthsPlayable() float64 {
	l.WaterloggedGreenDays = [12]float64{}
	return l.monthsPlayable()
}

// wetness says how a bare figure is spread over the year.
type wetness struct {
	AirFrostDays [12]float64 // mean days of air frost by calendar month
	SurplusMM    [12]float64 // rain less reference evapotranspiration, floored at 0
}

// estimateLostDays fills in the causes and the months behind a bare number of
// months playable. Frost takes its assumed share of the air-frost days (no
// more than is lost at all); the rest is laid to the green, month by month in
// proportion to the surplus of rain over evapotranspiration, and no month
// loses more than it has. Rule of thumb: common practice, no source; a record
// by cause replaces it.
func estimateLostDays(monthsPlayable float64, w wetness, set assumption.Set) LostDays {
	lost := LostDays{Estimated: true}
	// Everything is reckoned in shares of months, whose sum the figure is.
	remaining := max(0, 12-monthsPlayable)
	var frost [12]float64
	for month, days := range w.AirFrostDays {
		frost[month] = min(1, days*set.Likely("frost_closure_share")/monthDays[month])
	}
	scale := 1.0
	if total := sum(frost); total > remaining {
		scale = remaining / total
	}
	for month := range frost {
		frost[month] *= scale
		remaining -= frost[month]
	}
	green := spread(remaining, w.SurplusMM, frost)
	for month, length := range monthDays {
		lost.FrostDays[month] = frost[month] * length
		lost.WaterloggedGreenDays[month] = green[month] * length
	}
	return lost
}

// spread lays an amount over twelve months that hold 1 each, less what is
// taken, in proportion to weight. What overflows a full month goes to those
// with room, and where no month with weight has room, to the rest evenly.
func spread(amount float64, weight, taken [12]float64) [12]float64 {
	var out [12]float64
	const nothing = 1e-12
	room := func(month int) float64 { return max(0, 1-out[month]-taken[month]) }
	for amount > nothing {
		total, evenly := 0.0, 0.0
		for month := range weight {
			if room(month) > nothing {
				total += weight[month]
				evenly++
			}
		}
		if evenly == 0 {
			break // every month is full
		}
		left := 0.0
		for month := range weight {
			space := room(month)
			if space <= nothing {
				continue
			}
			share := amount / evenly
			if total > 0 {
				share = amount * weight[month] / total
			}
			out[month] += min(share, space)
			left += max(0, share-space)
		}
		amount = left // a pass fills a month or leaves nothing over: it ends
	}
	return out
}

func sum(values [12]float64) float64 {
	total := 0.0
	for _, value := range values {
		total += value
	}
	return total
}
