package chart

import (
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "draw the kept charts anew; look at what changed")

func pounds(value, step float64) string { return "£" + Number(value, step) }

// samples are charts with the figures of an invented green.
func samples() map[string]Drawing {
	return map[string]Drawing{
		"lines": Lines{
			ID: "l", Title: "Money, summed up", Summary: "It pays back after 7.5 years.", Axis: "in hand", FadeAfter: 10, Write: pounds,
			Series: []Series{
				{Words: "Layered rebuild, seed", Label: "rebuild, seed", Values: ramp(-60000, 8000, 26)},
				{Words: "Partial renovation", Label: "partial", Values: ramp(-30000, 3000, 26), Low: ramp(-40000, 2500, 26), High: ramp(-25000, 3300, 26)},
			},
			Levels: []Level{{Words: "the present programme", Value: 0}},
			Marks:  []Mark{{Series: 0, X: 7.5, Y: 0, Words: "paid back after 7.5 years"}},
			Ranges: []Range{{Series: 0, Year: 25, Low: 100000, High: 180000}},
		}.Draw(),
		"stacks": Stacks{
			ID: "s", Title: "Capital", Summary: "By part.", Axis: "capital", Parts: []string{"drains", "layers", "turf"}, RangeWords: "P80 to P90", Write: pounds,
			Bars: []StackBar{
				{Words: "Layered rebuild, seed", Values: []float64{5000, 21000, 600}, Low: 30000, High: 33000, Chosen: true},
				{Words: "Partial renovation, supplier turf", Values: []float64{3000, 0, 6000}},
			},
		}.Draw(),
		"shares": Shares{
			ID: "p", Title: "How sure", Summary: "Chances.", Large: "meets every requirement", Small: "worth most",
			Rows: []ShareRow{{Words: "Layered rebuild, seed", Large: 0.99, Small: 0.82, LargeWords: "99 %", SmallWords: "82 %", Chosen: true}, {Words: "Present programme", LargeWords: "less than 1 %", SmallWords: "less than 1 %"}},
		}.Draw(),
		"swings": Swings{
			ID: "t", Title: "What moves it", Summary: "Widest first.", Axis: "net present value", Likely: 4000, LikelyWords: "£4,000", Write: pounds,
			Bars: []SwingBar{{Words: "all prices", LowWords: "low", HighWords: "high", AtLow: 2000, AtHigh: 7000}, {Words: "life", LowWords: "15", HighWords: "30 years", AtLow: 5200, AtHigh: 4400}},
		}.Draw(),
		"gauges": Gauges{
			ID: "g", Title: "Each measure on its scale", Summary: "Worst on the left.",
			Zones: []Zone{{"failing", 35}, {"poor", 55}, {"fair", 75}, {"sound", 100}},
			Rows: []GaugeRow{
				{Words: "All measures: failing", ValueWords: "index 19 of 100", Score: 19, Low: 17, High: 21, Large: true},
				{Words: "Infiltration", ValueWords: "2.1 mm/h (1.3 to 3.4)", Score: 7, Low: 2, High: 15, Corners: []Corner{{"1", 0}, {"5", 25}, {"10", 45}, {"20", 65}, {"50", 90}, {"100", 100}}},
			},
		}.Draw(),
		"timeline": Timeline{
			ID: "o", Title: "On a temporary", Summary: "When.", FirstYear: 2027, FirstMonth: 9,
			Rows: []TimelineRow{{Words: "rebuild, seed", After: "5.0 months, opens 30 July 2028", Start: 6, Laid: 7.2, End: 11, Chosen: true}, {Words: "intensified", After: "open"}},
		}.Draw(),
		"readings": Readings{
			ID: "r", Title: "Thatch depth", Summary: "Read three times.", Axis: "mm", Write: Number,
			Points: []Reading{{day(2024, 2, 14), 30.5, 29.2, 31.8}, {day(2025, 2, 12), 31.2, 29.5, 32.8}, {day(2026, 2, 13), 32.8, 32.8, 32.8}},
		}.Draw(),
		"calendar": Calendar{
			ID: "c", Title: "Days open", Summary: "Each box is a month.", FirstMonth: 1,
			Rows: []CalendarRow{{Words: "as recorded", After: "236 days a year", Days: [12]float64{3, 6, 15, 24, 30, 30, 31, 31, 30, 22, 10, 4}, Of: [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}}},
		}.Draw(),
	}
}

