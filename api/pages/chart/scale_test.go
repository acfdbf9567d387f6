package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestTicksCoverTheRange: whatever the range, the ticks cover it, are even, and
// are no more than asked for.
func TestTicksCoverTheRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		magnitude := math.Pow(10, float64(rapid.IntRange(-3, 9).Draw(t, "power")))
		low := rapid.Float64Range(-1, 1).Draw(t, "low") * magnitude
		high := low + rapid.Float64Range(0, 2).Draw(t, "width")*magnitude
		most := rapid.IntRange(3, 12).Draw(t, "most")
		ticks := Ticks(low, high, most)
		if len(ticks) < 2 || len(ticks) > most {
			t.Fatalf("%d ticks of at most %d: %v", len(ticks), most, ticks)
		}
		step := ticks[1] - ticks[0]
		slack := step * 1e-6
		if ticks[0] > low+slack || ticks[len(ticks)-1] < high-slack {
			t.Fatalf("%v do not cover %g to %g", ticks, low, high)
		}
		for i := 1; i < len(ticks); i++ {
			if math.Abs(ticks[i]-ticks[i-1]-step) > slack {
				t.Fatalf("%v are uneven", ticks)
			}
		}
		lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		even := false
		for _, want := range []float64{1, 2, 2.5, 5, 10} {
			even = even || math.Abs(lead-want) < 1e-6
		}
		if !even {
			t.Fatalf("a step of %g is not 1, 2, 2.5 or 5 times a power of ten", step)
		}
	})
}

func TestNumber(t *testing.T) {
	for _, tt := range []struct {
		value, step float64
		want        string
	}{
		{0, 1, "0"},
		{-0.04, 1, "0"},
		{1234567.4, 1, "1,234,567"},
		{-1000, 500, "−1,000"},
		{2.5, 2.5, "2.5"},
		{0.25, 0.25, "0.25"},
		{999.95, 0.1, "1,000.0"},
		{12, 0.5, "12.0"},
	} {
		if got := Number(tt.value, tt.step); got != tt.want {
			t.Errorf("Number(%g, %g) = %q, want %q", tt.value, tt.step, got, tt.want)
		}
	}
}

// TestTextWidths holds the table to words whose width is known: the sums of the
// advances in the font metrics that it is taken from.
func TestTextWidths(t *testing.T) {
	for words, want := range map[string]float64{
		"":     0,
		"i":    2.22,
		"W":    9.44,
		"0123": 4 * 5.56,
		"£1":   2 * 5.56,
	} {
		if got := textWidth(words, 10); math.Abs(got-want) > 1e-9 {
			t.Errorf("%q is %g wide, want %g", words, got, want)
		}
	}
	if got := fitted("a long name of an option", 10, 60); textWidth(got, 10) > 60 {
		t.Errorf("%q does not fit", got)
	}
	for _, line := range wrapped("several words that have to be broken into lines", 10, 80) {
		if textWidth(line, 10) > 80 {
			t.Errorf("the line %q is too long", line)
		}
	}
}
