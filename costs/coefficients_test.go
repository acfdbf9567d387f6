package costs

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// twin is one option's money entered twice: in a ledger, at the rates of one
// level, and in coefficients made from the bills at likely rates.
type twin struct {
	frame        Timeline
	coefficients *Coefficients
	items        []string
	prices       []float64
	worth        [12]float64
	flow         CashFlow
	bills        [2]Bill       // works and a year's upkeep, at the level of the ledger
	numbers      [2]BillNumber // of the same bills
	apart        float64       // minor units by which they may be apart, in all
	billApart    [2]float64    // the same, of each bill
}

// apartOf bounds how far the roundings of a bill can move its capital, in minor
// units: half a unit for each line, addition and the contingency, one for each
// share of a class that goes to another class's tax, and for each class one of
// tax (rounded down) and half of what is recovered; under the rules that tax by
// the line, half a unit or less for each taxed line and share. Everything on a
// line is at most multiplied by what one unit of it comes to as capital.
func apartOf(bill Bill, most float64) float64 {
	lines, additions := 0, 1+len(bill.Preliminaries)+len(bill.ProfessionalFees)
	for _, section := range bill.Sections {
		lines += len(section.Lines)
	}
	return most * (float64(lines) + 4*float64(additions) + 1.5*4)
}

// drawTwin draws an option with staged works, yearly upkeep, a renewal, a
// residual, income and income lost, and a grant of fixed upkeep.
func drawTwin(t testing.TB, rt *rapid.T) twin {
	book := chargedBook()
	level := rapid.SampledFrom([]Level{Low, Likely, High}).Draw(rt, "level")
	pct := func(name string, most int) float64 { return float64(rapid.IntRange(0, most).Draw(rt, name)) / 100 }
	terms := fullTerms(rapid.SampledFrom([]TaxRounding{ByClassTotal, ByClassTotalDown, ByLine, ByLineTenthDown}).Draw(rt, "rounding"))
	terms.ContingencyPct, terms.TaxRecoverablePct = pct("contingency", 3000), pct("recoverable", 10_000)
	resolved, _ := terms.resolve()
	mostPerUnit := 1.0
	for _, each := range resolved.capitalPerUnit() {
		mostPerUnit = max(mostPerUnit, each)
	}

	years := rapid.IntRange(3, 25).Draw(rt, "years")
	d, found := ConstantDiscounting(pct("discount", 1000), years)
	mustNot(t, found)
	frame, found := NewTimeline(TimelineTerms{
		Currency: currency(t, "GBP"), FirstMonth: YearMonth{2026, 10}, HorizonYears: years, Discounting: d,
		InflationByClass: &InflationByClass{pct("construction", 500), pct("upkeep", 500), pct("income", 500)},
	})
	mustNot(t, found)

	out := twin{frame: frame, items: []string{"gravel", "labour", "pipe", "roller"}}
	out.coefficients = frame.NewCoefficients(out.items)
	var demands [2][]Demand
	for i := range demands {
		for range rapid.IntRange(1, 8).Draw(rt, "lines") {
			demands[i] = append(demands[i], Demand{Item: rapid.SampledFrom(out.items).Draw(rt, "item"), Quantity: rapid.Float64Range(1, 150).Draw(rt, "quantity")})
		}
	}
	// A minimum charge is held as it is at likely rates; other levels are only
	// compared where none is met.
	if level != Likely {
		book.Items[0].MinimumCharge, book.Items[3].MinimumChargePerVisit = "", ""
	}
	if rapid.Bool().Draw(rt, "without breaks") {
		book.Items[0].QuantityBreaks = nil
	} else { // both bills are to price gravel in one band, so that it has one price
		for i := range demands {
			demands[i] = append(demands[i], Demand{Item: "gravel", Quantity: 100})
		}
	}
	likely, at := pricesAt(t, book, Likely), pricesAt(t, book, level)
	for i := range demands {
		out.bills[i] = billOf(t, at, terms, demands[i]...)
		number, err := out.coefficients.AddBill(billOf(t, likely, terms, demands[i]...), terms)
		if err != nil {
			rt.Fatal(err)
		}
		out.numbers[i], out.billApart[i] = number, apartOf(out.bills[i], mostPerUnit)
	}
	for _, item := range out.items {
		rate, _, _ := at.RateFor(item, 150)
		out.prices = append(out.prices, rate.Float())
	}
	out.enter(t, rt)
	return out
}

