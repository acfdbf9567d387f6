package costs

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Worked by hand: works of 9,000.00 in year 0 that last 12 years are worth
// 9,000 × 7 ÷ 12 = 5,250.00 after 5; at 5 % that is 4,113.51 today. It stands
// apart: the years and the payback know nothing of it, the net present value
// does.
func TestResidualStandsApart(t *testing.T) {
	frame := timeline(t, 5, 5, 0)
	enter := func(withResidual bool) CashFlow {
		ledger := frame.NewLedger()
		ledger.Add(YearZero, Capital, money(t, "9000.00", "GBP"))
		ledger.Add(11, Income, money(t, "2000.00", "GBP"))
		if withResidual {
			ledger.AddResidual(YearZero, money(t, "9000.00", "GBP"), 144)
		}
		return closed(t, ledger)
	}
	with, without := enter(true), enter(false)
	if with.Residual == nil || !with.Residual.Amount.Equal(money(t, "5250.00", "GBP")) || !with.Residual.Discounted.Equal(money(t, "4113.51", "GBP")) || with.Residual.Year != 5 {
		t.Fatalf("residual %+v, want 5250.00, today 4113.51", with.Residual)
	}
	if without.Residual != nil || !with.Net.Equal(without.Net) || !with.Years[5].Net.Equal(without.Years[5].Net) {
		t.Errorf("the years changed: %v and %v", with.Years[5], without.Years[5])
	}
	moved, err := with.NetPresentValue.Sub(without.NetPresentValue)
	if err != nil || !moved.Equal(money(t, "4113.51", "GBP")) {
		t.Errorf("the net present value moved by %v", moved)
	}
	empty := closed(t, frame.NewLedger())
	comparison, err := frame.Compare(with, empty)
	if err != nil {
		t.Fatal(err)
	}
	if !comparison.NetPresentValue.Equal(with.NetPresentValue) || comparison.Payback.Outcome != NeverPaysBack {
		t.Errorf("compared: %v, payback %s", comparison.NetPresentValue, comparison.Payback.Outcome)
	}
	if comparison, err = frame.Compare(empty, with); err != nil || !comparison.Residual.Amount.Equal(money(t, "-5250.00", "GBP")) {
		t.Errorf("the yardstick's residual: %+v (%v)", comparison.Residual, err)
	}
}

// Straight line: whole at the start, nothing at the end and after, and month by
// month the same step.
func TestStraightLineResidual(t *testing.T) {
	cost := money(t, "1000.00", "GBP")
	for _, c := range []struct {
		life, used int
		want       string
	}{{240, 0, "1000.00"}, {240, 240, "0.00"}, {240, 300, "0.00"}, {3, 1, "666.67"}, {8, 5, "375.00"}, {240, math.MaxInt, "0.00"}} {
		got, err := StraightLineResidual(cost, c.life, c.used)
		if err != nil || !got.Equal(money(t, c.want, "GBP")) {
			t.Errorf("%d of %d months used: %v (%v), want %s", c.used, c.life, got, err, c.want)
		}
	}
	for _, life := range []int{0, -1, 12*maxYears + 1} {
		if got, err := StraightLineResidual(cost, life, 1); err == nil {
			t.Errorf("a life of %d months leaves %v", life, got)
		}
	}
	if _, err := StraightLineResidual(cost, 10, -1); err == nil {
		t.Error("a life was taken that is used before it starts")
	}
}

// A residual rises with the prices of building: 1,000 × 8 ÷ 10 × 1.1² = 968.00.
// Works of the first month count from it; those of month 13 have 11 months gone
// at the horizon of 24.
func TestResidualIsAtThePricesOfTheHorizon(t *testing.T) {
	d, found := ConstantDiscounting(0, 2)
	mustNot(t, found)
	frame, found := NewTimeline(TimelineTerms{
		Currency: currency(t, "GBP"), FirstMonth: YearMonth{2026, 10}, HorizonYears: 2, Discounting: d,
		InflationByClass: &InflationByClass{ConstructionPct: 10, UpkeepPct: 5, IncomePct: -50},
	})
	mustNot(t, found)
	for _, c := range []struct {
		month, life int
		want        string
	}{{YearZero, 120, "968.00"}, {0, 120, "968.00"}, {13, 22, "605.00"}} {
		ledger := frame.NewLedger()
		ledger.AddResidual(c.month, money(t, "1000.00", "GBP"), c.life)
		if flow := closed(t, ledger); !flow.Residual.Amount.Equal(money(t, c.want, "GBP")) {
			t.Errorf("works of month %d: %v, want %s", c.month, flow.Residual.Amount, c.want)
		}
	}
}

