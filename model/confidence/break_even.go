package confidence

import (
	"fmt"
	"math"
	"slices"

	"swardcase/model/fault"
)

// BreakEvenQuestion asks at which values of one input a figure equals a target,
// all other inputs being likely. With Figure.Less set and target 0 it asks where
// two options are equal.
type BreakEvenQuestion struct {
	Input  string  `json:"input"`
	Figure Figure  `json:"figure"`
	Target float64 `json:"target"`
	// From and To bound the search; nil stands for the input's low and high. For a
	// stepped input both must be a whole number of steps from its low.
	From *float64 `json:"from,omitempty"`
	To   *float64 `json:"to,omitempty"`
	// Within is how near counts as equal, in the figure's unit: the rounding step
	// of money, for one. 0 stands for a thousand-millionth of the greatest distance
	// from the target that the search meets.
	Within float64 `json:"within"`
}

// Verdict is what a break-even search found.
type Verdict string

// The verdicts. The figure may also be absent in parts of the range under any of
// them but the last: AbsentPoints then says at how many of the points looked at.
const (
	Found           Verdict = "found"
	NeverInRange    Verdict = "never_in_range"
	EqualThroughout Verdict = "equal_throughout"
	AbsentInRange   Verdict = "absent_in_range" // there is no figure at any point looked at
)

// BreakEven is the answer: the crossings in ascending order, and the figure at
// both ends of the range, so that "never" can be read with what it rests on.
type BreakEven struct {
	Question  BreakEvenQuestion `json:"question"`
	Unit      string            `json:"unit"` // of the input
	Verdict   Verdict           `json:"verdict"`
	From      float64           `json:"from"`
	To        float64           `json:"to"`
	AtFrom    *float64          `json:"at_from"`
	AtTo      *float64          `json:"at_to"`
	Crossings []Crossing        `json:"crossings"`
	// CrossingsLeftOut is true where there are more than are listed.
	CrossingsLeftOut bool `json:"crossings_left_out"`
	Points           int  `json:"points"` // looked at before closing in
	AbsentPoints     int  `json:"absent_points"`
}

// CrossingKind says what lies at a crossing.
type CrossingKind string

// The kinds of crossing.
const (
	// EqualAt is one value at which the figure equals the target; From and To are
	// both that value.
	EqualAt CrossingKind = "equal_at"
	// TurnsBetween is a pair between which the figure passes the target without
	// taking it: neighbouring steps of a stepped input, the two sides of a jump, or
	// of a gap in which there is no figure.
	TurnsBetween CrossingKind = "turns_between"
	// EqualFromTo is a stretch over which the figure equals the target. For a smooth
	// input its ends are known to one part of the scan.
	EqualFromTo CrossingKind = "equal_from_to"
)

// Side is how a figure lies to the target.
type Side string

// The sides. EndOfRange stands where the range ends at the crossing.
const (
	Greater    Side = "greater"
	Smaller    Side = "smaller"
	Absent     Side = "absent"
	EndOfRange Side = "end_of_range"
)

// Crossing is one place at which a figure meets its target.
type Crossing struct {
	Kind   CrossingKind `json:"kind"`
	From   float64      `json:"from"`
	To     float64      `json:"to"`
	AtFrom float64      `json:"at_from"` // the figure there
	AtTo   float64      `json:"at_to"`
	// Below and Above are how the figure lies on either side: "above this value it
	// is greater".
	Below Side `json:"below"`
	Above Side `json:"above"`
}

// mostCrossings bounds the list of crossings.
const mostCrossings = 32

// BreakEven looks for every value of the input, within its range, at which the
// figure equals the target. It evaluates the ends of equal parts of the range
// (every value of a stepped input, if there are no more than parts), then closes
// in on each change of side: with Brent's method to a million-millionth of the
// range, or by halving to neighbouring steps. A figure that touches the target
// between two points and turns back, or crosses it twice there, goes unseen.
// The error is a fault.List with pointers below /question, or relative to the
// study.
func (s Study) BreakEven(q BreakEvenQuestion, p Parameters) (BreakEven, error) {
	faults := append(p.check(), s.check()...)
	s.checkQuestion(q, &faults)
	if len(faults) > 0 {
		return BreakEven{}, faults
	}
	input := slices.Index(s.inputNames(), q.Input)
	probe := s.newProbe(q.Figure)
	search := search{
		axis:   newAxis(s.Inputs[input], q, int(p.BreakEvenScanCells)),
		figure: remembered(func(x float64) float64 { return probe.figure(input, x) }),
		target: q.Target,
	}
	search.scan(q.Within)
	answer := search.answer()
	answer.Question, answer.Unit = q, s.Inputs[input].Unit
	return answer, nil
}

func (s Study) checkQuestion(q BreakEvenQuestion, faults *fault.List) {
	const at = "/question"
	s.checkFigure(q.Figure, at+"/figure", faults)
	if !present(q.Target) {
		faults.Add(at+"/target", q.Target, "not a target", "write a number within 1e15 of zero")
	}
	if !(q.Within >= 0 && q.Within <= mostOutcome) {
		faults.Add(at+"/within", q.Within, "not a distance", "write 0 or a small number in the figure's unit")
	}
	input := slices.Index(s.inputNames(), q.Input)
	if input < 0 {
		checkKnown(at+"/input", q.Input, s.inputNames(), "input", faults)
		return
	}
	s.Inputs[input].checkRange(q, at, faults)
}

// checkRange judges the range of a question about the input.
func (in Input) checkRange(q BreakEvenQuestion, at string, faults *fault.List) {
	sound := true
	for _, end := range []struct {
		field string
		value *float64
	}{{"from", q.From}, {"to", q.To}} {
		switch {
		case end.value == nil:
			continue
		case !(math.Abs(*end.value) <= mostPoint):
			faults.Add(at+"/"+end.field, *end.value, "not an end of a range", "write a number within 1e12 of zero")
		case in.Step > 0 && !in.onGrid(*end.value):
			faults.Add(at+"/"+end.field, *end.value, "no whole number of steps from the input's low",
				fmt.Sprintf("write %g and a whole number of steps of %g", in.Low, in.Step))
		default:
			continue
		}
		sound = false
	}
	if from, to := in.searchRange(q); sound && !(from < to) {
		faults.Add(at+"/input", q.Input, fmt.Sprintf("there is no range to search from %g to %g", from, to), "write from below to")
	} else if sound && in.Step > 0 && (to-from)/in.Step > mostSteps {
		faults.Add(at+"/input", q.Input, "more than 1e9 steps from one end to the other", "bring from and to nearer together")
	}
}

func (in Input) searchRange(q BreakEvenQuestion) (from, to float64) {
	from, to = in.Low, in.High
	if q.From != nil {
		from = *q.From
	}
	if q.To != nil {
		to = *q.To
	}
	return from, to
}
