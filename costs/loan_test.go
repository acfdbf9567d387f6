package costs

import (
	"errors"
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func loanOf(t testing.TB, principal string, ratePct float64, years, perYear int) Loan {
	t.Helper()
	loan, found := NewLoan(LoanTerms{Principal: money(t, principal, "GBP"), RatePct: ratePct, TermYears: years, PaymentsPerYear: perYear})
	mustNot(t, found)
	return loan
}

// numpy-financial, docstring of pmt: 200,000 over 15 years of months at 7.5 % a
// year, 1854.02472 a month. To the penny.
func TestLevelPaymentIsPublished(t *testing.T) {
	loan := loanOf(t, "200000.00", 7.5, 15, 12)
	if !loan.Payment.Equal(money(t, "1854.02", "GBP")) || len(loan.Payments) != 180 {
		t.Errorf("%v for %d months, published 1854.02472 for 180", loan.Payment, len(loan.Payments))
	}
}

// HM Treasury, The Green Book, 1997, para 4.56 (second hand): 100 at 6 % over 10
// years is 13.59 a year. To the penny; a year's interest total is what is paid
// less the 100.
func TestYearlyPaymentIsPublished(t *testing.T) {
	loan := loanOf(t, "100.00", 6, 10, 0)
	if !loan.Payment.Equal(money(t, "13.59", "GBP")) || loan.PaymentsPerYear != 1 {
		t.Errorf("%v a year, published 13.59", loan.Payment)
	}
}

// numpy-financial, docstring of nper: 150 a month repays 8,000 at 7 % a year in
// 64.07335 months. To 5 places.
func TestPaymentsToRepayIsPublished(t *testing.T) {
	got, err := PaymentsToRepay(money(t, "8000.00", "GBP"), money(t, "150.00", "GBP"), 7.0/12)
	if err != nil || math.Abs(got-64.07335) > 5e-6 {
		t.Errorf("%v months (%v), published 64.07335", got, err)
	}
}

func TestPaymentsToRepayRefuses(t *testing.T) {
	pound, euro, none := money(t, "1.00", "GBP"), money(t, "1.00", "EUR"), Zero(currency(t, "GBP"))
	for name, c := range map[string]struct {
		principal, payment Money
		rate               float64
	}{
		"two currencies": {pound, euro, 1}, "no principal": {none, pound, 1}, "no payment": {pound, none, 1},
		"no rate": {pound, pound, math.NaN()}, "absurd rate": {pound, pound, 101}, "negative rate": {pound, pound, -1},
	} {
		if got, err := PaymentsToRepay(c.principal, c.payment, c.rate); err == nil {
			t.Errorf("%s: %v payments", name, got)
		}
	}
	if got, err := PaymentsToRepay(pound, pound, 0); err != nil || got != 1 {
		t.Errorf("without interest %v payments (%v), want 1", got, err)
	}
	if _, err := PaymentsToRepay(money(t, "100.00", "GBP"), pound, 1); !errors.Is(err, ErrNeverRepaid) {
		t.Errorf("a payment of the interest alone: %v", err)
	}
}

// Worked by hand: 1,000 at 10 % in 3 years, 402.11 a year (402.1148). Interest
// 100.00, 69.789 → 69.79, 36.557 → 36.56; the last payment is 402.13 and not
// 402.11, since 365.57 + 36.56 is owed.
func TestLoanWorkedByHand(t *testing.T) {
	loan := loanOf(t, "1000.00", 10, 3, 1)
	for i, want := range [][4]string{
		{"100.00", "302.11", "402.11", "697.89"},
		{"69.79", "332.32", "402.11", "365.57"},
		{"36.56", "365.57", "402.13", "0.00"},
	} {
		got := loan.Payments[i]
		for j, amount := range []Money{got.Interest, got.Repayment, got.Paid, got.Closing} {
			if !amount.Equal(money(t, want[j], "GBP")) {
				t.Errorf("payment %d: %+v, want %v", i+1, got, want)
				break
			}
		}
	}
	if !loan.InterestTotal.Equal(money(t, "206.35", "GBP")) || !loan.PaidTotal.Equal(money(t, "1206.35", "GBP")) {
		t.Errorf("interest %v, paid %v, want 206.35 and 1206.35", loan.InterestTotal, loan.PaidTotal)
	}
}

// Every loan ends at exactly nothing; what is paid is principal and interest;
// and after k payments it owes P (1+r)^k − A ((1+r)^k − 1) ÷ r, the closed form
// of an annuity, within half a minor unit of interest and half a minor unit of
// the level payment for each, with interest on them.
func TestLoansEndAtNothing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		code := rapid.SampledFrom([]string{"JPY", "GBP", "KWD"}).Draw(rt, "currency")
		c, _ := LookupCurrency(code)
		terms := LoanTerms{
			Principal: ofMinor(rapid.OneOf(rapid.Int64Range(1, 1000), rapid.Int64Range(1, 1e11)).Draw(rt, "principal"), c),
			RatePct:   float64(rapid.IntRange(0, 2500).Draw(rt, "rate")) / 100,
			TermYears: rapid.IntRange(1, maxLoanYears).Draw(rt, "years"), PaymentsPerYear: rapid.SampledFrom([]int{1, 2, 4, 12}).Draw(rt, "payments"),
		}
		loan, found := NewLoan(terms)
		if len(found) > 0 {
			rt.Fatal(found)
		}
		count := terms.TermYears * terms.PaymentsPerYear
		rate := terms.RatePct / 100 / float64(terms.PaymentsPerYear)
		exact := float64(terms.Principal.minor()) / float64(count)
		if rate > 0 {
			exact = float64(terms.Principal.minor()) * rate / -math.Expm1(-float64(count)*math.Log1p(rate))
		}
		owed, interest, paid := terms.Principal.minor(), int64(0), int64(0)
		exactOwed, allowed := float64(owed), 0.0
		for i, payment := range loan.Payments {
			if payment.Number != i+1 || payment.Opening.minor() != owed || payment.Paid.minor() != payment.Interest.minor()+payment.Repayment.minor() {
				rt.Fatalf("payment %+v follows %d", payment, owed)
			}
			owed = owed + payment.Interest.minor() - payment.Paid.minor()
			interest += payment.Interest.minor()
			paid += payment.Paid.minor()
			if owed != payment.Closing.minor() {
				rt.Fatalf("payment %+v leaves %d", payment, owed)
			}
			exactOwed = exactOwed*(1+rate) - exact
			allowed = allowed*(1+rate) + 1
			if i < len(loan.Payments)-1 && math.Abs(float64(owed)-exactOwed) > allowed+1e-6*float64(terms.Principal.minor()) {
				rt.Fatalf("after %d payments %d is owed, exactly %v", i+1, owed, exactOwed)
			}
		}
		if owed != 0 || len(loan.Payments) > count || interest != loan.InterestTotal.minor() || paid != loan.PaidTotal.minor() || paid != interest+terms.Principal.minor() {
			rt.Fatalf("owed %d at the end, interest %d, paid %d: %+v", owed, interest, paid, loan.InterestTotal)
		}
	})
}

