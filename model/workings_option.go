package model

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"swardcase/costs"
	"swardcase/model/condition"
)

// optionWorkings adds the workings of one option.
func (a *appraiser) optionWorkings(w *workings, o, yardstick *OptionAppraisal) error {
	at := "options." + string(o.Option)
	m := o.Money
	w.add(Working{
		Figure: at + ".capital", Formula: "the works, and the enabling works that every option has", Result: moneyText(m.Capital), Unit: a.currency.Code(),
		Inputs: []WorkingInput{moneyInput("works", m.WorksBill.Capital, Plus, at+".works"), moneyInput("enabling works", a.purse.enabling.Capital, Plus, "enabling")},
	})
	w.bill(at+".works", "works of "+o.Option.Words(), m.WorksBill, a.Case.Money.PriceBook)
	a.upkeepWorking(w, at, o)
	if err := a.lifeWorkings(w, at, m); err != nil {
		return err
	}
	a.paybackWorking(w, at, m)
	a.valueWorkings(w, at, o, yardstick)
	a.playWorkings(w, at, o)
	return nil
}

// upkeepWorking: a year's programme, or what the club says that its present one
// costs and the difference between the two.
func (a *appraiser) upkeepWorking(w *workings, at string, o *OptionAppraisal) {
	year := "programmes." + o.Programme + ".year"
	priced := a.purse.yearlyBills[o.Programme].Capital
	working := Working{
		Figure: at + ".yearly_upkeep", Formula: "a year of the programme, priced", Result: moneyText(o.Money.YearlyUpkeep), Unit: a.currency.Code(),
		Inputs: []WorkingInput{moneyInput("the programme", priced, Plus, year)},
	}
	if stated := a.Case.Upkeep.CostPerYear; stated != nil {
		present := a.programmes.present.ProgrammeName
		own := moneyInput("what the present programme costs", *stated, Plus, "")
		own.Source = "stated in the case"
		working.Formula = "what the club says its present programme costs, and the difference between the two as priced"
		working.Inputs = []WorkingInput{own, moneyInput("the programme, priced", priced, Plus, year), moneyInput("the present programme, priced", a.purse.yearlyBills[present].Capital, Minus, "programmes."+present+".year")}
	}
	w.add(working)
}

// lifeWorkings: what the option costs over its life, and that as an equal sum a
// year.
func (a *appraiser) lifeWorkings(w *workings, at string, m *OptionMoney) error {
	factor, err := a.purse.discounting.EqualAnnualFactor(m.EqualAnnualCostYears)
	if err != nil {
		return err
	}
	code := a.currency.Code()
	w.add(Working{
		Figure:  at + ".equal_annual_cost",
		Formula: fmt.Sprintf("the cost of a life of %d years, times the equal annual factor of that life", m.EqualAnnualCostYears),
		Result:  moneyText(m.EqualAnnualCost), Unit: code,
		Inputs: []WorkingInput{
			moneyInput("cost of the life, discounted", m.LifeCost, Times, at+".life_cost"),
			{Name: "equal annual factor", Value: factor.String(), Unit: "1/year", Operation: Times, Source: "one over the sum of the discount factors of the years"},
		},
	})
	w.add(Working{
		Figure: at + ".life_cost", Formula: fmt.Sprintf("capital, aftercare and upkeep of %d years, each at the price level of its year, discounted", m.EqualAnnualCostYears),
		Result: moneyText(m.LifeCost), Unit: code,
		Inputs: []WorkingInput{
			moneyInput("capital", m.Capital, "", at+".capital"),
			moneyInput("aftercare, first year", m.AftercareYear1, "", ""), moneyInput("aftercare, second year", m.AftercareYear2, "", ""),
			moneyInput("upkeep a year", m.YearlyUpkeep, "", at+".yearly_upkeep"),
		},
	})
	return nil
}

