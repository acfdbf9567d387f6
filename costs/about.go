package costs

import "strings"

// aboutDigits is how many digits of an estimate a sentence shows.
const aboutDigits = 3

// About writes an amount as a sentence gives an estimate: three significant
// digits and no part of a unit, as in "£21,200". Tables and bills show the
// amount itself.
func (m Money) About() string {
	digits := len(strings.TrimPrefix(m.amount.Truncate(0).String(), "-"))
	rounded := m.amount.Round(int32(min(0, aboutDigits-digits)))
	// Rounding up may reach the limit of an amount; the unrounded one never does.
	shown, err := fixed(rounded, m.currency)
	if err != nil {
		shown = m
	}
	text, _, _ := strings.Cut(shown.Format(), ".")
	return text
}

// Whole writes an amount rounded half away from zero to whole units, for
// tables whose columns a reader compares: "£21,174".
func (m Money) Whole() string {
	shown, err := fixed(m.amount.Round(0), m.currency)
	if err != nil {
		shown = m
	}
	text, _, _ := strings.Cut(shown.Format(), ".")
	return text
}