func day(year int, month time.Month, of int) time.Time {
	return time.Date(year, month, of, 0, 0, 0, 0, time.UTC)
}

func ramp(from, step float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + step*float64(i)
	}
	return out
}

// TestKeptCharts holds the charts to those that were looked at.
func TestKeptCharts(t *testing.T) {
	for name, d := range samples() {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join("..", "..", "..", "testdata", "chart", name+".svg")
			if *update {
				if err := os.WriteFile(file, []byte(d.SVG), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), d.SVG); diff != "" {
				t.Errorf("the chart changed (run with -update, and look at it):\n%s", diff)
			}
			checkDrawing(t, d)
		})
	}
}

// faulty is what a check reports to.
type faulty interface{ Errorf(string, ...any) }

var (
	within  = regexp.MustCompile(`\sstyle=|<style|<script|\son\w+=`)
	named   = regexp.MustCompile(`\sid="([^"]*)"`)
	pointed = regexp.MustCompile(`url\(#([^)]*)\)`)
)

// checkDrawing holds a drawing to what every one must be: XML, named for who
// cannot see it, with no style or script within, every label within the canvas
// and none on another, and every row of its table as long as the head.
func checkDrawing(t faulty, d Drawing) {
	decoder := xml.NewDecoder(strings.NewReader(d.SVG))
	for {
		_, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Errorf("%s is no XML: %v", d.ID, err)
			break
		}
	}
	if found := within.FindString(d.SVG); found != "" {
		t.Errorf("%s has %q within", d.ID, found)
	}
	ids := map[string]int{}
	for _, id := range named.FindAllStringSubmatch(d.SVG, -1) {
		if ids[id[1]]++; ids[id[1]] > 1 || !strings.HasPrefix(id[1], d.ID+"-") {
			t.Errorf("the id %q of %s is taken twice, or is not its own", id[1], d.ID)
		}
	}
	for _, use := range pointed.FindAllStringSubmatch(d.SVG, -1) {
		if ids[use[1]] == 0 {
			t.Errorf("%s is filled with %q, which is not defined", d.ID, use[1])
		}
	}
	for _, want := range []string{`role="img"`, "<title id=", "<desc id=", `aria-labelledby="` + d.ID + "-title " + d.ID + `-desc"`} {
		if !strings.Contains(d.SVG, want) {
			t.Errorf("%s lacks %s", d.ID, want)
		}
	}
	for i, a := range d.canvas.labels {
		if a.left < -0.5 || a.right > width+0.5 || a.top < -0.5 || a.bottom > d.canvas.height+0.5 {
			t.Errorf("%s: %q is clipped: %v of %g × %g", d.ID, a.words, a.box, width, d.canvas.height)
		}
		for _, b := range d.canvas.labels[:i] {
			if inner(a.box).overlaps(inner(b.box)) {
				t.Errorf("%s: %q lies on %q: %v, %v", d.ID, a.words, b.words, a.box, b.box)
			}
		}
	}
	if len(d.Table.Rows) == 0 {
		t.Errorf("%s has no figures behind it", d.ID)
	}
	for _, row := range d.Table.Rows {
		if len(row) != len(d.Table.Head) {
			t.Errorf("%s: a row has %d cells below %d headings", d.ID, len(row), len(d.Table.Head))
		}
	}
}

// inner leaves a hair round a label, since ascenders and descenders of two lines
// may touch.
func inner(b box) box { return box{b.left + 0.5, b.top + 1, b.right - 0.5, b.bottom - 1} }

var (
	words  = rapid.StringMatching(`[A-Za-z]{1,12}( [a-z,]{1,9}){0,6}`)
	amount = rapid.Float64Range(-500_000, 500_000)
	share  = rapid.Float64Range(0, 1)
)

// TestAnyLines draws whatever series there may be.
func TestAnyLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		years := rapid.IntRange(1, 41).Draw(t, "years")
		l := Lines{
			ID: "l", Title: words.Draw(t, "title"), Summary: "<&>", FirstYear: rapid.IntRange(0, 1).Draw(t, "first"), Axis: "in hand",
			FadeAfter: 10, Write: pounds,
		}
		for range rapid.IntRange(1, 5).Draw(t, "series") {
			l.Series = append(l.Series, Series{
				Words: words.Draw(t, "words"), Label: rapid.StringMatching(`[a-z]{3,11}(, [a-z]{4,8}){0,1}`).Draw(t, "label"),
				Values: rapid.SliceOfN(amount, years, years).Draw(t, "values"),
			})
		}
		if rapid.Bool().Draw(t, "level") {
			l.Levels = []Level{{Words: words.Draw(t, "level words"), Value: amount.Draw(t, "level value")}}
		}
		checkDrawing(t, l.Draw())
	})
}

