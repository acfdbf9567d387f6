package chart

import (
	"math"
	"slices"
	"strings"
)

// Lines is a chart of values against years. Years are whole and follow each
// other from FirstYear on.
type Lines struct {
	ID, Title, Summary string
	FirstYear          int
	// Axis names the values, with their unit; it stands above the axis.
	Axis   string
	Series []Series
	Levels []Level
	Marks  []Mark
	Ranges []Range
	// FadeAfter is the year after which lines are drawn pale, since they are a
	// direction and no promise; 0 for never.
	FadeAfter int
	// Write writes a value beside the axis or a point; step is between values that
	// it must tell apart.
	Write func(value, step float64) string
}

// Series is one line. Label stands at its end, and is cut where it would take more
// than a third of the width. Low and High
// bound the band round it, where it has one.
type Series struct {
	Words, Label string
	Values       []float64
	Low, High    []float64
}

// Level is a value that the lines are held against.
type Level struct {
	Words string
	Value float64
}

// Mark is a point of a series that is worth a ring, and perhaps words.
type Mark struct {
	Series int
	X, Y   float64
	Words  string
}

// Range is how far the value of a series may move in one year.
type Range struct {
	Series, Year int
	Low, High    float64
}

// The measures of the plot.
const (
	plotTop    = 38.0
	plotHeight = 190.0
	axisRoom   = 34.0 // below the plot, for the years and what they are
	labelGap   = 6.0
	mostTicks  = 7
)

// linesPlot is one chart of lines being drawn.
type linesPlot struct {
	canvas
	Lines
	x, y  scale
	ticks []float64
	looks []look
}

// Draw draws the chart.
func (l Lines) Draw() Drawing {
	p := &linesPlot{canvas: canvas{id: l.ID, height: plotTop + plotHeight + axisRoom}, Lines: l}
	p.Series = slices.Clone(l.Series)
	for i := range p.Series {
		p.looks = append(p.looks, lookOf(i))
		p.Series[i].Label = fittedBold(p.Series[i].Label, smallSize, width/3)
	}
	p.frame()
	p.axes()
	p.fadeLabel()
	for i := range l.Series {
		p.band(i)
	}
	for i := range slices.Backward(l.Series) { // the first lies on top
		p.path(i)
	}
	for _, r := range l.Ranges {
		p.whisker(r)
	}
	p.levels()
	p.endLabels()
	p.marks()
	return p.drawing(l.Title, l.Summary, l.table())
}

func (l Lines) years() int {
	most := 0
	for _, s := range l.Series {
		most = max(most, len(s.Values))
	}
	return most
}

// span is the range of everything that is drawn.
func (l Lines) span() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(values ...float64) {
		for _, v := range values {
			low, high = min(low, v), max(high, v)
		}
	}
	for _, s := range l.Series {
		take(s.Values...)
		take(s.Low...)
		take(s.High...)
	}
	for _, level := range l.Levels {
		take(level.Value)
	}
	for _, r := range l.Ranges {
		take(r.Low, r.High)
	}
	if low > high {
		return 0, 1
	}
	return low, high
}

// frame settles the scales: the axis takes the room of its widest value, the
// labels at the ends of the lines that of the longest.
func (p *linesPlot) frame() {
	low, high := p.span()
	p.ticks = Ticks(low, high, mostTicks)
	widest := 0.0
	for _, tick := range p.ticks {
		widest = max(widest, textWidth(p.Write(tick, p.step()), smallSize))
	}
	longest := 0.0
	for i, s := range p.Series {
		if i == 0 { // which is set in bold
			longest = boldWidening * textWidth(s.Label, smallSize)
		}
		longest = max(longest, textWidth(s.Label, smallSize))
	}
	p.x = scale{float64(p.FirstYear), float64(p.FirstYear + max(1, p.years()-1)), edge + widest + labelGap, width - edge - longest - 2*labelGap}
	p.y = scale{p.ticks[0], p.ticks[len(p.ticks)-1], plotTop + plotHeight, plotTop}
}

func (p *linesPlot) step() float64 { return p.ticks[1] - p.ticks[0] }

func (p *linesPlot) axes() {
	p.text(edge, 11, start, smallSize, soft, p.Axis, "")
	for _, tick := range p.ticks {
		y := p.y.at(tick)
		stroke, wide := faint, 1.0
		if tick == 0 {
			stroke, wide = soft, 1.25
		}
		p.line(p.x.from, y, p.x.to, y, stroke, wide, "")
		p.text(p.x.from-labelGap, y+smallSize*0.35, end, smallSize, soft, p.Write(tick, p.step()), "")
	}
	base := p.y.from
	taken := math.Inf(-1)
	for year := p.FirstYear; year < p.FirstYear+p.years(); year++ {
		if year%5 != 0 && year != p.FirstYear {
			continue
		}
		x := p.x.at(float64(year))
		p.line(x, base, x, base+4, soft, 1, "")
		words := Number(float64(year), 1)
		if room := boxOf(x, 0, middle, smallSize, words); room.left > taken+2 {
			p.text(x, base+16, middle, smallSize, soft, words, "")
			taken = room.right
		}
	}
	p.text((p.x.from+p.x.to)/2, base+30, middle, smallSize, soft, "year", "")
}

