package model

import (
	"fmt"

	"swardcase/costs"
	"swardcase/model/aeration"
	"swardcase/model/fault"
	"swardcase/model/layered"
)

// purse holds the money that the options of one appraisal share: prices,
// terms, the frame of the cash flows, and the bills that do not depend on the
// option.
type purse struct {
	prices      costs.Prices
	works       costs.Terms // with contingency
	yearly      costs.Terms // without: upkeep is known, not guessed
	timeline    costs.Timeline
	discounting costs.Discounting
	worth       costs.Twelve
	enabling    costs.Bill
	currency    costs.Currency
	yearlyBills map[string]costs.Bill // by programme name
}

// mostLifeYears is the longest life for which an equal annual cost is worked
// out: the contract's longest working life.
const mostLifeYears = 60

// openPurse reads the prices and terms and prices what the options share.
func (a *appraiser) openPurse() (purse, error) {
	p, err := a.openTerms()
	if err != nil {
		return purse{}, err
	}
	return p, p.priceShared(a)
}

// openTerms reads the prices and terms; every fault of them is named at once.
func (a *appraiser) openTerms() (purse, error) {
	money := a.Case.Money
	p := purse{currency: a.currency, yearlyBills: map[string]costs.Bill{}}
	var faults fault.List
	var bad []costs.Problem
	p.prices, p.works, faults = a.worksPrices()
	p.discounting, bad = money.discounting()
	faults.Under("", a.underMoney(bad))
	if len(faults) > 0 {
		return purse{}, faults
	}
	p.yearly = p.works
	p.yearly.ContingencyPct, p.yearly.Preliminaries, p.yearly.ProfessionalFees = 0, nil, nil
	p.timeline, bad = p.newTimeline(a.Case, *money.HorizonYears)
	faults.Under("", a.underMoney(bad))
	if len(faults) > 0 {
		return purse{}, faults
	}
	worth, err := a.worthByMonth()
	if err != nil {
		return purse{}, tooLarge(err)
	}
	if p.worth, err = p.timeline.ByCalendar(worth); err != nil {
		return purse{}, err
	}
	return p, nil
}

// priceShared makes the bills that do not depend on the option: the enabling
// works and a year of every programme.
func (p *purse) priceShared(a *appraiser) error {
	var faults fault.List
	price := func(demands []costs.Demand, terms costs.Terms) costs.Bill {
		bill, bad := a.makeBill(p.prices, demands, terms)
		faults = append(faults, bad...)
		return bill
	}
	p.enabling = price(enablingDemands(a.enabling), p.works)
	for _, calendar := range a.programmes.all() {
		p.yearlyBills[calendar.ProgrammeName] = price(a.yearlyDemands(calendar), p.yearly)
	}
	return distinct(faults).Err()
}

// worthByMonth is what a playable month is worth, January first.
func (a *appraiser) worthByMonth() (worth [12]costs.Money, err error) {
	ratio := a.assumptions.Likely("worth_of_playable_month_ratio")
	for month, stated := range a.Case.Money.WorthOfPlayableMonth {
		if worth[month], err = times(stated, ratio); err != nil {
			return worth, err
		}
	}
	return worth, nil
}

// discounting is by the schedule of rates, where the terms have one.
func (m MoneyTerms) discounting() (costs.Discounting, []costs.Problem) {
	years := max(*m.HorizonYears, mostLifeYears)
	if m.DiscountBands != nil {
		return costs.DecliningDiscounting(m.DiscountBands, years)
	}
	return costs.ConstantDiscounting(*m.DiscountRatePct, years)
}

// discountWords says by what the terms discount.
func (m MoneyTerms) discountWords() string {
	if m.DiscountRatePct == nil {
		return "by the schedule of discount rates"
	}
	return fmt.Sprintf("at the discount rate of %s %%", number(*m.DiscountRatePct))
}

// indices are the multipliers of the case.
func (m MoneyTerms) indices() costs.Indices {
	return costs.Indices{Regional: m.RegionalIndex, Date: m.DateIndex}
}

func (p purse) newTimeline(c Case, years int) (costs.Timeline, []costs.Problem) {
	return costs.NewTimeline(costs.TimelineTerms{
		Currency: p.currency, FirstMonth: c.Available.FirstMonth, HorizonYears: years,
		InflationPct: *c.Money.InflationPct, InflationByClass: c.Money.InflationByClass, Discounting: p.discounting,
	})
}

func enablingDemands(works EnablingWorks) []costs.Demand {
	var demands []costs.Demand
	for _, need := range works.Needs {
		demands = append(demands, costs.Demand{
			Section: "enabling_works", Item: need.Item, Quantity: need.Amount, Unit: costs.Unit(need.Unit), Working: need.Reason,
		})
	}
	return demands
}

// yearlyDemands is a year's upkeep: what every green gets, and the programme.
func (a *appraiser) yearlyDemands(calendar aeration.Calendar) []costs.Demand {
	area := a.Case.Green.AreaM2
	demands := []costs.Demand{{
		Section: "ordinary_upkeep", Item: "ordinary_upkeep", Quantity: area, Unit: "m2",
		Working: fmt.Sprintf("%.0f m² of green, a year of mowing, feeding and watering", area),
	}}
	for _, q := range calendar.Quantities {
		demands = append(demands, costs.Demand{
			Section: q.Section, Item: q.Item, Description: q.Description, Quantity: q.Amount, Unit: costs.Unit(q.Unit), Working: q.Working,
		})
	}
	return demands
}

// scaled is a list of demands with every quantity multiplied.
func scaled(demands []costs.Demand, ratio float64) []costs.Demand {
	for i := range demands {
		demands[i].Quantity *= ratio
	}
	return demands
}

func layeredDemands(quantities []layered.Quantity) []costs.Demand {
	demands := make([]costs.Demand, 0, len(quantities))
	for _, q := range quantities {
		demands = append(demands, costs.Demand{
			Section: string(q.Section), Item: q.Item, Description: q.Description, Quantity: q.Amount, Unit: costs.Unit(q.Unit), Working: q.Working,
		})
	}
	return demands
}

// priceStamp says on what prices the appraisal rests.
func (a *appraiser) priceStamp() string {
	book := a.Case.Money.PriceBook
	if book.Name == demoPriceBook.Name && book.Note == demoPriceBook.Note {
		return "Invented demonstration prices: not for tender."
	}
	return fmt.Sprintf("Prices from %q, dated %s: an estimate, not a quotation; not for tender.", book.Name, book.PriceDate)
}
