package layered

import (
	"math"
	"strconv"
	"strings"
)

// Section is the part of a bill that a quantity belongs to.
type Section string

// The sections, in the order of the works.
const (
	Preliminaries    Section = "preliminaries"
	Stripping        Section = "stripping"
	Excavating       Section = "excavation"
	Drainage         Section = "drainage"
	Layering         Section = "layers"
	Surfacing        Section = "surface"
	Irrigation       Section = "irrigation"
	Surrounds        Section = "surrounds"
	TemporaryGreens  Section = "temporary_green"
	Tests            Section = "tests"
	AftercareSection Section = "aftercare"
)

// Quantity is one line to be priced: how much of which item of the price book,
// and the sum that led there.
type Quantity struct {
	Section     Section `json:"section"`
	Item        string  `json:"item"`
	Description string  `json:"description"`
	Amount      float64 `json:"amount"`
	Unit        string  `json:"unit"`
	Working     string  `json:"working"`
}

// takeOff collects quantities. The workings of a whole list are written into
// one buffer and cut up at the end: a design is made tens of thousands of times
// while its inputs are drawn, and one allocation a line would rule its cost.
type takeOff struct {
	list []Quantity
	text []byte
	ends []int
}

func newTakeOff(lines int) takeOff {
	return takeOff{list: make([]Quantity, 0, lines), text: make([]byte, 0, lines*96), ends: make([]int, 0, lines)}
}

// add appends a line unless there is nothing of it. The working is a sentence
// in which each {} stands for the next value; " = amount unit" is added.
func (t *takeOff) add(section Section, item, description, unit string, amount float64, working string, values ...float64) {
	if amount <= 0 {
		return
	}
	t.text = appendSentence(t.text, working, values)
	t.close(Quantity{Section: section, Item: item, Description: description, Amount: amount, Unit: unit})
}

// close ends a line whose sum has been written.
func (t *takeOff) close(q Quantity) {
	t.list = append(t.list, q)
	t.text = append(t.text, " = "...)
	t.text = appendNumber(t.text, q.Amount)
	t.text = append(t.text, ' ')
	t.text = append(t.text, unitWords(q.Unit, q.Amount)...)
	t.ends = append(t.ends, len(t.text))
}

// quantities cuts the buffer into workings and returns the list.
func (t *takeOff) quantities() []Quantity {
	text, from := string(t.text), 0
	for i, end := range t.ends {
		t.list[i].Working = text[from:end]
		from = end
	}
	return t.list
}

// sentence fills the places {} of a pattern with numbers.
func sentence(pattern string, values ...float64) string {
	return string(appendSentence(nil, pattern, values))
}

func appendSentence(text []byte, pattern string, values []float64) []byte {
	for _, value := range values {
		before, after, found := strings.Cut(pattern, "{}")
		if !found {
			break
		}
		text = append(text, before...)
		text = appendNumber(text, value)
		pattern = after
	}
	return append(text, pattern...)
}

// appendNumber writes a number to about four figures, without trailing zeros
// and without an exponent. It does not go through strconv's shortest or fixed
// forms, which cost several times as much.
func appendNumber(text []byte, value float64) []byte {
	if math.IsNaN(value) || math.Abs(value) > 1e12 {
		return strconv.AppendFloat(text, value, 'g', 4, 64)
	}
	if value < 0 {
		text, value = append(text, '-'), -value
	}
	places, scale := 1, int64(10)
	switch {
	case value < 0.01:
		places, scale = 6, 1000000
	case value < 1:
		places, scale = 4, 10000
	case value < 10:
		places, scale = 3, 1000
	case value < 100:
		places, scale = 2, 100
	}
	whole := int64(math.Round(value * float64(scale)))
	text = strconv.AppendInt(text, whole/scale, 10)
	fraction := whole % scale
	if fraction == 0 {
		return text
	}
	text = append(text, '.')
	for fraction > 0 && places > 0 {
		scale /= 10
		text = append(text, byte('0'+fraction/scale))
		fraction %= scale
		places--
	}
	return text
}

// unitWords is a unit as it is printed after an amount.
func unitWords(unit string, amount float64) string {
	switch unit {
	case "m2":
		return "m²"
	case "m3":
		return "m³"
	case "each":
		return "in number"
	case "day", "item":
		if amount == 1 {
			return unit
		}
		return unit + "s"
	}
	return unit
}
