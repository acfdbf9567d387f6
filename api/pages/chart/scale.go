package chart

import (
	"math"
	"strconv"
	"strings"
)

// scale maps values onto a stretch of the drawing.
type scale struct{ low, high, from, to float64 }

func (s scale) at(value float64) float64 {
	return s.from + (value-s.low)/(s.high-s.low)*(s.to-s.from)
}

// Ticks are even values that cover a range, in steps of 1, 2, 2.5 or 5 times a
// power of ten: the first is not above the low end, the last not below the high
// one, and there are as many as most allows, or fewer. most is 3 or more: a range
// round nothing needs three.
func Ticks(low, high float64, most int) []float64 {
	if size := max(math.Abs(low), math.Abs(high)); !(high-low > hairbreadth*max(size, hairbreadth)) { // one value, or as good as one
		size = max(size, 1)
		low, high = low-size/2, low+size/2
	}
	step := stepFor((high-low)/float64(most-1), false)
	for {
		first, last := math.Floor(low/step+nearly), math.Ceil(high/step-nearly)
		if count := int(last-first) + 1; count <= most {
			ticks := make([]float64, count)
			for i := range ticks {
				ticks[i] = (first + float64(i)) * step
			}
			return ticks
		}
		step = stepFor(step, true)
	}
}

// hairbreadth is the share of its size below which a range counts as one value.
const hairbreadth = 1e-6

// nearly forgives the rounding of a division: a range that ends on a step needs
// no further tick.
const nearly = 1e-9

// stepFor is the least even step that is not below another, or is above it.
func stepFor(least float64, above bool) float64 {
	power := math.Pow(10, math.Floor(math.Log10(least))-1)
	for {
		for _, lead := range []float64{1, 2, 2.5, 5} {
			step := lead * power
			if step > least*(1+nearly) || !above && step >= least*(1-nearly) {
				return step
			}
		}
		power *= 10
	}
}

// Number writes a value with as many places as a step between values needs, with
// a comma between thousands and a true minus.
func Number(value, step float64) string {
	places := 0
	for p := step; places < 6 && math.Abs(p-math.Round(p)) > 1e-6*math.Max(1, math.Abs(p)); p *= 10 {
		places++
	}
	text := strconv.FormatFloat(math.Abs(value), 'f', places, 64)
	whole, rest, _ := strings.Cut(text, ".")
	for at := len(whole) - 3; at > 0; at -= 3 {
		whole = whole[:at] + "," + whole[at:]
	}
	if rest != "" {
		whole += "." + rest
	}
	if value < 0 && strings.Trim(text, "0.") != "" {
		return "−" + whole
	}
	return whole
}

// luminance is the relative luminance of a colour written as #rrggbb, from 0 to 1
// (WCAG 2.2, definition of relative luminance).
func luminance(colour string) float64 {
	r, g, b := channels(colour)
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

// channels are red, green and blue, from 0 to 1.
func channels(colour string) (r, g, b float64) {
	value, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil {
		panic("chart: not a colour: " + colour) // colours are constants of this package
	}
	return float64(value>>16&255) / 255, float64(value>>8&255) / 255, float64(value&255) / 255
}

func linear(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}
