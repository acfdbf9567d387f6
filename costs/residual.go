package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// Residual is the kind of a residual value. It is entered by AddResidual and
// never by month.
const Residual Kind = "residual"

// ResidualValue is what the works are still worth at the horizon. It is paid by
// nobody: a figure that lets options of different lives be compared over one
// horizon.
type ResidualValue struct {
	Kind           Kind    `json:"kind"`
	Year           int     `json:"year"`
	Amount         Money   `json:"amount"`
	DiscountFactor float64 `json:"discount_factor"`
	Discounted     Money   `json:"discounted"` // amount × factor, rounded once
}

// StraightLineResidual is the unexpired part of a cost when a life of so many
// months is so far used up: cost × (life − used) ÷ life, rounded once, and
// nothing once the life is over. Works of long life are usually written down so;
// a green that is dug out has no price on any market.
func StraightLineResidual(cost Money, lifeMonths, usedMonths int) (Money, error) {
	if lifeMonths < 1 || lifeMonths > 12*maxYears || usedMonths < 0 {
		return Money{}, fmt.Errorf("costs: a life of %d months, %d of them used, is outside 1 to %d months", lifeMonths, usedMonths, 12*maxYears)
	}
	unexpired := max(0, lifeMonths-usedMonths)
	left := cost.amount.Mul(decimal.NewFromInt(int64(unexpired)))
	return NewMoney(left.DivRound(decimal.NewFromInt(int64(lifeMonths)), cost.currency.Places()), cost.currency)
}

// AddResidual enters the residual value of works that were done in some month,
// or in YearZero, and last so many months: their cost, given at the price level
// of the first month, written down by the straight line to the horizon and
// raised to the horizon's price level. Works whose renewal is charged only for
// the part of its life inside the horizon must not be entered here as well.
func (l *Ledger) AddResidual(month int, cost Money, lifeMonths int) {
	if cost.currency != l.timeline.currency {
		l.refuse(month, Residual, cost, "the amount is not in the currency of the cash flow")
		return
	}
	if _, ok := l.yearOf(month); !ok {
		l.refuse(month, Residual, cost, fmt.Sprintf("the month is outside the horizon of %d months", l.timeline.Months()))
		return
	}
	left, err := StraightLineResidual(cost, lifeMonths, l.timeline.Months()-max(0, month))
	if err != nil {
		l.refuse(month, Residual, lifeMonths, "this is not a life in months")
		return
	}
	if !l.accumulate(&l.residual, left.minor(), l.timeline.level(Residual, l.timeline.years), indexPlaces) {
		l.refuse(month, Residual, cost, "the residual values come to more than 12 digits")
	}
}

// residualValue is an amount at the horizon, with what it is worth today.
func (t Timeline) residualValue(amount int64) *ResidualValue {
	discounted, _ := roundedProduct(amount, t.discount[t.years], factorPlaces) // the factor is at most 1
	return &ResidualValue{
		Kind: Residual, Year: t.years, Amount: ofMinor(amount, t.currency),
		DiscountFactor: shownFactor(t.discount[t.years]), Discounted: ofMinor(discounted, t.currency),
	}
}

// residualOf is a flow's residual value in minor units.
func residualOf(flow CashFlow) int64 {
	if flow.Residual == nil {
		return 0
	}
	return flow.Residual.Amount.minor()
}
