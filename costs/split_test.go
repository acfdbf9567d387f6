package costs

import (
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// Apportionments worked by hand elsewhere, in a currency without minor units:
// equal. The first has tied fractions; the tie goes to the first in the list.
func TestSplitIsTheLargestRemainder(t *testing.T) {
	type row struct {
		Source  string
		Weights []decimal.Decimal
		Total   string
		Parts   []string
	}
	for _, r := range load[row](t, "largest_remainder.json") {
		parts, err := money(t, r.Total, "JPY").Split(r.Weights)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range r.Parts {
			if !parts[i].Equal(money(t, want, "JPY")) {
				t.Errorf("%s: %s split %v, want %v", r.Source, r.Total, parts, r.Parts)
				break
			}
		}
	}
}

func TestSplitGivesTiesToTheFirst(t *testing.T) {
	third := []decimal.Decimal{dec("1"), dec("1"), dec("1")}
	for _, c := range []struct{ whole, a, b, c string }{
		{"100.00", "33.34", "33.33", "33.33"},
		{"100.01", "33.34", "33.34", "33.33"},
		{"-100.00", "-33.34", "-33.33", "-33.33"},
		{"0.00", "0.00", "0.00", "0.00"},
	} {
		parts, err := money(t, c.whole, "GBP").Split(third)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []string{c.a, c.b, c.c} {
			if !parts[i].Equal(money(t, want, "GBP")) {
				t.Errorf("a third of %s: part %d is %v, want %s", c.whole, i, parts[i], want)
			}
		}
	}
}

func TestSplitRefusesBadWeights(t *testing.T) {
	for _, weights := range [][]decimal.Decimal{nil, {dec("0"), dec("0")}, {dec("1"), dec("-1")}, {decimal.New(1, 2_000_000_000)}} {
		if parts, err := money(t, "1.00", "GBP").Split(weights); err == nil {
			t.Errorf("weights %d split 1.00 into %v", len(weights), parts)
		}
	}
}

// The parts add up to the whole, and none is a whole minor unit from its quota.
func TestSplitConserves(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		whole := drawMoney(rt)
		draws := rapid.SliceOfN(rapid.Int64Range(0, 1_000_000_000), 1, 12).Draw(rt, "weights")
		weights := make([]decimal.Decimal, len(draws))
		sum := decimal.Zero
		for i, d := range draws {
			weights[i] = decimal.New(d, -int32(i%4))
			sum = sum.Add(weights[i])
		}
		parts, err := whole.Split(weights)
		if sum.IsZero() {
			if err == nil {
				rt.Fatal("weights of nothing were taken")
			}
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		total, err := Sum(whole.currency, parts...)
		if err != nil || !total.Equal(whole) {
			rt.Fatalf("%v split into parts of %v (%v)", whole, total, err)
		}
		for i, part := range parts {
			away := part.amount.Mul(sum).Sub(whole.amount.Mul(weights[i])).Abs()
			if away.GreaterThanOrEqual(sum.Shift(-whole.currency.Places())) {
				rt.Fatalf("part %d, %v, is a minor unit or more from its quota", i, part)
			}
		}
	})
}
