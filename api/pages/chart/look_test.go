package chart

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// deficiencies are the matrices, on linear RGB, by which G. M. Machado, M. M.
// Oliveira and L. A. F. Fernandes (2009, "A physiologically-based model for
// simulation of color vision deficiency", IEEE Transactions on Visualization and
// Computer Graphics 15:1291 to 1298) simulate the complete forms of the three
// common deficiencies.
var deficiencies = map[string][9]float64{
	"none": {1, 0, 0, 0, 1, 0, 0, 0, 1},
	"protanopia": {
		0.152286, 1.052583, -0.204868,
		0.114503, 0.786281, 0.099216,
		-0.003882, -0.048116, 1.051998,
	},
	"deuteranopia": {
		0.367322, 0.860646, -0.227968,
		0.280085, 0.672501, 0.047413,
		-0.011820, 0.042940, 0.968881,
	},
	"tritanopia": {
		1.255528, -0.076749, -0.178779,
		-0.078411, 0.930809, 0.147602,
		0.004733, 0.691367, 0.303900,
	},
}

// seen gives a colour in CIE L*a*b* (D65) as it is seen.
func seen(colour string, by [9]float64) [3]float64 {
	r, g, b := channels(colour)
	in := [3]float64{linear(r), linear(g), linear(b)}
	var rgb [3]float64
	for i := range rgb {
		rgb[i] = min(1, max(0, by[3*i]*in[0]+by[3*i+1]*in[1]+by[3*i+2]*in[2]))
	}
	f := func(t float64) float64 {
		if t > 0.008856 {
			return math.Cbrt(t)
		}
		return 7.787*t + 16.0/116
	}
	x := f((0.4124*rgb[0] + 0.3576*rgb[1] + 0.1805*rgb[2]) / 0.9505)
	y := f(0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2])
	z := f((0.0193*rgb[0] + 0.1192*rgb[1] + 0.9505*rgb[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// mostLines is how many series a chart of lines shows; areas show more and are
// told apart by their hatching.
const mostLines = 5

// TestLinesAreToldApart with every common deficiency of colour vision: 20 units of
// L*a*b* are some ten just noticeable differences. In grey the dashes and markers
// must do, so that no two are alike.
func TestLinesAreToldApart(t *testing.T) {
	const least = 20
	for name, by := range deficiencies {
		for i := range mostLines {
			for j := range i {
				if d := distance(seen(looks[i].colour, by), seen(looks[j].colour, by)); d < least {
					t.Errorf("%s: %s and %s are %.0f apart, less than %d", name, looks[i].colour, looks[j].colour, d, least)
				}
			}
		}
	}
	lines, areas := map[string]int{}, map[hatch]int{}
	for i, l := range looks {
		if i < mostLines {
			lines[fmt.Sprint(l.dash, l.marker)]++
		}
		areas[l.hatch]++
	}
	if len(lines) != mostLines || len(areas) != Looks || len(looks) != Looks {
		t.Errorf("%d kinds of line and %d of area are told apart without colour", len(lines), len(areas))
	}
}

// TestLinesAreSeenOnPaper: 3 to 1 against white for what is drawn (WCAG 2.2,
// criterion 1.4.11) and 4.5 to 1 for what is written (1.4.3).
func TestLinesAreSeenOnPaper(t *testing.T) {
	against := func(colour string) float64 { return 1.05 / (luminance(colour) + 0.05) }
	for _, l := range looks[:mostLines] {
		if got := against(l.colour); got < 3 {
			t.Errorf("%s stands %.1f to 1 against paper", l.colour, got)
		}
	}
	for _, colour := range []string{ink, soft, warning} {
		if got := against(colour); got < 4.5 {
			t.Errorf("text of %s stands %.1f to 1 against paper", colour, got)
		}
	}
}

// TestHatchingKeepsToItsRectangle: no line of a hatching leaves the rectangle, and
// every rectangle of some size has some.
func TestHatchingKeepsToItsRectangle(t *testing.T) {
	point := regexp.MustCompile(`[ML](-?[0-9.]+) (-?[0-9.]+)`)
	along := regexp.MustCompile(`H(-?[0-9.]+)`)
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(0, 300).Draw(t, "x"), rapid.Float64Range(0, 300).Draw(t, "y")
		in := box{x, y, x + rapid.Float64Range(0, 200).Draw(t, "w"), y + rapid.Float64Range(0, 20).Draw(t, "h")}
		for h := solid; h <= grains; h++ {
			path := hatching(h, in)
			for _, found := range point.FindAllStringSubmatch(path, -1) {
				px, _ := strconv.ParseFloat(found[1], 64)
				py, _ := strconv.ParseFloat(found[2], 64)
				if px < in.left-0.06 || px > in.right+0.06 || py < in.top-0.06 || py > in.bottom+0.06 {
					t.Fatalf("hatch %d of %v reaches %g, %g", h, in, px, py)
				}
			}
			for _, found := range along.FindAllStringSubmatch(path, -1) {
				if px, _ := strconv.ParseFloat(found[1], 64); px < in.left-0.06 || px > in.right+0.06 {
					t.Fatalf("hatch %d of %v reaches %g", h, in, px)
				}
			}
			if h != solid && h != open && in.right-in.left > 14 && in.bottom-in.top > 9 && path == "" {
				t.Fatalf("hatch %d of %v is empty", h, in)
			}
		}
	})
}
