package model

import (
	"slices"

	"swardcase/costs"
	"swardcase/model/layered"
	"swardcase/model/programme"
)

// mobilisationItem is the item of the price book that brings plant and people
// to site: once a season for all greens of a course.
const mobilisationItem = "mobilisation"

func (c *CourseCase) sharesMobilisation() bool { return !c.Plan.OwnMobilisation }

// worksMoney is the capital of the works of one option: with and without what a
// course buys together. It is the same in every year: price levels are the
// timeline's.
type worksMoney struct {
	full   costs.Money // with their own mobilisation
	apart  costs.Money // with it only where every green has its own
	breaks []breakMoney
}

// breakMoney is what the works buy of an item that is cheaper in quantity, in
// parts of its unit, and their capital by tier with so much less of it, if they
// buy any.
type breakMoney struct {
	quantity int64
	capital  []costs.Money
}

// worksMoneyOf prices the works of an option.
func (a *appraiser) worksMoneyOf(option *OptionAppraisal, c *CourseCase) (worksMoney, error) {
	w := worksMoney{full: option.Money.WorksBill.Capital, apart: option.Money.WorksBill.Capital}
	var demands []costs.Demand
	if option.Design != nil {
		quantities := option.Design.Quantities
		if c.sharesMobilisation() {
			quantities = slices.DeleteFunc(slices.Clone(quantities), func(q layered.Quantity) bool { return q.Item == mobilisationItem })
		}
		demands = scaled(layeredDemands(quantities), a.assumptions.Likely("works_quantity_ratio"))
	}
	var err error
	if len(demands) > 0 {
		if w.apart, err = a.capitalOf(demands); err != nil {
			return w, err
		}
	}
	w.breaks = make([]breakMoney, len(c.Plan.QuantityBreaks))
	for i, b := range c.Plan.QuantityBreaks {
		if w.breaks[i], err = a.breakMoneyOf(demands, b); err != nil {
			return w, err
		}
	}
	return w, nil
}

func (a *appraiser) breakMoneyOf(demands []costs.Demand, b QuantityBreak) (breakMoney, error) {
	out := breakMoney{capital: make([]costs.Money, len(b.Tiers))}
	for _, d := range demands {
		if d.Item == b.Item {
			out.quantity += int64(roundTo(d.Quantity, breakParts) * breakParts)
		}
	}
	if out.quantity == 0 {
		return out, nil
	}
	for tier := range b.Tiers {
		cheaper := slices.Clone(demands)
		for i := range cheaper {
			if cheaper[i].Item == b.Item {
				cheaper[i].Quantity *= 1 - b.Tiers[tier].LessPct/100
			}
		}
		var err error
		if out.capital[tier], err = a.capitalOf(cheaper); err != nil {
			return out, err
		}
	}
	return out, nil
}

// capitalOf prices demands as works.
func (a *appraiser) capitalOf(demands []costs.Demand) (costs.Money, error) {
	bill, bad := a.makeBill(a.purse.prices, demands, a.purse.works)
	return bill.Capital, bad.Err()
}

// flowOf is the cash flow of capital, paid as the case pays it.
func (a *appraiser) flowOf(works costs.Money) (costs.CashFlow, error) {
	ledger := a.purse.timeline.NewLedger()
	ledger.Add(costs.YearZero, costs.Enabling, a.purse.enabling.Capital)
	ledger.AddStaged(costs.YearZero, costs.Capital, works, a.Case.Money.stagesWithin(a.purse.timeline.Months()))
	flow, bad := ledger.Close()
	return flow, a.underMoney(bad).Err()
}

// fill gives a candidate its payments, its savings by quantity and its worth: the
// net present value with what is shared taken out. The works start in the year
// zero of the appraiser.
func (w worksMoney) fill(k *plannedCandidate, a *appraiser, value costs.Money, year, planYears int) error {
	own, err := a.flowOf(w.full)
	if err != nil {
		return err
	}
	flow, err := a.flowOf(w.apart)
	if err != nil {
		return err
	}
	k.Payments = paymentsOf(flow, year, planYears)
	k.Worth = []int64{minorOf(value) + minorOf(flow.NetPresentValue) - minorOf(own.NetPresentValue)}
	if k.capital, err = w.apart.Add(a.purse.enabling.Capital); err != nil {
		return err
	}
	for _, b := range w.breaks {
		use, err := b.use(a, flow, k.Payments)
		if err != nil {
			return err
		}
		k.Breaks = append(k.Breaks, use)
	}
	return nil
}

// paymentsOf are what a flow pays for works by plan year, what is paid after the
// plan last. The year before a flow's first month is the first's.
func paymentsOf(flow costs.CashFlow, year, planYears int) []int64 {
	payments := make([]int64, planYears+1)
	for _, y := range flow.Years {
		at := min(planYears, year+max(0, y.Year-1))
		payments[at] += minorOf(y.Cost)
	}
	return payments
}

// use is what each tier saves of a flow of capital that starts in the year zero of
// the appraiser.
func (b breakMoney) use(a *appraiser, flow costs.CashFlow, payments []int64) (programme.BreakUse, error) {
	use := programme.BreakUse{Quantity: b.quantity, Saving: make([]int64, len(b.capital)), SavingWorth: make([][]int64, len(b.capital))}
	for tier := range use.Saving {
		use.SavingWorth[tier] = []int64{0}
		if b.quantity == 0 {
			continue
		}
		less, err := a.flowOf(b.capital[tier])
		if err != nil {
			return use, err
		}
		saved := int64(0)
		for year := range flow.Years {
			saved += minorOf(flow.Years[year].Cost) - minorOf(less.Years[year].Cost)
		}
		use.Saving[tier] = min(max(0, saved), slices.Max(payments))
		use.SavingWorth[tier][0] = max(0, minorOf(less.NetPresentValue)-minorOf(flow.NetPresentValue))
	}
	return use, nil
}

// breakParts are the parts of a unit that quantities of a break are counted in.
const breakParts = 1000

// charges are the mobilisation of each season, at the price level and discount of
// its year: what is stated, or the dearest of the bills.
func (c *CourseCase) charges(greens []*plannedGreen) ([]programme.Charge, costs.Money, error) {
	a := greens[0].appraiser
	amount := costs.Zero(a.currency)
	if !c.sharesMobilisation() {
		return nil, amount, nil
	}
	for _, p := range greens {
		for _, works := range p.works {
			own, err := works.full.Sub(works.apart) // with contingency and the tax that the club does not recover
			if err != nil {
				return nil, amount, err
			}
			if own.Amount().GreaterThan(amount.Amount()) {
				amount = own
			}
		}
	}
	if c.Plan.Mobilisation != nil {
		amount = *c.Plan.Mobilisation
	}
	var charges []programme.Charge
	for year := range c.Plan.Years {
		later, err := a.yearsOn(year)
		if err != nil {
			return nil, amount, err
		}
		ledger := later.purse.timeline.NewLedger()
		ledger.Add(costs.YearZero, costs.Capital, amount)
		flow, bad := ledger.Close()
		if err := a.underMoney(bad).Err(); err != nil {
			return nil, amount, err
		}
		charge := programme.Charge{Cash: minorOf(flow.Years[0].Cost), Worth: []int64{-minorOf(flow.NetPresentValue)}}
		for range 2 { // seasons of a year
			charges = append(charges, charge)
		}
	}
	return charges, amount, nil
}
