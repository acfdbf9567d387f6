package costs

import (
	"math"
	"testing"
)

func TestBorderRounds(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{
		{0, "0"}, {0.1 + 0.2, "0.3"}, {2.0005, "2.001"}, {-2.0005, "-2.001"}, {1e9, "1000000000"}, {1e-300, "0"}, {math.Copysign(0, -1), "0"},
	} {
		got, err := Quantity(c.x)
		if err != nil || !got.Equal(dec(c.want)) {
			t.Errorf("Quantity(%v) = %v (%v), want %s", c.x, got, err, c.want)
		}
	}
	if got, err := Percent(17.50005); err != nil || !got.Equal(dec("17.5001")) {
		t.Errorf("Percent(17.50005) = %v (%v)", got, err)
	}
}

func TestBorderRefusesWhatIsNoNumber(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -1.1e9} {
		if got, err := Quantity(x); err == nil {
			t.Errorf("Quantity(%v) = %v", x, got)
		}
		if got, err := Percent(x); err == nil {
			t.Errorf("Percent(%v) = %v", x, got)
		}
		if got, ok := shareParts(x); ok {
			t.Errorf("shareParts(%v) = %v", x, got)
		}
	}
}

func TestPricesLeaveAsFloats(t *testing.T) {
	item := PriceItem{Low: "1.50", Likely: "2", High: "3.25"}
	if got, ok := item.ThreePoint(); !ok || got != (ThreePoint{1.5, 2, 3.25}) {
		t.Errorf("three points %v, %v", got, ok)
	}
	item.High = "1e3"
	if got, ok := item.ThreePoint(); ok {
		t.Errorf("an exponent left as %v", got)
	}
	if got := money(t, "12.34", "GBP").Float(); got != 12.34 {
		t.Errorf("12.34 left as %v", got)
	}
}