// fades says whether any year is drawn pale.
func (p *linesPlot) fades() bool {
	return p.FadeAfter > 0 && p.FirstYear+p.years()-1 > p.FadeAfter
}

func (p *linesPlot) fadeLabel() {
	if !p.fades() {
		return
	}
	x := p.x.at(float64(p.FadeAfter))
	p.line(x, plotTop-13, x, p.y.from, soft, 0.75, ` stroke-dasharray="1 3"`)
	words := fitted("then a direction, no promise", smallSize, width-edge-x-3)
	p.text(x+3, plotTop-5, start, smallSize, soft, words, "")
}

// point is where a year's value lies.
func (p *linesPlot) point(i int, value float64) (x, y float64) {
	return p.x.at(float64(p.FirstYear + i)), p.y.at(value)
}

func (p *linesPlot) pathData(values []float64, from, to int) string {
	var b strings.Builder
	for i := from; i <= to; i++ {
		letter := "L"
		if i == from {
			letter = "M"
		}
		x, y := p.point(i, values[i])
		b.WriteString(letter + num(x) + " " + num(y))
	}
	return b.String()
}

// parts are the stretches of a series that are drawn full and pale; the second is
// empty where nothing fades.
func (p *linesPlot) parts(values []float64) [][2]int {
	last := len(values) - 1
	turn := p.FadeAfter - p.FirstYear
	if !p.fades() || turn >= last {
		return [][2]int{{0, last}}
	}
	if turn <= 0 {
		return [][2]int{{0, 0}, {0, last}}
	}
	return [][2]int{{0, turn}, {turn, last}}
}

const pale = ` opacity=".55"`

func (p *linesPlot) path(i int) {
	s, l := p.Series[i], p.looks[i]
	wide := 1.75
	if i == 0 {
		wide = 2.75
	}
	for part, reach := range p.parts(s.Values) {
		more := ` stroke-linejoin="round"`
		if l.dash != "" {
			more += ` stroke-dasharray="` + l.dash + `"`
		}
		if part == 1 {
			more += pale
		}
		p.printf(`<path d="%s" stroke="%s" stroke-width="%s" fill="none"%s/>`+"\n", p.pathData(s.Values, reach[0], reach[1]), l.colour, num(wide), more)
	}
	for at, value := range s.Values {
		year := p.FirstYear + at
		if year%5 != 0 && at != len(s.Values)-1 {
			continue
		}
		more := ""
		if p.fades() && year > p.FadeAfter {
			more = pale
		}
		x, y := p.point(at, value)
		p.mark(x, y, 2.75, l, more)
	}
}

// band shades the room between the bounds of a series.
func (p *linesPlot) band(i int) {
	s := p.Series[i]
	if len(s.Low) != len(s.Values) || len(s.High) != len(s.Values) {
		return
	}
	for part, reach := range p.parts(s.Values) {
		var back strings.Builder
		for at := reach[1]; at >= reach[0]; at-- {
			x, y := p.point(at, s.Low[at])
			back.WriteString("L" + num(x) + " " + num(y))
		}
		opacity := ".18"
		if part == 1 {
			opacity = ".08"
		}
		p.printf(`<path d="%s%sZ" fill="%s" opacity="%s"/>`+"\n", p.pathData(s.High, reach[0], reach[1]), back.String(), p.looks[i].colour, opacity)
	}
}

// whisker draws how far a value may move.
func (p *linesPlot) whisker(r Range) {
	x := p.x.at(float64(r.Year))
	low, high := p.y.at(r.Low), p.y.at(r.High)
	colour := p.looks[r.Series].colour
	p.line(x, low, x, high, colour, 1.25, "")
	for _, y := range []float64{low, high} {
		p.line(x-3.5, y, x+3.5, y, colour, 1.25, "")
	}
}

