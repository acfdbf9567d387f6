package outline

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"
)

// rowMM is the height of a row of the table of runs.
const rowMM = 4.1

// mostSpotLabels is how many spot levels are written out before the plan would
// be more figures than drawing.
const mostSpotLabels = 60

// tag is the short name of a run on the plan: L3 for lateral_3.
func tag(run *Run) string {
	_, number, _ := strings.Cut(run.ID, "_")
	return strings.ToUpper(run.Kind[:1]) + number
}

// label writes lengths and levels beside the runs: the mains and the outlet
// first, so that they have the best places.
func (p *plan) label() {
	for _, kind := range []string{Main, Outfall, Edge, Lateral} {
		for i := range p.layout.Runs {
			run := &p.layout.Runs[i]
			if run.Kind == kind {
				p.labelRun(run)
			}
		}
	}
	if len(p.shape.levels) > mostSpotLabels {
		return
	}
	for _, l := range p.shape.levels {
		at := p.paper(l.at)
		p.place(fmt.Sprintf("%.2f", l.levelM), 2.1, "#666", []orb.Point{
			{at[0], at[1] - 2}, {at[0], at[1] + 2.2}, {at[0] + 4, at[1]}, {at[0] - 4, at[1]},
		}, 1)
	}
}

func (p *plan) labelRun(run *Run) {
	points := make([]orb.Point, len(run.Points))
	for i, at := range run.Points {
		points[i] = p.paper(minus(orb.Point{at.XM, at.YM}, p.shape.shift))
	}
	text := fmt.Sprintf("%s: %.1f m", tag(run), run.LengthM)
	if run.Kind == Outfall {
		text += " to outfall"
	}
	size, away := 2.6, 2.3
	if run.Kind == Main || run.Kind == Outfall {
		size, away = 2.9, 2.8
	}
	var places []orb.Point
	for _, share := range []float64{0.55, 0.65, 0.75, 0.3, 0.2, 0.85, 0.1} {
		at, d, ok := alongPath(points, share)
		if !ok {
			at, d = points[0], orb.Point{1, 0}
			text, share = tag(run), 0
		}
		n := left(d)
		// A label is wider than it is high: it needs more room beside a
		// steep line than above a flat one.
		reach := away + 0.5*size*0.55*float64(len(text))*math.Abs(n[0])
		for _, hand := range [2]float64{1, -1} {
			places = append(places, orb.Point{at[0] + hand*reach*n[0], at[1] + hand*reach*n[1]})
		}
	}
	p.place(text, size, "#000", places, 6)
	if run.Kind == Main {
		p.levelAt(points[0], run.StartInvertM)
	}
	if run.Kind == Main || run.Kind == Outfall {
		p.levelAt(points[len(points)-1], run.EndInvertM)
	}
}

// writtenLevel remembers a level that is on the plan: both arms of a perimeter
// main start from the same one.
type writtenLevel struct {
	text string
	at   orb.Point
}

// levelAt writes an invert level beside the end of a main.
func (p *plan) levelAt(at orb.Point, level float64) {
	text := fmt.Sprintf("invert %.2f", level)
	const sameMM = 0.5
	written := slices.ContainsFunc(p.levels, func(l writtenLevel) bool { return l.text == text && between(l.at, at) < sameMM })
	if written || !(box{at[0], at[1], at[0], at[1]}).within(p.plot) {
		return
	}
	p.levels = append(p.levels, writtenLevel{text, at})
	var places []orb.Point
	for _, d := range []orb.Point{{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
		places = append(places, orb.Point{at[0] + 9*d[0], at[1] + 3.6*d[1]})
	}
	p.place(text, 2.5, "#000", places, 6)
}

// place writes a text at the best of some places: one that meets no other
// label, then one that crosses the fewest lines. A label that would meet
// another everywhere is left out, as the table has it too; so is one that
// crosses more lines than it may.
func (p *plan) place(text string, size float64, colour string, places []orb.Point, mostLines int) {
	const charWidth = 0.55 // of the type size, on average
	half := orb.Point{charWidth*size*float64(len([]rune(text)))/2 + 0.4, size/2 + 0.2}
	best, bestLines := -1, mostLines+1
	for i, at := range places {
		b := box{at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1]}
		if !b.within(p.plot) || p.taken(b) {
			continue
		}
		lines := 0
		for j := range p.lines {
			if b.crosses(&p.lines[j]) {
				lines++
			}
		}
		if lines < bestLines {
			best, bestLines = i, lines
		}
	}
	if best < 0 {
		return
	}
	at := places[best]
	p.labels = append(p.labels, box{at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1]})
	p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"%g\" text-anchor=\"middle\" fill=\"%s\" stroke=\"#fff\" stroke-width=\"0.7\" stroke-linejoin=\"round\" paint-order=\"stroke\">%s</text>\n",
		at[0], at[1]+0.36*size, size, colour, html.EscapeString(text))
}

