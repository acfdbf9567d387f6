// Package fault describes what is wrong with a case: where, what was given,
// and how to mend it. It is a leaf: every package of the model may return
// faults, and the service turns them into one problem document or one list on
// standard error.
package fault

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Fault is one thing wrong with a case. Pointer is an RFC 6901 JSON pointer
// into the case document; Value is the offending value, shortened; Detail says
// what is wrong with it; Remedy says what to write instead.
type Fault struct {
	Pointer string `json:"pointer"`
	Value   string `json:"value,omitempty"`
	Detail  string `json:"detail"`
	Remedy  string `json:"remedy"`
}

// valueRunes bounds how much of an offending value is repeated back.
const valueRunes = 60

// New makes a fault. The value is printed with fmt and shortened to 60
// characters, so that a hostile input is never echoed whole. A nil value is
// left out.
func New(pointer string, value any, detail, remedy string) Fault {
	f := Fault{Pointer: pointer, Detail: detail, Remedy: remedy}
	if value != nil {
		f.Value = Shorten(fmt.Sprint(value))
	}
	return f
}

// Shorten cuts text to 60 characters, replaces bytes that are not UTF-8, white
// space of other kinds and what Unseen tells of by a space, and marks a cut with
// an ellipsis.
func Shorten(text string) string {
	text = strings.ToValidUTF8(text, " ")
	text = strings.Map(func(r rune) rune {
		if Unseen(r) || r == '\n' || r == '\t' {
			return ' '
		}
		return r
	}, text)
	if utf8.RuneCountInString(text) <= valueRunes {
		return text
	}
	return string([]rune(text)[:valueRunes-1]) + "…"
}

// Unseen reports whether a character is a command to a screen and no text: the
// control characters, new line and tab apart, and those that turn the direction
// of writing (Unicode Standard Annex 9, table 4, the embeddings, overrides and
// isolates). Whoever prints them shows something other than what is stored.
func Unseen(r rune) bool {
	switch {
	case r == '\n', r == '\t':
		return false
	case r < ' ', r >= 0x7f && r <= 0x9f:
		return true
	}
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// Error makes a single fault usable as an error.
func (f Fault) Error() string {
	where := f.Pointer
	if where == "" {
		where = "(document)"
	}
	if f.Value == "" {
		return fmt.Sprintf("%s: %s; %s", where, f.Detail, f.Remedy)
	}
	return fmt.Sprintf("%s: %s (given %q); %s", where, f.Detail, f.Value, f.Remedy)
}

// List is every fault found in one case, in document order of discovery. An
// empty list means that the case is sound; use Err to return it as an error.
type List []Fault

// Add appends one fault.
func (l *List) Add(pointer string, value any, detail, remedy string) {
	*l = append(*l, New(pointer, value, detail, remedy))
}

// Under appends the faults of a part of the case, moving each pointer below
// the given prefix.
func (l *List) Under(prefix string, faults List) {
	for _, f := range faults {
		f.Pointer = prefix + f.Pointer
		*l = append(*l, f)
	}
}

// Err returns the list as an error, or nil when it is empty.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Error joins the faults, one a line.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, f := range l {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Pointer builds an RFC 6901 pointer from tokens: strings are escaped,
// integers become array indices.
func Pointer(tokens ...any) string {
	var b strings.Builder
	for _, token := range tokens {
		b.WriteByte('/')
		switch t := token.(type) {
		case int:
			b.WriteString(strconv.Itoa(t))
		default:
			text := fmt.Sprint(t)
			text = strings.ReplaceAll(text, "~", "~0")
			b.WriteString(strings.ReplaceAll(text, "/", "~1"))
		}
	}
	return b.String()
}
