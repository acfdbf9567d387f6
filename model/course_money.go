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

// worksMoney prices the works of one option that start in the year zero of an
// appraiser: with and without what a course buys together.
type worksMoney struct {
	a       *appraiser
	course  *CourseCase
	demands []costs.Demand // with mobilisation only where every green has its own
	full    costs.Money    // capital of the works with their own mobilisation
	hasOwn  bool
}

func newWorksMoney(a *appraiser, option *OptionAppraisal, c *CourseCase) worksMoney {
	w := worksMoney{a: a, course: c, full: option.Money.WorksBill.Capital}
	if option.Design == nil {
		return w
	}
	var quantities []layered.Quantity
	for _, q := range option.Design.Quantities {
		if q.Item == mobilisationItem && c.sharesMobilisation() {
			w.hasOwn = true
			continue
		}
		quantities = append(quantities, q)
	}
	w.demands = scaled(layeredDemands(quantities), a.assumptions.Likely("works_quantity_ratio"))
	return w
}

// capital prices demands as works.
func (w worksMoney) capital(demands []costs.Demand) (costs.Money, error) {
	if len(demands) == 0 {
		return w.full, nil
	}
	bill, bad := w.a.makeBill(w.a.purse.prices, demands, w.a.purse.works)
	return bill.Capital, bad.Err()
}

// flowOf is the cash flow of capital, paid as the case pays it.
func (w worksMoney) flowOf(works costs.Money) (costs.CashFlow, error) {
	ledger := w.a.purse.timeline.NewLedger()
	ledger.Add(costs.YearZero, costs.Enabling, w.a.purse.enabling.Capital)
	ledger.AddStaged(costs.YearZero, costs.Capital, works, w.a.Case.Money.stagesWithin(w.a.purse.timeline.Months()))
	flow, bad := ledger.Close()
	return flow, w.a.underMoney(bad).Err()
}

// fill gives a candidate its payments, its savings by quantity and its worth:
// the net present value with what is shared taken out.
func (w worksMoney) fill(k *plannedCandidate, value costs.Money, year, planYears int) error {
	apart, err := w.capital(w.demands)
	if err != nil {
		return err
	}
	own, err := w.flowOf(w.full)
	if err != nil {
		return err
	}
	flow, err := w.flowOf(apart)
	if err != nil {
		return err
	}
	k.Payments = paymentsOf(flow, year, planYears)
	k.Worth = []int64{minorOf(value) + minorOf(flow.NetPresentValue) - minorOf(own.NetPresentValue)}
	if k.capital, err = apart.Add(w.a.purse.enabling.Capital); err != nil {
		return err
	}
	for _, b := range w.course.Plan.QuantityBreaks {
		use, err := w.breakUse(b, flow, k.Payments)
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

// breakUse is what the works buy of an item that is cheaper in quantity, and
// what each tier saves: the capital priced with so much less of it.
func (w worksMoney) breakUse(b QuantityBreak, flow costs.CashFlow, payments []int64) (programme.BreakUse, error) {
	use := programme.BreakUse{Saving: make([]int64, len(b.Tiers)), SavingWorth: make([][]int64, len(b.Tiers))}
	for _, d := range w.demands {
		if d.Item == b.Item {
			use.Quantity += int64(roundTo(d.Quantity, breakParts) * breakParts)
		}
	}
	for tier := range use.Saving {
		use.SavingWorth[tier] = []int64{0}
		if use.Quantity == 0 {
			continue
		}
		cheaper := slices.Clone(w.demands)
		for i := range cheaper {
			if cheaper[i].Item == b.Item {
				cheaper[i].Quantity *= 1 - b.Tiers[tier].LessPct/100
			}
		}
		capital, err := w.capital(cheaper)
		if err != nil {
			return use, err
		}
		less, err := w.flowOf(capital)
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

// mobilisationOf is what an option's own mobilisation adds to its capital: with
// contingency and the tax that the club does not recover.
func (p *plannedGreen) mobilisationOf(c *CourseCase, option *OptionAppraisal) (costs.Money, error) {
	w := newWorksMoney(p.appraiser, option, c)
	if !w.hasOwn {
		return costs.Zero(p.appraiser.currency), nil
	}
	apart, err := w.capital(w.demands)
	if err != nil {
		return apart, err
	}
	return w.full.Sub(apart)
}

// charges are the mobilisation of each season, at the price level and discount of
// its year: what is stated, or the dearest of the bills.
func (c *CourseCase) charges(greens []*plannedGreen) ([]programme.Charge, costs.Money, error) {
	a := greens[0].appraiser
	amount := costs.Zero(a.currency)
	if !c.sharesMobilisation() {
		return nil, amount, nil
	}
	for _, p := range greens {
		for i := range p.options {
			own, err := p.mobilisationOf(c, &p.options[i])
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