func (p *plan) taken(b box) bool {
	for _, other := range p.labels {
		if b.overlaps(other) {
			return true
		}
	}
	return false
}

// compass draws north, and the fall of the surface when it is known.
func (p *plan) compass(plane *Plane) {
	at := orb.Point{p.plot.left + 10, p.plot.top + 12}
	direction, caption := p.shape.direction(0), "N"
	if p.shape.place == nil {
		caption = "y (north not given)"
	}
	p.pointer(at, direction, caption)
	p.labels = append(p.labels, box{p.plot.left, p.plot.top, p.plot.left + 30, p.plot.top + 24})
	if plane == nil || plane.FallBearingDeg == nil {
		return
	}
	p.labels = append(p.labels, box{p.plot.left + 30, p.plot.top, p.plot.left + 46, p.plot.top + 24})
	p.pointer(orb.Point{p.plot.left + 34, p.plot.top + 12}, p.shape.direction(*plane.FallBearingDeg),
		fmt.Sprintf("falls %.1f %%", plane.FallPct))
}

// pointer draws an arrow in a direction of the ground, with a caption below.
func (p *plan) pointer(at, direction orb.Point, caption string) {
	d := orb.Point{direction[0], -direction[1]} // paper's y runs down
	n := left(d)
	point := func(along, across float64) orb.Point {
		return orb.Point{at[0] + along*d[0] + across*n[0], at[1] + along*d[1] + across*n[1]}
	}
	p.printf("<path d=\"%s\" fill=\"#000\"/>\n", pathData([]orb.Point{point(7, 0), point(-6, 2.2), point(-4, 0)}, true))
	p.printf("<path d=\"%s\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.3\"/>\n", pathData([]orb.Point{point(7, 0), point(-6, -2.2), point(-4, 0)}, true))
	p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.7\" text-anchor=\"middle\">%s</text>\n", at[0], at[1]+11, html.EscapeString(caption))
}

// foot draws the scale bar and the key.
func (p *plan) foot() {
	top := p.plot.bottom + 7
	unit := 5.0 // metres a division
	if p.scale <= 100 {
		unit = 2
	} else if p.scale > 500 {
		unit = 20
	}
	k := 1000 / p.scale
	for i := range 4 {
		fill := "#000"
		if i%2 == 1 {
			fill = "#fff"
		}
		p.printf("<rect x=\"%.2f\" y=\"%.2f\" width=\"%.2f\" height=\"1.8\" fill=\"%s\" stroke=\"#000\" stroke-width=\"0.25\"/>\n",
			p.plot.left+float64(i)*unit*k, top, unit*k, fill)
	}
	for i := range 5 {
		text := fmt.Sprintf("%g", float64(i)*unit)
		if i == 4 {
			text += " m"
		}
		p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.5\" text-anchor=\"middle\">%s</text>\n", p.plot.left+float64(i)*unit*k, top+5, text)
	}
	x := p.plot.left
	for _, entry := range []struct{ kind, words string }{
		{Main, "main (M)"}, {Lateral, "lateral (L)"}, {Edge, "edge run (E)"}, {Outfall, "outfall (O)"},
	} {
		if !p.has(entry.kind) {
			continue
		}
		p.printf("<path d=\"M%.2f %.2fh12\" %s/>\n", x, top+11, strokes(entry.kind))
		p.printf("<text x=\"%.2f\" y=\"%.2f\">%s</text>\n", x+14, top+11.9, entry.words)
		x += 42
	}
	p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.4\" fill=\"#444\">%s</text>\n", p.plot.left, top+17, p.levelsNote())
	p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.4\" fill=\"#444\">Arrows show the flow. Find buried services before digging; support trenches as local safety rules require.</text>\n", p.plot.left, top+20.5)
}