// valueWorkings: the discounted differences from the present programme, year by
// year, and what each year is made of.
func (a *appraiser) valueWorkings(w *workings, at string, o, yardstick *OptionAppraisal) {
	code, against := a.currency.Code(), o.Money.AgainstPresent
	value := Working{
		Figure: at + ".net_present_value", Formula: "the discounted differences from the present programme, year by year",
		Result: moneyText(against.NetPresentValue), Unit: code,
	}
	for _, year := range against.Years {
		value.Inputs = append(value.Inputs, moneyInput(fmt.Sprintf("year %d, discounted", year.Year), year.Discounted, Plus, fmt.Sprintf("%s.year_%d", at, year.Year)))
	}
	if against.Residual != nil {
		value.Inputs = append(value.Inputs, moneyInput("residual value, discounted", against.Residual.Discounted, Plus, ""))
	}
	w.add(value)
	if !w.deep {
		return
	}
	for i := len(against.Years) - 1; i >= 0; i-- {
		year := against.Years[i]
		sum := Working{
			Figure: fmt.Sprintf("%s.year_%d.cumulative", at, year.Year), Formula: "the differences from the present programme so far, not discounted",
			Result: moneyText(year.Cumulative), Unit: code,
			Inputs: []WorkingInput{moneyInput("difference of the year", year.Difference, Plus, fmt.Sprintf("%s.year_%d.difference", at, year.Year))},
		}
		if i > 0 {
			before := against.Years[i-1]
			sum.Inputs = append(sum.Inputs, moneyInput(fmt.Sprintf("sum to the end of year %d", before.Year), before.Cumulative, Plus,
				fmt.Sprintf("%s.year_%d.cumulative", at, before.Year)))
		}
		w.add(sum)
	}
	for i, year := range against.Years {
		figure := fmt.Sprintf("%s.year_%d", at, year.Year)
		flow := o.Money.CashFlow.Years[i]
		w.add(Working{
			Figure: figure, Formula: "the difference from the present programme times the discount factor, rounded once", Result: moneyText(year.Discounted), Unit: code,
			Inputs: []WorkingInput{
				moneyInput("difference", year.Difference, Times, figure+".difference"),
				numberInput("discount factor", flow.DiscountFactor, "1", Times, "the discount rates of the case"),
			},
		})
		w.add(Working{
			Figure: figure + ".difference", Formula: "this option's net less the present programme's", Result: moneyText(year.Difference), Unit: code,
			Inputs: []WorkingInput{
				moneyInput("net", flow.Net, Plus, figure+".net"),
				moneyInput("net of the present programme", yardstick.Money.CashFlow.Years[i].Net, Minus, fmt.Sprintf("options.%s.year_%d.net", Yardstick, year.Year)),
			},
		})
		w.add(netWorking(figure+".net", flow))
	}
}

// netWorking: what comes in, less what goes out.
func netWorking(figure string, year costs.CashFlowYear) Working {
	net := Working{Figure: figure, Formula: "what comes in, less what goes out", Result: moneyText(year.Net), Unit: year.Net.Currency().Code(), Inputs: []WorkingInput{}}
	for _, entry := range year.Amounts {
		operation := Minus
		if entry.Kind == costs.Income {
			operation = Plus
		}
		net.Inputs = append(net.Inputs, moneyInput(plainName(string(entry.Kind)), entry.Amount, operation, ""))
	}
	return net
}

// paybackWorking: the last time that the sum of the differences comes up to
// nothing.
func (a *appraiser) paybackWorking(w *workings, at string, m *OptionMoney) {
	payback := m.AgainstPresent.Payback
	working := Working{
		Figure: at + ".payback_years", Formula: "when the sum of the differences from the present programme comes up to nothing for good: year + deficit ÷ difference of the next year",
		Result: "none", Unit: "years", Source: payback.Detail, Inputs: []WorkingInput{},
	}
	if years := m.AgainstPresent.Years; payback.Years == nil && len(years) > 0 {
		last := years[len(years)-1]
		working.Inputs = append(working.Inputs, moneyInput(fmt.Sprintf("sum to the end of year %d", last.Year), last.Cumulative, "", fmt.Sprintf("%s.year_%d.cumulative", at, last.Year)))
	}
	if payback.Years != nil {
		working.Result = numberText(*payback.Years)
		for i, year := range m.AgainstPresent.Years {
			if i+1 < len(m.AgainstPresent.Years) && float64(year.Year) <= *payback.Years+0.05 && float64(year.Year+1) >= *payback.Years-0.05 {
				working.Inputs = append(working.Inputs,
					moneyInput(fmt.Sprintf("sum to the end of year %d", year.Year), year.Cumulative, "", fmt.Sprintf("%s.year_%d.cumulative", at, year.Year)),
					moneyInput(fmt.Sprintf("difference of year %d", year.Year+1), m.AgainstPresent.Years[i+1].Difference, "", fmt.Sprintf("%s.year_%d.difference", at, year.Year+1)))
			}
		}
	}
	w.add(working)
}