// TestAnyBars draws whatever stacks, chances, swings and gauges there may be.
func TestAnyBars(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.IntRange(1, Looks).Draw(t, "parts")
		s := Stacks{ID: "s", Title: "t", Summary: "s", Axis: "a", RangeWords: words.Draw(t, "range"), Write: pounds}
		for i := range parts {
			s.Parts = append(s.Parts, fmt.Sprint(words.Draw(t, "part"), i))
		}
		p := Shares{ID: "p", Title: "t", Summary: "s", Large: words.Draw(t, "large"), Small: words.Draw(t, "small")}
		w := Swings{ID: "t", Title: "t", Summary: "s", Axis: words.Draw(t, "axis"), Likely: amount.Draw(t, "likely"), LikelyWords: "£1", Write: pounds}
		g := Gauges{ID: "g", Title: "t", Summary: "s", Zones: []Zone{{"failing", 20 + 20*share.Draw(t, "z1")}, {"poor", 60}, {"fair", 61 + 38*share.Draw(t, "z2")}, {"sound", 100}}}
		for range rapid.IntRange(1, 8).Draw(t, "rows") {
			name := words.Draw(t, "name")
			low := rapid.Float64Range(0, 100_000).Draw(t, "low")
			s.Bars = append(s.Bars, StackBar{Words: name, Values: rapid.SliceOfN(rapid.Float64Range(0, 50_000), parts, parts).Draw(t, "values"), Low: low, High: low * (1 + share.Draw(t, "more")), Chosen: true})
			p.Rows = append(p.Rows, ShareRow{Words: name, Large: share.Draw(t, "large"), Small: share.Draw(t, "small"), LargeWords: "more than 99 %", SmallWords: "less than 1 %"})
			w.Bars = append(w.Bars, SwingBar{Words: name, LowWords: "0.05", HighWords: "0.4 times", AtLow: amount.Draw(t, "at low"), AtHigh: amount.Draw(t, "at high")})
			g.Rows = append(g.Rows, GaugeRow{Words: name, ValueWords: "2.1 mm/h (1.3 to 3.4)", Score: 100 * share.Draw(t, "score"), Corners: []Corner{{"6", 0}, {"8.25", 100 * share.Draw(t, "corner")}, {"12", 100}}})
		}
		for _, d := range []Drawing{s.Draw(), p.Draw(), w.Draw(), g.Draw()} {
			checkDrawing(t, d)
		}
	})
}

// TestAnyTimes draws whatever times there may be.
func TestAnyTimes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Timeline{ID: "o", Title: "t", Summary: "s", FirstYear: rapid.IntRange(1990, 2100).Draw(t, "year"), FirstMonth: rapid.IntRange(1, 12).Draw(t, "month")}
		c := Calendar{ID: "c", Title: "t", Summary: "s", FirstMonth: o.FirstMonth}
		for range rapid.IntRange(1, 7).Draw(t, "rows") {
			start := rapid.Float64Range(0, 30).Draw(t, "start")
			o.Rows = append(o.Rows, TimelineRow{Words: words.Draw(t, "name"), After: "7.7 months, opens 23 September 2028", Start: start, Laid: start + 2*share.Draw(t, "works"), End: start + 2 + 30*share.Draw(t, "wait")})
			row := CalendarRow{Words: words.Draw(t, "name"), After: "345 days a year"}
			for i := range row.Days {
				row.Of[i] = 31
				row.Days[i] = 31 * share.Draw(t, "days")
			}
			c.Rows = append(c.Rows, row)
		}
		r := Readings{ID: "r", Title: "t", Summary: "s", Axis: words.Draw(t, "axis"), Write: Number}
		at := day(o.FirstYear, time.Month(o.FirstMonth), 1)
		for range rapid.IntRange(1, 30).Draw(t, "readings") {
			value := amount.Draw(t, "value")
			r.Points = append(r.Points, Reading{at, value, value - 1000*share.Draw(t, "below"), value + 1000*share.Draw(t, "above")})
			at = at.AddDate(0, 0, rapid.IntRange(1, 900).Draw(t, "days"))
		}
		checkDrawing(t, o.Draw())
		checkDrawing(t, c.Draw())
		checkDrawing(t, r.Draw())
	})
}
