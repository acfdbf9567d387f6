package costs

import (
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// Published paybacks: equal to the places given, and by way of a whole cash
// flow to one decimal.
func TestPaybacksArePublished(t *testing.T) {
	type row struct {
		Source  string
		RatePct float64 `json:"rate_pct,string"`
		Flows   []decimal.Decimal
		Outcome PaybackOutcome
		Places  int32
		Years   string
	}
	for _, r := range load[row](t, "paybacks.json") {
		frame := timeline(t, len(r.Flows)-1, r.RatePct, 0)
		comparison, err := frame.Compare(flowOf(t, frame, r.Flows), closed(t, frame.NewLedger()))
		if err != nil {
			t.Fatal(err)
		}
		cumulative := make([]int64, len(r.Flows))
		for i, year := range comparison.Years {
			cumulative[i] = year.CumulativeDiscounted.minor()
		}
		_, last := deficits(cumulative)
		if got := recoveredAt(cumulative, last, r.Places); !got.Equal(dec(r.Years)) {
			t.Errorf("%s: %v years, published %s", r.Source, got, r.Years)
		}
		if got := comparison.DiscountedPayback; got.Outcome != r.Outcome || *got.Years != recoveredAt(cumulative, last, 1).InexactFloat64() {
			t.Errorf("%s: %+v, published %s", r.Source, got, r.Years)
		}
	}
}

func TestPaybackSaysWhyThereIsNone(t *testing.T) {
	number := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		name       string
		cumulative []int64
		outcome    PaybackOutcome
		years      *float64
		first      *float64
	}{
		{"nothing invested", []int64{0, 0, 5}, NothingInvested, nil, nil},
		{"a gain from the start", []int64{3, 4, 5}, NothingInvested, nil, nil},
		{"never", []int64{-10, -8, -6}, NeverPaysBack, nil, nil},
		{"worse and worse from year 1", []int64{0, -1, -2}, NeverPaysBack, nil, nil},
		{"on the last day", []int64{-10, -5, 0}, PaidBack, number(2), nil},
		{"income first lost, then regained", []int64{0, -4, 4}, PaidBack, number(1.5), nil},
		{"a renewal at the end", []int64{-10, 10, 20, -5}, TurnsNegativeAgain, nil, number(0.5)},
		{"a renewal made good", []int64{-10, 10, -10, 30}, PaidBack, number(2.3), number(0.5)}, // 2.25, half away
		{"half of a tenth", []int64{-5, 95}, PaidBack, number(0.1), nil},                       // 0.05
	} {
		got := newPayback(c.cumulative)
		same := func(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }
		if got.Outcome != c.outcome || !same(got.Years, c.years) || !same(got.FirstRecoveredYears, c.first) || got.Detail == "" {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// More capital never shortens payback, where never paid back counts as longest
// and nothing invested as none.
func TestMoreCapitalNeverShortensPayback(t *testing.T) {
	length := func(p Payback) float64 {
		switch p.Outcome {
		case NothingInvested:
			return 0
		case PaidBack:
			return *p.Years
		default:
			return 1e9
		}
	}
	frame := timeline(t, 15, 3.5, 0)
	yardstick := closed(t, frame.NewLedger())
	finite := 0
	rapid.Check(t, func(rt *rapid.T) {
		yearly := rapid.SliceOfN(rapid.Int64Range(-3_000, 6_000), 15, 15).Draw(rt, "yearly")
		capital := rapid.Int64Range(0, 20_000).Draw(rt, "capital")
		more := rapid.Int64Range(0, 10_000).Draw(rt, "more")
		run := func(capital int64) Comparison {
			flows := []decimal.Decimal{decimal.New(-capital, 0)}
			for _, amount := range yearly {
				flows = append(flows, decimal.New(amount, 0))
			}
			comparison, err := frame.Compare(flowOf(t, frame, flows), yardstick)
			if err != nil {
				rt.Fatal(err)
			}
			return comparison
		}
		less, dearer := run(capital), run(capital+more)
		if length(less.Payback) > length(dearer.Payback) || length(less.DiscountedPayback) > length(dearer.DiscountedPayback) {
			rt.Fatalf("capital %d: %+v; %d more: %+v", capital, less.Payback, more, dearer.Payback)
		}
		if dearer.Payback.Years != nil && less.Payback.Years != nil && more > 0 {
			finite++
		}
	})
	if finite == 0 {
		t.Error("no draw had two paybacks to compare")
	}
}
