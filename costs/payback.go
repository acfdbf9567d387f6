package costs

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
)

// PaybackOutcome says whether an outlay is paid back, and if not why not.
type PaybackOutcome string

// The outcomes.
const (
	PaidBack           PaybackOutcome = "paid_back"
	NothingInvested    PaybackOutcome = "nothing_invested"     // at no time has it cost more than the yardstick
	NeverPaysBack      PaybackOutcome = "never_pays_back"      // not within the horizon
	TurnsNegativeAgain PaybackOutcome = "turns_negative_again" // paid back once, but in deficit again at the horizon
)

// Payback is how long an outlay takes to come back, counted in years from the
// first month. Years is null unless the outcome is paid_back.
//
// It is the time after which the cumulative flow stays at or above zero to the
// end of the horizon, so that a renewal which puts the club back in deficit is
// not passed over; where it had been recovered earlier for a time,
// FirstRecoveredYears tells when.
type Payback struct {
	Outcome             PaybackOutcome `json:"outcome"`
	Years               *float64       `json:"years"`
	FirstRecoveredYears *float64       `json:"first_recovered_years"`
	Detail              string         `json:"detail"`
}

// paybackPlaces are the places of a payback in years.
const paybackPlaces = 1

// newPayback reads the payback from the cumulative flow of years 0 to the
// horizon.
func newPayback(cumulative []int64) Payback {
	horizon := len(cumulative) - 1
	first, last := deficits(cumulative)
	payback := Payback{}
	if 0 <= first && first < last {
		payback.FirstRecoveredYears = yearsNumber(recoveredAt(cumulative, first, paybackPlaces))
	}
	switch {
	case last < 0:
		payback.Outcome = NothingInvested
		payback.Detail = "At no time has it cost more than the yardstick."
	case first == horizon:
		payback.Outcome = NeverPaysBack
		payback.Detail = fmt.Sprintf("Not paid back within %d years.", horizon)
	case last == horizon:
		payback.Outcome = TurnsNegativeAgain
		payback.Detail = fmt.Sprintf("Recovered after %.1f years, but in deficit again at the end of the %d years.", *payback.FirstRecoveredYears, horizon)
	default:
		payback.Outcome = PaidBack
		payback.Years = yearsNumber(recoveredAt(cumulative, last, paybackPlaces))
		payback.Detail = fmt.Sprintf("Paid back after %.1f years.", *payback.Years)
		if payback.FirstRecoveredYears != nil {
			payback.Detail += fmt.Sprintf(" Recovered for a time after %.1f years, then in deficit again.", *payback.FirstRecoveredYears)
		}
	}
	return payback
}

// deficits finds the year in which the first deficit ends and the year in which
// the last one does; both are -1 where there is none.
func deficits(cumulative []int64) (first, last int) {
	first = slices.IndexFunc(cumulative, func(sum int64) bool { return sum < 0 })
	if first < 0 {
		return -1, -1
	}
	for first+1 < len(cumulative) && cumulative[first+1] < 0 {
		first++
	}
	last = len(cumulative) - 1
	for cumulative[last] >= 0 {
		last--
	}
	return first, last
}

// recoveredAt is when the deficit at the end of a year is made good, the flow
// of the year after being taken as even: year + deficit ÷ (next year's flow),
// rounded once, half away from zero.
func recoveredAt(cumulative []int64, year int, places int32) decimal.Decimal {
	deficit := decimal.NewFromInt(-cumulative[year])
	flow := decimal.NewFromInt(cumulative[year+1]).Add(deficit)
	return decimal.NewFromInt(int64(year)).Mul(flow).Add(deficit).DivRound(flow, places)
}

func yearsNumber(years decimal.Decimal) *float64 {
	number := years.InexactFloat64()
	return &number
}
