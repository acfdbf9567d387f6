package costs

import (
	"errors"

	"github.com/shopspring/decimal"
)

// FinancedFlow is a cash flow with a loan beside it: what the club has in hand
// each year once the loan is drawn and paid. It leaves the cash flow itself as
// it was, since whether works are worth doing does not depend on how they are
// paid for.
type FinancedFlow struct {
	Years []FinancedYear `json:"years"`
	// Outstanding is what is still owed at the horizon.
	Outstanding Money `json:"outstanding"`
	// NetPresentValue is the cash flow's plus the loan's: drawn less paid less
	// outstanding, discounted.
	NetPresentValue Money `json:"net_present_value"`
}

// FinancedYear is one year: net = the cash flow's net + drawn − paid.
type FinancedYear struct {
	Year       int   `json:"year"`
	Drawn      Money `json:"drawn"`
	Paid       Money `json:"paid"`
	Interest   Money `json:"interest"` // the part of paid that is interest
	Net        Money `json:"net"`
	Cumulative Money `json:"cumulative"`
}

// Finance sets a loan beside a cash flow. It is drawn in year 0 and paid at the
// ends of its periods from the first month on. A loan's payments are fixed sums:
// in a real flow each is brought down to the prices of the first month by the
// rate of inflation given; in a nominal flow that is 0. Fields are relative to
// the money terms of a case.
func (t Timeline) Finance(flow CashFlow, loan Loan, deflatePct float64) (FinancedFlow, []Problem) {
	var found problems
	if len(flow.Years) != t.years+1 || flow.Net.currency != t.currency || loan.Principal.currency != t.currency {
		found.add("/loan/principal/currency", loan.Principal.currency, "the loan, the cash flow and its timeline do not belong together", "borrow in the currency of the case")
	}
	level := inflationIndex(&found, "/inflation_pct", deflatePct, t.years)
	if len(found) > 0 {
		return FinancedFlow{}, found
	}
	financed, err := t.finance(flow, loan, level)
	if err != nil {
		found.add("/loan/principal", loan.Principal, "with the loan the cash flow comes to more than an amount can hold", "check the principal")
		return FinancedFlow{}, found
	}
	return financed, nil
}

func (t Timeline) finance(flow CashFlow, loan Loan, level []int64) (FinancedFlow, error) {
	sums := adder{currency: t.currency}
	paid, interest, outstanding, err := t.loanByYear(loan)
	if err != nil {
		return FinancedFlow{}, err
	}
	deflated := func(amount Money, year int) Money {
		return sums.keep(amount.Div(decimal.New(level[year], -indexPlaces)))
	}
	discounted := func(amount Money, year int) Money {
		return sums.keep(amount.Mul(decimal.New(t.discount[year], -factorPlaces)))
	}
	financed := FinancedFlow{Years: make([]FinancedYear, t.years+1), NetPresentValue: flow.NetPresentValue}
	cumulative := Zero(t.currency)
	for year := range financed.Years {
		drawn := Zero(t.currency)
		if year == 0 {
			drawn = loan.Principal
		}
		out := FinancedYear{Year: year, Drawn: drawn, Paid: deflated(paid[year], year), Interest: deflated(interest[year], year)}
		ofLoan := sums.sum(drawn, out.Paid.Neg())
		out.Net = sums.sum(flow.Years[year].Net, ofLoan)
		cumulative = sums.sum(cumulative, out.Net)
		out.Cumulative = cumulative
		financed.NetPresentValue = sums.sum(financed.NetPresentValue, discounted(ofLoan, year))
		financed.Years[year] = out
	}
	financed.Outstanding = deflated(outstanding, t.years)
	financed.NetPresentValue = sums.sum(financed.NetPresentValue, discounted(financed.Outstanding, t.years).Neg())
	return financed, sums.err
}

// loanByYear adds up a loan's payments and their interest by year of the
// timeline, and says what is owed at its end.
func (t Timeline) loanByYear(loan Loan) (paid, interest []Money, outstanding Money, err error) {
	if loan.PaymentsPerYear < 1 {
		return nil, nil, Money{}, errors.New("costs: a loan without payments")
	}
	sums := adder{currency: t.currency}
	paid, interest = make([]Money, t.years+1), make([]Money, t.years+1)
	for year := range paid {
		paid[year], interest[year] = Zero(t.currency), Zero(t.currency)
	}
	outstanding = loan.Principal
	for _, payment := range loan.Payments {
		year := (payment.Number + loan.PaymentsPerYear - 1) / loan.PaymentsPerYear
		if year < 1 || year > t.years {
			break
		}
		paid[year] = sums.sum(paid[year], payment.Paid)
		interest[year] = sums.sum(interest[year], payment.Interest)
		outstanding = payment.Closing
	}
	return paid, interest, outstanding, sums.err
}
