package chart

import (
	"fmt"
	"math"
)

// Swings is a tornado: what each input alone does to one figure, the widest
// first.
type Swings struct {
	ID, Title, Summary string
	// Axis names the figure, with its unit.
	Axis string
	// Likely is the figure where every input is likely, LikelyWords how it is
	// written.
	Likely      float64
	LikelyWords string
	Bars        []SwingBar
	Write       func(value, step float64) string
}

// SwingBar is one input at its two ends.
type SwingBar struct {
	Words, LowWords, HighWords string // the input, and its ends as written
	AtLow, AtHigh              float64
}

// Draw draws the chart.
func (s Swings) Draw() Drawing {
	c := &canvas{id: s.ID}
	low, high := lookOf(1), lookOf(0)
	top := c.legend([]string{"input at its low end", "input at its high end"}, []look{low, high}, 2)
	least, most := s.Likely, s.Likely
	for _, bar := range s.Bars {
		least, most = min(least, bar.AtLow, bar.AtHigh), max(most, bar.AtLow, bar.AtHigh)
	}
	if s.signChanges(least, most) {
		least, most = min(least, 0), max(most, 0)
	}
	ticks := Ticks(least, most, 5)
	step := ticks[1] - ticks[0]
	first, last := ticks[0], ticks[len(ticks)-1]
	x := scale{first, last, edge + textWidth(s.Write(first, step), smallSize)/2, width - edge - textWidth(s.Write(last, step), smallSize)/2}
	const room = 34.0
	bottom := top + lineHeight + float64(len(s.Bars))*room
	for _, tick := range ticks {
		stroke, wide := faint, 1.0
		if tick == 0 {
			stroke, wide = soft, 1.25
		}
		c.line(x.at(tick), top+lineHeight, x.at(tick), bottom, stroke, wide, "")
	}
	c.axisValues(x, ticks, bottom+14, s.Write)
	at := x.at(s.Likely)
	words := "all likely: " + s.LikelyWords
	c.text(min(max(at, edge+textWidth(words, smallSize)/2), width-edge-textWidth(words, smallSize)/2), top+8, middle, smallSize, ink, words, "")
	c.line(at, top+12, at, bottom, ink, 1.5, "")
	c.text(width/2, bottom+29, middle, smallSize, soft, fitted(s.Axis, smallSize, width-2*edge), "")
	c.height = bottom + 36
	for i, bar := range s.Bars {
		y := top + lineHeight + float64(i)*room
		words := fmt.Sprintf("%s: %s to %s", bar.Words, bar.LowWords, bar.HighWords)
		c.text(edge, y+14, start, smallSize, ink, fitted(words, smallSize, width-2*edge), halo)
		c.swing(x.at(bar.AtHigh), at, y+18, high)
		c.swing(x.at(bar.AtLow), at, y+18, low)
	}
	return c.drawing(s.Title, s.Summary, s.table())
}

// signChanges says whether nothing lies so near the range that the axis should
// reach it.
func (s Swings) signChanges(least, most float64) bool {
	return least <= 0 && most >= 0 || min(math.Abs(least), math.Abs(most)) < (most-least)/2
}

// swing draws one half of a bar, from the likely value to the value at an end.
// Where both ends lie on one side the second, nearer, half is drawn over the
// first in half the height.
func (c *canvas) swing(to, from, y float64, l look) {
	left, right := min(to, from), max(to, from)
	offset := 0.0
	high := 12.0
	if l.hatch != solid { // the half that is drawn second
		offset, high = 3, 6
	}
	c.area(left, y+offset, right-left, high, l, fmt.Sprintf(` stroke="%s" stroke-width=".75"`, ink))
}

func (s Swings) table() Table {
	t := Table{Head: []string{"input", "low end", "high end", "figure at the low end", "figure at the high end"}}
	for _, bar := range s.Bars {
		t.Rows = append(t.Rows, []string{bar.Words, bar.LowWords, bar.HighWords, s.Write(bar.AtLow, 1), s.Write(bar.AtHigh, 1)})
	}
	return t
}
