package workbook

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"swardcase/costs"
)

// cell is what stands in one place. With a formula, the value is what it comes
// to.
type cell struct {
	value   any // nil, string, int, float64, bool or costs.Money
	formula string
	look    look
	span    int // columns that it stretches over, when more than one
}

// form is how a value is written.
type form int

const (
	general form = iota
	label        // text
	prose        // text, wrapped
	money
	quantity
	percent // a percentage as a number: 20 for 20 %
	factor
	decimal1
)

// look is how a cell is shown. Given marks what may be changed: the rest follows
// from it.
type look struct {
	form                        form
	bold, given, heading, total bool
	title, right                bool
}

// sheet is one sheet under construction. Rows count from 1.
type sheet struct {
	name      string // at most 31 characters
	rows      [][]cell
	heights   map[int]float64
	widths    []float64
	frozen    int // rows that stay in sight and are printed on every page
	breaks    []int
	landscape bool
}

func newSheet(name string, widths ...float64) *sheet {
	return &sheet{name: name, widths: widths, heights: map[int]float64{}, landscape: true}
}

// add writes a row and says which.
func (s *sheet) add(cells ...cell) int {
	s.rows = append(s.rows, cells)
	return len(s.rows)
}

// next is the row that add writes next.
func (s *sheet) next() int { return len(s.rows) + 1 }

// pageBreak starts a new page with the next row.
func (s *sheet) pageBreak() { s.breaks = append(s.breaks, s.next()) }

// heading writes the row of column names. One that begins with > stands to the
// right, over numbers.
func (s *sheet) heading(names ...string) int {
	cells := make([]cell, len(names))
	longest := 1
	for i, name := range names {
		name, right := strings.CutPrefix(name, ">")
		cells[i] = cell{value: name, look: look{form: prose, heading: true, right: right}}
		longest = max(longest, lines(name, s.widths[min(i, len(s.widths)-1)]-headingSlack))
	}
	row := s.add(cells...)
	s.heights[row] = lineHeight*float64(longest) + 4
	return row
}

// headingSlack is what bold letters take more of the width of a column.
const headingSlack = 3

// freeze keeps all rows so far in sight.
func (s *sheet) freeze() { s.frozen = len(s.rows) }

// title writes the sheet's title and, where there is one, a line below it.
func (s *sheet) title(text, below string) {
	s.add(cell{value: text, look: look{form: label, title: true}})
	s.heights[1] = 22
	if below != "" {
		s.paragraph(below)
	}
}

// paragraph writes text over the whole width.
func (s *sheet) paragraph(text string) int {
	row := s.add(cell{value: text, look: look{form: prose}, span: len(s.widths)})
	width := 0.0
	for _, w := range s.widths {
		width += w
	}
	s.heights[row] = lineHeight * float64(lines(text, width))
	return row
}

// grow makes a row as high as the text in a column of it needs.
func (s *sheet) grow(row, column int, text string) {
	if needed := lineHeight * float64(lines(text, s.widths[column])); needed > s.heights[row] && needed > lineHeight {
		s.heights[row] = needed
	}
}

// lineHeight is the height of a line of text in points.
const lineHeight = 15

// letterWidth is that of a usual letter, in the digits of the default font by which
// the width of a column is counted.
const letterWidth = 0.87

// lines reckons how many lines a text takes in a column.
func lines(text string, width float64) int {
	count := 0
	for _, line := range strings.Split(text, "\n") {
		count += max(1, int(math.Ceil(letterWidth*float64(len([]rune(line)))/width)))
	}
	return count
}

// Places of cells. Columns count from 0.

func letters(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return letters(i/26-1) + letters(i%26)
}

func at(col, row int) string { return fmt.Sprintf("%s%d", letters(col), row) }

// from is a place as another sheet names it.
func (s *sheet) from(col, row int) string {
	return fmt.Sprintf("'%s'!$%s$%d", strings.ReplaceAll(s.name, "'", "''"), letters(col), row)
}

// The kinds of cell.

func text(value string) cell { return cell{value: value, look: look{form: label}} }

func wrapped(value string) cell { return cell{value: value, look: look{form: prose}} }

func strong(value string) cell { return cell{value: value, look: look{form: label, bold: true}} }

func number(value float64, form form) cell { return cell{value: value, look: look{form: form}} }

// optional is a number, or nothing.
func optional(value *float64, form form) cell {
	if value == nil {
		return cell{}
	}
	return number(*value, form)
}

func amount(value costs.Money) cell { return cell{value: value, look: look{form: money}} }

// given marks a figure that may be changed.
func (c cell) given() cell { c.look.given = true; return c }

func (c cell) bold() cell { c.look.bold = true; return c }

// total marks a sum.
func (c cell) total() cell { c.look.total, c.look.bold = true, true; return c }

// by gives a cell the formula that its value comes from.
func (c cell) by(format string, parts ...any) cell {
	c.formula = fmt.Sprintf(format, parts...)
	return c
}

// capitalised gives words their capital.
func capitalised(words string) string {
	first, size := utf8.DecodeRuneInString(words)
	if size == 0 {
		return words
	}
	return string(unicode.ToUpper(first)) + words[size:]
}
