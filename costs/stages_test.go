package costs

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// £100.00 in three equal parts is 33.34, 33.33, 33.33 (largest remainder, the
// first in the list served first), each in its month; prices rise by 10 % in
// year 1 and again in year 2.
func TestStagesWorkedByHand(t *testing.T) {
	frame := timeline(t, 2, 0, 10)
	third := 33.3333
	for _, c := range []struct {
		start, later int
		want         [3]string // years 0 to 2
	}{
		{YearZero, 13, [3]string{"33.34", "36.66", "40.33"}}, // 33.33 × 1.1 = 36.663, × 1.21 = 40.3293
		{0, 12, [3]string{"", "73.33", "40.33"}},             // 33.34 × 1.1 = 36.674 → 36.67, and 36.66
	} {
		ledger := frame.NewLedger()
		ledger.AddStaged(c.start, Capital, money(t, "100.00", "GBP"), []Stage{{0, third}, {1, third}, {c.later, third}})
		flow := closed(t, ledger)
		for year, want := range c.want {
			if want == "" {
				want = "0.00"
			}
			if got := flow.Years[year].Cost; !got.Equal(money(t, want, "GBP")) {
				t.Errorf("from month %d, year %d: %v, want %s", c.start, year, got, want)
			}
		}
	}
}

// At prices of the first month the stages add up to the sum to the penny, and
// none is a minor unit or more from its share.
func TestStagesConserve(t *testing.T) {
	frame := timeline(t, 4, 3.5, 0)
	rapid.Check(t, func(rt *rapid.T) {
		count := rapid.IntRange(1, 12).Draw(rt, "stages")
		stages, left := make([]Stage, count), 1_000_000
		for i := range stages {
			share := left
			if i < count-1 {
				share = rapid.IntRange(0, left).Draw(rt, "share")
			}
			left -= share
			stages[i] = Stage{MonthsAfterStart: 3 * i, SharePct: float64(share) / 10_000}
		}
		sum := ofMinor(rapid.Int64Range(0, 1e12).Draw(rt, "sum"), frame.currency)
		ledger := frame.NewLedger()
		ledger.AddStaged(rapid.IntRange(-1, 10).Draw(rt, "start"), Capital, sum, stages)
		flow := closed(t, ledger)
		if flow.Net.minor() != -sum.minor() {
			rt.Fatalf("%v in %d stages comes to %v", sum, count, flow.Net)
		}
	})
}

func TestBadStagesAreRefused(t *testing.T) {
	wantFields(t, CheckStages(nil), "")
	wantFields(t, CheckStages(make([]Stage, maxStages+1)), "")
	wantFields(t, CheckStages([]Stage{{0, 50}, {1, 49.9}}), "")
	wantFields(t, CheckStages([]Stage{{-1, math.NaN()}, {1, 50}, {1, 101}}), "/0/months_after_start", "/0/share_pct", "/2/months_after_start", "/2/share_pct")
	wantFields(t, CheckStages([]Stage{{0, 33.33}, {1, 33.33}, {2, 33.34}}))

	frame := timeline(t, 1, 3.5, 0)
	ledger := frame.NewLedger()
	pound := money(t, "1.00", "GBP")
	ledger.AddStaged(0, Capital, pound, nil)
	ledger.AddStaged(math.MaxInt, Capital, pound, []Stage{{1, 100}})
	ledger.AddStaged(0, Capital, pound, []Stage{{0, 50}, {12, 50}})
	_, found := ledger.Close()
	wantFields(t, found, "/entries/capital/0", "/entries/capital/9223372036854775807", "/entries/capital/12")
	if !strings.Contains(found[0].Detail, "stages") {
		t.Errorf("%v does not speak of stages", found[0])
	}
}

// With one class of cost rising, only its kinds move: worked by hand at 10, 20
// and 50 % over one year.
func TestInflationByClassOfCost(t *testing.T) {
	d, found := ConstantDiscounting(0, 1)
	mustNot(t, found)
	terms := TimelineTerms{
		Currency: currency(t, "GBP"), FirstMonth: YearMonth{2026, 10}, HorizonYears: 1, Discounting: d, InflationPct: 99,
		InflationByClass: &InflationByClass{ConstructionPct: 10, UpkeepPct: 20, IncomePct: 50},
	}
	frame, found := NewTimeline(terms)
	mustNot(t, found)
	for kind, want := range map[Kind]string{
		Enabling: "110.00", Capital: "110.00", Renewal: "110.00", Aftercare: "120.00", Upkeep: "120.00", IncomeLost: "150.00", Income: "150.00",
	} {
		ledger := frame.NewLedger()
		ledger.Add(0, kind, money(t, "100.00", "GBP"))
		if got := closed(t, ledger).Totals[0].Amount; !got.Equal(money(t, want, "GBP")) {
			t.Errorf("%s: %v, want %s", kind, got, want)
		}
		ledger = frame.NewLedger()
		ledger.Add(YearZero, kind, money(t, "100.00", "GBP"))
		if got := closed(t, ledger).Totals[0].Amount; !got.Equal(money(t, "100.00", "GBP")) {
			t.Errorf("%s in year zero: %v", kind, got)
		}
	}
	terms.InflationByClass = &InflationByClass{ConstructionPct: math.NaN(), UpkeepPct: 101, IncomePct: -51}
	_, found = NewTimeline(terms)
	wantFields(t, found, "/inflation_by_class/construction_pct", "/inflation_by_class/upkeep_pct", "/inflation_by_class/income_pct")
}

