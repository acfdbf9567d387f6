package model

import (
	"math"

	"swardcase/costs"
	"swardcase/model/condition"
)

// forecast gives the playable days of one option over the horizon. What the
// consultant expects overrides it; both are shown.
func (a *appraiser) forecast(out OptionAppraisal) Forecast {
	in := a.forecastInput(out)
	plain := forecastOption(in)
	stated := a.expectation(out.Option)
	if stated == nil {
		return plain
	}
	shown := StatedExpectation{
		MonthsPlayable: stated.MonthsPlayable, WorkingLifeYears: stated.WorkingLifeYears, Reason: stated.Reason,
		ForecastMonthsPlayable: plain.MonthsPlayableYear5, ForecastLifeYears: plain.WorkingLifeYears,
	}
	if life := stated.WorkingLifeYears; life != nil {
		in.effect.lifeYears = math.Round(*life)
	}
	if months := stated.MonthsPlayable; months != nil {
		in.effect, shown.Note = in.effect.toReach(*months, in)
	}
	overridden := forecastOption(in)
	overridden.Stated = &shown
	return overridden
}

func (a *appraiser) expectation(o Option) *Expectation {
	for i := range a.Case.Choices.Expectations {
		if a.Case.Choices.Expectations[i].Option == o {
			return &a.Case.Choices.Expectations[i]
		}
	}
	return nil
}

func (a *appraiser) forecastInput(out OptionAppraisal) forecastInput {
	in := forecastInput{
		firstMonth:   a.Case.Available.FirstMonth,
		horizonYears: *a.Case.Money.HorizonYears,
		lost:         a.report.LostDays.afterEnabling(a.enabling),
		decline: decline{
			daysPerYear: a.assumptions.Likely("present_decline_days_per_year"),
			limitRatio:  a.assumptions.Likely("present_decline_limit_ratio"),
		},
		effect: a.effectOf(out),
	}
	if out.Timeline != nil {
		in.outOfPlay, in.opensMonth = out.Timeline.outOfPlay, out.Timeline.opensMonth
	}
	return in
}

// effectOf is the share of the green's lost days that an option gives back.
// The diagnosis lays the days to the surface, to the discharge, or to neither;
// each option gives back its assumed share of the first two.
func (a *appraiser) effectOf(out OptionAppraisal) effect {
	set, left := a.assumptions, a.enabling.left
	name := map[Route]string{IntensifiedAeration: "intensified", LayeredRebuild: "layered_rebuild"}[out.Option.Route()]
	if out.Option.Route() == PartialRenovation {
		name = out.Package
	}
	if out.Option == Yardstick {
		return effect{isYardstick: true}
	}
	given := left.surface*set.Likely("given_back_surface_"+name) + left.discharge*set.Likely("given_back_discharge_"+name)
	e := effect{
		share:     given / max(left.sum(), 1e-9),
		leftAtEnd: set.Likely("gain_left_at_end_of_life_share"),
	}
	if out.Option.Route() == IntensifiedAeration {
		e.rampYears = set.Likely("intensified_full_effect_years")
		if a.report.Condition.Diagnosis.Trial.Verdict == condition.TriedAndFailed {
			e.share *= set.Likely("given_back_after_failed_trial_ratio")
		}
	}
	if out.Design != nil {
		e.lifeYears = max(1, math.Round(out.Design.WorkingLifeYears.Likely))
	}
	return e
}

// toReach sets the share given back so that a full year at full effect has the
// months playable that the consultant expects, as far as the green's own lost
// days allow.
func (e effect) toReach(months float64, in forecastInput) (effect, string) {
	if e.isYardstick {
		return e, "the present programme is held to the record; the expectation is shown beside it"
	}
	none, all := in.lost, in.lost
	all.WaterloggedGreenDays = [12]float64{}
	least, most := none.monthsPlayable(), all.monthsPlayable()
	if most-least < 1e-9 {
		return e, "the green itself loses no days that works could give back"
	}
	e.share = (months - least) / (most - least)
	switch {
	case e.share > 1:
		e.share = 1
		return e, "more than the green's own lost days would give back: capped there"
	case e.share < 0:
		e.share = 0
		return e, "fewer than today's months playable: taken as no gain"
	}
	return e, ""
}

// monthIn is the calendar month, 0 for January, so many months after another.
func monthIn(first costs.YearMonth, index int) int { return (int(first.Month) - 1 + index) % 12 }