func TestLoanRefuses(t *testing.T) {
	_, found := NewLoan(LoanTerms{RatePct: math.NaN(), TermYears: 0, PaymentsPerYear: 7})
	wantFields(t, found, "/principal", "/term_years", "/payments_per_year", "/rate_pct")
	_, found = NewLoan(LoanTerms{Principal: money(t, "-1.00", "GBP"), RatePct: 101, TermYears: maxLoanYears + 1})
	wantFields(t, found, "/principal", "/term_years", "/rate_pct")
	_, found = NewLoan(LoanTerms{Principal: money(t, "999999999999.99", "GBP"), RatePct: 100, TermYears: 2})
	wantFields(t, found, "/principal")
}

// Worked by hand: the works cost 1,000 and bring 500 a year; the loan is the one
// worked above. At 10 %, which is also the rate of the loan, borrowing is worth
// nothing: 365.55 + 332.32 + 302.13 is the 1,000.00 again. At 0 % it costs its
// interest.
func TestFinanceWorkedByHand(t *testing.T) {
	loan := loanOf(t, "1000.00", 10, 3, 1)
	for _, c := range []struct {
		discountPct float64
		moved       string
	}{{10, "0.00"}, {0, "-206.35"}} {
		frame := timeline(t, 3, c.discountPct, 0)
		flow := flowOf(t, frame, decimals("-1000", "500", "500", "500"))
		financed, found := frame.Finance(flow, loan, 0)
		mustNot(t, found)
		for year, want := range []string{"0.00", "97.89", "97.89", "97.87"} {
			if !financed.Years[year].Net.Equal(money(t, want, "GBP")) {
				t.Errorf("year %d: %v, want %s", year, financed.Years[year].Net, want)
			}
		}
		moved, err := financed.NetPresentValue.Sub(flow.NetPresentValue)
		if err != nil || !moved.Equal(money(t, c.moved, "GBP")) {
			t.Errorf("at %v %% borrowing moves the net present value by %v, want %s", c.discountPct, moved, c.moved)
		}
		if !financed.Outstanding.IsZero() || !financed.Years[3].Cumulative.Equal(money(t, "293.65", "GBP")) {
			t.Errorf("outstanding %v, cumulative %v", financed.Outstanding, financed.Years[3].Cumulative)
		}
	}
}

