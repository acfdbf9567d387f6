package costs

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// timeline is one in pounds from October 2026.
func timeline(t testing.TB, years int, discountPct, inflationPct float64) Timeline {
	t.Helper()
	d, found := ConstantDiscounting(discountPct, years)
	mustNot(t, found)
	first, err := ParseYearMonth("2026-10")
	if err != nil {
		t.Fatal(err)
	}
	frame, found := NewTimeline(TimelineTerms{
		Currency: currency(t, "GBP"), FirstMonth: first, HorizonYears: years, InflationPct: inflationPct, Discounting: d,
	})
	mustNot(t, found)
	return frame
}

func closed(t testing.TB, ledger *Ledger) CashFlow {
	t.Helper()
	flow, found := ledger.Close()
	mustNot(t, found)
	return flow
}

// flowOf enters one amount a year, in its last month: positive as income,
// negative as capital.
func flowOf(t testing.TB, frame Timeline, yearly []decimal.Decimal) CashFlow {
	t.Helper()
	ledger := frame.NewLedger()
	for year, amount := range yearly {
		m, err := NewMoney(amount, frame.currency)
		if err != nil {
			t.Fatal(err)
		}
		month := 12*year - 1 // year 0: YearZero
		if m.Sign() < 0 {
			ledger.Add(month, Capital, m.Neg())
		} else {
			ledger.Add(month, Income, m)
		}
	}
	return closed(t, ledger)
}

// Year 1 is the twelve months from the first month, and amounts by calendar
// month fall in their own month: with October first, month 0 is October.
func TestYearsRunFromTheFirstMonth(t *testing.T) {
	frame := timeline(t, 2, 10, 0)
	var calendar [12]Money
	for i := range calendar {
		calendar[i] = money(t, fmt.Sprintf("%d.00", i+1), "GBP") // January 1 … December 12
	}
	worth, err := frame.ByCalendar(calendar)
	if err != nil {
		t.Fatal(err)
	}
	ledger := frame.NewLedger()
	ledger.Add(YearZero, Capital, money(t, "1000.00", "GBP"))
	ledger.AddTwelve(1, Income, worth)
	ledger.AddShares(2, Income, worth, [12]float64{0: 1, 3: 0.5}) // October, half of January
	ledger.Add(11, Upkeep, money(t, "5.00", "GBP"))               // September of year 1
	ledger.Add(12, Upkeep, money(t, "7.00", "GBP"))               // October of year 2
	ledger.Add(13, IncomeLost, money(t, "0.50", "GBP"))           // less income, but no cost
	flow := closed(t, ledger)
	var got []string
	for _, year := range flow.Years {
		got = append(got, fmt.Sprint(year.Year, year.Amounts, year.Cost, year.Net, year.DiscountFactor, year.Discounted))
	}
	want := []string{
		"0 [{capital 1000.00 GBP}] 1000.00 GBP -1000.00 GBP 1 -1000.00 GBP",
		"1 [{upkeep 5.00 GBP} {income 78.00 GBP}] 5.00 GBP 73.00 GBP 0.90909091 66.36 GBP", // 73 ÷ 1.1
		"2 [{upkeep 7.00 GBP} {income_lost 0.50 GBP} {income 10.50 GBP}] 7.00 GBP 3.00 GBP 0.82644628 2.48 GBP",
	}
	if g, w := strings.Join(got, "\n"), strings.Join(want, "\n"); g != w {
		t.Errorf("got\n%s\nwant\n%s", g, w)
	}
	if !flow.Net.Equal(money(t, "-924.00", "GBP")) || !flow.NetPresentValue.Equal(money(t, "-931.16", "GBP")) {
		t.Errorf("net %v, net present value %v", flow.Net, flow.NetPresentValue)
	}
	// 1000 + 5 ÷ 1.1 + 7 ÷ 1.21 = 1000 + 4.55 + 5.79
	if cost, err := flow.PresentCost(2); err != nil || !cost.Equal(money(t, "1010.34", "GBP")) {
		t.Errorf("present cost %v (%v), want 1010.34", cost, err)
	}
	if _, err := flow.PresentCost(3); err == nil {
		t.Error("year 3 of two has a present cost")
	}
}

