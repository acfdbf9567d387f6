package costs

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func ratesOf(t testing.TB, flows []decimal.Decimal) InternalRates {
	t.Helper()
	found, err := FindInternalRates(flows)
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func decimals(texts ...string) []decimal.Decimal {
	out := make([]decimal.Decimal, len(texts))
	for i, text := range texts {
		out[i] = dec(text)
	}
	return out
}

// Every published internal rate, with every other root that its flow has; one
// misprint must not reproduce.
func TestInternalRatesArePublished(t *testing.T) {
	type row struct {
		Source   string
		Flows    []decimal.Decimal
		RatesPct []string `json:"rates_pct"`
		Printed  string
		Misprint string
	}
	traps := 0
	for _, r := range load[row](t, "internal_rates.json") {
		found := ratesOf(t, r.Flows)
		if len(found.RatesPct) != len(r.RatesPct) {
			t.Errorf("%s: %v, want %v", r.Source, found.RatesPct, r.RatesPct)
			continue
		}
		rounded := func(rate float64, text string) bool {
			return decimal.NewFromFloat(rate).Round(-dec(text).Exponent()).Equal(dec(text))
		}
		printed := r.Printed == ""
		for i, rate := range found.RatesPct {
			if !rounded(rate, r.RatesPct[i]) {
				t.Errorf("%s: %v, want %s", r.Source, rate, r.RatesPct[i])
			}
			printed = printed || rounded(rate, r.Printed)
			if r.Misprint != "" {
				traps++
				if rounded(rate, r.Misprint) {
					t.Errorf("%s: the misprint %s is reproduced", r.Source, r.Misprint)
				}
			}
		}
		if !printed {
			t.Errorf("%s: printed %s is not among %v", r.Source, r.Printed, found.RatesPct)
		}
	}
	if traps != 1 {
		t.Errorf("%d misprints tested, want 1", traps)
	}
}

// Flows made from their roots: Π (x − 1 − rate), worked by hand for the
// outcomes, the ends of the range, and roots that a search by sign passes over.
func TestInternalRatesOfMadeFlows(t *testing.T) {
	for _, c := range []struct {
		name    string
		flows   []decimal.Decimal
		outcome InternalRateOutcome
		rates   []float64
	}{
		{"nothing at all", decimals("0", "0", "0"), EveryRate, nil},
		{"only paid", decimals("-5", "-1"), NoRate, nil},
		{"one payment", decimals("-5"), NoRate, nil},
		{"no real root", decimals("1", "-2", "2"), NoRate, nil},
		{"idle years at both ends", decimals("0", "0", "-100", "110", "0"), OneRate, []float64{10}},
		{"nil at nil per cent", decimals("-100", "100"), OneRate, []float64{0}},
		{"touches without crossing", decimals("100", "-220", "121"), OneRate, []float64{10}},
		{"touches at one and crosses at two", decimals("1", "-4.7", "8.27", "-6.457", "1.8876"), SeveralRates, []float64{10, 20, 30}},
		{"the lowest rate", decimals("-1", "0.01"), OneRate, []float64{-99}},
		{"the highest rate", decimals("-1", "11"), OneRate, []float64{1000}},
		{"just below the range", decimals("-1", "0.0099"), NoRate, nil},
		{"just above the range", decimals("-1", "11.0001"), NoRate, nil},
		{"both ends", decimals("1", "-11.01", "0.11"), SeveralRates, []float64{-99, 1000}},
		{"a millionth apart", decimals("1", "-2.20000001", "1.210000011"), SeveralRates, []float64{10, 10.000001}},
		{"a hair below nil", decimals("-100", "99.9999999999"), OneRate, []float64{0}},
		{"in fractions of a penny", decimals("-0.0001", "0.0002"), OneRate, []float64{100}},
	} {
		found := ratesOf(t, c.flows)
		if found.Outcome != c.outcome || found.Detail == "" || found.RatesPct == nil || found.LowestPct != -99 || found.HighestPct != 1000 {
			t.Errorf("%s: %+v", c.name, found)
		}
		if c.rates == nil {
			continue
		}
		if !slices.Equal(found.RatesPct, c.rates) {
			t.Errorf("%s: %v, want %v", c.name, found.RatesPct, c.rates)
		}
		if found.RatesPct[0] == 0 && math.Signbit(found.RatesPct[0]) {
			t.Errorf("%s: minus nought per cent", c.name)
		}
	}
}

// However many rates a flow is made to have, in or out of the range, near to
// each other or repeated, exactly those within it are found.
func TestEveryInternalRateIsFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rates := rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom([]int{0, 1000}), rapid.IntRange(-9900, 100_000), rapid.IntRange(-500, 3000), rapid.IntRange(100_001, 200_000)), 1, 8).Draw(rt, "rates in hundredths")
		p := polynomial{big.NewInt(1)}
		times := func(low, high int64) { // p × (high x + low)
			out := make(polynomial, len(p)+1)
			for i := range out {
				out[i] = new(big.Int)
			}
			for i, coefficient := range p {
				out[i].Add(out[i], new(big.Int).Mul(coefficient, big.NewInt(low)))
				out[i+1].Add(out[i+1], new(big.Int).Mul(coefficient, big.NewInt(high)))
			}
			p = out
		}
		var want []float64
		for _, rate := range rates {
			times(-int64(10_000+rate), 10_000)
			if rate <= 100*highestRatePct {
				want = append(want, float64(rate)/100)
			}
		}
		for range rapid.IntRange(0, 3).Draw(rt, "roots below zero") {
			times(3, 1)
		}
		slices.Sort(want)
		want = slices.Compact(want)
		found := newInternalRates(p)
		if !slices.Equal(found.RatesPct, want) && len(found.RatesPct)+len(want) > 0 {
			rt.Fatalf("%v, want %v", found.RatesPct, want)
		}
	})
}

