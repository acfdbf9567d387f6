// Package chart draws the charts of the pages as SVG: a few shapes, each with its
// title, its description and the table of figures behind it. It knows nothing of
// greens or money; whoever calls it says how a value is written.
//
// A drawing is 360 units wide, so that its text can be read at the width of a
// telephone and in half a column of print. What colour tells, dash, marker or
// hatching and a label beside it tell as well: a drawing can be read in grey and
// by readers who do not tell colours apart. Nothing in a drawing is a style
// attribute or element, so that it can stand in a page whose content policy
// refuses those.
package chart

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
)

// Drawing is a chart that has been drawn.
type Drawing struct {
	ID    string
	Title string
	// Summary says in a sentence or two what the chart shows.
	Summary string
	// SVG is the drawing, safe to put into a page.
	SVG string
	// Table is what the drawing was made from.
	Table Table

	canvas *canvas
}

// Table holds figures as they are written.
type Table struct {
	Head []string
	Rows [][]string // the first cell of each names the row
}

// The measures of a drawing, in its own units.
const (
	width      = 360.0
	textSize   = 12.0
	smallSize  = 11.0
	lineHeight = 14.0
	edge       = 4.0 // kept clear on every side
)

// The colours of what is no series.
const (
	ink     = "#1f2421"
	soft    = "#545b56"
	faint   = "#d9d5c9"
	paper   = "#ffffff"
	warning = "#8a3b12"
)

// look is how a series is told from others: by colour, by lightness, by dash and
// marker on a line, by hatching in an area.
type look struct {
	colour string
	dash   string
	marker marker
	hatch  hatch
}

type marker int

const (
	disc marker = iota
	square
	diamond
	triangle
	ring
)

type hatch int

const (
	solid hatch = iota
	rising
	dots
	falling
	level
	cross
	open
	grains
)

// looks are in the order in which series take them. A test holds the colours to
// be told apart with every common deficiency of colour vision, and in grey.
var looks = []look{
	{"#14375e", "", disc, solid},
	{"#96330f", "7 3", square, rising},
	{"#2f9a8a", "2 2.5", diamond, dots},
	{"#b08a1a", "9 3 2 3", triangle, falling},
	{"#8a6fc0", "4 2", ring, level},
	{"#a9c4dc", "1 3", disc, cross},
	{"#f0ece0", "5 5", square, open},
	{"#6b7075", "3 1", diamond, grains},
}

// Looks is how many series can be told apart in one chart.
const Looks = 8

func lookOf(i int) look { return looks[i%len(looks)] }

// box is a rectangle of the drawing.
type box struct{ left, top, right, bottom float64 }

func (b box) overlaps(c box) bool {
	return b.left < c.right && c.left < b.right && b.top < c.bottom && c.top < b.bottom
}

// canvas is a drawing under construction.
type canvas struct {
	id     string
	out    strings.Builder
	height float64
	labels []label // every text, with the room that it takes
}

// label is a text that was written.
type label struct {
	words string
	box
}

// anchor says which point of a text is given.
type anchor string

const (
	start  anchor = "start"
	middle anchor = "middle"
	end    anchor = "end"
)

func (c *canvas) printf(format string, values ...any) { fmt.Fprintf(&c.out, format, values...) }

// num writes a coordinate, to a tenth of a unit.
func num(x float64) string {
	text := strconv.FormatFloat(x, 'f', 1, 64)
	text = strings.TrimSuffix(text, ".0")
	if text == "-0" {
		return "0"
	}
	return text
}

func (c *canvas) line(x1, y1, x2, y2 float64, stroke string, wide float64, more string) {
	c.printf(`<path d="M%s %sL%s %s" stroke="%s" stroke-width="%s" fill="none"%s/>`+"\n", num(x1), num(y1), num(x2), num(y2), stroke, num(wide), more)
}

