package costs

import "strings"

// aboutDigits is how many digits of an estimate a sentence shows.
const aboutDigits = 3

// About writes an amount as a sentence gives an estimate: three significant
// digits and no part of a unit, as in "£21,200". Tables and bills show the
// amount itself.
func (m Money) About() string {
	digits := len(strings.TrimPrefix(m.amount.Truncate(0).String(), "-"))
	return m.wholeUnits(int32(min(0, aboutDigits-digits)))
}

// Whole writes an amount rounded half away from zero to whole units, for
// tables whose columns a reader compares: "£21,174".
func (m Money) Whole() string {
	return m.wholeUnits(0)
}

// wholeUnits writes an amount rounded to some places, none of them after the
// point.
func (m Money) wholeUnits(places int32) string {
	// Rounding up may reach the limit of an amount; the unrounded one never does.
	shown, err := fixed(m.amount.Round(places), m.currency)
	if err != nil {
		shown = m
	}
	text, _, _ := strings.Cut(shown.Format(), ".")
	return text
}

// shortUnits are the multiples that Short counts in, with what it writes for
// each; 12 digits and their rounding need no more.
var shortUnits = []struct {
	power  int32
	suffix string
}{{12, "tn"}, {9, "bn"}, {6, "M"}, {3, "k"}}

// Short writes an amount to three significant digits in thousands (k), millions
// (M), billions (bn) or trillions (tn), in at most ten characters and a minus,
// for tables that would not fit the page: "£21.2k", "JPY 9.50M". Below a
// thousand it is About.
func (m Money) Short() string {
	digits := int32(len(strings.TrimPrefix(m.amount.Truncate(0).String(), "-")))
	rounded := m.amount.Round(min(0, aboutDigits-digits))
	digits = int32(len(strings.TrimPrefix(rounded.Truncate(0).String(), "-"))) // rounding up may add one
	for _, unit := range shortUnits {
		if digits > unit.power {
			text := rounded.Abs().Shift(-unit.power).StringFixed(aboutDigits - digits + unit.power)
			sign := ""
			if rounded.Sign() < 0 {
				sign = "-"
			}
			return sign + m.currency.Mark() + text + unit.suffix
		}
	}
	return m.About()
}