// At a rate that was found the net present value changes sign or is nil, to a
// ten-millionth of a per cent either side; and where a dense scan sees a change
// of sign there is a rate.
func TestInternalRatesAgreeWithAScan(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		flows := make([]decimal.Decimal, rapid.IntRange(1, 30).Draw(rt, "years"))
		for i := range flows {
			flows[i] = decimal.New(rapid.Int64Range(-1e7, 1e7).Draw(rt, "flow"), -2)
		}
		value := func(pct float64) float64 {
			sum, x := 0.0, 1+pct/100
			for _, flow := range flows { // Σ flow × x^(n−t)
				sum = sum*x + flow.InexactFloat64()
			}
			return sum
		}
		found := ratesOf(t, flows)
		if !slices.IsSorted(found.RatesPct) {
			rt.Fatalf("%v", found.RatesPct)
		}
		near := func(low, high float64) (count int) {
			for _, rate := range found.RatesPct {
				if low <= rate && rate <= high {
					count++
				}
			}
			return count
		}
		for pct := -99.0; pct < 1000; pct += 1 {
			before, after := value(pct), value(pct+1)
			crosses := math.Signbit(before) != math.Signbit(after) && before != 0 && after != 0
			if crosses && near(pct-1e-7, pct+1+1e-7)%2 == 0 && near(pct, pct+1)%2 == 0 {
				rt.Fatalf("the value goes from %v at %v %% to %v a per cent on, rates %v", before, pct, after, found.RatesPct)
			}
		}
	})
}

func TestInternalRatesRefuse(t *testing.T) {
	for name, flows := range map[string][]decimal.Decimal{
		"no flows":  nil,
		"too many":  make([]decimal.Decimal, maxHorizonYears+2),
		"too large": {dec("1"), decimal.New(1, 2_000_000_000)},
		"too fine":  {dec("1"), decimal.New(1, -2_000_000_000)},
	} {
		if found, err := FindInternalRates(flows); err == nil {
			t.Errorf("%s: %+v", name, found)
		}
	}
	if _, err := (Comparison{}).InternalRates(); err == nil {
		t.Error("a comparison of no years has a rate")
	}
}

