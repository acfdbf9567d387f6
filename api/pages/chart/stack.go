package chart

import (
	"fmt"
	"math"
)

// Stacks is a chart of bars that are made up of the same parts, lying one below
// another.
type Stacks struct {
	ID, Title, Summary string
	// Axis names the values, with their unit.
	Axis  string
	Parts []string
	Bars  []StackBar
	// RangeWords says what the range beside a bar is; empty where there are none.
	RangeWords string
	Write      func(value, step float64) string
}

// StackBar is one bar. Values go with the parts, none below nothing.
type StackBar struct {
	Words  string
	Values []float64
	// Low and High are the range beside the bar; equal for none.
	Low, High float64
	// Chosen marks the bar that the page is about.
	Chosen bool
}

func (b StackBar) total() float64 {
	sum := 0.0
	for _, v := range b.Values {
		sum += v
	}
	return sum
}

// The measures of bars that lie one below another.
const (
	barHeight = 15.0
	barRoom   = 42.0 // from one bar to the next, its words above it
)

// Draw draws the chart.
func (s Stacks) Draw() Drawing {
	c := &canvas{id: s.ID}
	var used []look
	for i := range s.Parts {
		used = append(used, lookOf(i))
	}
	top := c.legend(s.Parts, used, 2)
	if s.RangeWords != "" {
		c.bracket(edge, edge+22, top+7)
		for i, words := range wrapped(s.RangeWords, smallSize, width-edge-36) {
			if i > 0 {
				top += lineHeight
			}
			c.text(34, top+11, start, smallSize, ink, words, "")
		}
		top += lineHeight + 6
	}
	high := 0.0
	for _, bar := range s.Bars {
		high = max(high, bar.total(), bar.High)
	}
	ticks := Ticks(0, high, 6)
	last := ticks[len(ticks)-1]
	room := textWidth(s.Write(last, ticks[1]-ticks[0]), smallSize) / 2
	x := scale{0, last, edge, width - edge - room}
	bottom := top + lineHeight + float64(len(s.Bars))*barRoom
	for _, tick := range ticks {
		c.line(x.at(tick), top+4, x.at(tick), bottom, faint, 1, "")
	}
	c.axisValues(x, ticks, bottom+14, s.Write)
	c.text(edge, bottom+29, start, smallSize, soft, s.Axis, "")
	c.height = bottom + 36
	for i, bar := range s.Bars {
		s.bar(c, x, top+lineHeight+float64(i)*barRoom, bar, used)
	}
	return c.drawing(s.Title, s.Summary, s.table())
}

func (s Stacks) bar(c *canvas, x scale, y float64, bar StackBar, used []look) {
	weight := ""
	if bar.Chosen {
		weight = bold
	}
	sum := s.Write(bar.total(), 1)
	c.text(width-edge, y+8, end, smallSize, ink, sum, weight+halo)
	c.text(edge, y+8, start, smallSize, ink, fittedBold(bar.Words, smallSize, width-3*edge-textWidth(sum, smallSize)*boldWidening-6), weight+halo)
	from := 0.0
	for i, value := range bar.Values {
		left, right := x.at(from), x.at(from+value)
		if right > left {
			c.area(left, y+13, right-left, barHeight, used[i], fmt.Sprintf(` stroke="%s" stroke-width=".6"`, paper))
		}
		from += value
	}
	c.printf(`<path d="M%s %sH%sV%sH%sz" fill="none" stroke="%s" stroke-width=".75"/>`+"\n", num(x.at(0)), num(y+13), num(x.at(from)), num(y+13+barHeight), num(x.at(0)), ink)
	if bar.High > bar.Low {
		c.bracket(x.at(bar.Low), x.at(bar.High), y+13+barHeight/2)
	}
}

// axisValues writes the values of an axis that runs across, but for those that
// would lie on another.
func (c *canvas) axisValues(x scale, ticks []float64, y float64, write func(value, step float64) string) {
	taken := math.Inf(-1)
	for _, tick := range ticks {
		words := write(tick, ticks[1]-ticks[0])
		w := textWidth(words, smallSize)
		left := max(edge, x.at(tick)-w/2)
		if left > taken+4 && left+w <= width-edge+0.5 {
			c.text(left, y, start, smallSize, soft, words, "")
			taken = left + w
		}
	}
}

// bracket draws a range.
func (c *canvas) bracket(left, right, y float64) {
	for _, stroke := range []struct {
		colour string
		wide   float64
	}{{paper, 4.5}, {ink, 2}} {
		c.printf(`<path d="M%s %sv12M%s %sH%sM%s %sv12" stroke="%s" stroke-width="%s" fill="none"/>`+"\n",
			num(left), num(y-6), num(left), num(y), num(right), num(right), num(y-6), stroke.colour, num(stroke.wide))
	}
}

// legend names the parts in columns from the top, and returns where it ends.
func (c *canvas) legend(parts []string, used []look, columns int) float64 {
	const swatch = 13.0
	top := edge
	room := (width - 2*edge) / float64(columns)
	for i, words := range parts {
		x := edge + room*float64(i%columns)
		y := top + float64(i/columns)*(lineHeight+3)
		c.area(x, y, swatch, swatch-2, used[i], fmt.Sprintf(` stroke="%s" stroke-width=".75"`, ink))
		c.text(x+swatch+5, y+10, start, smallSize, ink, fitted(words, smallSize, room-swatch-10), "")
	}
	rows := (len(parts) + columns - 1) / columns
	return top + float64(rows)*(lineHeight+3) + 4
}

func (s Stacks) table() Table {
	t := Table{Head: append(append([]string{""}, s.Parts...), "in all")}
	if s.RangeWords != "" {
		t.Head = append(t.Head, s.RangeWords)
	}
	for _, bar := range s.Bars {
		row := []string{bar.Words}
		for _, value := range bar.Values {
			row = append(row, s.Write(value, 1))
		}
		row = append(row, s.Write(bar.total(), 1))
		if s.RangeWords != "" {
			words := ""
			if bar.High > bar.Low {
				words = s.Write(bar.Low, 1) + " to " + s.Write(bar.High, 1)
			}
			row = append(row, words)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