func (c *canvas) rect(x, y, w, h float64, fill, more string) {
	c.printf(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s"%s/>`+"\n", num(x), num(y), num(max(0, w)), num(max(0, h)), fill, more)
}

// text writes words with their base line at y.
func (c *canvas) text(x, y float64, at anchor, size float64, fill, words, more string) {
	drawn := size
	if strings.Contains(more, bold) {
		drawn *= boldWidening
	}
	room := boxOf(x, y, at, drawn, words)
	room.top, room.bottom = y-ascent*size, y+descent*size
	c.labels = append(c.labels, label{words, room})
	anchored := ""
	if at != start {
		anchored = ` text-anchor="` + string(at) + `"`
	}
	sized := ""
	if size != smallSize {
		sized = ` font-size="` + num(size) + `"`
	}
	coloured := ""
	if fill != ink {
		coloured = ` fill="` + fill + `"`
	}
	c.printf(`<text x="%s" y="%s"%s%s%s%s>%s</text>`+"\n", num(x), num(y), anchored, sized, coloured, more, html.EscapeString(printable(words)))
}

// halo keeps a text readable where lines pass behind it.
const halo = ` paint-order="stroke" stroke="#ffffff" stroke-width="3" stroke-linejoin="round"`

// bold is for what a drawing wants to be seen first.
const bold = ` font-weight="700"`

// area fills a rectangle with a look and its hatching, light on dark and dark on
// light. The hatching is drawn line by line and not as a pattern, which a printer
// turns into pixels.
func (c *canvas) area(x, y, w, h float64, l look, more string) {
	c.rect(x, y, w, h, l.colour, more)
	over := "#ffffff"
	if luminance(l.colour) > 0.4 {
		over = "#3a3f3c"
	}
	if path := hatching(l.hatch, box{x, y, x + w, y + h}); path != "" {
		c.printf(`<path d="%s" stroke="%s"%s fill="none"/>`+"\n", path, over, strokeOf(l.hatch))
	}
}

// strokeOf is how the lines of a hatching are drawn; dots are lines of no length
// with round ends.
func strokeOf(h hatch) string {
	switch h {
	case dots:
		return ` stroke-width="1.8" stroke-linecap="round"`
	case grains:
		return ` stroke-width="1.2" stroke-linecap="square"`
	}
	return ""
}

// hatchStep is the distance between the lines of a hatching.
const hatchStep = 6.0

// hatching is the path of a hatching within a rectangle. It hangs on the drawing
// and not on the rectangle, so that neighbours of one look go on in each other.
func hatching(h hatch, in box) string {
	var b strings.Builder
	stroke := func(x1, y1, x2, y2 float64) {
		b.WriteString("M" + num(x1) + " " + num(y1))
		switch {
		case y1 == y2:
			b.WriteString("H" + num(x2))
		case x1 == x2:
			b.WriteString("V" + num(y2))
		default:
			b.WriteString("L" + num(x2) + " " + num(y2))
		}
	}
	on := func(from, to float64) []float64 {
		var at []float64
		for v := math.Ceil(from/hatchStep) * hatchStep; v < to; v += hatchStep {
			at = append(at, v)
		}
		return at
	}
	switch h {
	case rising: // x + y is constant
		for _, sum := range on(in.left+in.top, in.right+in.bottom) {
			stroke(max(in.left, sum-in.bottom), min(in.bottom, sum-in.left), min(in.right, sum-in.top), max(in.top, sum-in.right))
		}
	case falling: // y − x is constant
		for _, gap := range on(in.top-in.right, in.bottom-in.left) {
			stroke(max(in.left, in.top-gap), max(in.top, in.left+gap), min(in.right, in.bottom-gap), min(in.bottom, in.right+gap))
		}
	case level, cross:
		for _, y := range on(in.top, in.bottom) {
			stroke(in.left, y, in.right, y)
		}
		if h == cross {
			for _, x := range on(in.left, in.right) {
				stroke(x, in.top, x, in.bottom)
			}
		}
	case dots, grains:
		for _, y := range on(in.top+1, in.bottom-1) {
			for i, x := range on(in.left+1, in.right-1) {
				if h == grains && i%2 == 1 {
					continue
				}
				b.WriteString("M" + num(x) + " " + num(y) + "h0")
			}
		}
	}
	return b.String()
}

// mark draws a series' marker.
func (c *canvas) mark(x, y, r float64, l look, more string) {
	switch l.marker {
	case square:
		c.rect(x-r, y-r, 2*r, 2*r, l.colour, more)
	case diamond:
		c.printf(`<path d="M%s %sl%s %sl%s %sl%s %sz" fill="%s"%s/>`+"\n", num(x), num(y-1.3*r), num(1.3*r), num(1.3*r), num(-1.3*r), num(1.3*r), num(-1.3*r), num(-1.3*r), l.colour, more)
	case triangle:
		c.printf(`<path d="M%s %sl%s %sh%sz" fill="%s"%s/>`+"\n", num(x), num(y-1.2*r), num(1.2*r), num(2.2*r), num(-2.4*r), l.colour, more)
	case ring:
		c.printf(`<circle cx="%s" cy="%s" r="%s" fill="#ffffff" stroke="%s" stroke-width="1.5"%s/>`+"\n", num(x), num(y), num(r), l.colour, more)
	default:
		c.printf(`<circle cx="%s" cy="%s" r="%s" fill="%s"%s/>`+"\n", num(x), num(y), num(r), l.colour, more)
	}
}

// drawing closes the canvas. The height is known only now, so that the head is
// written last. Where a reader's type is wider than the one that texts are measured
// with, they may reach a little over the edge rather than be cut.
func (c *canvas) drawing(title, summary string, table Table) Drawing {
	head := fmt.Sprintf(`<svg class="chart" overflow="visible" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title %s-desc" font-family="Helvetica, Arial, 'Liberation Sans', sans-serif" font-size="%s" fill="%s">`+
		"\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n",
		num(width), num(c.height), c.id, c.id, num(smallSize), ink,
		c.id, html.EscapeString(printable(title)), c.id, html.EscapeString(printable(summary)))
	return Drawing{ID: c.id, Title: title, Summary: summary, SVG: head + c.out.String() + "</svg>\n", Table: table, canvas: c}
}

// printable drops what an XML document may not hold.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}