// OpenStax, Principles of Finance, 2nd edition, chapter 16, at 9 %: the text's
// 2,835.63 is the sum of terms rounded to the cent, which is what a printed
// cash flow adds up to; its tables' 2,835.62 is the exact value rounded. The
// cumulative discounted flow is as printed, to the cent, but for the last, the
// exact value there.
func TestCashFlowAddsUpAsPrinted(t *testing.T) {
	flows := []decimal.Decimal{dec("-16000"), dec("2000"), dec("4000"), dec("5000"), dec("5000"), dec("5000"), dec("5000")}
	frame := timeline(t, 6, 9, 0)
	flow := flowOf(t, frame, flows)
	if !flow.NetPresentValue.Equal(money(t, "2835.63", "GBP")) {
		t.Errorf("net present value %v, printed in the text 2835.63", flow.NetPresentValue)
	}
	comparison, err := frame.Compare(flow, closed(t, frame.NewLedger()))
	if err != nil {
		t.Fatal(err)
	}
	for i, printed := range []string{"-14165.14", "-10798.42", "-6937.50", "-3395.37", "-145.72"} {
		got := comparison.Years[i+1].CumulativeDiscounted.Amount()
		if got.Sub(dec(printed)).Abs().GreaterThan(dec("0.01")) {
			t.Errorf("year %d: cumulative %v, printed %s", i+1, got, printed)
		}
	}
	if comparison.Payback.Outcome != PaidBack || *comparison.Payback.Years != 4 || *comparison.DiscountedPayback.Years != 5 {
		t.Errorf("payback %+v, discounted %+v; printed 4 and 5.05 years", comparison.Payback, comparison.DiscountedPayback)
	}
}

// An amount spread evenly over a year adds up to it, the odd pennies first.
func TestEvenlyConserves(t *testing.T) {
	frame := timeline(t, 1, 0, 0)
	rapid.Check(t, func(rt *rapid.T) {
		year := ofMinor(rapid.Int64Range(-1e13, 1e13).Draw(rt, "year"), frame.currency)
		twelve, err := frame.Evenly(year)
		if err != nil {
			rt.Fatal(err)
		}
		var sum int64
		for i, minor := range twelve.minor {
			sum += minor
			if first := twelve.minor[0]; minor != first && (minor-first)*int64(year.Sign()) != -1 || i > 0 && (minor-twelve.minor[i-1])*int64(year.Sign()) > 0 {
				rt.Fatalf("%v spread %v", year, twelve.minor)
			}
		}
		if sum != year.minor() {
			rt.Fatalf("%v spread comes to %d", year, sum)
		}
	})
}

// A monthly entry is amount × share × price level, rounded once: the same as
// decimals give.
func TestEntriesAreRoundedOnce(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		years := rapid.IntRange(1, 40).Draw(rt, "years")
		inflation := float64(rapid.IntRange(-500, 2500).Draw(rt, "inflation")) / 100
		frame := timeline(t, years, 3.5, inflation)
		year := rapid.IntRange(1, years).Draw(rt, "year")
		level := decimal.NewFromInt(1)
		growth := decimal.NewFromInt(1).Add(decimal.NewFromFloat(inflation).Shift(-2))
		for range year {
			level = level.Mul(growth).Round(indexPlaces)
		}
		var amounts [12]Money
		var shares [12]float64
		want := Zero(frame.currency)
		for i := range amounts {
			amounts[i] = ofMinor(rapid.Int64Range(-1e9, 1e9).Draw(rt, "amount"), frame.currency)
			shares[i] = float64(rapid.IntRange(0, 10_000).Draw(rt, "share")) / 10_000
		}
		twelve, err := frame.ByCalendar(amounts)
		if err != nil {
			rt.Fatal(err)
		}
		for i := range amounts {
			entry, err := amounts[frame.firstMonth.AddMonths(i).Month-1].Mul(decimal.NewFromFloat(shares[i]).Mul(level))
			if err != nil {
				rt.Fatal(err)
			}
			if want, err = want.Add(entry); err != nil {
				rt.Fatal(err)
			}
		}
		ledger := frame.NewLedger()
		ledger.AddShares(year, Income, twelve, shares)
		if got := closed(t, ledger).Net; !got.Equal(want) {
			rt.Fatalf("the year comes to %v, in decimals %v", got, want)
		}
	})
}

