package main

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// textWidth is the widest line that the commands print.
const textWidth = 100

// page is a text report under construction. Its methods keep every line
// within textWidth.
type page struct{ b strings.Builder }

func (p *page) String() string { return p.b.String() }

// title opens a report.
func (p *page) title(text string) {
	p.b.WriteString(text + "\n" + strings.Repeat("=", min(textWidth, utf8.RuneCountInString(text))) + "\n")
}

// heading opens a part of a report.
func (p *page) heading(text string) {
	p.b.WriteString("\n" + text + "\n" + strings.Repeat("-", utf8.RuneCountInString(text)) + "\n")
}

func (p *page) line(format string, values ...any) {
	p.b.WriteString(strings.TrimRight(fmt.Sprintf(format, values...), " ") + "\n")
}

// paragraph wraps text to the page.
func (p *page) paragraph(text string) { p.hanging("", text) }

// item wraps text behind a mark, the later lines indented below the first.
func (p *page) item(mark, text string) { p.hanging(mark+" ", text) }

func (p *page) hanging(first, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(first))
	line := first
	filled := utf8.RuneCountInString(first)
	empty := true
	for _, word := range strings.Fields(text) {
		length := utf8.RuneCountInString(word)
		if !empty && filled+1+length > textWidth {
			p.line("%s", line)
			line, filled, empty = indent, utf8.RuneCountInString(indent), true
		}
		if !empty {
			line, filled = line+" ", filled+1
		}
		line, filled, empty = line+word, filled+length, false
	}
	p.line("%s", line)
}

// bar draws a score from 0 to 100 in so many characters.
func bar(score float64, width int) string {
	full := int(score/100*float64(width) + 0.5)
	return strings.Repeat("#", full) + strings.Repeat(".", width-full)
}

// left and right pad text to a width counted in characters.
func left(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(text)))
}

func right(text string, width int) string {
	return strings.Repeat(" ", max(0, width-utf8.RuneCountInString(text))) + text
}

// plain names a code in words: underscores become spaces.
func plain[T ~string](code T) string { return strings.ReplaceAll(string(code), "_", " ") }
