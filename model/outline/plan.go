package outline

import (
	"fmt"
	"html"
	"strings"

	"github.com/paulmach/orb"
)

// The plan is drawn in millimetres of paper, so that a print at full size is to
// scale and can be measured with a rule.
const (
	pageWidthMM  = 297.0 // A4 on its side; the page grows downwards for a long table
	pageHeightMM = 210.0
	marginMM     = 10.0
	headMM       = 22.0  // title
	footMM       = 30.0  // scale bar, key and notes
	plotWidthMM  = 176.0 // the plan; the table of runs stands to its right
)

// plan is one drawing being made.
type plan struct {
	out      strings.Builder
	shape    *Shape
	layout   *Layout
	scale    float64   // 1 : scale
	origin   orb.Point // local point at the middle of the plot
	middle   orb.Point // of the plot, on paper
	heightMM float64   // of the page
	plot     box
	labels   []box
	levels   []writtenLevel
	lines    []segment // drawn lines on paper, for labels to keep clear of
}

// box is a rectangle on paper.
type box struct{ left, top, right, bottom float64 }

func (b box) overlaps(c box) bool {
	return b.left < c.right && c.left < b.right && b.top < c.bottom && c.top < b.bottom
}

func (b box) within(c box) bool {
	return b.left >= c.left && b.right <= c.right && b.top >= c.top && b.bottom <= c.bottom
}

// crosses says whether the segment passes through the box: it does when it
// comes nearer to the middle than the box reaches that way.
func (b box) crosses(s *segment) bool {
	from, to := 0.0, s.length
	from, to = band(from, to, s.ux, s.a[0], b.left, b.right)
	from, to = band(from, to, s.uy, s.a[1], b.top, b.bottom)
	return from < to
}

// DrawPlan draws a layout as an SVG document: outline, drains, outfall, levels
// and lengths, with a scale bar, north and a table of the runs. The title is
// printed as given.
func (s *Shape) DrawPlan(layout *Layout, plane *Plane, title string) string {
	p := &plan{shape: s, layout: layout}
	p.fit()
	p.head(title)
	p.ground()
	for i := range layout.Runs {
		p.run(&layout.Runs[i])
	}
	p.spots()
	p.compass(plane)
	p.label()
	p.foot()
	p.table()
	p.out.WriteString("</svg>\n")
	return p.out.String()
}

func (p *plan) printf(format string, args ...any) { fmt.Fprintf(&p.out, format, args...) }

// fit chooses the largest usual scale at which the green fits the plot.
func (p *plan) fit() {
	low, high := p.reach(p.shape.bounds())
	p.origin = orb.Point{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}
	p.heightMM = max(pageHeightMM, headMM+footMM+float64(len(p.layout.Runs)+4)*rowMM)
	p.plot = box{marginMM, headMM, marginMM + plotWidthMM, pageHeightMM - footMM}
	p.middle = orb.Point{(p.plot.left + p.plot.right) / 2, (p.plot.top + p.plot.bottom) / 2}
	const clearMM = 8 // round the green, for labels
	for _, scale := range []float64{50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 2500} {
		p.scale = scale
		if (high[0]-low[0])*1000/scale <= plotWidthMM-2*clearMM && (high[1]-low[1])*1000/scale <= p.plot.bottom-p.plot.top-2*clearMM {
			break
		}
	}
}

// reach widens the bounds to take in the end of the outfall when it is near;
// else its pipe is cut off at the edge of the plot.
func (p *plan) reach(low, high orb.Point) (orb.Point, orb.Point) {
	const nearM = 12
	for _, run := range p.layout.Runs {
		end := minus(orb.Point{run.End.XM, run.End.YM}, p.shape.shift)
		wider := [2]orb.Point{
			{min(low[0], end[0]), min(low[1], end[1])}, {max(high[0], end[0]), max(high[1], end[1])},
		}
		if run.Kind == Outfall && between(wider[0], low)+between(wider[1], high) <= nearM {
			return wider[0], wider[1]
		}
	}
	return low, high
}

// paper turns a local point into millimetres on paper, y downwards.
func (p *plan) paper(at orb.Point) orb.Point {
	k := 1000 / p.scale
	return orb.Point{p.middle[0] + k*(at[0]-p.origin[0]), p.middle[1] - k*(at[1]-p.origin[1])}
}

func (p *plan) head(title string) {
	l := p.layout
	kind := map[string]string{Herringbone: "herringbone", PerimeterMain: "perimeter main"}[l.Kind]
	p.printf(`<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="plan-title plan-desc" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="Helvetica, Arial, sans-serif" font-size="2.7" fill="#111">`+"\n",
		pageWidthMM, p.heightMM, pageWidthMM, p.heightMM)
	p.printf("<title id=\"plan-title\">%s</title>\n", html.EscapeString(title))
	p.printf("<desc id=\"plan-desc\">Plan of a %s layout: %.1f m of main, %.1f m of laterals and %.1f m of edge runs within the outline of the green.</desc>\n",
		kind, l.MainM, l.LateralM, l.EdgeM)
	p.printf("<rect width=\"%g\" height=\"%g\" fill=\"#fff\"/>\n", pageWidthMM, p.heightMM)
	p.printf("<clipPath id=\"plot\"><rect x=\"%g\" y=\"%g\" width=\"%g\" height=\"%g\"/></clipPath>\n",
		p.plot.left, p.plot.top, p.plot.right-p.plot.left, p.plot.bottom-p.plot.top)
	p.printf("<text x=\"%g\" y=\"12\" font-size=\"5\" font-weight=\"bold\">%s</text>\n", marginMM, html.EscapeString(title))
	p.printf("<text x=\"%g\" y=\"17.5\" font-size=\"3.2\" fill=\"#444\">Drain layout, %s. Laterals at %.2f m centres. Scale 1:%g at full size. Not for tender.</text>\n",
		marginMM, kind, l.SpacingM, p.scale)
}