// playWorkings: the playable days of the fifth year and what they follow from,
// and the index that the measures of that year make.
func (a *appraiser) playWorkings(w *workings, at string, o *OptionAppraisal) {
	n := min(expectedYear, len(o.Forecast.Years))
	year := o.Forecast.Years[n-1]
	months := Working{
		Figure: at + ".months_playable_year_5", Formula: fmt.Sprintf("the sum over the months of year %d of open days ÷ days of the month", n),
		Result: numberText(o.Forecast.MonthsPlayableYear5), Unit: "months", Inputs: []WorkingInput{},
		Source: fmt.Sprintf("days lost to the green's own water: the playability curve of the site at a ring rate of %g mm/h, a wet surface of %s of that, a discharge of %g mm/day and %g mm of thatch; %s",
			year.InfiltrationMMPerH, numberText(roundTo(a.play.ratio, 1000)), year.DischargeMMPerDay, year.ThatchDepthMM, a.play.calibration.Reason),
	}
	for month, open := range year.PlayableDays {
		calendar := monthIn(a.Case.Available.FirstMonth, month)
		name := time.Month(calendar + 1).String()
		in := numberInput(fmt.Sprintf("open days in %s, of %g", name, monthDays[calendar]), open, "days", "", "")
		in.Figure = at + ".open_days_year_5." + strings.ToLower(name)
		months.Inputs = append(months.Inputs, in)
	}
	w.add(a.indexWorking(at, o))
	w.add(months)
	if !w.deep {
		return
	}
	w.add(openDaysWorking(at, year, months.Inputs))
	for month, in := range months.Inputs {
		w.add(a.openDaysOf(in.Figure, year, month, monthIn(a.Case.Available.FirstMonth, month)))
	}
	for _, working := range a.scoreWorkings(at, o) {
		w.add(working)
	}
}

// openDaysWorking: the open days of a year, month by month.
func openDaysWorking(at string, year ForecastYear, months []WorkingInput) Working {
	working := Working{
		Figure: at + ".open_days_year_5", Formula: "the open days of the months", Result: numberText(roundTo(sum(year.PlayableDays), 1000)), Unit: "days", Inputs: []WorkingInput{},
	}
	for _, in := range months {
		in.Operation = Plus
		working.Inputs = append(working.Inputs, in)
	}
	return working
}

// openDaysOf: the open days of a month, and what took the others.
func (a *appraiser) openDaysOf(figure string, year ForecastYear, month, calendar int) Working {
	length, other := monthDays[calendar], roundTo(a.report.LostDays.other(calendar), 1000)
	open, works := year.PlayableDays[month], year.lostToWorks[month]
	return Working{
		Figure: figure, Formula: "days of the month, less those lost to other causes, to the green's own water, and of the rest to works",
		Result: numberText(open), Unit: "days",
		Inputs: []WorkingInput{
			numberInput("days of the month", length, "days", Plus, "the calendar"),
			numberInput("lost to course, frost, policy and works elsewhere", other, "days", Minus, "the record of closed days"),
			numberInput("lost to the green's own water", roundTo(length-other-open-works, 1000), "days", Minus, "the playability curve"),
			numberInput("lost to the works on this green", works, "days", Minus, "the calendar of works and establishment"),
		},
	}
}

// partsOf are the scores of an option's expected measures.
func (a *appraiser) partsOf(o *OptionAppraisal) []condition.Part {
	return a.scorer.Parts(o.Expected.values())
}

// indexWorking: the weighted mean of the scores.
func (a *appraiser) indexWorking(at string, o *OptionAppraisal) Working {
	working := Working{
		Figure: at + ".index_year_5", Formula: "the weighted mean of the scores of what was measured", Inputs: []WorkingInput{},
		Result: numberText(roundTo(o.Expected.Index, 10_000)), Unit: "points", Source: "scales and weights of the case",
	}
	for _, part := range a.partsOf(o) {
		in := numberInput(fmt.Sprintf("score of %s, weight %s", plainName(part.Measure), numberText(roundTo(part.Weight, 10_000))),
			roundTo(part.Score, 10_000), "points", "", "")
		in.Figure = at + ".score_year_5." + part.Measure
		working.Inputs = append(working.Inputs, in)
	}
	return working
}

var measureUnits = map[string]string{
	"infiltration_mm_per_h": "mm/h", "thatch_depth_mm": "mm", "annual_meadow_grass_pct": "%", "months_playable": "months",
}

// scoreWorkings: where each measure stands on its value scale.
func (a *appraiser) scoreWorkings(at string, o *OptionAppraisal) []Working {
	var list []Working
	for _, part := range a.partsOf(o) {
		value := numberInput(plainName(part.Measure), part.Value, measureUnits[part.Measure], "", "the expectation of the judged year")
		if part.Measure == "months_playable" {
			value.Figure, value.Source = at+".months_playable_year_5", ""
		}
		working := Working{
			Figure: at + ".score_year_5." + part.Measure, Formula: "read off the value scale, straight between its corners",
			Result: numberText(roundTo(part.Score, 10_000)), Unit: "points", Source: "the value scale of the case", Inputs: []WorkingInput{value},
		}
		if part.Entered != part.Value {
			working.Inputs = append(working.Inputs, numberInput("the scale is entered with the wet-surface rate", roundTo(part.Entered, 1000), "mm/h", "", "assumption wet_surface_to_ring_ratio"))
		}
		for _, corner := range slices.Compact([]condition.ScalePoint{part.Below, part.Above}) {
			working.Inputs = append(working.Inputs, numberInput("score of the scale at "+numberText(corner.Value), corner.Score, "points", "", "the value scale of the case"))
		}
		list = append(list, working)
	}
	return list
}
