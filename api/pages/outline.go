package pages

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"swardcase/model"
	"swardcase/model/outline"
)

// measuresOf are the measures of a green's outline; nil where it has none that
// can be read.
func measuresOf(g model.Green) *outline.Measures {
	if g.Outline == nil {
		return nil
	}
	shape, faults := outline.Read(*g.Outline)
	if len(faults) > 0 {
		return nil
	}
	measures := shape.Measures()
	return &measures
}

// drawOutline draws the outline of a green on a grid of metres, with its spot
// levels and a scale bar. What it writes are numbers of its own and no text of a
// visitor's, so that it may stand in a page as it is.
func drawOutline(g model.Green) template.HTML {
	if g.Outline == nil || len(g.Outline.Metres) < 4 {
		return ""
	}
	d := newGround(g.Outline.Metres)
	d.grid()
	d.ring(g.Outline.Metres, "green")
	for _, hole := range g.Outline.HolesMetres {
		d.ring(hole, "hole")
	}
	for _, spot := range g.Outline.SpotLevels {
		if spot.XM != nil && spot.YM != nil {
			x, y := d.at(*spot.XM, *spot.YM)
			fmt.Fprintf(&d.out, `<circle class="spot" cx="%.1f" cy="%.1f" r="2"/>`+"\n", x, y)
		}
	}
	d.bar()
	return template.HTML(d.out.String() + "</svg>\n")
}

// ground is a drawing of a piece of ground: so many units to the metre, y upwards
// on the ground and downwards on the page.
type ground struct {
	out               strings.Builder
	low, high         [2]float64
	perMetre, stepM   float64
	width, height, up float64
}

// The drawing is this wide or high, in its own units, with room for the bar below.
const (
	groundUnits = 320.0
	groundEdge  = 10.0
	barRoom     = 34.0
)

func newGround(ring [][]float64) *ground {
	d := &ground{low: [2]float64{math.Inf(1), math.Inf(1)}, high: [2]float64{math.Inf(-1), math.Inf(-1)}}
	for _, point := range ring {
		for axis := range d.low {
			d.low[axis], d.high[axis] = min(d.low[axis], point[axis]), max(d.high[axis], point[axis])
		}
	}
	across, along := d.high[0]-d.low[0], d.high[1]-d.low[1]
	d.perMetre = (groundUnits - 2*groundEdge) / max(across, along, 1)
	d.stepM = 1
	for _, step := range []float64{1, 2, 5, 10, 20, 50} {
		if d.stepM = step; max(across, along)/step <= 12 {
			break
		}
	}
	d.width, d.up = across*d.perMetre+2*groundEdge, along*d.perMetre+2*groundEdge
	d.height = d.up + barRoom
	fmt.Fprintf(&d.out, `<svg class="ground" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.1f %.1f" role="img" aria-label="Outline of the green, %.0f m by %.0f m over all">`+"\n",
		d.width, d.height, across, along)
	return d
}

func (d *ground) at(x, y float64) (across, down float64) {
	return groundEdge + (x-d.low[0])*d.perMetre, d.up - groundEdge - (y-d.low[1])*d.perMetre
}

func (d *ground) grid() {
	var path strings.Builder
	for x := math.Ceil(d.low[0]/d.stepM) * d.stepM; x <= d.high[0]; x += d.stepM {
		across, _ := d.at(x, 0)
		fmt.Fprintf(&path, "M%.1f 0V%.1f", across, d.up)
	}
	for y := math.Ceil(d.low[1]/d.stepM) * d.stepM; y <= d.high[1]; y += d.stepM {
		_, down := d.at(0, y)
		fmt.Fprintf(&path, "M0 %.1fH%.1f", down, d.width)
	}
	fmt.Fprintf(&d.out, `<path class="grid" d="%s"/>`+"\n", path.String())
}

func (d *ground) ring(ring [][]float64, class string) {
	var path strings.Builder
	for i, point := range ring {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		x, y := d.at(point[0], point[1])
		fmt.Fprintf(&path, "%s%.1f %.1f", letter, x, y)
	}
	fmt.Fprintf(&d.out, `<path class="%s" d="%sZ"/>`+"\n", class, path.String())
}

// bar draws a scale bar of five steps of the grid, or as many as fit.
func (d *ground) bar() {
	steps := min(5, math.Floor((d.width-2*groundEdge)/(d.stepM*d.perMetre)))
	if steps < 1 {
		return
	}
	length := steps * d.stepM * d.perMetre
	y := d.up + 10
	fmt.Fprintf(&d.out, `<path class="bar" d="M%.1f %.1fv6h%.1fv-6"/><text x="%.1f" y="%.1f">%.0f m; a square is %.0f m wide</text>`+"\n",
		groundEdge, y, length, groundEdge, y+20, steps*d.stepM, d.stepM)
}