func TestBadResidualsAreListed(t *testing.T) {
	frame := timeline(t, 2, 3.5, 0)
	ledger := frame.NewLedger()
	most := money(t, "999999999999.99", "GBP")
	ledger.AddResidual(0, money(t, "1.00", "EUR"), 12)
	ledger.AddResidual(24, money(t, "1.00", "GBP"), 12)
	ledger.AddResidual(0, money(t, "1.00", "GBP"), 0)
	ledger.AddResidual(0, most, 4800)
	ledger.AddResidual(1, most, 4800)
	ledger.Add(0, Residual, money(t, "1.00", "GBP"))
	_, found := ledger.Close()
	wantFields(t, found, "/entries/residual/0", "/entries/residual/24", "/entries/residual/0", "/entries/residual/1", "/entries/residual/0")
}

// S. Fuller (NIST), Life-Cycle Cost Analysis, heating and cooling example, from
// memory, as a whole cash flow: 20 years at 3 %, 516,233 and 432,443, savings
// 83,790. The published sums use factors rounded to three figures, which moves
// them by up to 20 dollars; tolerance 25. Energy enters at its present value,
// whose factor includes a price escalation. The residuals are straight lines
// that come to the printed sums at year 20: twice as much over 40 years.
func TestLifeCycleCostAsACashFlow(t *testing.T) {
	frame := timeline(t, 20, 3, 0)
	cost := func(first, replacement, twiceLeft, energy, other string) CashFlow {
		ledger := frame.NewLedger()
		ledger.Add(YearZero, Capital, money(t, first, "GBP"))
		ledger.Add(12*12-1, Renewal, money(t, replacement, "GBP"))
		ledger.AddResidual(YearZero, money(t, twiceLeft, "GBP"), 480)
		present, err := money(t, energy, "GBP").Mul(dec("15.13"))
		if err != nil {
			t.Fatal(err)
		}
		ledger.Add(YearZero, Upkeep, present)
		for year := 1; year <= 20; year++ {
			ledger.Add(12*year-1, Upkeep, money(t, other, "GBP"))
		}
		return closed(t, ledger)
	}
	base := cost("103000", "12000", "7000", "20000", "7000")
	other := cost("110000", "12500", "7400", "13000", "8000")
	comparison, err := frame.Compare(other, base)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"base", -base.NetPresentValue.Float(), 516233},
		{"alternative", -other.NetPresentValue.Float(), 432443},
		{"net savings", comparison.NetPresentValue.Float(), 83790},
	} {
		if math.Abs(c.got-c.want) > 25 {
			t.Errorf("%s: %.2f, from memory %.0f", c.what, c.got, c.want)
		}
	}
}

// Works that last longer are never worth less at the horizon, nor those done
// later; none is worth more than it cost.
func TestResidualIsMonotone(t *testing.T) {
	frame := timeline(t, 20, 3.5, 0)
	rapid.Check(t, func(rt *rapid.T) {
		cost := ofMinor(rapid.Int64Range(0, 1e10).Draw(rt, "cost"), frame.currency)
		month, life := rapid.IntRange(-1, 239).Draw(rt, "month"), rapid.IntRange(1, 600).Draw(rt, "life")
		worth := func(month, life int) int64 {
			ledger := frame.NewLedger()
			ledger.AddResidual(month, cost, life)
			return residualOf(closed(t, ledger))
		}
		here := worth(month, life)
		if here > cost.minor() || worth(month, life+1) < here || month < 239 && worth(month+1, life) < here {
			rt.Fatalf("%v of month %d with a life of %d: %d", cost, month, life, here)
		}
	})
}
