package choice

import (
	"math"
	"slices"
)

// tableau is a linear programme in the form that the dual simplex method works
// on. Each basic variable is written in terms of the nonbasic ones, which are
// all nought:
//
//	x(basic i) = level(i) − Σ_j cells(i,j) x(nonbasic j)
//	value      = objective + Σ_j cost(j) x(nonbasic j),   cost ≤ 0
//
// Variables are the choices, by number, and behind them the slack of each line.
// Columns of choices that are shut are taken out, so that the tableau shrinks
// as the search goes down.
type tableau struct {
	n         *numbered
	cells     [][]float64
	level     []float64
	basic     []int
	cost      []float64
	nonbasic  []int
	objective float64
	// row of each basic variable; -1 for the others. Lines that have not joined
	// have no variable yet.
	row    []int
	joined []bool // by line
	shut   bits
	pivots int
}

// tolerance is what counts as nought in a tableau scaled to ones, and leastPivot
// what is not divided by: it may be all error.
const (
	tolerance  = 1e-9
	leastPivot = 1e-7
)

// newTableau begins with the most valuable choice of each group, which is best
// while no line has joined.
func newTableau(n *numbered) *tableau {
	t := &tableau{n: n, row: make([]int, len(n.value)+len(n.lines)), joined: make([]bool, len(n.lines)), shut: newBits(len(n.value))}
	for i := range t.row {
		t.row[i] = -1
	}
	best := make([]int, len(n.Groups))
	for g := range n.Groups {
		best[g] = n.first[g]
		for at := n.first[g]; at < n.first[g+1]; at++ {
			if n.value[at] > n.value[best[g]] {
				best[g] = at
			}
		}
		t.row[best[g]] = g
		t.basic = append(t.basic, best[g])
		t.level = append(t.level, 1)
		t.objective += t.scaled(best[g])
	}
	for at := range n.value {
		if t.row[at] < 0 {
			t.nonbasic = append(t.nonbasic, at)
			t.cost = append(t.cost, t.scaled(at)-t.scaled(best[n.group[at]]))
		}
	}
	for g := range n.Groups {
		cells := make([]float64, len(t.nonbasic))
		for j, at := range t.nonbasic {
			if n.group[at] == g {
				cells[j] = 1
			}
		}
		t.cells = append(t.cells, cells)
	}
	return t
}

func (t *tableau) scaled(at int) float64 { return float64(t.n.value[at]) / float64(t.n.most) }

// clone copies a tableau into one block.
func (t *tableau) clone() *tableau {
	c := *t
	c.level, c.basic, c.cost, c.nonbasic = slices.Clone(t.level), slices.Clone(t.basic), slices.Clone(t.cost), slices.Clone(t.nonbasic)
	c.row, c.joined, c.shut = slices.Clone(t.row), slices.Clone(t.joined), slices.Clone(t.shut)
	c.pivots = 0
	block := make([]float64, len(t.cells)*len(t.nonbasic))
	c.cells = make([][]float64, len(t.cells), len(t.cells)+8)
	for i := range t.cells {
		c.cells[i] = block[i*len(t.nonbasic) : (i+1)*len(t.nonbasic) : (i+1)*len(t.nonbasic)]
		copy(c.cells[i], t.cells[i])
	}
	return &c
}

// share is the level of a choice.
func (t *tableau) share(at int) float64 {
	if i := t.row[at]; i >= 0 {
		return t.level[i]
	}
	return 0
}

// join adds a line, written in terms of the nonbasic variables. A slack that is
// less than nought breaks the tableau until it is optimised again.
func (t *tableau) join(line int) {
	for len(t.joined) <= line { // lines that were found meanwhile
		t.joined = append(t.joined, false)
		t.row = append(t.row, -1)
	}
	t.joined[line] = true
	l := &t.n.lines[line]
	scale := 1 / float64(l.size)
	cells, level := make([]float64, len(t.nonbasic)), float64(l.limit)*scale
	direct := make(map[int]float64, len(l.terms)) // amounts of nonbasic choices
	for _, term := range l.terms {
		amount := float64(term.amount) * scale
		i := t.row[term.at]
		if i < 0 {
			direct[term.at] = amount
			continue
		}
		level -= amount * t.level[i]
		for j, cell := range t.cells[i] {
			cells[j] -= amount * cell
		}
	}
	for j, v := range t.nonbasic {
		cells[j] += direct[v] // looked up, not ranged over: the order is the columns'
	}
	slack := len(t.n.value) + line
	t.row[slack] = len(t.basic)
	t.basic = append(t.basic, slack)
	t.level = append(t.level, level)
	t.cells = append(t.cells, cells)
}

// drop takes a column out.
func (t *tableau) drop(j int) {
	last := len(t.nonbasic) - 1
	for i := range t.cells {
		t.cells[i][j] = t.cells[i][last]
		t.cells[i] = t.cells[i][:last]
	}
	t.cost[j], t.nonbasic[j] = t.cost[last], t.nonbasic[last]
	t.cost, t.nonbasic = t.cost[:last], t.nonbasic[:last]
}

// rebuild makes the tableau anew from the problem, without the errors that its
// pivots have gathered. It has to be optimised again.
func (t *tableau) rebuild() {
	fresh := newTableau(t.n)
	fresh.pivots = t.pivots
	fresh.shutAll(t.shut)
	for line, joined := range t.joined {
		if joined {
			fresh.join(line)
		}
	}
	*t = *fresh
}

