package confidence

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

const (
	// tableError bounds how far, in cumulative probability, the tabulated
	// distribution lies from the true one. Ten thousand draws blur a probability
	// by 5e-3.
	tableError = 1e-7
	// tableDepth bounds the halvings of a cell.
	tableDepth = 64
)

// quantileTable is the inverse of the distribution function of a beta
// distribution on [0, 1], by cubic Hermite interpolation in cells that are halved
// until each is close enough and monotone (Hörmann and Leydold 2003, Continuous
// random variate generation by fast numerical inversion, ACM Transactions on
// Modeling and Computer Simulation 13(4)). One uniform number gives one value,
// and a greater one never a smaller value.
type quantileTable struct {
	cells []quantileCell // the last is a stop that no probability reaches
	guide []int32        // where to start looking, for equal slices of probability
}

// quantileCell holds, from the probability from upwards, a cubic in the share s
// of the cell that has been passed.
type quantileCell struct {
	from, perWidth float64
	c0, c1, c2, c3 float64
}

// at returns the quantile of a probability strictly between 0 and 1.
func (t *quantileTable) at(probability float64) float64 {
	i := t.guide[int(probability*float64(len(t.guide)))]
	for probability >= t.cells[i+1].from {
		i++
	}
	c := &t.cells[i]
	s := (probability - c.from) * c.perWidth
	return c.c0 + s*(c.c1+s*(c.c2+s*c.c3))
}

// newQuantileTable tabulates the beta distribution of the given shapes, both at
// least 1 and at most 101.
func newQuantileTable(alpha, beta float64) *quantileTable {
	b := tableBuilder{alpha: alpha, beta: beta, logComplete: mathext.Lbeta(alpha, beta)}
	b.fill(b.knot(0), b.knot(1), 0)
	t := &quantileTable{cells: append(b.cells, quantileCell{from: 2})}
	t.guide = make([]int32, 2*len(b.cells))
	cell := 0
	for i := range t.guide {
		for t.cells[cell+1].from <= float64(i)/float64(len(t.guide)) {
			cell++
		}
		t.guide[i] = int32(cell)
	}
	return t
}

type tableBuilder struct {
	alpha, beta, logComplete float64
	cells                    []quantileCell
}

// knot is a point of the quantile function with its slope, which is infinite
// where the density is nil.
type knot struct{ probability, value, slope float64 }

func (b *tableBuilder) knot(x float64) knot {
	density := math.Exp((b.alpha-1)*logOr0(x, b.alpha) + (b.beta-1)*logOr0(1-x, b.beta) - b.logComplete)
	return knot{probability: mathext.RegIncBeta(b.alpha, b.beta, x), value: x, slope: 1 / density}
}

// logOr0 is log x, or 0 where the shape is 1 and x⁰ stands, even at x = 0.
func logOr0(x, shape float64) float64 {
	if shape == 1 {
		return 0
	}
	return math.Log(x)
}

// fill adds cells between two knots, halving (in value) what a cubic does not fit.
func (b *tableBuilder) fill(low, high knot, depth int) {
	mass := high.probability - low.probability
	if mass <= 0 {
		return // nothing is ever drawn from here
	}
	if mass <= tableError || depth == tableDepth {
		b.cells = append(b.cells, quantileCell{
			from: low.probability, perWidth: 1 / mass, c0: low.value, c1: high.value - low.value,
		})
		return
	}
	middle := b.knot((low.value + high.value) / 2)
	cubic := hermite(low, high)
	s := (middle.probability - low.probability) * cubic.perWidth
	miss := cubic.c0 + s*(cubic.c1+s*(cubic.c2+s*cubic.c3)) - middle.value
	// The cubic's largest miss lies near the middle; half the bound leaves room.
	fits := math.Abs(miss) <= tableError/2*middle.slope
	if fits && monotone(low, high) {
		b.cells = append(b.cells, cubic)
		return
	}
	b.fill(low, middle, depth+1)
	b.fill(middle, high, depth+1)
}

func hermite(low, high knot) quantileCell {
	mass := high.probability - low.probability
	rise := high.value - low.value
	d0, d1 := low.slope*mass, high.slope*mass
	return quantileCell{
		from: low.probability, perWidth: 1 / mass,
		c0: low.value, c1: d0, c2: 3*rise - 2*d0 - d1, c3: d0 + d1 - 2*rise,
	}
}

// monotone reports whether the cubic between two knots surely rises all the way:
// no slope above three times the chord's (Fritsch and Carlson 1980, Monotone
// piecewise cubic interpolation, SIAM Journal on Numerical Analysis 17(2)).
func monotone(low, high knot) bool {
	chord := (high.value - low.value) / (high.probability - low.probability)
	return low.slope <= 3*chord && high.slope <= 3*chord
}
