package model

import "swardcase/model/sward"

// A plan puts works off. Until they start the green goes on under the present
// programme, and what is then appraised is the green as it stands by then: the
// same number of years is looked at as for an early start, the present programme
// it is set against is as far gone, what is relaid or kept has aged, and money
// is at the price level and discount of its year. Nothing of it is interpolated.
// Two things stay as surveyed, since no later survey is known: what a lifted turf
// carries of its thatch, and whether it holds together.

// followedYears is how many years of age greens are followed.
func (a *appraiser) followedYears() int { return a.horizonYears() + 1 + a.ahead }

// swardAtStart is the sward of the green when works or a programme start.
func (a *appraiser) swardAtStart() sward.State {
	if a.later != nil {
		return *a.later
	}
	return a.play.sward
}

// yearsOn is the appraiser of a green whose works start so many years after
// first_month. The green must have been followed for so many years ahead.
func (a *appraiser) yearsOn(years int) (*appraiser, error) {
	if years == 0 {
		return a, nil
	}
	b := *a
	b.ahead = 0
	b.present = a.present[years : years+b.followedYears()]
	turf := sward.TurfParametersFrom(a.assumptions)
	state := a.play.growth.Start(a.play.sward)
	year := a.swardYear(a.programmes.present, a.wetnessToday(), a.play.growth.multiplier)
	for range years {
		state = state.NextYear(year, turf)
	}
	b.later = &state
	long, bad := a.purse.newTimeline(a.Case, a.horizonYears()+years)
	if err := a.underMoney(bad).Err(); err != nil {
		return nil, err
	}
	var err error
	b.purse.timeline, err = long.From(years, a.horizonYears())
	return &b, err
}

// startedLater is a designed and priced option when it starts later: its
// forecast and its cash flow. Its months are counted from its own first month.
func (a *appraiser) startedLater(option OptionAppraisal) (OptionAppraisal, error) {
	out := option
	var err error
	if out.ages, err = a.agesOf(out); err != nil {
		return out, err
	}
	if out.Forecast, err = a.forecast(out); err != nil {
		return out, err
	}
	money := OptionMoney{WorksBill: option.Money.WorksBill, AftercareYear1: option.Money.AftercareYear1, AftercareYear2: option.Money.AftercareYear2, Renewals: []Renewal{}}
	out.Money = &money
	return out, tooLarge(a.enterFlow(out.Money, out))
}
