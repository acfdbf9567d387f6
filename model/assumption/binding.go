package assumption

import (
	"fmt"

	"swardcase/model/fault"
)

// Binding ties a parameter of a package to its assumption and to the range in
// which the formulas have a meaning.
type Binding struct {
	Name      string
	Field     *float64
	Low, High float64
}

// Bind makes a Binding.
func Bind(name string, field *float64, low, high float64) Binding {
	return Binding{name, field, low, high}
}

// Fill writes the likely value of each assumption into its field.
func (s Set) Fill(bindings []Binding) {
	for _, b := range bindings {
		*b.Field = s.Likely(b.Name)
	}
}

// Outside lists, in their order, the bindings whose field is not a number in the
// range.
func Outside(bindings []Binding) []Binding {
	var out []Binding
	for _, b := range bindings {
		if !(*b.Field >= b.Low && *b.Field <= b.High) { // true for NaN
			out = append(out, b)
		}
	}
	return out
}

// OutsideFaults are faults of those that Outside lists, for parameters that are
// no part of the document at hand: the pointer is the whole of it and the detail
// names the assumption.
func OutsideFaults(bindings []Binding) fault.List {
	var faults fault.List
	for _, b := range Outside(bindings) {
		faults.Add("", *b.Field, fmt.Sprintf("the assumption %s makes no sense at this value", b.Name),
			fmt.Sprintf("set %s from %g to %g", b.Name, b.Low, b.High))
	}
	return faults
}