// enter makes the same entries in both and adds up what each may be apart.
func (w *twin) enter(t testing.TB, rt *rapid.T) {
	must := func(err error) {
		if err != nil {
			rt.Fatal(err)
		}
	}
	ledger, c := w.frame.NewLedger(), w.coefficients
	highest := 1.0
	for _, levels := range w.frame.index {
		highest = max(highest, float64(levels[w.frame.years])/1e10)
	}
	stages := []Stage{{0, 40}, {3, 35}, {15, 25}}
	ledger.AddStaged(YearZero, Capital, w.bills[0].Capital, stages)
	for _, stage := range stages {
		must(c.EnterBill(w.numbers[0], YearZero+stage.MonthsAfterStart, Capital, stage.SharePct/100))
	}
	upkeep, err := w.frame.Evenly(w.bills[1].Capital)
	must(err)
	var calendar [12]Money
	for month := range calendar {
		calendar[month] = ofMinor(rapid.Int64Range(0, 1e6).Draw(rt, "worth"), w.frame.currency)
		w.worth[month] = calendar[month].Float()
	}
	worth, err := w.frame.ByCalendar(calendar)
	must(err)
	var shares [12]float64
	for month := range shares {
		shares[month] = rapid.Float64Range(0, 1).Draw(rt, "share")
	}
	fixed := money(t, "123.45", "GBP")
	for year := 1; year <= w.frame.years; year++ {
		ledger.AddTwelve(year, Upkeep, upkeep)
		must(c.EnterBill(w.numbers[1], 12*(year-1), Upkeep, 1))
		kind := []Kind{IncomeLost, Income}[min(1, year-1)]
		ledger.AddShares(year, kind, worth, shares)
		must(c.EnterShares(year, kind, shares))
		ledger.Add(12*year-1, Aftercare, fixed)
		must(c.EnterAmount(12*year-1, Aftercare, fixed))
	}
	renewal, err := w.bills[0].Capital.Mul(dec("0.6"))
	must(err)
	ledger.Add(30, Renewal, renewal)
	must(c.EnterBill(w.numbers[0], 30, Renewal, 0.6))
	ledger.AddResidual(YearZero, w.bills[0].Capital, 360)
	must(c.EnterResidual(w.numbers[0], YearZero, 360))
	w.flow = closed(t, ledger)
	// Works: once in stages, 0.6 again, a residual of less than once, each with
	// a rounding or two of its own. A year: a bill, 25 entries, a discounting.
	w.apart = highest*(2.6*w.billApart[0]+6) + float64(w.frame.years)*(highest*w.billApart[1]+13) + 2
}

// The floats keep to the decimals within the roundings of the decimals, at any
// level of prices and any worth: in the net present value, in every year's net
// and in the capital of each bill. The bound is stated with the parts that it is
// made of; it is some pounds where an option comes to tens of thousands.
func TestCoefficientsKeepToTheLedger(t *testing.T) {
	widest := 0.0
	rapid.Check(t, func(rt *rapid.T) {
		w := drawTwin(t, rt)
		off := func(got float64, want Money) float64 { return math.Abs(got*100 - float64(want.minor())) }
		present := w.coefficients.NetPresentValue(w.prices, &w.worth)
		apart := off(present, w.flow.NetPresentValue)
		widest = max(widest, apart/w.apart)
		if apart > w.apart {
			rt.Fatalf("net present value %v, in decimals %v: %v minor units apart, at most %v", present, w.flow.NetPresentValue, apart, w.apart)
		}
		nets := make([]float64, w.frame.years+1)
		w.coefficients.Nets(w.prices, &w.worth, nets)
		for year, net := range nets {
			if off(net, w.flow.Years[year].Net) > w.apart {
				rt.Fatalf("year %d: %v, in decimals %v", year, net, w.flow.Years[year].Net)
			}
		}
		for i, bill := range w.bills {
			if capital := w.coefficients.Capital(w.numbers[i], w.prices); off(capital, bill.Capital) > w.billApart[i] {
				rt.Fatalf("capital %v, in decimals %v: at most %v minor units apart", capital, bill.Capital, w.billApart[i])
			}
		}
	})
	if widest == 0 {
		t.Error("floats and decimals were never apart: the bound is not tested")
	}
	t.Logf("at most %.0f %% of the bound was used", 100*widest)
}