// One rate for every class is the same as one rate for all.
func TestOneRateForEveryClassIsOneRate(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		pct := float64(rapid.IntRange(-300, 1000).Draw(rt, "inflation")) / 100
		frame := timeline(t, 10, 3.5, pct)
		byClass := frame
		var none problems
		byClass.index = priceLevels(&none, TimelineTerms{HorizonYears: 10, InflationByClass: &InflationByClass{pct, pct, pct}})
		one, other := frame.NewLedger(), byClass.NewLedger()
		for range rapid.IntRange(0, 20).Draw(rt, "entries") {
			month, kind := rapid.IntRange(-1, 119).Draw(rt, "month"), rapid.SampledFrom(kinds[:]).Draw(rt, "kind")
			amount := ofMinor(rapid.Int64Range(0, 1e8).Draw(rt, "amount"), frame.currency)
			one.Add(month, kind, amount)
			other.Add(month, kind, amount)
		}
		if a, b := closed(t, one), closed(t, other); !a.NetPresentValue.Equal(b.NetPresentValue) || !a.Net.Equal(b.Net) {
			rt.Fatalf("%v and %v", a.NetPresentValue, b.NetPresentValue)
		}
	})
}

// The declining schedule of the Northern Ireland Department of Finance,
// step-by-step economic appraisal guidance, para 2.8.4, as a document gives it,
// has the factors of the same schedule in decimals; year 40: 0.2651.
func TestDecliningBandsAreTheSchedule(t *testing.T) {
	bands := []DiscountBand{{1, 3.5}, {31, 3}, {76, 2.5}, {126, 2}, {201, 1.5}, {301, 1}}
	d, found := DecliningDiscounting(bands, 100)
	mustNot(t, found)
	if got := factor(t, d, 40); !got.Round(4).Equal(dec("0.2651")) {
		t.Errorf("year 40: %v, want 0.2651", got)
	}
	if got := factor(t, d, 100); !got.Round(4).Equal(dec("0.0508")) {
		t.Errorf("year 100: %v, want 0.0508", got)
	}
	_, found = DecliningDiscounting([]DiscountBand{{2, 3.5}, {2, math.NaN()}}, 100)
	wantFields(t, found, "/discount_bands/1/rate_pct", "/discount_bands/0/from_year", "/discount_bands/1/from_year")
	_, found = DecliningDiscounting(nil, 100)
	wantFields(t, found, "/discount_bands")
	_, found = DecliningDiscounting(make([]DiscountBand, maxYears+1), 100)
	wantFields(t, found, "/discount_bands")
}

// Practical Guide to the Green Book, Appendix 3, A3.23–A3.24: costs of 3.0, 4.0
// and 5.0 million over weighted scores of 790, 1,250 and 1,480 are 3,797, 3,200
// and 3,378 a point; the extra over the first, for 460 and 690 points more,
// 2,174 and 2,899. To the pound. The same division gives the cost of each
// playable month gained.
func TestCostPerPointIsPublished(t *testing.T) {
	for _, c := range []struct{ cost, points, want string }{
		{"3000000", "790", "3797"},
		{"4000000", "1250", "3200"},
		{"5000000", "1480", "3378"},
		{"1000000", "460", "2174"},
		{"2000000", "690", "2899"},
	} {
		got, err := money(t, c.cost, "GBP").Div(dec(c.points))
		if err != nil || !got.Amount().Round(0).Equal(dec(c.want)) {
			t.Errorf("%s over %s: %v (%v), published %s", c.cost, c.points, got, err, c.want)
		}
	}
	if _, err := money(t, "1.00", "GBP").Div(dec("0")); err == nil {
		t.Error("an amount was divided by nothing")
	}
	if _, err := money(t, "1.00", "GBP").Div(dec("1e-39")); err == nil {
		t.Error("a quotient beyond 12 digits was taken")
	}
}
