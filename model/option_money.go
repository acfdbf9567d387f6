package model

import (
	"fmt"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/layered"
)

// OptionMoney is what one option costs and brings, over the horizon and
// against the present programme.
type OptionMoney struct {
	// WorksBill is the option's own works; empty of lines for an option without.
	WorksBill costs.Bill `json:"works_bill"`
	// Capital is the works and the enabling works, with contingency and the tax
	// that the club cannot recover.
	Capital costs.Money `json:"capital"`
	// YearlyUpkeep is a year of the option's programme; where the club states
	// what its present one costs, that and the difference between the two.
	YearlyUpkeep costs.Money `json:"yearly_upkeep"`
	// AftercareYear1 and AftercareYear2 are the extra of the first two years
	// after the green opens.
	AftercareYear1 costs.Money `json:"aftercare_year_1"`
	AftercareYear2 costs.Money `json:"aftercare_year_2"`
	// Renewals lists the works done again within the horizon. One whose life
	// runs past the horizon is charged for the part of its life inside it.
	Renewals []Renewal      `json:"renewals"`
	CashFlow costs.CashFlow `json:"cash_flow"`
	// AgainstPresent sets the cash flow against the present programme's.
	AgainstPresent costs.Comparison `json:"against_present"`
	// EqualAnnualCost spreads capital, aftercare and upkeep over the option's own
	// life (the present programme's: over the horizon).
	EqualAnnualCost costs.Money `json:"equal_annual_cost"`
	// LifeCost is what is spread: the costs of the option's own life, discounted.
	LifeCost             costs.Money `json:"life_cost"`
	EqualAnnualCostYears int         `json:"equal_annual_cost_years"`
	// MonthsGainedYear5 is months playable above the present programme's, and
	// CostPerMonthGained the equal annual cost above its, for each of them; null
	// where nothing is gained.
	MonthsGainedYear5  float64      `json:"months_gained_year_5"`
	CostPerMonthGained *costs.Money `json:"cost_per_month_gained"`
	// InternalRates are the rates at which the net present value against the
	// present programme would be nil.
	InternalRates costs.InternalRates `json:"internal_rates"`
	// WorthTimesToBreakEven is how many times its stated worth a playable month
	// must have for the net present value to be nil; null where no worth does it.
	WorthTimesToBreakEven *float64 `json:"worth_times_to_break_even"`

	incomeGain float64 // present value of income against the yardstick's
}

// Renewal is the works done again.
type Renewal struct {
	Year   int         `json:"year"`
	Amount costs.Money `json:"amount"`
}

// enterMoney enters one option, whose works are priced, in a cash flow, and
// spreads what it costs over its life.
func (a *appraiser) enterMoney(m *OptionMoney, out OptionAppraisal) error {
	if err := a.enterFlow(m, out); err != nil {
		return err
	}
	return a.spreadOverLife(m, out)
}

// enterFlow enters one option, whose works are priced, in a cash flow.
func (a *appraiser) enterFlow(m *OptionMoney, out OptionAppraisal) error {
	var err error
	if m.Capital, err = m.WorksBill.Capital.Add(a.purse.enabling.Capital); err != nil {
		return err
	}
	if err := a.priceUpkeep(m, out.Option); err != nil {
		return err
	}
	ledger := a.purse.timeline.NewLedger()
	if err := a.enterCosts(ledger, m, out, a.purse.timeline); err != nil {
		return err
	}
	if err := a.enterRenewals(ledger, m, out); err != nil {
		return err
	}
	if left := a.residualOf(out); left != nil {
		cost := m.WorksBill.Capital
		if n := len(m.Renewals); n > 0 {
			cost = m.Renewals[n-1].Amount
		}
		ledger.AddResidual(left.month, cost, left.lifeMonths)
	}
	for _, year := range out.Forecast.Years {
		var income, lost [12]float64
		for month, playable := range year.PlayableDays {
			length := monthDays[monthIn(a.Case.Available.FirstMonth, month)]
			income[month] = min(1, (playable+year.lostToWorks[month])/length)
			lost[month] = min(1, year.lostToWorks[month]/length)
		}
		ledger.AddShares(year.Year, costs.Income, a.purse.worth, income)
		ledger.AddShares(year.Year, costs.IncomeLost, a.purse.worth, lost)
	}
	flow, bad := ledger.Close()
	if err := a.underMoney(bad).Err(); err != nil {
		return err
	}
	m.CashFlow = flow
	return nil
}

