package model

import (
	"math"
	"testing"

	"swardcase/costs"
)

// TestTheWorthFollowsFromTheAccounts works one month by hand: 3 % of visitor
// income of £6,200, and 1 % of 420 members at £1,180 a twelfth of a year each.
func TestTheWorthFollowsFromTheAccounts(t *testing.T) {
	a := mustAppraise(t, readCase(t, "money"))
	january := a.Worth[0]
	for name, pair := range map[string][2]string{
		"from visitors":      {january.FromVisitors.Amount().StringFixed(2), "186.00"},
		"from subscriptions": {january.FromSubscriptions.Amount().StringFixed(2), "412.83"}, // 495,600 × 0.000833 (to 4 places of a per cent)
		"worth":              {january.Worth.Amount().StringFixed(2), "598.83"},
		"used":               {a.Case.Money.WorthOfPlayableMonth[0].Amount().StringFixed(2), "598.83"},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s: %s, want %s", name, pair[0], pair[1])
		}
	}
	if again, err := Resolve(a.Case); err != nil || asJSON(t, again.Case) != asJSON(t, a.Case) {
		t.Errorf("a resolved case with accounts does not resolve to itself: %v", err)
	}
	given := a.Case
	terms := *given.Money
	terms.WorthOfPlayableMonth = append([]costs.Money{mustMoney(t, "1.00")}, terms.WorthOfPlayableMonth[1:]...)
	given.Money = &terms
	if _, err := Resolve(given); len(listOf(err)) != 1 || listOf(err)[0].Pointer != "/money/worth_of_playable_month" {
		t.Errorf("accounts and another worth: %v", err)
	}
}

// TestStagesDelayTheCapital: the whole of the works is paid, when it falls due.
func TestStagesDelayTheCapital(t *testing.T) {
	c := readCase(t, "green_14")
	at := func(stages []costs.Stage) OptionAppraisal {
		terms := *c.Money
		terms.PaymentStages = stages
		staged := c
		staged.Money = &terms
		return mustAppraise(t, staged).option(t, "layered_rebuild/seed")
	}
	at0 := func(o OptionAppraisal, year int) float64 {
		for _, amount := range o.Money.CashFlow.Years[year].Amounts {
			if amount.Kind == costs.Capital {
				return amount.Amount.Float()
			}
		}
		return 0
	}
	plain := at(nil)
	staged := at([]costs.Stage{{MonthsAfterStart: 0, SharePct: 30}, {MonthsAfterStart: 12, SharePct: 60}, {MonthsAfterStart: 13, SharePct: 10}})
	whole := at0(plain, 0)
	for year, share := range []float64{0.3, 0.6, 0.1} {
		if got := at0(staged, year); math.Abs(got-share*whole) > 0.01 {
			t.Errorf("%.2f of capital in year %d, want %.2f", got, year, share*whole)
		}
	}
	if plain.Money.AgainstPresent.NetPresentValue.Float() >= staged.Money.AgainstPresent.NetPresentValue.Float() {
		t.Error("paying later costs no less")
	}
}

// TestAResidualIsTheUnexpiredLife: a rebuild that lasts 30 years is worth a sixth
// of its cost after 25, and one that lasts 15, and is done again for 0.6 of its
// cost, a third of that.
func TestAResidualIsTheUnexpiredLife(t *testing.T) {
	c := readCase(t, "green_14")
	c.Requirements.LeastMonthsPlayable = nil
	terms := *c.Money
	terms.ResidualValue = StraightLine
	c.Money = &terms
	for _, tt := range []struct{ life, share float64 }{{30, 5.0 / 30}, {15, 0.6 * 5 / 15}, {25, 0}} {
		o := mustAppraise(t, stated(c, map[string]float64{"life_layered_rebuild_years": tt.life})).option(t, "layered_rebuild/seed")
		left := 0.0
		if r := o.Money.CashFlow.Residual; r != nil {
			left = r.Amount.Float()
		}
		if want := tt.share * o.Money.WorksBill.Capital.Float(); math.Abs(left-want) > 0.02 {
			t.Errorf("life %g: %.2f is left, want %.2f", tt.life, left, want)
		}
	}
}

