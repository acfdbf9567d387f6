package chart

import (
	"fmt"
	"strings"
)

// Calendar is a chart of the twelve months of a year: for each row and month a
// box that fills with the share of the month.
type Calendar struct {
	ID, Title, Summary string
	// FirstMonth is the month that the first column stands for, 1 for January.
	FirstMonth int
	Rows       []CalendarRow
}

// CalendarRow is one row: days of each month from the first, and how long the
// months are.
type CalendarRow struct {
	Words, After string
	Days, Of     [12]float64
	Chosen       bool
}

// Draw draws the chart.
func (c Calendar) Draw() Drawing {
	d := &canvas{id: c.ID}
	column := (width - 2*edge) / 12
	y := edge
	for i := range 12 {
		d.text(edge+(float64(i)+0.5)*column, y+10, middle, smallSize, soft, monthNames[(c.FirstMonth-1+i)%12][:1], "")
	}
	y += lineHeight + 2
	const high = 30.0
	for n, row := range c.Rows {
		weight := ""
		if row.Chosen {
			weight = bold
		}
		after := fitted(row.After, smallSize, width*0.55)
		d.text(width-edge, y+11, end, smallSize, soft, after, "")
		d.text(edge, y+11, start, smallSize, ink, fittedBold(row.Words, smallSize, width-3*edge-textWidth(after, smallSize)-6), weight)
		y += 16
		colour := "#a9a396"
		if row.Chosen {
			colour = lookOf(0).colour
		} else if n == 0 {
			colour = lookOf(1).colour
		}
		var boxes, filled strings.Builder
		for i := range 12 {
			x := edge + float64(i)*column + 1.5
			share := 0.0
			if row.Of[i] > 0 {
				share = min(1, max(0, row.Days[i]/row.Of[i]))
			}
			fmt.Fprintf(&boxes, "M%s %sh%sv%sh%sz", num(x), num(y), num(column-3), num(high), num(3-column))
			fmt.Fprintf(&filled, "M%s %sh%sV%sh%sz", num(x), num(y+high*(1-share)), num(column-3), num(y+high), num(3-column))
			d.text(x+(column-3)/2, y+high+11, middle, 10, ink, Number(row.Days[i], 1), "")
		}
		d.printf(`<path d="%s" fill="#ffffff" stroke="%s" stroke-width=".75"/>`+"\n", boxes.String(), soft)
		d.printf(`<path d="%s" fill="%s"/>`+"\n", filled.String(), colour)
		y += high + 22
	}
	d.height = y
	return d.drawing(c.Title, c.Summary, c.table())
}

func (c Calendar) table() Table {
	t := Table{Head: []string{""}}
	for i := range 12 {
		t.Head = append(t.Head, monthNames[(c.FirstMonth-1+i)%12])
	}
	for _, row := range c.Rows {
		cells := []string{row.Words}
		for _, days := range row.Days {
			cells = append(cells, Number(days, 1))
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}