// By way of a comparison, from the quadratic: 1,000 more, then 100 a year for two
// years is 1000 x² = 100 x + 100; with a residual of 1,000 × 4776 ÷ 4800 = 995.00
// after a life of 400 years, 1000 x² = 100 x + 1095.
func TestInternalRatesOfAComparison(t *testing.T) {
	frame := timeline(t, 2, 5, 0)
	for _, c := range []struct {
		lifeMonths int
		last       float64
	}{{0, 100}, {4800, 1095}} {
		ledger := frame.NewLedger()
		ledger.Add(YearZero, Capital, money(t, "1000.00", "GBP"))
		ledger.Add(11, Income, money(t, "100.00", "GBP"))
		ledger.Add(23, Income, money(t, "100.00", "GBP"))
		if c.lifeMonths > 0 {
			ledger.AddResidual(YearZero, money(t, "1000.00", "GBP"), c.lifeMonths)
		}
		comparison, err := frame.Compare(closed(t, ledger), closed(t, frame.NewLedger()))
		if err != nil {
			t.Fatal(err)
		}
		want := 100 * ((100+math.Sqrt(100*100+4*1000*c.last))/2000 - 1)
		found, err := comparison.InternalRates()
		if err != nil || len(found.RatesPct) != 1 || math.Abs(found.RatesPct[0]-want) > 1e-8 {
			t.Errorf("last flow %v: %+v (%v), want %v", c.last, found, err, want)
		}
	}
}

// OpenStax, Principles of Finance, 2nd edition, chapter 16: modified internal
// rate 12 % at 9 %, to the per cent printed and to 12.0048 as recomputed.
// numpy-financial, docstring of mirr: −100, 50, −60, 70 at 10 % for finance and
// 12 % for reinvestment, −0.0390936659, to 10 places. From our own discount
// factors: (future value of receipts ÷ present value of outlays)^(1/n) − 1.
func TestModifiedRatesFromDiscountFactors(t *testing.T) {
	for _, c := range []struct {
		flows             []decimal.Decimal
		finance, reinvest string
		want, tolerance   float64
	}{
		{decimals("-16000", "2000", "4000", "5000", "5000", "5000", "5000"), "9", "9", 0.120048, 5e-7},
		{decimals("-100", "50", "-60", "70"), "10", "12", -0.03909366594356467, 1e-10},
	} {
		n := len(c.flows) - 1
		in, out := make([]decimal.Decimal, n+1), make([]decimal.Decimal, n+1)
		for year, flow := range c.flows {
			in[year], out[year] = decimal.Max(flow, decimal.Zero), decimal.Min(flow, decimal.Zero)
		}
		reinvest := constant(t, dec(c.reinvest), n)
		received, err := reinvest.PresentValue(in)
		if err != nil {
			t.Fatal(err)
		}
		paid, err := constant(t, dec(c.finance), n).PresentValue(out)
		if err != nil {
			t.Fatal(err)
		}
		ratio := received.DivRound(factor(t, reinvest, n), 20).DivRound(paid.Neg(), 20).InexactFloat64()
		if got := math.Pow(ratio, 1/float64(n)) - 1; math.Abs(got-c.want) > c.tolerance {
			t.Errorf("modified rate %v, published %v", got, c.want)
		}
	}
}

func FuzzInternalRates(f *testing.F) {
	f.Add([]byte{0x80, 0x10, 0x7f, 0x01})
	f.Add([]byte{1, 0xfe, 1, 0, 0})
	f.Fuzz(func(t *testing.T, bytes []byte) {
		if len(bytes) > 30 {
			return
		}
		coefficients := make([]*big.Int, len(bytes))
		for i, b := range bytes {
			coefficients[i] = big.NewInt(int64(int8(b)))
		}
		found := newInternalRates(coefficients)
		if !slices.IsSorted(found.RatesPct) {
			t.Fatal(found.RatesPct)
		}
		p := newPolynomial(slices.Clone(coefficients))
		if most := p.signChanges(); len(found.RatesPct) > most { // Descartes
			t.Fatalf("%d rates of at most %d: %v", len(found.RatesPct), most, found)
		}
	})
}

func BenchmarkInternalRates(b *testing.B) {
	for _, years := range []int{25, 40, 100} {
		usual, wild := []*big.Int{}, []*big.Int{}
		for year := range years + 1 {
			usual = append(usual, big.NewInt(int64(700_000+1000*year)))
			wild = append(wild, big.NewInt(int64(year*year*7919%99_991-50_000)*int64(1-2*(year%2))))
		}
		usual[years] = big.NewInt(-8_400_000) // highest power first paid
		for name, flow := range map[string][]*big.Int{"paid then received": usual, "of any sign": wild} {
			b.Run(fmt.Sprintf("%s/%d years", name, years), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					newInternalRates(flow)
				}
			})
		}
	}
}
