package model

import (
	"math"
	"slices"

	"swardcase/costs"
	"swardcase/model/confidence"
)

// drawForm is an appraisal in the form in which it is drawn: what the options
// cost and bring as sums that a draw works out in some microseconds.
//
// Costs and worth enter as they do in the cash flow, of which this is the float
// twin. Play enters through responses: for each uncertain constant the whole
// forecast is made anew at a few of its values, the others being likely, and a
// draw adds up the changes (the cut form of high dimensional model
// representation, Rabitz and Aliş 1999, Journal of Mathematical Chemistry 25). So
// each constant alone has its full effect, bends and steps included. What several
// do together beyond that is added for the groups in drawnTogether; for all
// others it is left out, and a test says how much that is. Left out as well is a
// life that ends sooner, or later, because play falls below the requirement at
// another age than in the likely forecast.
type drawForm struct {
	inputs  []confidence.Input
	years   int
	options []optionForm
	groups  []group

	priceLevel, quantity, worth int // places of the inputs
	discount                    int // -1 where it is not among them
	quantityLikely, worthLikely float64

	enabling   levels
	discounted []float64 // discount factors of the case, by year
	upkeepAt   []float64 // price levels by year
	aftercare  []float64
	stages     []float64 // of the works' capital, by year, at its price level
	residualAt float64   // price level at the horizon
}

// levels is an amount at the low, likely and high rates of the price book.
type levels [3]float64

// at is the amount at a price level from -1 to 1, rates standing in proportion
// between their three points.
func (l levels) at(level float64) float64 {
	if level < 0 {
		return l[1] + level*(l[1]-l[0])
	}
	return l[1] + level*(l[2]-l[1])
}

// optionForm is one option.
type optionForm struct {
	works, upkeep levels
	aftercare     [2]levels
	aftercareYear [2]int // 0 where it falls beyond the horizon
	renewalShare  int    // place of the input; -1 for options without works
	likely        []float64
	responses     []response
}

// The figures of play, in the order in which they stand in a row: the scalars,
// the last two of which are how much of the first works, and of works done again,
// is unexpired at the horizon; then the worth of the open days of each year, then
// the cost of works done again in each year as a multiple of the works.
const (
	playMonths = iota
	playIndex
	playMonthsOut
	playUnexpired
	playUnexpiredAgain
	playIncome
)

// group is one or more inputs that play answers to, with the values of each at
// which the forecast was made: the nodes of a grid, the last input's varying
// fastest.
type group struct {
	inputs []int
	grids  [][]float64
	// still marks the nodes that change nothing for any option.
	still []bool
}

// corner is a node beside which a draw lies, and how near.
type corner struct {
	node   int
	weight float64
}

// mostCorners is what a group of three inputs has.
const mostCorners = 8

// corners lists the nodes around a draw that change anything; within them the
// figures stand in proportion.
func (g *group) corners(draw []float64, into []corner) []corner {
	into = append(into[:0], corner{0, 1})
	for i, input := range g.inputs {
		below, share := placeOn(g.grids[i], draw[input])
		for c, n := 0, len(into); c < n; c++ {
			at := into[c]
			node := at.node*len(g.grids[i]) + below
			into[c] = corner{node, at.weight * (1 - share)}
			if share > 0 {
				into = append(into, corner{node + 1, at.weight * share})
			}
		}
	}
	kept := into[:0]
	for _, c := range into {
		if c.weight != 0 && !g.still[c.node] {
			kept = append(kept, c)
		}
	}
	return kept
}

// placeOn places a value on a grid of at least two rising values: the value
// below it and the share of the way to the next.
func placeOn(grid []float64, x float64) (below int, share float64) {
	last := len(grid) - 2
	for below < last && x >= grid[below+1] {
		below++
	}
	return below, (x - grid[below]) / (grid[below+1] - grid[below])
}

// response is how an option's play answers to a group of inputs: a row of
// changes for each node. Of a single input they are changes from the likely
// figures; of several, what they change together beyond what each does alone.
type response struct {
	group int
	width int // figures in a row: without the renewals where none of them moves
	rows  []float64
}

