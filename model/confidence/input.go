package confidence

import (
	"fmt"
	"math"

	"swardcase/model/fault"
)

// Shape is how an input varies between its low and high points.
type Shape string

// The shapes. A fixed input is never drawn, since it is agreed or chosen and not
// guessed; a tornado or a break-even may still move it from low to high.
const (
	PERT       Shape = "pert"
	Triangular Shape = "triangular"
	Fixed      Shape = "fixed"
)

// Input is one uncertain number. Low, Likely and High are in its own Unit, low ≤
// likely ≤ high, each within 1e12 of zero. Step is 0 for a number that varies
// smoothly; otherwise it takes only the values Low, Low + Step, … High (1 for
// whole numbers), and the three points must be among them. A stepped input is
// drawn smoothly and then put on the nearest step.
type Input struct {
	Name   string  `json:"name"`
	Unit   string  `json:"unit"`
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
	Shape  Shape   `json:"shape"`
	Step   float64 `json:"step"`
}

const (
	mostPoint     = 1e12 // how far from zero a point may lie
	mostSteps     = 1e9  // how many steps a stepped input may have
	mostNameBytes = 200
	// stepSlack is how far, in steps, a point may lie beside its grid: room for
	// decimal steps such as 0.1, which binary fractions miss.
	stepSlack = 1e-6
)

// check adds the faults of the input, under a pointer of its own.
func (in Input) check(at string, faults *fault.List) {
	checkName(at+"/name", in.Name, faults)
	sound := true
	for _, point := range []struct {
		field string
		value float64
	}{{"low", in.Low}, {"likely", in.Likely}, {"high", in.High}} {
		if !(math.Abs(point.value) <= mostPoint) {
			faults.Add(at+"/"+point.field, point.value, "not a number that can be drawn", "write a number within 1e12 of zero")
			sound = false
		}
	}
	switch in.Shape {
	case PERT, Triangular, Fixed:
	default:
		faults.Add(at+"/shape", string(in.Shape), "no such shape", "write pert, triangular or fixed")
	}
	if !sound {
		return
	}
	if in.Low > in.Likely || in.Likely > in.High {
		faults.Add(at+"/likely", in.Likely, fmt.Sprintf("low %g, likely %g and high %g are not in order", in.Low, in.Likely, in.High),
			"write low ≤ likely ≤ high")
		return
	}
	in.checkStep(at, faults)
}

func (in Input) checkStep(at string, faults *fault.List) {
	switch {
	case in.Step == 0:
	case !(in.Step > 0 && in.Step <= mostPoint):
		faults.Add(at+"/step", in.Step, "not a step", "write a step above 0, or 0 for none")
	case (in.High-in.Low)/in.Step > mostSteps:
		faults.Add(at+"/step", in.Step, "more than 1e9 steps from low to high", "write a longer step, or 0 for none")
	case !in.onGrid(in.Likely) || !in.onGrid(in.High):
		faults.Add(at+"/step", in.Step, "likely or high is no whole number of steps above low",
			"write points that are a whole number of steps apart, or 0 for no step")
	}
}

// onGrid reports whether a value is a whole number of steps from low.
func (in Input) onGrid(value float64) bool {
	steps := (value - in.Low) / in.Step
	return math.Abs(steps-math.Round(steps)) <= stepSlack
}

func checkName(pointer, name string, faults *fault.List) {
	if name == "" || len(name) > mostNameBytes {
		faults.Add(pointer, name, "not a name", fmt.Sprintf("write a name of 1 to %d bytes", mostNameBytes))
	}
}

// varies reports whether draws of the input differ.
func (in Input) varies() bool { return in.Shape != Fixed && in.Low < in.High }

// Moments gives the mean and the variance of the input's distribution, before
// any rounding to steps. For a PERT they are those of the beta distribution that
// is drawn from, with λ the weight of the likely value:
//
//	mean = (a + λm + b)/(λ + 2),  variance = (mean − a)(b − mean)/(λ + 3)
//
// with the mean of Malcolm, Roseboom, Clark and Fazar 1959 (Operations Research
// 7(5)) and the variance that this beta distribution has. Their rule of thumb for
// it, ((b − a)/6)², is a different number, even for symmetric points: for 3, 5, 7
// it gives 0.444 where the distribution has 0.571. For a triangular input the mean
// is (a + m + b)/3 and the variance (a² + m² + b² − am − ab − bm)/18.
func (in Input) Moments(p Parameters) (mean, variance float64) {
	width := in.High - in.Low
	if !in.varies() {
		return in.Likely, 0
	}
	mode := (in.Likely - in.Low) / width // on the unit interval, where squares keep their digits
	var m, v float64
	if in.Shape == PERT {
		lambda := p.PERTLikelyWeight
		m = (lambda*mode + 1) / (lambda + 2)
		v = m * (1 - m) / (lambda + 3)
	} else {
		m = (mode + 1) / 3
		v = (mode*mode + 1 - mode) / 18
	}
	return in.Low + width*m, width * width * v
}