// The sum is linear: twice the prices and twice the worth make twice the net
// present value of what is drawn, and the net present value is that of the
// yearly nets at their factors plus the residual's.
func TestCoefficientsAreLinear(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := drawTwin(t, rt)
		value := func(times float64) float64 {
			prices, worth := make([]float64, len(w.prices)), w.worth
			for i, price := range w.prices {
				prices[i] = times * price
			}
			for month := range worth {
				worth[month] *= times
			}
			return w.coefficients.NetPresentValue(prices, &worth)
		}
		none, one, two := value(0), value(1), value(2)
		if math.Abs(two-none-2*(one-none)) > 1e-9*(math.Abs(one)+math.Abs(none)+1) {
			rt.Fatalf("%v, %v, %v at 0, 1 and 2 times", none, one, two)
		}
		nets := make([]float64, w.frame.years+1)
		w.coefficients.Nets(w.prices, &w.worth, nets)
		last := w.frame.years
		sum := w.coefficients.Capital(w.numbers[0], w.prices) * float64(max(0, 360-12*last)) / 360 * w.frame.Factors(Residual)[last]
		for year, net := range nets {
			sum += net * w.coefficients.factor(year)
		}
		if math.Abs(sum-one) > 1e-9*(math.Abs(one)+1e6) {
			rt.Fatalf("the years and the residual come to %v, the net present value to %v", sum, one)
		}
	})
}

// Gravel of 30.00 at a minimum charge of 150.00 costs 150.00 with tax at 20 % at
// any price: the whole of it is held, and not only what made it up.
func TestMinimumChargesAreHeldInDraws(t *testing.T) {
	frame := timeline(t, 2, 3.5, 0)
	c := frame.NewCoefficients([]string{"gravel"})
	terms := Terms{TaxRates: []TaxRate{{StandardRated, 20}}}
	number, err := c.AddBill(billOf(t, pricesAt(t, chargedBook(), Likely), terms, Demand{Item: "gravel", Quantity: 1}), terms)
	if err != nil {
		t.Fatal(err)
	}
	for _, price := range []float64{20, 30, 45} {
		if got := c.Capital(number, []float64{price}); math.Abs(got-180) > 1e-9 {
			t.Errorf("at %v a tonne: %v, want 180", price, got)
		}
	}
}

// A share is rounded to 4 places, as the ledger rounds it: 0.00004 is nothing.
func TestDrawnSharesAreTheLedgersShares(t *testing.T) {
	frame := timeline(t, 1, 0, 0)
	c := frame.NewCoefficients(nil)
	if err := c.EnterShares(1, Income, [12]float64{0.00004, 0.00006}); err != nil { // October, November
		t.Fatal(err)
	}
	worth := [12]float64{9: 1e6, 10: 1e6}
	if got := c.NetPresentValue(nil, &worth); math.Abs(got-100) > 1e-6 {
		t.Errorf("0.00004 and 0.00006 of a million: %v, want 0 and 100", got)
	}
}

func TestFactorsArePriceLevelTimesDiscount(t *testing.T) {
	frame := timeline(t, 3, 10, 5)
	for year, got := range frame.Factors(Upkeep) {
		if want := math.Pow(1.05/1.1, float64(year)); math.Abs(got-want) > 1e-9 {
			t.Errorf("year %d: %v, want %v", year, got, want)
		}
	}
}

func TestCoefficientsRefuse(t *testing.T) {
	frame := timeline(t, 2, 3.5, 0)
	bill := billOf(t, pricesAt(t, smallBook(), Likely), demoTerms(), Demand{Item: "pipe", Quantity: 1})
	c := frame.NewCoefficients([]string{"gravel"})
	if _, err := c.AddBill(bill, demoTerms()); !errors.Is(err, ErrNotLinear) {
		t.Errorf("a bill of an item without a place: %v", err)
	}
	if _, err := c.AddBill(bill, Terms{ContingencyPct: math.NaN()}); err == nil {
		t.Error("terms were taken that no bill has")
	}
	pound := money(t, "1.00", "GBP")
	for name, err := range map[string]error{
		"no bill":          c.EnterBill(0, 0, Upkeep, 1),
		"no such kind":     c.EnterAmount(0, "grant", pound),
		"residual":         c.EnterAmount(0, Residual, pound),
		"late":             c.EnterAmount(24, Upkeep, pound),
		"euros":            c.EnterAmount(0, Upkeep, money(t, "1.00", "EUR")),
		"no share":         c.EnterShares(1, Income, [12]float64{3: math.NaN()}),
		"year zero shares": c.EnterShares(0, Income, [12]float64{}),
		"year three":       c.EnterShares(3, Income, [12]float64{}),
		"residual of none": c.EnterResidual(0, 0, 12),
	} {
		if !errors.Is(err, ErrNotLinear) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The payback of draws is the payback of the decimals, unrounded.
func TestDrawnPaybackKeepsToThePayback(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		differences := rapid.SliceOfN(rapid.Int64Range(-20, 20), 1, 30).Draw(rt, "differences")
		cumulative, floats, sum := make([]int64, len(differences)), make([]float64, len(differences)), int64(0)
		for year, difference := range differences {
			sum += difference
			cumulative[year], floats[year] = sum, float64(difference)
		}
		want := newPayback(cumulative)
		years, ok := DrawnPayback(floats)
		if ok != (want.Outcome == PaidBack) {
			rt.Fatalf("%v: %v (%v), in decimals %+v", differences, years, ok, want)
		}
		if ok && math.Abs(years-*want.Years) > 0.05+1e-9 {
			rt.Fatalf("%v: %v years, in decimals %v", differences, years, *want.Years)
		}
	})
	if years, ok := DrawnPayback([]float64{-1, math.NaN()}); ok {
		t.Errorf("paid back in %v years with what is no number", years)
	}
}

