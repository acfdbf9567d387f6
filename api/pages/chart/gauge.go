package chart

import "fmt"

// Gauges is a chart of measures, each on its own scale: from worst on the left to
// best on the right, with the measure's own values along the scale.
type Gauges struct {
	ID, Title, Summary string
	// Zones are the grades along every scale, worst first.
	Zones []Zone
	Rows  []GaugeRow
}

// Zone is a grade, from where the one before it ends to a score.
type Zone struct {
	Words string
	To    float64 // score, 0 to 100
}

// GaugeRow is one measure. Score, Low and High are from 0 to 100; Low and High are
// equal where there is no interval.
type GaugeRow struct {
	Words, ValueWords string
	Score, Low, High  float64
	Corners           []Corner
	// Large marks the row that sums up the others.
	Large bool
}

// Corner is a value of the measure and the score that it gets.
type Corner struct {
	Words string
	Score float64
}

// zoneTints go from worst to best; they tell nothing that the words of the zones
// do not.
var zoneTints = []string{"#d9d2c6", "#e6e1d6", "#f0ece3", "#f9f7f1"}

// Draw draws the chart.
func (g Gauges) Draw() Drawing {
	c := &canvas{id: g.ID}
	x := scale{0, 100, edge + 8, width - edge - 8}
	y := 2.0
	y = g.zoneNames(c, x, y)
	for _, row := range g.Rows {
		y = g.row(c, x, y, row)
	}
	c.height = y
	return c.drawing(g.Title, g.Summary, g.table())
}

// zoneNames writes the grades above the scales, where each has the room.
func (g Gauges) zoneNames(c *canvas, x scale, y float64) float64 {
	from, taken := 0.0, 0.0
	for _, zone := range g.Zones {
		centre := (x.at(from) + x.at(zone.To)) / 2
		if room := boxOf(centre, y+10, middle, smallSize, zone.Words); room.left > taken+3 && room.right < width-edge {
			c.text(centre, y+10, middle, smallSize, soft, zone.Words, "")
			taken = room.right
		}
		from = zone.To
	}
	return y + lineHeight + 2
}

func (g Gauges) row(c *canvas, x scale, y float64, row GaugeRow) float64 {
	high, size := 14.0, smallSize
	if row.Large {
		high, size = 18, textSize
	}
	value := fitted(row.ValueWords, size, width*0.68)
	c.text(width-edge, y+12, end, size, ink, value, "")
	c.text(edge, y+12, start, size, ink, fittedBold(row.Words, size, width-3*edge-textWidth(value, size)-6), bold)
	y += 17
	from := 0.0
	for i, zone := range g.Zones {
		c.rect(x.at(from), y, x.at(zone.To)-x.at(from), high, zoneTints[i%len(zoneTints)], ` stroke="#8b8f8a" stroke-width=".5"`)
		from = zone.To
	}
	mid := y + high/2
	if row.High > row.Low {
		c.rect(x.at(row.Low), mid-3, x.at(row.High)-x.at(row.Low), 6, "#6d86a5", fmt.Sprintf(` stroke="%s" stroke-width=".75"`, lookOf(0).colour))
	}
	at := x.at(row.Score)
	c.printf(`<path d="M%s %sl6 %sl-6 %sl-6 %sz" fill="%s" stroke="#ffffff" stroke-width="1"/>`+"\n", num(at), num(y-2), num(high/2+2), num(high/2+2), num(-high/2-2), lookOf(0).colour)
	taken := -10.0
	for _, corner := range row.Corners {
		left := x.at(corner.Score)
		c.line(left, y+high, left, y+high+3, soft, 0.75, "")
		room := boxOf(left, 0, middle, 10, corner.Words)
		if room.left > taken+4 && room.left >= 0 && room.right <= width {
			c.text(left, y+high+13, middle, 10, soft, corner.Words, "")
			taken = room.right
		}
	}
	return y + high + 20
}

func (g Gauges) table() Table {
	t := Table{Head: []string{"measure", "value", "score of 100", "interval of the score"}}
	for _, row := range g.Rows {
		interval := "none"
		if row.High > row.Low {
			interval = Number(row.Low, 1) + " to " + Number(row.High, 1)
		}
		t.Rows = append(t.Rows, []string{row.Words, row.ValueWords, Number(row.Score, 1), interval})
	}
	return t
}
