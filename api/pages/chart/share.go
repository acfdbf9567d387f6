package chart

import "fmt"

// Shares is a chart of chances: for each row a large bar for what matters and,
// below it, a small one for what only compares.
type Shares struct {
	ID, Title, Summary string
	// Large and Small say what the two bars are; Large is empty where there is
	// nothing to meet.
	Large, Small string
	Rows         []ShareRow
}

// ShareRow is one row; shares are from 0 to 1.
type ShareRow struct {
	Words                  string
	Large, Small           float64
	LargeWords, SmallWords string // as written
	Chosen                 bool
}

// Draw draws the chart.
func (s Shares) Draw() Drawing {
	c := &canvas{id: s.ID}
	big, small := lookOf(0), lookOf(5)
	names, used := []string{s.Large, s.Small}, []look{big, small}
	if s.Large == "" {
		names, used = names[1:], used[1:]
	}
	y := c.legend(names, used, 1)
	right := 0.0
	for _, row := range s.Rows {
		right = max(right, textWidth(row.LargeWords, textSize)*boldWidening, textWidth(row.SmallWords, 10))
	}
	x := scale{0, 1, edge, width - edge - right - labelGap}
	for _, row := range s.Rows {
		weight := ""
		if row.Chosen {
			weight = bold
		}
		c.text(edge, y+11, start, smallSize, ink, fittedBold(row.Words, smallSize, width-2*edge), weight)
		y += 15
		if s.Large != "" {
			c.shareBar(x, y, 13, row.Large, big)
			c.text(x.to+labelGap, y+10.5, start, textSize, ink, row.LargeWords, bold)
			y += 17
		}
		c.shareBar(x, y, 6, row.Small, small)
		c.text(x.to+labelGap, y+7, start, 10, soft, row.SmallWords, "")
		y += 15
	}
	c.height = y + 4
	return c.drawing(s.Title, s.Summary, s.table())
}

func (c *canvas) shareBar(x scale, y, high, share float64, l look) {
	c.rect(x.from, y, x.to-x.from, high, "#ffffff", fmt.Sprintf(` stroke="%s" stroke-width=".75"`, soft))
	if share > 0 {
		c.area(x.from, y, x.at(min(1, share))-x.from, high, l, fmt.Sprintf(` stroke="%s" stroke-width=".75"`, ink))
	}
}

func (s Shares) table() Table {
	t := Table{Head: []string{""}}
	if s.Large != "" {
		t.Head = append(t.Head, s.Large)
	}
	t.Head = append(t.Head, s.Small)
	for _, row := range s.Rows {
		cells := []string{row.Words}
		if s.Large != "" {
			cells = append(cells, row.LargeWords)
		}
		t.Rows = append(t.Rows, append(cells, row.SmallWords))
	}
	return t
}