// drawOf8Options is an appraisal's money in floats: 8 options of 25 years, works
// and upkeep of 40 items.
func drawOf8Options(b *testing.B) (options []*Coefficients, prices []float64, worth [12]float64) {
	frame := timeline(b, 25, 3.5, 2)
	book := DemoPriceBook()
	var items []string
	var demands []Demand
	at := pricesAt(b, book, Likely)
	for i, item := range book.Items {
		items = append(items, item.Item)
		rate, _, _ := at.Rate(item.Item)
		prices = append(prices, rate.Float())
		if i < 40 {
			demands = append(demands, Demand{Section: fmt.Sprint(i / 7), Item: item.Item, Quantity: float64(i + 1)})
		}
	}
	bill := billOf(b, at, demoTerms(), demands...)
	for month := range worth {
		worth[month] = 1234.56
	}
	for range 8 {
		c := frame.NewCoefficients(items)
		works, err := c.AddBill(bill, demoTerms())
		if err != nil {
			b.Fatal(err)
		}
		upkeep, _ := c.AddBill(bill, demoTerms())
		_ = c.EnterBill(works, YearZero, Capital, 1)
		for year := 1; year <= 25; year++ {
			_ = c.EnterBill(upkeep, 12*year-1, Upkeep, 0.1)
			_ = c.EnterShares(year, Income, [12]float64{0.5, 0.6, 1, 1, 1, 1, 1, 1, 1, 1, 0.8, 0.6})
		}
		options = append(options, c)
	}
	return options, prices, worth
}

func BenchmarkDraw(b *testing.B) {
	options, prices, worth := drawOf8Options(b)
	sum := 0.0
	b.Run("net present values of 8 options", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, c := range options {
				sum += c.NetPresentValue(prices, &worth)
			}
		}
	})
	b.Run("yearly nets and payback of 8 options", func(b *testing.B) {
		nets, differences := make([]float64, 26), make([]float64, 26)
		b.ReportAllocs()
		for b.Loop() {
			for _, c := range options {
				c.Nets(prices, &worth, nets)
				copy(differences, nets)
				years, _ := DrawnPayback(differences)
				sum += years
			}
		}
	})
	if math.IsNaN(sum) {
		b.Fatal("not a number")
	}
}

// A draw allocates nothing.
func TestDrawsDoNotAllocate(t *testing.T) {
	frame := timeline(t, 3, 3.5, 0)
	c := frame.NewCoefficients([]string{"pipe"})
	bill, err := c.AddBill(billOf(t, pricesAt(t, smallBook(), Likely), demoTerms(), Demand{Item: "pipe", Quantity: 1}), demoTerms())
	if err != nil {
		t.Fatal(err)
	}
	if err := c.EnterBill(bill, YearZero, Capital, 1); err != nil {
		t.Fatal(err)
	}
	prices, worth, nets := []float64{1.35}, [12]float64{}, make([]float64, 4)
	if got := testing.AllocsPerRun(100, func() {
		c.Nets(prices, &worth, nets)
		DrawnPayback(nets)
		c.NetPresentValue(prices, &worth)
	}); got != 0 {
		t.Errorf("%v allocations a draw", got)
	}
	if capital := c.Capital(bill, prices); capital <= 0 || c.NetPresentValue(prices, &worth) != -capital {
		t.Errorf("capital %v in year zero is worth %v", capital, c.NetPresentValue(prices, &worth))
	}
}