// shutAll shuts choices: those that are nonbasic lose their columns, those that
// are basic are driven out by optimise.
func (t *tableau) shutAll(more bits) {
	t.shut.add(more)
	for j := len(t.nonbasic) - 1; j >= 0; j-- {
		if v := t.nonbasic[j]; v < len(t.n.value) && t.shut.has(v) {
			t.drop(j)
		}
	}
}

// outcome is how optimising a tableau ended.
type outcome int

const (
	optimal outcome = iota
	infeasible
	stalled // too many pivots: the prices are good, though not the best
)

// optimise makes every basic variable keep its bounds, while the costs stay at
// or below nought. Where it cannot, it returns the row that shows so.
func (t *tableau) optimise() (outcome, int) { return t.optimiseWithin(200 + 20*len(t.basic)) }

// optimiseWithin is optimise within so many pivots.
func (t *tableau) optimiseWithin(pivots int) (outcome, int) {
	for limit := pivots; limit > 0; limit-- {
		leaving, above := t.leaving()
		if leaving < 0 {
			return optimal, -1
		}
		entering := t.entering(leaving, above)
		if entering < 0 {
			return infeasible, leaving
		}
		t.pivot(leaving, entering)
	}
	return stalled, -1
}

// leaving picks the variable that breaks its bound the most: one below nought,
// or a shut one above it.
func (t *tableau) leaving() (row int, above bool) {
	row, worst := -1, tolerance
	for i, level := range t.level {
		if -level > worst {
			row, worst, above = i, -level, false
		} else if v := t.basic[i]; level > worst && v < len(t.n.value) && t.shut.has(v) {
			row, worst, above = i, level, true
		}
	}
	return row, above
}

// entering picks the column that keeps every cost at or below nought; of those
// as good, the one with the largest cell, so that little is divided by.
func (t *tableau) entering(row int, above bool) int {
	cells, least := t.cells[row], math.Inf(1)
	for j, cell := range cells {
		if above {
			cell = -cell
		}
		if cell < -leastPivot {
			least = min(least, (tolerance-t.cost[j])/-cell)
		}
	}
	column, size := -1, 0.0
	for j, cell := range cells {
		if above {
			cell = -cell
		}
		if cell < -leastPivot && -t.cost[j]/-cell <= least && -cell > size {
			column, size = j, -cell
		}
	}
	return column
}

// pivot exchanges a basic variable and a nonbasic one.
func (t *tableau) pivot(row, column int) {
	t.pivots++
	pivot := t.cells[row]
	inverse := 1 / pivot[column]
	for j := range pivot {
		pivot[j] *= inverse
	}
	pivot[column] = inverse
	step := t.level[row] * inverse
	t.level[row] = step
	for i, cells := range t.cells {
		if i == row {
			continue
		}
		factor := cells[column]
		if factor == 0 {
			continue
		}
		if math.Abs(factor) < 1e-12 {
			cells[column] = 0
			continue
		}
		subtract(cells, pivot, factor)
		cells[column] = -factor * inverse
		t.level[i] -= factor * step
	}
	factor := t.cost[column]
	t.objective += factor * step
	for j := range pivot {
		t.cost[j] = min(0, t.cost[j]-factor*pivot[j])
	}
	t.cost[column] = -factor * inverse

	out, in := t.basic[row], t.nonbasic[column]
	t.basic[row], t.nonbasic[column] = in, out
	t.row[in], t.row[out] = row, -1
	if out < len(t.n.value) && t.shut.has(out) {
		t.drop(column)
	} else {
		t.cost[column] = min(0, t.cost[column])
	}
}

func subtract(from, what []float64, factor float64) {
	what = what[:len(from)]
	for j := range from {
		from[j] -= factor * what[j]
	}
}

// prices are the prices of the lines, in value a unit of the line; nil entries
// of lines that have not joined are nought.
func (t *tableau) prices() []price {
	var out []price
	for j, v := range t.nonbasic {
		if line := v - len(t.n.value); line >= 0 && t.cost[j] < -1e-13 {
			out = append(out, price{line, -t.cost[j] * float64(t.n.most) / float64(t.n.lines[line].size)})
		}
	}
	return out
}

// proof are prices that grow as far as it takes to show that nothing is
// feasible: the direction in which the row lets the bound fall for ever.
func (t *tableau) proof(row int) (direction []price) {
	v := t.basic[row]
	above := t.level[row] > 0
	sign := 1.0
	if above {
		sign = -1
	}
	unit := float64(t.n.most)
	for j, w := range t.nonbasic {
		if line := w - len(t.n.value); line >= 0 {
			if d := sign * t.cells[row][j]; d > 1e-13 {
				direction = append(direction, price{line, d * unit / float64(t.n.lines[line].size)})
			}
		}
	}
	if line := v - len(t.n.value); line >= 0 && !above {
		direction = append(direction, price{line, unit / float64(t.n.lines[line].size)})
	}
	return direction
}

// leaveSlack takes rows out that do not bind. They join again when broken.
func (t *tableau) leaveSlack() {
	kept := 0
	for i, v := range t.basic {
		line := v - len(t.n.value)
		if line >= 0 && t.level[i] > 1e-6 {
			t.row[v], t.joined[line] = -1, false
			continue
		}
		t.basic[kept], t.level[kept], t.cells[kept] = v, t.level[i], t.cells[i]
		t.row[v] = kept
		kept++
	}
	t.basic, t.level, t.cells = t.basic[:kept], t.level[:kept], t.cells[:kept]
}

// binding are the lines that have joined and of which nothing is left.
func (t *tableau) binding() []int {
	var lines []int
	for _, v := range t.nonbasic {
		if line := v - len(t.n.value); line >= 0 {
			lines = append(lines, line)
		}
	}
	slices.Sort(lines)
	return lines
}