// TestALoanChangesHandsAndNotWorth: at the loan's own rate as the discount rate
// and no inflation it is worth nothing by itself.
func TestALoanChangesHandsAndNotWorth(t *testing.T) {
	c := readCase(t, "green_14")
	terms := *c.Money
	rate, none := 5.0, 0.0
	terms.Basis, terms.InflationPct, terms.DiscountRatePct = Nominal, &none, &rate
	terms.Loan = &costs.LoanTerms{Principal: mustMoney(t, "50000.00"), RatePct: rate, TermYears: 10, PaymentsPerYear: 1}
	c.Money = &terms
	a := mustAppraise(t, c)
	for _, o := range a.Financing.Options {
		plain := a.option(t, o.Option).Money.CashFlow.NetPresentValue.Float()
		if got := o.Flow.NetPresentValue.Float(); math.Abs(got-plain) > 0.10 { // ten roundings of a penny
			t.Errorf("%s: %.2f with the loan, %.2f without", o.Option, got, plain)
		}
	}
	last := a.Financing.Loan.Payments[len(a.Financing.Loan.Payments)-1]
	if last.Closing.Sign() != 0 {
		t.Errorf("%s is still owed", last.Closing)
	}
}

// TestAdditionsAreOnTheBill: preliminaries on the lines, fees on both, and
// contingency on all of these; the yearly bills have none.
func TestAdditionsAreOnTheBill(t *testing.T) {
	a := mustAppraise(t, readCase(t, "money"))
	bill := a.option(t, "layered_rebuild/seed").Money.WorksBill
	lines := bill.Subtotal.Float()
	preliminaries, fees := lines*0.06, lines*1.06*0.05
	supervision := (lines*1.06 + 0) * 0.03
	for name, pair := range map[string][2]float64{
		"preliminaries": {bill.Preliminaries[0].Amount.Float(), preliminaries},
		"design":        {bill.ProfessionalFees[0].Amount.Float(), fees},
		"supervision":   {bill.ProfessionalFees[1].Amount.Float(), supervision},
		"contingency":   {bill.Contingency.Float(), (lines + preliminaries + fees + supervision) * 0.12},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.02 {
			t.Errorf("%s: %.2f, want %.2f", name, pair[0], pair[1])
		}
	}
	if len(a.Programmes[0].Bill.Preliminaries)+len(a.Programmes[0].Bill.ProfessionalFees) > 0 {
		t.Error("a year's upkeep is charged like works")
	}
	if len(bill.Indices) != 2 {
		t.Errorf("%d indices on the bill, want two", len(bill.Indices))
	}
}

func TestTermsThatContradictOneAnother(t *testing.T) {
	five := 5.0
	tests := []struct {
		name, pointer string
		change        func(*MoneyTerms)
	}{
		{"a rate and a schedule", "/money/discount_rate_pct", func(m *MoneyTerms) {
			m.DiscountRatePct, m.DiscountBands = &five, []costs.DiscountBand{{FromYear: 1, RatePct: 3}}
		}},
		{"one inflation and one a class", "/money/inflation_pct", func(m *MoneyTerms) {
			m.Basis, m.InflationPct, m.InflationByClass = Nominal, &five, &costs.InflationByClass{}
		}},
		{"stages that do not add up", "/money/payment_stages", func(m *MoneyTerms) { m.PaymentStages = []costs.Stage{{SharePct: 50}} }},
		{"a stage beyond the horizon", "/money/payment_stages/1/months_after_start", func(m *MoneyTerms) {
			years := 2
			m.HorizonYears, m.PaymentStages = &years, []costs.Stage{{SharePct: 50}, {MonthsAfterStart: 30, SharePct: 50}}
		}},
		{"no worth at all", "/money/worth_of_playable_month", func(m *MoneyTerms) { m.WorthOfPlayableMonth = nil }},
		{"members who pay nothing", "/money/accounts/subscription", func(m *MoneyTerms) {
			ten := 10
			m.Accounts = &Accounts{VisitorIncome: m.WorthOfPlayableMonth, Members: &ten}
		}},
		{"another rule", "/money/residual_value", func(m *MoneyTerms) { m.ResidualValue = "hope" }},
		{"an index of nothing", "/money/regional_index/multiplier", func(m *MoneyTerms) { m.RegionalIndex = &costs.PriceIndex{Reason: "none"} }},
		{"a loan of nothing", "/money/loan/principal", func(m *MoneyTerms) {
			m.Loan = &costs.LoanTerms{Principal: costs.Zero(mustCurrency("GBP")), TermYears: 5}
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := readCase(t, "green_14")
			terms := *c.Money
			tt.change(&terms)
			c.Money = &terms
			_, err := AppraiseWith(c, testCurves)
			list := listOf(err)
			for _, f := range list {
				if f.Pointer == tt.pointer {
					return
				}
			}
			t.Errorf("got %v, want a fault at %s", err, tt.pointer)
		})
	}
}
