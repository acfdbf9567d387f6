package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"swardcase/model/fault"
)

// textWidth is the widest line that the commands print.
const textWidth = 100

// page is a text report under construction. Its methods keep every line
// within textWidth.
type page struct{ b strings.Builder }

func (p *page) String() string { return p.b.String() }

// title opens a report.
func (p *page) title(text string) { p.underlined(text, "=") }

// heading opens a part of a report.
func (p *page) heading(text string) {
	p.line("")
	p.underlined(text, "-")
}

// underlined draws a line below a text, as long as the text.
func (p *page) underlined(text, with string) {
	text = strings.Join(strings.Fields(shown(text)), " ")
	p.paragraph(text)
	p.line("%s", strings.Repeat(with, min(textWidth, utf8.RuneCountInString(text))))
}

// line prints one line. A name in it that holds new lines or commands to a
// screen cannot make another of it, or of what follows.
func (p *page) line(format string, values ...any) {
	p.b.WriteString(strings.TrimRight(shown(fmt.Sprintf(format, values...)), " ") + "\n")
}

// shown puts a space in the place of every character that a screen would obey.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || fault.Unseen(r) {
			return ' '
		}
		return r
	}, text)
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
	for _, word := range words(text, max(20, textWidth-filled)) {
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

// words cuts text at white space, and what is longer than a line where it must.
func words(text string, longest int) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		runes := []rune(word)
		for len(runes) > longest {
			out = append(out, string(runes[:longest]))
			runes = runes[longest:]
		}
		out = append(out, string(runes))
	}
	return out
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