// add adds what the group changes.
func (r *response) add(around []corner, play []float64) {
	play = play[:r.width]
	for _, c := range around {
		for i, x := range r.rows[c.node*r.width:][:len(play)] {
			play[i] += c.weight * x
		}
	}
}

// newEvaluate makes the function that works out one draw; it allocates nothing.
func (f *drawForm) newEvaluate() confidence.Evaluate {
	around := make([][]corner, len(f.groups))
	for i := range around {
		around[i] = make([]corner, 0, mostCorners)
	}
	play := make([]float64, playIncome+2*f.years)
	net, present := make([]float64, f.years+1), make([]float64, f.years+1)
	factors := slices.Clone(f.discounted)
	var rate float64
	if f.discount >= 0 {
		rate = f.inputs[f.discount].Likely
	}
	return func(draw, out []float64) {
		for i := range f.groups {
			around[i] = f.groups[i].corners(draw, around[i])
		}
		if f.discount >= 0 && draw[f.discount] != rate {
			rate = draw[f.discount]
			f.discountAt(rate, factors)
		}
		for o := range f.options {
			row := out[o*outcomeCount:][:outcomeCount]
			f.options[o].play(around, play)
			row[outcomeCapital] = f.flow(&f.options[o], draw, play, net)
			if o == 0 {
				copy(present, net)
			}
			row[outcomeValue], row[outcomePayback] = against(net, present, factors)
			row[outcomeValue] += f.residual(&f.options[o], draw, play) * factors[f.years]
			row[outcomeMonths] = min(12, max(0, play[playMonths]))
			row[outcomeIndex] = min(100, max(0, play[playIndex]))
			row[outcomeMonthsOut] = max(0, play[playMonthsOut])
		}
	}
}

// play fills in the figures of play.
func (o *optionForm) play(around [][]corner, play []float64) {
	copy(play, o.likely)
	for i := range o.responses {
		o.responses[i].add(around[o.responses[i].group], play)
	}
}

// flow fills in the net of each year and returns the capital.
func (f *drawForm) flow(o *optionForm, draw, play, net []float64) (capital float64) {
	level := draw[f.priceLevel]
	works := o.works.at(level) * draw[f.quantity] / f.quantityLikely
	worth := draw[f.worth] / f.worthLikely
	upkeep := o.upkeep.at(level)
	capital = works + f.enabling.at(level)
	for year, share := range f.stages {
		net[year] = -works * share
	}
	net[0] -= f.enabling.at(level)
	income, renewals := play[playIncome:][:f.years], play[playIncome+f.years:][:f.years]
	again := 0.0
	if o.renewalShare >= 0 {
		again = works * draw[o.renewalShare]
	}
	for i, open := range income {
		net[i+1] += worth*open - upkeep*f.upkeepAt[i+1] - again*renewals[i]
	}
	for i, year := range o.aftercareYear {
		if year > 0 {
			net[year] -= o.aftercare[i].at(level) * f.aftercare[year]
		}
	}
	return capital
}

// residual is what the works are worth at the horizon.
func (f *drawForm) residual(o *optionForm, draw, play []float64) float64 {
	if o.renewalShare < 0 {
		return 0
	}
	works := o.works.at(draw[f.priceLevel]) * draw[f.quantity] / f.quantityLikely
	return works * f.residualAt * (play[playUnexpired] + draw[o.renewalShare]*play[playUnexpiredAgain])
}

// against turns net into its difference from the yardstick's and values it; the
// payback is NaN where there is none.
func against(net, yardstick, factors []float64) (value, paybackYears float64) {
	for year := range net {
		net[year] -= yardstick[year]
		value += net[year] * factors[year]
	}
	years, ok := costs.DrawnPayback(net)
	if !ok {
		years = math.NaN()
	}
	return value, years
}

// discountAt fills in the factors of a constant rate.
func (f *drawForm) discountAt(ratePct float64, factors []float64) {
	if ratePct == f.inputs[f.discount].Likely {
		copy(factors, f.discounted)
		return
	}
	factor := 1.0
	for year := range factors {
		factors[year] = factor
		factor /= 1 + ratePct/100
	}
}