// endLabels writes the name of each line at its end, moved apart where two would
// meet, with a leader where one had to move.
func (p *linesPlot) endLabels() {
	type place struct {
		series  int
		want, y float64
	}
	var places []place
	for i, s := range p.Series {
		if len(s.Values) == 0 {
			continue
		}
		_, y := p.point(len(s.Values)-1, s.Values[len(s.Values)-1])
		places = append(places, place{i, y, y})
	}
	slices.SortStableFunc(places, func(a, b place) int { return int(math.Copysign(1, a.want-b.want)) })
	const apart = smallSize + 2
	for range 60 { // push neighbours apart until none meet
		moved := false
		for i := 1; i < len(places); i++ {
			if gap := places[i].y - places[i-1].y; gap < apart-0.01 {
				places[i-1].y -= (apart - gap) / 2
				places[i].y += (apart - gap) / 2
				moved = true
			}
		}
		for i := range places {
			least, most := plotTop+apart*float64(i), p.y.from-apart*float64(len(places)-1-i)
			places[i].y = min(max(places[i].y, least), most)
		}
		if !moved {
			break
		}
	}
	for _, at := range places {
		s, l := p.Series[at.series], p.looks[at.series]
		if math.Abs(at.y-at.want) > 2 {
			p.line(p.x.to+3, at.want, p.x.to+2*labelGap-2, at.y, l.colour, 0.75, "")
		}
		weight := ""
		if at.series == 0 {
			weight = bold
		}
		p.text(p.x.to+2*labelGap, at.y+smallSize*0.35, start, smallSize, ink, s.Label, weight)
	}
}

// levels draws what the lines are held against, its words where they are least in
// the way.
func (p *linesPlot) levels() {
	for _, level := range p.Levels {
		y := p.y.at(level.Value)
		p.line(p.x.from, y, p.x.to, y, warning, 1.5, ` stroke-dasharray="5 3"`)
		words := fitted(level.Words, smallSize, p.x.to-p.x.from)
		w := textWidth(words, smallSize)
		var candidates []box
		for _, above := range []bool{true, false} {
			base := y - 4
			if !above {
				base = y + smallSize
			}
			for _, x := range []float64{p.x.to - w, (p.x.from + p.x.to - w) / 2, p.x.from + 3} {
				candidates = append(candidates, boxOf(x, base, start, smallSize, words))
			}
		}
		at := p.clearest(candidates)
		p.text(at.left, at.bottom-descent*smallSize, start, smallSize, warning, words, halo)
	}
}

// marks writes the words of each marked point near it.
func (p *linesPlot) marks() {
	for _, m := range p.Marks {
		x, y := p.x.at(m.X), p.y.at(m.Y)
		p.printf(`<circle cx="%s" cy="%s" r="5" fill="#ffffff" stroke="%s" stroke-width="2"/>`+"\n", num(x), num(y), p.looks[m.Series].colour)
		if m.Words == "" {
			continue
		}
		words := fittedBold(m.Words, smallSize, p.x.to-p.x.from)
		w := boldWidening * textWidth(words, smallSize)
		var candidates []box
		for _, base := range []float64{y - 9, y + 18, y - 22, y + 31} {
			for _, left := range []float64{x - w/2, x - w - 4, x + 4} {
				left = min(max(left, p.x.from+2), p.x.to-w)
				candidates = append(candidates, box{left, base - ascent*smallSize, left + w, base + descent*smallSize})
			}
		}
		at := p.clearest(candidates)
		p.text(at.left, at.bottom-descent*smallSize, start, smallSize, ink, words, halo+bold)
	}
}

// clearest picks the place that meets fewest labels, and of those the one that
// fewest points of lines lie in; a place beyond the plot counts as meeting one.
func (p *linesPlot) clearest(candidates []box) box {
	best, least := candidates[0], math.Inf(1)
	for _, c := range candidates {
		in := 0.0
		for _, l := range p.labels {
			if c.overlaps(l.box) {
				in += 1000
			}
		}
		if c.top < plotTop-2 || c.bottom > p.y.from || c.left < p.x.from || c.right > p.x.to+1 {
			in += 1000
		}
		in += p.pointsIn(c)
		if in < least {
			best, least = c, in
		}
	}
	return best
}

// pointsIn counts quarter-years of lines within a box.
func (p *linesPlot) pointsIn(c box) float64 {
	found := 0.0
	for _, s := range p.Series {
		for i := 1; i < len(s.Values); i++ {
			for quarter := range 4 {
				share := float64(quarter) / 4
				x0, y0 := p.point(i-1, s.Values[i-1])
				x1, y1 := p.point(i, s.Values[i])
				x, y := x0+share*(x1-x0), y0+share*(y1-y0)
				if x > c.left && x < c.right && y > c.top && y < c.bottom {
					found++
				}
			}
		}
	}
	return found
}

func (l Lines) table() Table {
	t := Table{Head: []string{"year"}}
	for _, s := range l.Series {
		t.Head = append(t.Head, s.Words)
	}
	for i := range l.years() {
		row := []string{Number(float64(l.FirstYear+i), 1)}
		for _, s := range l.Series {
			cell := ""
			if i < len(s.Values) {
				cell = l.Write(s.Values[i], 0.1)
			}
			row = append(row, cell)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