// priceWorks makes the bills of the works and of the aftercare.
func (a *appraiser) priceWorks(m *OptionMoney, out OptionAppraisal) error {
	var works, year1, year2 []layered.Quantity
	if out.Design != nil {
		works, year1, year2 = out.Design.Quantities, out.Design.AftercareYear1, out.Design.AftercareYear2
	}
	var faults fault.List
	price := func(demands []costs.Demand, terms costs.Terms) costs.Bill {
		bill, bad := a.makeBill(a.purse.prices, demands, terms)
		faults = append(faults, bad...)
		return bill
	}
	ratio := a.assumptions.Likely("works_quantity_ratio")
	m.WorksBill = price(scaled(layeredDemands(works), ratio), a.purse.works)
	m.AftercareYear1 = price(layeredDemands(year1), a.purse.yearly).Capital
	m.AftercareYear2 = price(layeredDemands(year2), a.purse.yearly).Capital
	return distinct(faults).Err()
}

// priceUpkeep is a year's upkeep under the option. Where the club knows what
// its present programme costs, that is the base, and the priced programmes
// give only the difference.
func (a *appraiser) priceUpkeep(m *OptionMoney, o Option) error {
	m.YearlyUpkeep = a.purse.yearlyBills[a.programmes.of(o).ProgrammeName].Capital
	stated := a.Case.Upkeep.CostPerYear
	if stated == nil {
		return nil
	}
	present := a.purse.yearlyBills[a.programmes.present.ProgrammeName].Capital
	difference, err := m.YearlyUpkeep.Sub(present)
	if err != nil {
		return err
	}
	m.YearlyUpkeep, err = stated.Add(difference)
	if m.YearlyUpkeep.Sign() < 0 {
		m.YearlyUpkeep = costs.Zero(a.currency)
	}
	return err
}

// enterCosts enters capital, upkeep and aftercare for the years of a timeline.
func (a *appraiser) enterCosts(ledger *costs.Ledger, m *OptionMoney, out OptionAppraisal, timeline costs.Timeline) error {
	ledger.Add(costs.YearZero, costs.Enabling, a.purse.enabling.Capital)
	ledger.AddStaged(costs.YearZero, costs.Capital, m.WorksBill.Capital, a.Case.Money.stagesWithin(timeline.Months()))
	upkeep, err := timeline.Evenly(m.YearlyUpkeep)
	if err != nil {
		return err
	}
	for year := 1; year <= timeline.Years(); year++ {
		ledger.AddTwelve(year, costs.Upkeep, upkeep)
	}
	if out.Timeline == nil {
		return nil
	}
	for i, amount := range []costs.Money{m.AftercareYear1, m.AftercareYear2} {
		if month := out.Timeline.opensMonth + 12*i; month < timeline.Months() {
			ledger.Add(month, costs.Aftercare, amount)
		}
	}
	return nil
}

// enterRenewals enters the works done again at the end of each life, at the
// share of their first cost that has to be spent again.
func (a *appraiser) enterRenewals(ledger *costs.Ledger, m *OptionMoney, out OptionAppraisal) error {
	if !out.Option.HasWorks() {
		return nil
	}
	share := a.assumptions.Likely("renewal_share_" + string(out.Option.Route()))
	for _, again := range a.renewalsOf(out) {
		part, err := costs.Percent(100 * share * again.inside)
		if err != nil {
			return err
		}
		amount, err := m.WorksBill.Capital.Mul(part.Shift(-2))
		if err != nil {
			return err
		}
		ledger.Add(again.month, costs.Renewal, amount)
		m.Renewals = append(m.Renewals, Renewal{Year: again.month/12 + 1, Amount: amount})
	}
	return nil
}

// renewal is the works done again in a month from first_month, and the share of
// the life they then have that lies within the horizon.
type renewal struct {
	month  int
	inside float64
}

// renewalsOf lists an option's renewals under the rule of the terms.
func (a *appraiser) renewalsOf(out OptionAppraisal) []renewal {
	list := renewalsWithin(out, a.purse.timeline.Years())
	if a.Case.Money.ResidualValue == StraightLine {
		for i := range list {
			list[i].inside = 1 // what lies beyond the horizon is its residual value
		}
	}
	return list
}

