package confidence

import (
	"math"
	"slices"
)

// Tornado is what each input alone can do to a figure.
type Tornado struct {
	Figure   Figure   `json:"figure"`
	AtLikely *float64 `json:"at_likely"` // all inputs likely; nil where the figure is absent
	// BestAtLikely is the best option there, or NoOption.
	BestAtLikely string       `json:"best_at_likely"`
	Bars         []TornadoBar `json:"bars"`
}

// TornadoBar is one input at its low and at its high point, all others likely.
type TornadoBar struct {
	Input string  `json:"input"`
	Unit  string  `json:"unit"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	// AtLow and AtHigh are the figure at the two ends, nil where it is absent.
	AtLow  *float64 `json:"at_low"`
	AtHigh *float64 `json:"at_high"`
	// Swing is from the least to the greatest figure among low, likely and high;
	// nil where one of the three has none. It counts the likely value so that an
	// input whose two ends spoil the figure alike does not pass for harmless.
	Swing *float64 `json:"swing"`
	// BestAtLow and BestAtHigh are the best option at the ends, or NoOption.
	BestAtLow  string `json:"best_at_low"`
	BestAtHigh string `json:"best_at_high"`
}

// Tornado moves each input from low to high, the others staying likely, and ranks
// them by the swing of the figure, widest first. An input that makes the figure
// come or go ranks above any swing; equals stay in the order of the inputs. Inputs
// whose low and high are equal are left out. The error is a fault.List with
// pointers below /figure, or relative to the study.
func (s Study) Tornado(f Figure) (Tornado, error) {
	faults := s.check()
	s.checkFigure(f, "/figure", &faults)
	if len(faults) > 0 {
		return Tornado{}, faults
	}
	p := s.newProbe(f)
	likely := p.figure(0, p.draw[0])
	t := Tornado{Figure: f, AtLikely: orNil(likely), BestAtLikely: p.best(), Bars: []TornadoBar{}}
	for i, in := range s.Inputs {
		if in.Low < in.High {
			t.Bars = append(t.Bars, p.bar(i, likely))
		}
	}
	slices.SortStableFunc(t.Bars, compareBars)
	return t, nil
}

func (p *probe) bar(input int, likely float64) TornadoBar {
	in := p.study.Inputs[input]
	bar := TornadoBar{Input: in.Name, Unit: in.Unit, Low: in.Low, High: in.High}
	low := p.figure(input, in.Low)
	bar.BestAtLow = p.best()
	high := p.figure(input, in.High)
	bar.BestAtHigh = p.best()
	bar.AtLow, bar.AtHigh = orNil(low), orNil(high)
	swing := max(low, likely, high) - min(low, likely, high)
	switch gone := countNaN(low, likely, high); gone {
	case 0:
		bar.Swing = &swing
	case 3: // absent whatever this input does
		swing = 0
		bar.Swing = &swing
	}
	return bar
}

func countNaN(values ...float64) int {
	n := 0
	for _, x := range values {
		if math.IsNaN(x) {
			n++
		}
	}
	return n
}

// compareBars puts a bar without a swing first, then the widest.
func compareBars(a, b TornadoBar) int {
	width := func(bar TornadoBar) float64 {
		if bar.Swing == nil {
			return math.Inf(1)
		}
		return *bar.Swing
	}
	switch wa, wb := width(a), width(b); {
	case wa > wb:
		return -1
	case wa < wb:
		return 1
	}
	return 0
}