// Fisher's identity: a flow raised by inflation and discounted at the nominal
// rate (1+real)(1+inflation)−1 has the net present value of the real flow at
// the real rate. Tolerance: the rounding of entries and years, a penny each.
func TestNominalAgreesWithReal(t *testing.T) {
	for _, c := range []struct{ real, inflation, nominal float64 }{{3.5, 2, 5.57}, {0, 10, 10}, {4, 25, 30}} {
		value := func(frame Timeline) decimal.Decimal {
			ledger := frame.NewLedger()
			ledger.Add(YearZero, Capital, money(t, "85000.00", "GBP"))
			upkeep, err := frame.Evenly(money(t, "7321.55", "GBP"))
			if err != nil {
				t.Fatal(err)
			}
			for year := 1; year <= frame.Years(); year++ {
				ledger.AddTwelve(year, Upkeep, upkeep)
			}
			return closed(t, ledger).NetPresentValue.Amount()
		}
		inReal, inNominal := value(timeline(t, 25, c.real, 0)), value(timeline(t, 25, c.nominal, c.inflation))
		if inReal.Sub(inNominal).Abs().GreaterThan(dec("1.00")) {
			t.Errorf("real %v, nominal %v at %+v", inReal, inNominal, c)
		}
	}
}

func TestBadEntriesAreListedAtOnce(t *testing.T) {
	frame := timeline(t, 2, 3.5, 0)
	pound := money(t, "1.00", "GBP")
	twelve, err := frame.Evenly(pound)
	if err != nil {
		t.Fatal(err)
	}
	ledger := frame.NewLedger()
	ledger.Add(0, Upkeep, money(t, "1.00", "EUR"))
	ledger.Add(24, Upkeep, pound)
	ledger.Add(-2, Upkeep, pound)
	ledger.Add(3, "grant", pound)
	ledger.AddTwelve(3, Upkeep, twelve)
	ledger.AddTwelve(0, Upkeep, twelve)
	ledger.AddTwelve(1, Upkeep, Twelve{})
	ledger.AddShares(2, Income, twelve, [12]float64{1: math.NaN(), 2: 1.01, 3: -0.01, 4: math.Inf(1)})
	ledger.Add(5, Upkeep, money(t, "999999999999.99", "GBP"))
	ledger.Add(5, Upkeep, pound)
	_, found := ledger.Close()
	wantFields(t, found, "/entries/upkeep/0", "/entries/upkeep/24", "/entries/upkeep/-2", "/entries/grant/3",
		"/entries/upkeep/-1", "/entries/upkeep/-1", "/entries/upkeep/-1",
		"/entries/income/13", "/entries/income/14", "/entries/income/15", "/entries/income/16", "/entries/upkeep/5")

	if _, err := frame.Evenly(money(t, "1.00", "EUR")); err == nil {
		t.Error("euros were spread over a flow in pounds")
	}
	if _, err := frame.ByCalendar([12]Money{}); err == nil {
		t.Error("amounts without a currency were taken")
	}
	for range 10 * maxProblems {
		ledger.Add(24, Upkeep, pound)
	}
	if _, found := ledger.Close(); len(found) != maxProblems {
		t.Errorf("%d problems kept, want at most %d", len(found), maxProblems)
	}
}

func TestAFlowTooLargeIsRefused(t *testing.T) {
	frame := timeline(t, 2, 0, 0)
	most := money(t, "999999999999.99", "GBP")
	for name, enter := range map[string]func(*Ledger){
		"year's cost": func(l *Ledger) { l.Add(0, Upkeep, most); l.Add(0, Capital, most) },
		"total":       func(l *Ledger) { l.Add(0, Upkeep, most); l.Add(12, Upkeep, most) },
		"by kind": func(l *Ledger) {
			l.Add(0, Income, most)
			l.Add(0, Upkeep, most)
			l.Add(12, Income, most)
			l.Add(12, Upkeep, most)
		},
	} {
		ledger := frame.NewLedger()
		enter(ledger)
		if flow, found := ledger.Close(); len(found) == 0 {
			t.Errorf("%s: a flow of %v was made", name, flow.Net)
		}
	}
}

