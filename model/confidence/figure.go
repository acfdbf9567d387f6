package confidence

import (
	"math"
	"slices"

	"swardcase/model/fault"
)

// Figure is the one number that a tornado or a break-even looks at: an outcome
// of an option, less that of another option where Less names one.
type Figure struct {
	Option  string `json:"option"`
	Outcome string `json:"outcome"`
	Less    string `json:"less,omitempty"`
}

func (s Study) checkFigure(f Figure, prefix string, faults *fault.List) {
	checkKnown(prefix+"/option", f.Option, s.optionNames(), "option", faults)
	s.checkOutcome(prefix+"/outcome", f.Outcome, faults)
	if f.Less == "" {
		return
	}
	checkKnown(prefix+"/less", f.Less, s.optionNames(), "option", faults)
	if f.Less == f.Option {
		faults.Add(prefix+"/less", f.Less, "an option less itself is always nothing", "name another option, or leave this out")
	}
}

// probe evaluates a study at chosen values, all inputs being likely but one.
type probe struct {
	study      Study
	evaluate   Evaluate
	chooser    chooser
	draw, out  []float64
	at, lessAt int // lessAt is -1 where nothing is taken away
}

// newProbe takes a checked study and figure.
func (s Study) newProbe(f Figure) *probe {
	outcome := slices.Index(s.outcomeNames(), f.Outcome)
	p := &probe{
		study: s, evaluate: s.NewEvaluate(), chooser: s.newChooser(), draw: s.likely(),
		out: make([]float64, len(s.Options)*len(s.Outcomes)), lessAt: -1,
		at: slices.Index(s.optionNames(), f.Option)*len(s.Outcomes) + outcome,
	}
	if f.Less != "" {
		p.lessAt = slices.Index(s.optionNames(), f.Less)*len(s.Outcomes) + outcome
	}
	return p
}

// figure evaluates with one input at a value; NaN where the figure is absent.
func (p *probe) figure(input int, value float64) float64 {
	likely := p.draw[input]
	p.draw[input] = value
	p.evaluate(p.draw, p.out)
	p.draw[input] = likely
	if p.lessAt < 0 {
		return orNaN(p.out[p.at])
	}
	return orNaN(orNaN(p.out[p.at]) - orNaN(p.out[p.lessAt]))
}

// orNaN makes every absent outcome NaN, which stays through a sum.
func orNaN(x float64) float64 {
	if !present(x) {
		return math.NaN()
	}
	return x
}

// best names the best option at the last evaluation.
func (p *probe) best() string { return p.study.bestName(p.chooser, p.out) }
