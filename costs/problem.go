package costs

import (
	"fmt"
	"strings"
)

// Problem is one thing wrong with what the package was given. Field is a JSON
// pointer relative to the document that the function names; Value is the
// offending value as text, empty where nothing was given; Detail says what is
// wrong with it and Remedy what to write instead.
type Problem struct {
	Field  string
	Value  string
	Detail string
	Remedy string
}

// Error makes a single problem usable as an error.
func (p Problem) Error() string {
	where := p.Field
	if where == "" {
		where = "(document)"
	}
	if p.Value == "" {
		return fmt.Sprintf("%s: %s; %s", where, p.Detail, p.Remedy)
	}
	return fmt.Sprintf("%s: %s (given %q); %s", where, p.Detail, p.Value, p.Remedy)
}

// problems gathers everything wrong in one document.
type problems []Problem

func (p *problems) add(field string, value any, detail, remedy string) {
	*p = append(*p, Problem{Field: field, Value: shorten(value), Detail: detail, Remedy: remedy})
}

// under adds the problems of a part, moving each field below the prefix.
func (p *problems) under(prefix string, part []Problem) {
	for _, problem := range part {
		problem.Field = prefix + problem.Field
		*p = append(*p, problem)
	}
}

// valueRunes bounds how much of a hostile value is repeated back.
const valueRunes = 60

// shorten prints a value in at most 60 characters of plain text; nil gives "".
func shorten(value any) string {
	if value == nil {
		return ""
	}
	text, isText := value.(string) // not copied: it may be megabytes long
	if !isText {
		text = fmt.Sprint(value)
	}
	if len(text) > 4*valueRunes {
		text = text[:4*valueRunes]
	}
	text = strings.Map(func(r rune) rune {
		if unseen(r) || r == '\n' || r == '\t' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, " "))
	if runes := []rune(text); len(runes) > valueRunes {
		return string(runes[:valueRunes-1]) + "…"
	}
	return text
}

// unseen reports whether a character is a command to a screen and no text: the
// control characters, new line and tab apart, and those that turn the direction
// of writing (Unicode Standard Annex 9).
func unseen(r rune) bool {
	switch {
	case r == '\n', r == '\t':
		return false
	case r < ' ', r >= 0x7f && r <= 0x9f:
		return true
	}
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}
