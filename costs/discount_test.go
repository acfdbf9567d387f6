package costs

import (
	"errors"
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// constant is discounting at one rate given as text.
func constant(t testing.TB, ratePct decimal.Decimal, years int) Discounting {
	t.Helper()
	d, found := NewDiscounting([]DiscountSegment{{FromYear: 1, RatePct: ratePct}}, years)
	mustNot(t, found)
	return d
}

func factor(t testing.TB, d Discounting, year int) decimal.Decimal {
	t.Helper()
	f, err := d.Factor(year)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Published factors, constant and declining: equal to the places printed.
func TestDiscountFactorsArePublished(t *testing.T) {
	type segment struct {
		FromYear int             `json:"from_year"`
		RatePct  decimal.Decimal `json:"rate_pct"`
	}
	type row struct {
		Source   string
		Segments []segment
		Years    []int
		Factors  []string
	}
	for _, r := range load[row](t, "discount_factors.json") {
		segments := make([]DiscountSegment, len(r.Segments))
		for i, s := range r.Segments {
			segments[i] = DiscountSegment(s)
		}
		d, found := NewDiscounting(segments, maxYears)
		mustNot(t, found)
		for i, year := range r.Years {
			want := dec(r.Factors[i])
			if got := factor(t, d, year); !got.Round(-want.Exponent()).Equal(want) {
				t.Errorf("%s: year %d: %v, published %v", r.Source, year, got, want)
			}
		}
	}
}

// Cumulative factors: equal to the places printed.
func TestAnnuityFactorsArePublished(t *testing.T) {
	type row struct {
		Source       string
		RatePct      decimal.Decimal `json:"rate_pct"`
		Years        int
		PlusYearZero bool `json:"plus_year_zero"`
		Factor       string
	}
	for _, r := range load[row](t, "annuity_factors.json") {
		got, err := constant(t, r.RatePct, r.Years).AnnuityFactor(r.Years)
		if err != nil {
			t.Fatal(err)
		}
		if r.PlusYearZero {
			got = got.Add(dec("1"))
		}
		if want := dec(r.Factor); !got.Round(-want.Exponent()).Equal(want) {
			t.Errorf("%s: %v, published %v", r.Source, got, want)
		}
	}
}

// Equal annual cost: to the penny; one printed factor is wrong and must not
// reproduce.
func TestEqualAnnualCostIsPublished(t *testing.T) {
	type row struct {
		Source          string
		RatePct         decimal.Decimal `json:"rate_pct"`
		Years           int
		FactorPublished string `json:"factor_published"`
		FactorRight     string `json:"factor_right"`
		Present         string
		AnnualPublished string `json:"annual_published"`
		AnnualRight     string `json:"annual_right"`
	}
	traps := 0
	for _, r := range load[row](t, "equal_annual_cost.json") {
		d := constant(t, r.RatePct, r.Years)
		if r.FactorRight != "" {
			got, err := d.EqualAnnualFactor(r.Years)
			if err != nil || !got.Round(4).Equal(dec(r.FactorRight)) {
				t.Errorf("%s: %v (%v), right is %s", r.Source, got, err, r.FactorRight)
			}
			if r.FactorPublished != r.FactorRight {
				traps++
				if got.Round(4).Equal(dec(r.FactorPublished)) {
					t.Errorf("%s: the misprint %s is reproduced", r.Source, r.FactorPublished)
				}
			}
			continue
		}
		got, err := d.EqualAnnualCost(money(t, r.Present, "GBP"), r.Years)
		if err != nil || !got.Equal(money(t, r.AnnualRight, "GBP")) {
			t.Errorf("%s: %v (%v), right is %s", r.Source, got, err, r.AnnualRight)
		}
		printed := dec(r.AnnualPublished)
		if !got.Amount().Round(-printed.Exponent()).Equal(printed) {
			t.Errorf("%s: %v does not round to the printed %v", r.Source, got, printed)
		}
	}
	if traps != 1 {
		t.Errorf("%d misprints tested, want 1", traps)
	}
}

// Net present values: to 4 places of the exact value, and to the places printed.
func TestPresentValuesArePublished(t *testing.T) {
	type row struct {
		Source    string
		RatePct   decimal.Decimal `json:"rate_pct"`
		Flows     []decimal.Decimal
		Exact     *string
		Published string
		Places    int32
	}
	for _, r := range load[row](t, "present_values.json") {
		got, err := constant(t, r.RatePct, len(r.Flows)).PresentValue(r.Flows)
		if err != nil {
			t.Fatal(err)
		}
		if r.Exact != nil && !got.Round(4).Equal(dec(*r.Exact)) {
			t.Errorf("%s: %v, exact %s", r.Source, got, *r.Exact)
		}
		if !got.Round(r.Places).Equal(dec(r.Published)) {
			t.Errorf("%s: %v, published %s", r.Source, got, r.Published)
		}
	}
}

// OpenStax, Principles of Finance, 2nd edition, chapter 16: the inflows 2000,
// 4000, 5000 ×4 carried forward at 9 % to year 6 are printed as 31,595.22; the
// sum of the printed terms, and the right value, is 31,589.22. To the penny.
// The profitability index of the same project, printed 1.18, to 2 places.
func TestTerminalValueMisprint(t *testing.T) {
	d := constant(t, dec("9"), 6)
	flows := []decimal.Decimal{dec("0"), dec("2000"), dec("4000"), dec("5000"), dec("5000"), dec("5000"), dec("5000")}
	present, err := d.PresentValue(flows)
	if err != nil {
		t.Fatal(err)
	}
	terminal := present.DivRound(factor(t, d, 6), 2)
	if !terminal.Equal(dec("31589.22")) || terminal.Equal(dec("31595.22")) {
		t.Errorf("terminal value %v, right is 31589.22", terminal)
	}
	if index := present.DivRound(dec("16000"), 2); !index.Equal(dec("1.18")) {
		t.Errorf("profitability index %v, published 1.18", index)
	}
}

// Compound-interest tables: Fraser, engineering economics, Appendix A, and a
// compound value table; equal to the places printed.
func TestCompoundFactorsArePublished(t *testing.T) {
	type row struct {
		Source        string
		RatePct       decimal.Decimal `json:"rate_pct"`
		Periods       int
		SinglePayment string `json:"single_payment"`
		PresentWorth  string `json:"present_worth"`
		SinkingFund   string `json:"sinking_fund"`
		UniformSeries string `json:"uniform_series"`
	}
	for _, r := range load[row](t, "compound_factors.json") {
		d := constant(t, r.RatePct, r.Periods)
		present := factor(t, d, r.Periods)
		annuity, err := d.AnnuityFactor(r.Periods)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name, want string
			got        decimal.Decimal
		}{
			{"single payment", r.SinglePayment, dec("1").DivRound(present, 12)},
			{"present worth", r.PresentWorth, present},
			{"sinking fund", r.SinkingFund, present.DivRound(annuity, 12)},
			{"uniform series", r.UniformSeries, annuity.DivRound(present, 12)},
		} {
			if c.want != "" && !c.got.Round(-dec(c.want).Exponent()).Equal(dec(c.want)) {
				t.Errorf("%s: %s %v, published %s", r.Source, c.name, c.got, c.want)
			}
		}
	}
}

// numpy-financial, docstring examples: pmt at 7.5 % over 180 months on 200,000
// is 1854.02472; fv of 100 down and 100 a month at 5 % over 120 months is
// 15692.92889; 150 a month at 7 % repays 8,000 in 64.07335 months. To 5 places,
// the last to the whole month before it.
func TestLoanFunctions(t *testing.T) {
	month := func(yearPct string) decimal.Decimal { return dec(yearPct).DivRound(dec("12"), 20) }

	payment, err := constant(t, month("7.5"), 180).EqualAnnualFactor(180)
	if err != nil {
		t.Fatal(err)
	}
	if got := payment.Mul(dec("200000")).Round(5); !got.Equal(dec("1854.02472")) {
		t.Errorf("payment %v, published 1854.02472", got)
	}

	saving := constant(t, month("5"), 120)
	annuity, err := saving.AnnuityFactor(120)
	if err != nil {
		t.Fatal(err)
	}
	value := annuity.Add(dec("1")).Mul(dec("100")).DivRound(factor(t, saving, 120), 5)
	if !value.Equal(dec("15692.92889")) {
		t.Errorf("future value %v, published 15692.92889", value)
	}

	loan := constant(t, month("7"), 70)
	repaid := func(months int) decimal.Decimal {
		annuity, err := loan.AnnuityFactor(months)
		if err != nil {
			t.Fatal(err)
		}
		return annuity.Mul(dec("150"))
	}
	if owed := dec("8000"); repaid(64).GreaterThanOrEqual(owed) || repaid(65).LessThan(owed) {
		t.Errorf("64 payments are worth %v and 65 %v; the loan of 8000 ends between them", repaid(64), repaid(65))
	}
}

// S. Fuller (NIST), Life-Cycle Cost Analysis, heating and cooling example, from
// memory: 20 years at 3 %, energy by a factor of 15.13 that includes its price
// escalation. Totals to the dollar when the factors are rounded as printed.
func TestLifeCycleCostFromMemory(t *testing.T) {
	d := constant(t, dec("3"), 20)
	annuity, err := d.AnnuityFactor(20)
	if err != nil {
		t.Fatal(err)
	}
	replace, residual, upkeep := factor(t, d, 12).Round(3), factor(t, d, 20).Round(3), annuity.Round(2)
	for _, c := range []struct{ first, replacement, left, energy, other, total string }{
		{"103000", "12000", "3500", "20000", "7000", "516233"},
		{"110000", "12500", "3700", "13000", "8000", "432443"},
	} {
		got := dec(c.first).Add(dec(c.replacement).Mul(replace)).Sub(dec(c.left).Mul(residual)).
			Add(dec(c.energy).Mul(dec("15.13"))).Add(dec(c.other).Mul(upkeep))
		if !got.Round(0).Equal(dec(c.total)) {
			t.Errorf("life-cycle cost %v, from memory %s", got, c.total)
		}
	}
}

func TestDiscountingRefuses(t *testing.T) {
	one := dec("1")
	for name, c := range map[string]struct {
		segments []DiscountSegment
		years    int
		fields   []string
	}{
		"no years":      {[]DiscountSegment{{1, one}}, 0, []string{"/years"}},
		"many years":    {[]DiscountSegment{{1, one}}, maxYears + 1, []string{"/years"}},
		"no segments":   {nil, 10, []string{"/segments"}},
		"late start":    {[]DiscountSegment{{2, one}}, 10, []string{"/segments/0/from_year"}},
		"out of order":  {[]DiscountSegment{{1, one}, {1, one}}, 10, []string{"/segments/1/from_year"}},
		"negative rate": {[]DiscountSegment{{1, dec("-1")}}, 10, []string{"/segments/0/rate_pct"}},
		"absurd rate":   {[]DiscountSegment{{1, decimal.New(1, 2_000_000_000)}}, 10, []string{"/segments/0/rate_pct"}},
	} {
		t.Run(name, func(t *testing.T) {
			_, found := NewDiscounting(c.segments, c.years)
			wantFields(t, found, c.fields...)
		})
	}
	for _, rate := range []float64{math.NaN(), math.Inf(1), -0.1, 101} {
		if _, found := ConstantDiscounting(rate, 10); len(found) != 1 || found[0].Field != "/discount_rate_pct" {
			t.Errorf("the rate %v: %v", rate, found)
		}
	}
	d := constant(t, one, 10)
	for _, year := range []int{-1, 11} {
		if _, err := d.Factor(year); !errors.Is(err, ErrBeyondSchedule) {
			t.Errorf("year %d has a factor: %v", year, err)
		}
	}
	for _, years := range []int{0, 11} {
		if _, err := d.EqualAnnualCost(money(t, "1.00", "GBP"), years); !errors.Is(err, ErrBeyondSchedule) {
			t.Errorf("a life of %d years has an equal annual cost: %v", years, err)
		}
	}
}

// Factors start at 1 and fall, and the equal annual cost over n years is worth
// the present cost again, within what one rounding can shift it.
func TestDiscountingProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		years := rapid.IntRange(2, 60).Draw(rt, "years")
		segments := []DiscountSegment{{1, decimal.New(rapid.Int64Range(1, 250_000).Draw(rt, "rate"), -4)}}
		if rapid.Bool().Draw(rt, "declining") {
			segments = append(segments, DiscountSegment{rapid.IntRange(2, 60).Draw(rt, "from"), decimal.New(rapid.Int64Range(1, 250_000).Draw(rt, "later"), -4)})
		}
		d, found := NewDiscounting(segments, years)
		if len(found) > 0 {
			rt.Fatal(found)
		}
		if !d.factors[0].Equal(dec("1")) {
			rt.Fatalf("year 0 has the factor %v", d.factors[0])
		}
		for year := 1; year <= years; year++ {
			if !d.factors[year].LessThan(d.factors[year-1]) || d.factors[year].Sign() <= 0 {
				rt.Fatalf("factor %v follows %v", d.factors[year], d.factors[year-1])
			}
		}
		present := ofMinor(rapid.Int64Range(0, 1e12).Draw(rt, "present"), currency(t, "GBP"))
		annual, err := d.EqualAnnualCost(present, years)
		if err != nil {
			rt.Fatal(err)
		}
		annuity, _ := d.AnnuityFactor(years)
		off := annual.Amount().Mul(annuity).Sub(present.Amount()).Abs()
		if off.GreaterThan(annuity.Mul(dec("0.0051"))) {
			rt.Fatalf("%v over %d years is %v a year, %v off", present, years, annual, off)
		}
	})
}
