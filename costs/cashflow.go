package costs

import "fmt"

// CashFlow is one option's money over the horizon, by year. Each year's net is
// what comes in less what goes out; discounted is net times the year's discount
// factor, rounded once; the totals are sums of the yearly figures. A residual
// value is no payment and stands apart: it is in the net present value and in
// nothing else.
type CashFlow struct {
	FirstMonth      YearMonth      `json:"first_month"`
	Years           []CashFlowYear `json:"years"`
	Totals          []KindAmount   `json:"totals"`
	Net             Money          `json:"net"`
	Residual        *ResidualValue `json:"residual,omitempty"`
	NetPresentValue Money          `json:"net_present_value"`
}

// CashFlowYear is one year: year 0 holds what is paid before the first month,
// year 1 the twelve months from it.
type CashFlowYear struct {
	Year           int          `json:"year"`
	Amounts        []KindAmount `json:"amounts"` // kinds with entries, in a fixed order
	Cost           Money        `json:"cost"`    // spent: all kinds but income and income lost
	Net            Money        `json:"net"`
	DiscountFactor float64      `json:"discount_factor"`
	DiscountedCost Money        `json:"discounted_cost"`
	Discounted     Money        `json:"discounted"` // net × factor
}

// KindAmount is the total of one kind, positive for what its name says.
type KindAmount struct {
	Kind   Kind  `json:"kind"`
	Amount Money `json:"amount"`
}

// Close sums the entries into years, or lists everything that was wrong with
// them. Fields are "/entries", the kind, and the month (-1: year zero, or a
// whole year's).
func (l *Ledger) Close() (CashFlow, []Problem) {
	if len(l.found) > 0 {
		return CashFlow{}, l.found
	}
	t := l.timeline
	flow := CashFlow{FirstMonth: t.firstMonth, Years: make([]CashFlowYear, t.years+1), Totals: []KindAmount{}}
	var net, present int64
	for year := range flow.Years {
		sums, ok := l.closeYear(year, &flow.Years[year])
		net += sums.net
		present += sums.discounted
		if !ok || !within(net, t.currency) || !within(present, t.currency) {
			return CashFlow{}, tooLargeFlow(year)
		}
	}
	for number, kind := range kinds {
		var total int64
		for year, amount := range l.byKind[number] {
			if total += amount; !within(total, t.currency) {
				return CashFlow{}, tooLargeFlow(year)
			}
		}
		if total != 0 {
			flow.Totals = append(flow.Totals, KindAmount{kind, ofMinor(total, t.currency)})
		}
	}
	if l.residual != 0 {
		flow.Residual = t.residualValue(l.residual)
		if present += flow.Residual.Discounted.minor(); !within(present, t.currency) {
			return CashFlow{}, tooLargeFlow(t.years)
		}
	}
	flow.Net, flow.NetPresentValue = ofMinor(net, t.currency), ofMinor(present, t.currency)
	return flow, nil
}

func tooLargeFlow(year int) []Problem {
	var found problems
	found.add(fmt.Sprintf("/years/%d", year), nil, "the cash flow comes to more than 12 digits", "look for an amount or a rate of inflation with too many digits")
	return found
}

// yearSums are one year's figures in minor units.
type yearSums struct{ net, discounted int64 }

// closeYear fills one year; ok is false where a figure is too large.
func (l *Ledger) closeYear(year int, out *CashFlowYear) (sums yearSums, ok bool) {
	t := l.timeline
	var cost int64
	amounts := make([]KindAmount, 0, 4)
	for number, kind := range kinds {
		amount := l.byKind[number][year]
		if amount == 0 {
			continue
		}
		amounts = append(amounts, KindAmount{kind, ofMinor(amount, t.currency)})
		if kind.isCost() {
			cost += amount
		}
		if kind.comesIn() {
			sums.net += amount
		} else {
			sums.net -= amount
		}
	}
	// A year has seven kinds below 10^16 each, and no factor is above 1: these
	// products fit.
	sums.discounted, _ = roundedProduct(sums.net, t.discount[year], factorPlaces)
	discountedCost, _ := roundedProduct(cost, t.discount[year], factorPlaces)
	*out = CashFlowYear{
		Year: year, Amounts: amounts, Cost: ofMinor(cost, t.currency), Net: ofMinor(sums.net, t.currency),
		DiscountFactor: shownFactor(t.discount[year]),
		DiscountedCost: ofMinor(discountedCost, t.currency), Discounted: ofMinor(sums.discounted, t.currency),
	}
	return sums, within(cost, t.currency) && within(sums.net, t.currency)
}

// shownPlaces are the places of a discount factor in a result.
const shownPlaces = 8

// shownFactor rounds a factor for showing.
func shownFactor(factor int64) float64 {
	step := powersOfTen[factorPlaces-shownPlaces]
	return float64((factor+step/2)/step) / float64(powersOfTen[shownPlaces])
}

// PresentCost is what the years 0 to the given one cost, discounted: the sum of
// their discounted costs. Spread by EqualAnnualCost over the same years it
// gives the equal annual cost of the option.
func (f CashFlow) PresentCost(throughYear int) (Money, error) {
	if throughYear < 0 || throughYear >= len(f.Years) {
		return Money{}, fmt.Errorf("costs: year %d is outside the cash flow of %d years", throughYear, len(f.Years)-1)
	}
	total := Zero(f.Net.currency)
	for _, year := range f.Years[:throughYear+1] {
		var err error
		if total, err = total.Add(year.DiscountedCost); err != nil {
			return Money{}, err
		}
	}
	return total, nil
}
