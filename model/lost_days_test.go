package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/assumption"
)

func anyMonths(most float64) *rapid.Generator[[12]float64] {
	return rapid.Custom(func(t *rapid.T) [12]float64 {
		var out [12]float64
		for i := range out {
			out[i] = rapid.Float64Range(0, most).Draw(t, "month")
		}
		return out
	})
}

func TestSpreadKeepsWhatFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount := rapid.Float64Range(0, 13).Draw(t, "amount")
		weight := anyMonths(100).Draw(t, "weight")
		taken := anyMonths(1).Draw(t, "taken")
		out := spread(amount, weight, taken)
		room := 0.0
		for month := range out {
			if out[month] < 0 || out[month]+taken[month] > 1+1e-9 {
				t.Fatalf("month %d holds %g beside %g", month, out[month], taken[month])
			}
			room += 1 - taken[month]
		}
		if got, want := sum(out), min(amount, room); math.Abs(got-want) > 1e-9 {
			t.Fatalf("spread %g of %g months", got, want)
		}
	})
}

// TestABareFigureComesBack: the lost days filled in behind a bare number of
// months add up to it again.
func TestABareFigureComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		months := rapid.Float64Range(0, 12).Draw(t, "months")
		w := wetness{AirFrostDays: anyMonths(20).Draw(t, "frost"), SurplusMM: anyMonths(150).Draw(t, "surplus")}
		lost := estimateLostDays(months, w, assumption.Defaults())
		if got := lost.monthsPlayable(); math.Abs(got-months) > 1e-9 {
			t.Fatalf("%.6f months came back as %.6f", months, got)
		}
		if !lost.Estimated {
			t.Fatal("not marked as estimated")
		}
	})
}

func TestOnlyTheGreensOwnDaysCanBeBoughtBack(t *testing.T) {
	lost := LostDays{
		WaterloggedGreenDays:  [12]float64{10, 8},
		WaterloggedCourseDays: [12]float64{6, 3},
		FrostDays:             [12]float64{4, 5},
		PolicyDays:            [12]float64{1},
	}
	if got := lost.GreenDays(); got != 18 {
		t.Errorf("green days %g, want 18", got)
	}
	if got := lost.OtherDays(); got != 19 {
		t.Errorf("other days %g, want 19", got)
	}
	want := 12 - 21.0/31 - 16.0/28
	if got := lost.monthsPlayable(); math.Abs(got-want) > 1e-12 {
		t.Errorf("months playable %g, want %g", got, want)
	}
}
