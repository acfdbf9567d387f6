package chart

import (
	"math"
	"strconv"
	"time"
)

// Readings is a small chart of one measure as it was read from time to time, each
// reading with how far it may be off.
type Readings struct {
	ID, Title, Summary string
	// Axis names the measure with its unit.
	Axis   string
	Points []Reading // in the order of their days
	Write  func(value, step float64) string
}

// Reading is one value; Low and High are equal to it where it has no interval.
type Reading struct {
	Day              time.Time
	Value, Low, High float64
}

const (
	readingsHeight = 96.0
	readingsTicks  = 4
	readingsTop    = 22.0
	// readingsMargin is kept free at either end of the time, as a share of it.
	readingsMargin = 0.06
)

// Draw draws the chart.
func (r Readings) Draw() Drawing {
	c := &canvas{id: r.ID, height: readingsTop + readingsHeight + axisRoom - lineHeight}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range r.Points {
		low, high = min(low, p.Value, p.Low), max(high, p.Value, p.High)
	}
	if low > high {
		low, high = 0, 1
	}
	ticks := Ticks(low, high, readingsTicks)
	step := ticks[1] - ticks[0]
	widest := 0.0
	for _, tick := range ticks {
		widest = max(widest, textWidth(r.Write(tick, step), smallSize))
	}
	x := r.times(edge+widest+labelGap, width-edge-8)
	y := scale{ticks[0], ticks[len(ticks)-1], readingsTop + readingsHeight, readingsTop}
	c.text(edge, 11, start, smallSize, soft, r.Axis, "")
	for _, tick := range ticks {
		c.line(x.from, y.at(tick), x.to, y.at(tick), faint, 1, "")
		c.text(x.from-labelGap, y.at(tick)+smallSize*0.35, end, smallSize, soft, r.Write(tick, step), "")
	}
	r.years(c, x, y.from)
	r.points(c, x, y)
	return c.drawing(r.Title, r.Summary, r.table(step))
}

// times maps days, counted in days, onto the width.
func (r Readings) times(from, to float64) scale {
	if len(r.Points) == 0 {
		return scale{0, 1, from, to}
	}
	first, last := dayNumber(r.Points[0].Day), dayNumber(r.Points[len(r.Points)-1].Day)
	margin := max(readingsMargin*(last-first), 60)
	return scale{first - margin, last + margin, from, to}
}

func dayNumber(day time.Time) float64 { return float64(day.Unix()) / (24 * 60 * 60) }

// years marks the beginning of each year, and names those that have the room.
func (r Readings) years(c *canvas, x scale, base float64) {
	c.line(x.from, base, x.to, base, soft, 1.25, "")
	if len(r.Points) == 0 {
		return
	}
	taken := math.Inf(-1)
	for year := r.Points[0].Day.Year(); year <= r.Points[len(r.Points)-1].Day.Year()+1; year++ {
		at := x.at(dayNumber(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)))
		if at < x.from || at > x.to {
			continue
		}
		c.line(at, base, at, base+5, soft, 1, "")
		words := "January " + strconv.Itoa(year)
		if room := boxOf(at, 0, middle, smallSize, words); room.left > max(taken+6, 0) && room.right < width {
			c.text(at, base+16, middle, smallSize, soft, words, "")
			taken = room.right
		}
	}
	if math.IsInf(taken, -1) { // no year begins within the time: name the first day
		c.text(x.from, base+16, start, smallSize, soft, r.Points[0].Day.Format(time.DateOnly), "")
	}
}

func (r Readings) points(c *canvas, x, y scale) {
	l := lookOf(0)
	path := ""
	for i, p := range r.Points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		path += letter + num(x.at(dayNumber(p.Day))) + " " + num(y.at(p.Value))
	}
	if len(r.Points) > 1 {
		c.printf(`<path d="%s" stroke="%s" stroke-width="1.5" fill="none" stroke-linejoin="round"/>`+"\n", path, l.colour)
	}
	for _, p := range r.Points {
		at := x.at(dayNumber(p.Day))
		if p.High > p.Low {
			c.line(at, y.at(p.Low), at, y.at(p.High), l.colour, 1.25, "")
			for _, end := range []float64{p.Low, p.High} {
				c.line(at-3.5, y.at(end), at+3.5, y.at(end), l.colour, 1.25, "")
			}
		}
		c.mark(at, y.at(p.Value), 3.25, l, "")
	}
}

func (r Readings) table(step float64) Table {
	out := Table{Head: []string{"Day", r.Axis, "from", "to"}}
	for _, p := range r.Points {
		row := []string{p.Day.Format(time.DateOnly), r.Write(p.Value, step/10), "–", "–"}
		if p.High > p.Low {
			row[2], row[3] = r.Write(p.Low, step/10), r.Write(p.High, step/10)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}
