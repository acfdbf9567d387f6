package costs

import (
	"errors"
	"fmt"
	"math"

	"github.com/shopspring/decimal"
)

// LoanTerms are the terms of a loan that is repaid in equal payments, each at
// the end of its period. The rate is the yearly one as lenders quote it: a
// twelfth of it is charged each month where payments are monthly.
type LoanTerms struct {
	Principal       Money   `json:"principal"`
	RatePct         float64 `json:"rate_pct"`          // a year, 0 to 100
	TermYears       int     `json:"term_years"`        // 1 to 30
	PaymentsPerYear int     `json:"payments_per_year"` // 1, 2, 4 or 12; 0 stands for 1
}

// Loan is a loan with its whole schedule. Interest is rounded at each payment;
// the last payment clears what is left, so that the schedule ends at exactly
// nothing and differs from the others by a few minor units.
type Loan struct {
	LoanTerms
	Payment       Money         `json:"payment"` // every one but the last
	Payments      []LoanPayment `json:"payments"`
	InterestTotal Money         `json:"interest_total"`
	PaidTotal     Money         `json:"paid_total"` // principal and interest
}

// LoanPayment is one payment: closing = opening + interest − paid.
type LoanPayment struct {
	Number    int   `json:"number"`
	Opening   Money `json:"opening"`
	Interest  Money `json:"interest"`
	Repayment Money `json:"repayment"` // paid less interest
	Paid      Money `json:"paid"`
	Closing   Money `json:"closing"`
}

// maxLoanYears bounds the term: monthly payments over it stay within a discount
// schedule.
const maxLoanYears = 30

// ratePlaces are the places to which the rate of a period is kept.
const ratePlaces = 20

// NewLoan works out the level payment and the schedule. The payment is the
// principal times the equal annual factor of the periods at the rate of a
// period, r ÷ (1 − (1+r)^−n). Fields are relative to the terms.
func NewLoan(terms LoanTerms) (Loan, []Problem) {
	var found problems
	if terms.PaymentsPerYear == 0 {
		terms.PaymentsPerYear = 1
	}
	pct := checkLoan(&found, terms)
	if len(found) > 0 {
		return Loan{}, found
	}
	perPeriod := pct.DivRound(decimal.NewFromInt(int64(terms.PaymentsPerYear)), ratePlaces)
	count := terms.TermYears * terms.PaymentsPerYear
	periods, found := NewDiscounting([]DiscountSegment{{FromYear: 1, RatePct: perPeriod}}, count)
	if len(found) > 0 {
		return Loan{}, found
	}
	loan := Loan{LoanTerms: terms}
	var err error
	if loan.Payment, err = periods.EqualAnnualCost(terms.Principal, count); err == nil {
		err = loan.schedule(perPeriod, count)
	}
	if err != nil {
		found.add("/principal", terms.Principal, "the payments come to more than an amount can hold", "check the principal, the rate and the term")
		return Loan{}, found
	}
	return loan, nil
}

// checkLoan lists what is wrong with the terms and returns the yearly rate.
func checkLoan(found *problems, terms LoanTerms) decimal.Decimal {
	if !terms.Principal.currency.known() || terms.Principal.Sign() <= 0 {
		found.add("/principal", nil, "the loan is of nothing", "give an amount above zero")
	}
	if terms.TermYears < 1 || terms.TermYears > maxLoanYears {
		found.add("/term_years", terms.TermYears, "this is not the term of a loan", fmt.Sprintf("give 1 to %d years", maxLoanYears))
	}
	switch terms.PaymentsPerYear {
	case 1, 2, 4, 12:
	default:
		found.add("/payments_per_year", terms.PaymentsPerYear, "the year does not divide into these payments", "give 1, 2, 4 or 12")
	}
	return checkPercent(found, "/rate_pct", terms.RatePct)
}

// schedule runs the loan down, payment by payment, until nothing is owed.
func (loan *Loan) schedule(periodPct decimal.Decimal, count int) error {
	sums := adder{currency: loan.Principal.currency}
	loan.InterestTotal, loan.PaidTotal = Zero(sums.currency), Zero(sums.currency)
	owed := loan.Principal
	for number := 1; number <= count && owed.Sign() > 0 && sums.err == nil; number++ {
		payment := LoanPayment{Number: number, Opening: owed, Interest: sums.percent(owed, periodPct)}
		clearing := sums.sum(owed, payment.Interest)
		payment.Paid = loan.Payment
		if number == count || clearing.amount.LessThan(payment.Paid.amount) {
			payment.Paid = clearing
		}
		payment.Repayment = sums.sum(payment.Paid, payment.Interest.Neg())
		payment.Closing = sums.sum(clearing, payment.Paid.Neg())
		loan.InterestTotal = sums.sum(loan.InterestTotal, payment.Interest)
		loan.PaidTotal = sums.sum(loan.PaidTotal, payment.Paid)
		loan.Payments = append(loan.Payments, payment)
		owed = payment.Closing
	}
	return sums.err
}

// ErrNeverRepaid is returned where payments do not even cover the interest.
var ErrNeverRepaid = errors.New("costs: the payments never repay the loan")

// PaymentsToRepay is how many equal payments, one at the end of each period,
// repay a principal at the rate of a period, 0 to 100 per cent; the fraction is
// part of a last, smaller payment. n = −ln(1 − principal × r ÷ payment) ÷ ln(1 + r).
func PaymentsToRepay(principal, payment Money, periodRatePct float64) (float64, error) {
	switch {
	case principal.currency != payment.currency:
		return 0, ErrMixedCurrencies
	case principal.Sign() <= 0 || payment.Sign() <= 0:
		return 0, errors.New("costs: a loan has a principal and payments above zero")
	case !(periodRatePct >= 0 && periodRatePct <= 100):
		return 0, errors.New("costs: the rate of a period is not a percentage")
	}
	ratio, rate := principal.Float()/payment.Float(), periodRatePct/100
	if rate == 0 {
		return ratio, nil
	}
	if ratio*rate >= 1 {
		return 0, ErrNeverRepaid
	}
	return -math.Log1p(-ratio*rate) / math.Log1p(rate), nil
}