// Borrowing at the discount rate is worth nothing, also where the horizon ends
// before the loan does; and in real terms where rate and deflator make it up.
func TestBorrowingAtTheDiscountRateIsWorthNothing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		years := rapid.IntRange(1, 25).Draw(rt, "horizon")
		realPct := float64(rapid.IntRange(0, 10).Draw(rt, "real rate"))
		deflate := float64(rapid.IntRange(0, 10).Draw(rt, "inflation"))
		nominal := 100 * ((1+realPct/100)*(1+deflate/100) - 1)
		frame := timeline(t, years, realPct, 0)
		loan := loanOf(t, "100000.00", nominal, rapid.IntRange(1, maxLoanYears).Draw(rt, "term"), 1)
		flow := closed(t, frame.NewLedger())
		financed, found := frame.Finance(flow, loan, deflate)
		if len(found) > 0 {
			rt.Fatal(found)
		}
		// A penny for each payment's roundings (interest, deflating, discounting)
		// and the level payment's half penny, at most doubled by interest.
		if most := dec("0.02").Mul(decimal.NewFromInt(int64(2 + years))); financed.NetPresentValue.amount.Abs().GreaterThan(most) {
			rt.Fatalf("%d years at %v %%, inflation %v %%: worth %v", years, realPct, deflate, financed.NetPresentValue)
		}
	})
}

// A year holds the payments that fall in it: 24 months of payments are years 1
// and 2, with nothing after them.
func TestMonthlyPaymentsFallInTheirYears(t *testing.T) {
	frame := timeline(t, 3, 3.5, 0)
	loan := loanOf(t, "24000.00", 0, 2, 12)
	financed, found := frame.Finance(closed(t, frame.NewLedger()), loan, 0)
	mustNot(t, found)
	for year, want := range []string{"0.00", "12000.00", "12000.00", "0.00"} {
		if !financed.Years[year].Paid.Equal(money(t, want, "GBP")) {
			t.Errorf("year %d: %v paid, want %s", year, financed.Years[year].Paid, want)
		}
	}
	short := timeline(t, 1, 3.5, 0)
	financed, found = short.Finance(closed(t, short.NewLedger()), loan, 0)
	mustNot(t, found)
	if !financed.Outstanding.Equal(money(t, "12000.00", "GBP")) {
		t.Errorf("%v outstanding after one of two years", financed.Outstanding)
	}
}

func TestFinanceRefuses(t *testing.T) {
	frame := timeline(t, 2, 3.5, 0)
	euros, found := NewLoan(LoanTerms{Principal: money(t, "10.00", "EUR"), RatePct: 5, TermYears: 2})
	mustNot(t, found)
	_, found = frame.Finance(closed(t, frame.NewLedger()), euros, math.NaN())
	wantFields(t, found, "/loan/principal/currency", "/inflation_pct")
	_, found = frame.Finance(closed(t, frame.NewLedger()), Loan{LoanTerms: LoanTerms{Principal: money(t, "1.00", "GBP")}}, 0)
	wantFields(t, found, "/loan/principal")
}