func TestTimelineRefuses(t *testing.T) {
	short, found := ConstantDiscounting(3.5, 10)
	mustNot(t, found)
	_, found = NewTimeline(TimelineTerms{HorizonYears: 11, InflationPct: math.NaN(), Discounting: short})
	wantFields(t, found, "/currency", "/first_month", "/horizon_years", "/inflation_pct")
	_, found = NewTimeline(TimelineTerms{Currency: currency(t, "GBP"), FirstMonth: YearMonth{2026, 10}, HorizonYears: math.MaxInt})
	wantFields(t, found, "/horizon_years")
	long, found := ConstantDiscounting(3.5, 100)
	mustNot(t, found)
	for _, inflation := range []float64{100, -50} { // 2^100, and nothing left
		_, found = NewTimeline(TimelineTerms{Currency: currency(t, "GBP"), FirstMonth: YearMonth{2026, 10}, HorizonYears: 100, InflationPct: inflation, Discounting: long})
		wantFields(t, found, "/inflation_pct")
	}
	frame, other := timeline(t, 10, 3.5, 0), timeline(t, 9, 3.5, 0)
	if _, err := frame.Compare(closed(t, frame.NewLedger()), closed(t, other.NewLedger())); err == nil {
		t.Error("flows of 10 and 9 years were compared")
	}
}

// Columns of a cash flow and of a comparison add up; kinds add up to totals.
func TestCashFlowsAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		frame := timeline(t, rapid.IntRange(1, 12).Draw(rt, "years"), 4.25, 2.5)
		draw := func() CashFlow {
			ledger := frame.NewLedger()
			for range rapid.IntRange(0, 40).Draw(rt, "entries") {
				ledger.Add(rapid.IntRange(-1, frame.Months()-1).Draw(rt, "month"), rapid.SampledFrom(kinds[:]).Draw(rt, "kind"),
					ofMinor(rapid.Int64Range(-1e9, 1e10).Draw(rt, "amount"), frame.currency))
			}
			return closed(t, ledger)
		}
		flow, yardstick := draw(), draw()
		var net, present, byKind int64
		for _, year := range flow.Years {
			net += year.Net.minor()
			present += year.Discounted.minor()
			for _, amount := range year.Amounts {
				if amount.Kind == Income {
					byKind += amount.Amount.minor()
				} else {
					byKind -= amount.Amount.minor()
				}
			}
		}
		var totals int64
		for _, total := range flow.Totals {
			if total.Kind == Income {
				totals += total.Amount.minor()
			} else {
				totals -= total.Amount.minor()
			}
		}
		if net != flow.Net.minor() || byKind != net || totals != net || present != flow.NetPresentValue.minor() {
			rt.Fatalf("net %d, kinds %d, totals %d, printed %v; discounted %d, printed %v", net, byKind, totals, flow.Net, present, flow.NetPresentValue)
		}
		comparison, err := frame.Compare(flow, yardstick)
		if err != nil {
			rt.Fatal(err)
		}
		last := comparison.Years[frame.years]
		if !last.CumulativeDiscounted.Equal(comparison.NetPresentValue) || last.Cumulative.minor() != net-yardstick.Net.minor() {
			rt.Fatalf("comparison ends at %v and %v", last, comparison.NetPresentValue)
		}
		// Each flow's years and the difference's are rounded apart: half a penny each.
		apart := flow.NetPresentValue.minor() - yardstick.NetPresentValue.minor() - comparison.NetPresentValue.minor()
		if 2*max(apart, -apart) > 3*int64(frame.years+1) {
			rt.Fatalf("net present values are %d pence apart", apart)
		}
	})
}

func TestCashFlowIsWrittenWithNulls(t *testing.T) {
	frame := timeline(t, 1, 3.5, 0)
	flow := closed(t, frame.NewLedger())
	comparison, err := frame.Compare(flow, flow)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(comparison.Payback)
	want := `{"outcome":"nothing_invested","years":null,"first_recovered_years":null,"detail":"At no time has it cost more than the yardstick."}`
	if err != nil || string(text) != want {
		t.Errorf("written %s (%v), want %s", text, err, want)
	}
	text, err = json.Marshal(flow)
	if err != nil || !strings.HasPrefix(string(text), `{"first_month":"2026-10","years":[{"year":0,"amounts":[],`) {
		t.Errorf("written %s (%v)", text, err)
	}
}