// residual is the last works within the horizon, with their life.
type residual struct{ month, lifeMonths int }

// unexpired is the share of the life that lies beyond a horizon.
func (r residual) unexpired(horizonMonths int) float64 {
	return max(0, float64(r.lifeMonths-horizonMonths+max(0, r.month))) / float64(r.lifeMonths)
}

// residualOf is the works whose worth at the horizon is counted; nil where none
// is.
func (a *appraiser) residualOf(out OptionAppraisal) *residual {
	life := out.lifeYears()
	if a.Case.Money.ResidualValue != StraightLine || life == 0 {
		return nil
	}
	last := residual{costs.YearZero, 12 * life}
	if list := a.renewalsOf(out); len(list) > 0 {
		last.month = list[len(list)-1].month
	}
	return &last
}

func renewalsWithin(out OptionAppraisal, years int) []renewal {
	life := out.lifeYears()
	var list []renewal
	for _, month := range renewalMonths(life, 12*years) {
		list = append(list, renewal{month, min(1, float64(years-month/12)/float64(life))})
	}
	return list
}

// spreadOverLife works out the equal annual cost over the option's own life.
func (a *appraiser) spreadOverLife(m *OptionMoney, out OptionAppraisal) error {
	life := a.purse.timeline.Years()
	if own := out.lifeYears(); own > 0 {
		life = min(mostLifeYears, own)
	}
	timeline, bad := a.purse.newTimeline(a.Case, life)
	if err := a.underMoney(bad).Err(); err != nil {
		return err
	}
	ledger := timeline.NewLedger()
	if err := a.enterCosts(ledger, m, out, timeline); err != nil {
		return err
	}
	flow, bad := ledger.Close()
	if err := a.underMoney(bad).Err(); err != nil {
		return err
	}
	present, err := flow.PresentCost(life)
	if err != nil {
		return err
	}
	m.EqualAnnualCostYears, m.LifeCost = life, present
	m.EqualAnnualCost, err = a.purse.discounting.EqualAnnualCost(present, life)
	return err
}

// against sets an option's money against the yardstick's.
func (a *appraiser) against(m *OptionMoney, out OptionAppraisal, yardstick OptionAppraisal) error {
	var err error
	if m.AgainstPresent, err = a.purse.timeline.Compare(m.CashFlow, yardstick.Money.CashFlow); err != nil {
		return err
	}
	m.MonthsGainedYear5 = out.Forecast.MonthsPlayableYear5 - yardstick.Forecast.MonthsPlayableYear5
	m.incomeGain = presentIncome(m.CashFlow) - presentIncome(yardstick.Money.CashFlow)
	if value := m.AgainstPresent.NetPresentValue.Float(); m.incomeGain > 0.005 {
		if times := 1 - value/m.incomeGain; times > 0 {
			m.WorthTimesToBreakEven = &times
		}
	}
	if m.MonthsGainedYear5 < 0.05 {
		return nil // less than a day or two a year: no price can be put on it
	}
	extra, err := m.EqualAnnualCost.Sub(yardstick.Money.EqualAnnualCost)
	if err != nil {
		return err
	}
	months, err := costs.Quantity(m.MonthsGainedYear5)
	if err != nil {
		return err
	}
	each, err := extra.Div(months)
	if err != nil {
		return fmt.Errorf("cost per month gained: %w", err)
	}
	m.CostPerMonthGained = &each
	return nil
}

// presentIncome is the present value of income less income lost, for ratios;
// no figure that is printed as money comes from it.
func presentIncome(flow costs.CashFlow) float64 {
	total := 0.0
	for _, year := range flow.Years {
		for _, entry := range year.Amounts {
			switch entry.Kind {
			case costs.Income:
				total += entry.Amount.Float() * year.DiscountFactor
			case costs.IncomeLost:
				total -= entry.Amount.Float() * year.DiscountFactor
			}
		}
	}
	return total
}

// times multiplies an amount by a ratio rounded to 4 places.
func times(amount costs.Money, ratio float64) (costs.Money, error) {
	part, err := costs.Percent(100 * ratio)
	if err != nil {
		return costs.Money{}, err
	}
	return amount.Mul(part.Mul(decimal.New(1, -2)))
}
