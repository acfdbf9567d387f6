package confidence

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"swardcase/model/fault"
)

// NoOption is what stands in place of an option's name where none may be chosen.
const NoOption = "no_option"

// Study is one comparison under uncertainty: what is uncertain, what is
// compared, and the function between them.
type Study struct {
	Inputs []Input
	// Options are listed in the order in which equals are preferred.
	Options  []Option
	Outcomes []Outcome
	// RankBy names the outcome by which the best option is chosen: the greatest
	// wins, and an option for which it is absent cannot.
	RankBy string
	// Requirements are what an option must meet in a draw to be chosen in it.
	Requirements []Requirement
	// NewEvaluate makes the function that evaluates draws, once for each worker,
	// so that each can keep scratch space of its own.
	NewEvaluate func() Evaluate
}

// Evaluate turns one draw, a value for each input in their order, into outcomes:
// that of option o and outcome k goes to out[o*len(Outcomes)+k], NaN where it is
// absent. It must depend on the draw alone and keep neither slice.
type Evaluate func(draw, out []float64)

// Option is one course of action. An infeasible one is evaluated like the others
// but never chosen.
type Option struct {
	Name     string
	Feasible bool
}

// Outcome is one figure that every option has.
type Outcome struct {
	Name string
	Unit string
}

// Requirement bounds an outcome from below, above or both; nil is no bound. An
// absent outcome does not meet it.
type Requirement struct {
	Outcome string   `json:"outcome"`
	AtLeast *float64 `json:"at_least"`
	AtMost  *float64 `json:"at_most"`
}

const (
	mostInputs       = 500
	mostOptions      = 64
	mostOutcomes     = 64
	mostRequirements = 64
	// mostOutcome is how far from zero an outcome may lie before it counts as
	// absent.
	mostOutcome = 1e15
)

// present reports whether an outcome has a value that may be counted.
func present(x float64) bool { return math.Abs(x) <= mostOutcome }

// orNil gives a pointer to an outcome, or nil where it is absent.
func orNil(x float64) *float64 {
	if !present(x) {
		return nil
	}
	return &x
}

func (s Study) check() fault.List {
	var faults fault.List
	checkInputs("/inputs", s.Inputs, &faults)
	checkNames("/options", s.optionNames(), mostOptions, &faults)
	checkNames("/outcomes", s.outcomeNames(), mostOutcomes, &faults)
	if at := slices.Index(s.optionNames(), NoOption); at >= 0 {
		faults.Add(fault.Pointer("options", at, "name"), NoOption, "this name stands for no option at all", "give the option another name")
	}
	s.checkOutcome("/rank_by", s.RankBy, &faults)
	if len(s.Requirements) > mostRequirements {
		faults.Add("/requirements", len(s.Requirements), "too many requirements", fmt.Sprintf("state at most %d", mostRequirements))
		return faults
	}
	for i, r := range s.Requirements {
		at := fault.Pointer("requirements", i)
		s.checkOutcome(at+"/outcome", r.Outcome, &faults)
		r.checkBounds(at, &faults)
	}
	if s.NewEvaluate == nil {
		faults.Add("", nil, "there is nothing to evaluate the draws with", "give NewEvaluate")
	}
	return faults
}

func (r Requirement) checkBounds(at string, faults *fault.List) {
	for _, bound := range []struct {
		field string
		value *float64
	}{{"at_least", r.AtLeast}, {"at_most", r.AtMost}} {
		if bound.value != nil && !present(*bound.value) {
			faults.Add(at+"/"+bound.field, *bound.value, "not a bound", "write a number within 1e15 of zero")
		}
	}
	if r.AtLeast != nil && r.AtMost != nil && *r.AtLeast > *r.AtMost {
		faults.Add(at, nil, fmt.Sprintf("no number is at least %g and at most %g", *r.AtLeast, *r.AtMost), "put the bounds in order")
	}
}

// checkInputs adds the faults of a list of inputs below a prefix.
func checkInputs(prefix string, inputs []Input, faults *fault.List) {
	names := make([]string, len(inputs))
	for i, in := range inputs {
		names[i] = in.Name
	}
	if checkCount(prefix, len(inputs), mostInputs, faults) {
		for i, in := range inputs {
			in.check(prefix+fault.Pointer(i), faults)
		}
		checkDistinct(prefix, names, faults)
	}
}

func checkNames(prefix string, names []string, most int, faults *fault.List) {
	if checkCount(prefix, len(names), most, faults) {
		for i, name := range names {
			checkName(prefix+fault.Pointer(i, "name"), name, faults)
		}
		checkDistinct(prefix, names, faults)
	}
}

func checkCount(pointer string, count, most int, faults *fault.List) bool {
	if count >= 1 && count <= most {
		return true
	}
	faults.Add(pointer, count, "a number of entries that cannot be used", fmt.Sprintf("list from 1 to %d", most))
	return false
}

func checkDistinct(prefix string, names []string, faults *fault.List) {
	seen := make(map[string]bool, len(names))
	for i, name := range names {
		if seen[name] {
			faults.Add(prefix+fault.Pointer(i, "name"), name, "this name is used twice", "give each entry a name of its own")
		}
		seen[name] = true
	}
}

func (s Study) optionNames() []string {
	names := make([]string, len(s.Options))
	for i, o := range s.Options {
		names[i] = o.Name
	}
	return names
}

func (s Study) outcomeNames() []string {
	names := make([]string, len(s.Outcomes))
	for i, o := range s.Outcomes {
		names[i] = o.Name
	}
	return names
}

func (s Study) inputNames() []string {
	names := make([]string, len(s.Inputs))
	for i, in := range s.Inputs {
		names[i] = in.Name
	}
	return names
}

func (s Study) checkOutcome(pointer, name string, faults *fault.List) {
	checkKnown(pointer, name, s.outcomeNames(), "outcome", faults)
}

// checkKnown adds a fault where a name is not in a list.
func checkKnown(pointer, name string, known []string, kind string, faults *fault.List) {
	if slices.Contains(known, name) {
		return
	}
	remedy := "write one of: " + strings.Join(known[:min(len(known), 12)], ", ")
	if len(known) > 12 {
		remedy += ", …"
	}
	faults.Add(pointer, name, "there is no such "+kind, remedy)
}

// likely gives the draw in which every input stands at its likely value.
func (s Study) likely() []float64 {
	draw := make([]float64, len(s.Inputs))
	for i, in := range s.Inputs {
		draw[i] = in.Likely
	}
	return draw
}