// path writes the points of a line as path data.
func pathData(points []orb.Point, closed bool) string {
	var b strings.Builder
	for i, at := range points {
		letter := 'L'
		if i == 0 {
			letter = 'M'
		}
		fmt.Fprintf(&b, "%c%.2f %.2f", letter, at[0], at[1])
	}
	if closed {
		b.WriteString("Z")
	}
	return b.String()
}

// ground draws the green and leaves its holes white.
func (p *plan) ground() {
	var data strings.Builder
	for _, r := range p.shape.rings {
		points := make([]orb.Point, len(r.at))
		for i, at := range r.at {
			points[i] = p.paper(at)
			if i > 0 {
				p.lines = append(p.lines, newSegment(points[i-1], points[i]))
			}
		}
		data.WriteString(pathData(points, true))
	}
	p.printf("<path d=\"%s\" fill=\"#eef0ea\" fill-rule=\"evenodd\" stroke=\"#555\" stroke-width=\"0.35\"/>\n", data.String())
}

// strokes tells the kinds of run apart by weight and dash, never by colour
// alone.
func strokes(kind string) string {
	switch kind {
	case Main:
		return `stroke="#000" stroke-width="1.1"`
	case Edge:
		return `stroke="#000" stroke-width="0.6" stroke-dasharray="2.4 1.1"`
	case Outfall:
		return `stroke="#000" stroke-width="1.1" stroke-dasharray="3.5 1 0.8 1"`
	}
	return `stroke="#333" stroke-width="0.5"`
}

func (p *plan) run(run *Run) {
	points := make([]orb.Point, len(run.Points))
	for i, at := range run.Points {
		points[i] = p.paper(minus(orb.Point{at.XM, at.YM}, p.shape.shift))
		if i > 0 {
			p.lines = append(p.lines, newSegment(points[i-1], points[i]))
		}
	}
	p.printf("<path d=\"%s\" fill=\"none\" stroke-linejoin=\"round\" %s clip-path=\"url(#plot)\"/>\n", pathData(points, false), strokes(run.Kind))
	p.arrow(points, run.Kind)
	if run.Into == "" {
		end := points[len(points)-1]
		p.printf("<circle cx=\"%.2f\" cy=\"%.2f\" r=\"1.3\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"0.5\" clip-path=\"url(#plot)\"/>\n", end[0], end[1])
	}
}

// arrow shows which way the water runs, four tenths of the way along.
func (p *plan) arrow(points []orb.Point, kind string) {
	at, d, ok := alongPath(points, 0.4)
	if !ok {
		return
	}
	n := left(d)
	long, wide := 2.0, 0.8
	if kind == Main || kind == Outfall {
		long, wide = 3.6, 1.6
	}
	tip := orb.Point{at[0] + d[0]*long/2, at[1] + d[1]*long/2}
	back := orb.Point{at[0] - d[0]*long/2, at[1] - d[1]*long/2}
	p.printf("<path d=\"%s\" fill=\"#000\" clip-path=\"url(#plot)\"/>\n", pathData([]orb.Point{
		tip,
		{back[0] + n[0]*wide, back[1] + n[1]*wide},
		{back[0] - n[0]*wide, back[1] - n[1]*wide},
	}, true))
}

// alongPath gives the place a share of the way along a path and the direction
// there; it is false when the path is too short to carry a mark.
func alongPath(points []orb.Point, share float64) (at, direction orb.Point, ok bool) {
	total := 0.0
	for i := 1; i < len(points); i++ {
		total += between(points[i-1], points[i])
	}
	if total < 4 {
		return orb.Point{}, orb.Point{}, false
	}
	want := share * total
	for i := 1; i < len(points); i++ {
		s := newSegment(points[i-1], points[i])
		if want <= s.length && s.length > 0 {
			return s.at(want), orb.Point{s.ux, s.uy}, true
		}
		want -= s.length
	}
	return orb.Point{}, orb.Point{}, false
}

// spots marks the spot levels.
func (p *plan) spots() {
	for _, l := range p.shape.levels {
		at := p.paper(l.at)
		p.printf("<path d=\"M%.2f %.2fh1.6m-0.8 -0.8v1.6\" stroke=\"#777\" stroke-width=\"0.25\" fill=\"none\" clip-path=\"url(#plot)\"/>\n", at[0]-0.8, at[1])
	}
}
