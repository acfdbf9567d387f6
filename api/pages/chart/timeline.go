package chart

import "fmt"

// Timeline is a chart of months out of play: for each row the works, and then the
// wait until the green opens.
type Timeline struct {
	ID, Title, Summary string
	// FirstYear and FirstMonth (1 for January) are where the calendar begins.
	FirstYear, FirstMonth int
	Rows                  []TimelineRow
}

// TimelineRow is one row, in months from the first; a row with End no later than
// Start has nothing out of play.
type TimelineRow struct {
	Words, After     string
	Start, Laid, End float64
	Chosen           bool
	// Works, Wait and Opens are as written in the table.
	Works, Wait, Opens string
}

var monthNames = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// Draw draws the chart.
func (t Timeline) Draw() Drawing {
	c := &canvas{id: t.ID}
	works, wait := lookOf(0), lookOf(5)
	top := c.legend([]string{"works", "new surface growing in"}, []look{works, wait}, 2)
	last := 12.0
	for _, row := range t.Rows {
		last = max(last, row.End)
	}
	months := int(last) + 1
	x := scale{0, float64(months), edge, width - edge}
	const room = 34.0
	bottom := top + lineHeight + float64(len(t.Rows))*room + 4
	every := 3
	for float64(every)/float64(months)*(width-2*edge) < 50 {
		every += 3
	}
	for month := 0; month <= months; month++ {
		at := x.at(float64(month))
		calendar := t.FirstMonth - 1 + month
		stroke := "#eeebe2"
		named := calendar%every == 0
		if named {
			stroke = "#bcb7a8"
		}
		c.line(at, top+lineHeight, at, bottom, stroke, 1, "")
		words := fmt.Sprintf("%s %d", monthNames[calendar%12], t.FirstYear+calendar/12)
		if b := boxOf(at, 0, start, smallSize, words); named && b.right+2 <= width {
			c.text(at+2, top+10, start, smallSize, soft, words, "")
		}
	}
	for i, row := range t.Rows {
		t.row(c, x, top+lineHeight+float64(i)*room, row)
	}
	c.height = bottom + 2
	return c.drawing(t.Title, t.Summary, t.table())
}

func (t Timeline) row(c *canvas, x scale, y float64, row TimelineRow) {
	weight := ""
	if row.Chosen {
		weight = bold
	}
	after := fitted(row.After, smallSize, width*0.6)
	c.text(width-edge, y+13, end, smallSize, soft, after, halo)
	c.text(edge, y+13, start, smallSize, ink, fittedBold(row.Words, smallSize, width-3*edge-textWidth(after, smallSize)-6), weight+halo)
	outline := fmt.Sprintf(` stroke="%s" stroke-width=".75"`, ink)
	if row.End > row.Start {
		c.area(x.at(row.Start), y+18, x.at(row.Laid)-x.at(row.Start), 12, lookOf(0), outline)
		c.area(x.at(row.Laid), y+18, x.at(row.End)-x.at(row.Laid), 12, lookOf(5), outline)
		return
	}
	c.line(x.from, y+24, x.to, y+24, faint, 1.5, "")
}

func (t Timeline) table() Table {
	out := Table{Head: []string{"", "works", "growing in", "opens"}}
	for _, row := range t.Rows {
		out.Rows = append(out.Rows, []string{row.Words, row.Works, row.Wait, row.Opens})
	}
	return out
}