func (p *plan) has(kind string) bool {
	return slices.ContainsFunc(p.layout.Runs, func(r Run) bool { return r.Kind == kind })
}

func (p *plan) levelsNote() string {
	switch p.layout.LevelBasis {
	case "spot_levels":
		return "Levels in metres, in the datum of the spot levels, from the plane fitted through them."
	case "stated_fall":
		return "Levels in metres from the surface at the middle of the green, by the stated fall."
	}
	return "Levels in metres from a surface taken as level: no spot levels were given."
}

// table lists every run with its length, fall, levels and depth of trench.
func (p *plan) table() {
	x := p.plot.right + 6
	columns := []struct {
		head string
		at   float64
	}{{"Run", x}, {"Length m", x + 28}, {"Fall %", x + 42}, {"Invert from", x + 60}, {"to", x + 75}, {"Depth mm", x + 93}}
	y := headMM + 4.0
	cell := func(i int, y float64, text, weight string) {
		anchor := "end"
		if i == 0 {
			anchor = "start"
		}
		p.printf("<text x=\"%.2f\" y=\"%.2f\" text-anchor=\"%s\"%s>%s</text>\n", columns[i].at, y, anchor, weight, text)
	}
	for i, c := range columns {
		cell(i, y, c.head, ` font-weight="bold" font-size="2.5"`)
	}
	p.printf("<path d=\"M%.2f %.2fH%.2f\" stroke=\"#000\" stroke-width=\"0.3\"/>\n", x, y+1.2, x+93)
	for i := range p.layout.Runs {
		run := &p.layout.Runs[i]
		y += rowMM
		weight := ""
		if p.refused(run.ID) {
			weight = ` font-weight="bold"`
		}
		for c, text := range []string{
			tag(run) + into(p.layout, run), fmt.Sprintf("%.1f", run.LengthM), fmt.Sprintf("%.2f", run.FallPct),
			fmt.Sprintf("%.3f", run.StartInvertM), fmt.Sprintf("%.3f", run.EndInvertM), fmt.Sprintf("%.0f", run.GreatestDepthMM),
		} {
			cell(c, y, text, weight)
		}
	}
	p.printf("<path d=\"M%.2f %.2fH%.2f\" stroke=\"#000\" stroke-width=\"0.3\"/>\n", x, y+1.2, x+93)
	cell(0, y+rowMM+0.6, "All runs", ` font-weight="bold"`)
	cell(1, y+rowMM+0.6, fmt.Sprintf("%.1f", p.layout.PipeM), ` font-weight="bold"`)
	p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.4\" fill=\"#444\">Depth of trench below the formation; of the outfall below the ground.</text>\n", x, y+2*rowMM+0.6)
	if len(p.layout.Refused) > 0 {
		p.printf("<text x=\"%.2f\" y=\"%.2f\" font-size=\"2.4\" font-weight=\"bold\">Runs in bold cannot be laid as drawn: see the report.</text>\n", x, y+3*rowMM+0.6)
	}
}

func (p *plan) refused(id string) bool {
	for _, r := range p.layout.Refused {
		if r.Run == id {
			return true
		}
	}
	return false
}

// into says which run takes the water.
func into(l *Layout, run *Run) string {
	for i := range l.Runs {
		if l.Runs[i].ID == run.Into {
			return " to " + tag(&l.Runs[i])
		}
	}
	return ""
}
