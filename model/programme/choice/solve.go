package choice

import (
	"container/heap"
	"context"
	"math"
	"slices"
)

// Solve finds the best selection. The error is of a problem that cannot be
// worked on; a problem without an allowed selection is no error.
func Solve(ctx context.Context, p Problem, limits Limits) (Result, error) {
	if err := p.check(); err != nil {
		return Result{}, err
	}
	s := &search{ctx: ctx, n: number(&p), limits: limits, known: unknown, struck: unknown, paired: unknown}
	s.bounder = newBounder(s.n)
	s.begin()
	s.run()
	return s.result(), nil
}

// unknown is the value that stands for no selection: less than any, and far from
// the end of what a whole number holds.
const unknown = math.MinInt64 / 4

// search is one run.
type search struct {
	ctx     context.Context
	n       *numbered
	limits  Limits
	bounder *bounder
	root    *tableau
	open    nodes
	least   int64 // no selection is worth less
	known   int64 // value of picks; unknown without
	paired  int64 // the value known when pairs of exchanges were last looked at
	struck  int64 // the value known when the root last struck choices out
	picks   []int
	stopped bool
	nodes   int
	pivots  int
	joined  int      // lines that bind at the root
	records []record // by group
}

// node is a part of the selections that has yet to be looked at.
type node struct {
	bound int64
	shut  bits
	// lines are those that bound the node's parent: they are likely to bind here.
	lines []int
	depth int
	made  int // when: of equals, the youngest first
}

// nodes is a heap, the highest bound first, then the deepest, then the youngest.
type nodes []node

func (h nodes) Len() int { return len(h) }
func (h nodes) Less(i, j int) bool {
	switch {
	case h[i].bound != h[j].bound:
		return h[i].bound > h[j].bound
	case h[i].depth != h[j].depth:
		return h[i].depth > h[j].depth
	}
	return h[i].made > h[j].made
}
func (h nodes) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *nodes) Push(x any)   { *h = append(*h, x.(node)) }
func (h *nodes) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}

// begin makes the root and a first selection.
func (s *search) begin() {
	for _, g := range s.n.Groups {
		s.least += slices.Min(g.Values)
	}
	s.records = make([]record, len(s.n.Groups))
	s.root = newTableau(s.n)
	s.take(s.n.Start)
	s.take(s.greedy())
	s.improve()
}

// run takes up nodes until none is left that could hold anything better.
func (s *search) run() {
	top := node{bound: math.MaxInt64}
	if s.ended() {
		s.putAside(node{bound: math.MaxInt64, shut: s.root.shut})
		return
	}
	s.nodes++
	if !s.settle(s.root, &top) || !s.roundRoot(&top) {
		return
	}
	s.tell(top)
	s.struck = s.known
	s.joined = len(s.root.binding())
	s.descend(s.root.clone(), top)
	s.betterPairs()
	for len(s.open) > 0 && !s.ended() {
		next := heap.Pop(&s.open).(node)
		if next.bound <= s.known || s.known > s.struck && !s.settle(s.root, &top) {
			s.open = nil // the others are no better
			return
		}
		s.struck = s.known
		t := s.root.clone()
		t.shutAll(next.shut)
		for _, line := range next.lines {
			if !t.isJoined(line) {
				t.join(line)
			}
		}
		s.nodes++
		if s.settle(t, &next) {
			s.tell(next)
			s.descend(t, next)
		}
		s.pivots += t.pivots
		s.betterPairs()
	}
}

// betterPairs looks for pairs of exchanges whenever a better selection has been
// found since.
func (s *search) betterPairs() {
	if s.known == s.paired || len(s.open) == 0 {
		return
	}
	s.bounder.bound(s.root.prices(), s.root.shut) // what each choice is worth at the prices of the root
	s.improvePairs()
	s.improve()
	s.paired = s.known
}

// ended reports whether the search has to stop.
func (s *search) ended() bool {
	if s.ctx.Err() != nil {
		s.stopped = true
	}
	return s.stopped || s.limits.Nodes > 0 && s.nodes >= s.limits.Nodes
}

// descend follows a node that has been settled down to its end, putting aside
// at each parting the part that it does not take.
func (s *search) descend(t *tableau, at node) {
	for {
		group, kept := s.parting(t)
		if group < 0 {
			return
		}
		t.leaveSlack()
		lines := t.binding()
		if s.ended() {
			at.shut, at.lines = t.shut, lines
			s.putAside(at)
			return
		}
		other := node{bound: at.bound, depth: at.depth + 1, shut: slices.Clone(t.shut), lines: lines}
		other.shut.add(kept)
		s.putAside(other)
		t.shutAll(s.rest(group, kept))
		at.depth++
		s.nodes++
		if !s.settle(t, &at) {
			return
		}
		s.tell(at)
	}
}

// tell says how far the search has come, with a node at hand that is not done.
func (s *search) tell(at node) {
	if s.limits.Tell == nil {
		return
	}
	bound := max(at.bound, s.known)
	if len(s.open) > 0 {
		bound = max(bound, s.open[0].bound)
	}
	s.limits.Tell(Progress{
		Nodes: s.nodes, Found: s.known != unknown, Value: s.known,
		Bounded: bound != math.MaxInt64 && bound != unknown, Bound: bound,
	})
}

func (s *search) putAside(n node) {
	n.made = s.nodes
	heap.Push(&s.open, n)
}

// rest are the choices of a group that are not among the kept.
func (s *search) rest(group int, kept bits) bits {
	out := newBits(len(s.n.value))
	for at := s.n.first[group]; at < s.n.first[group+1]; at++ {
		if !kept.has(at) {
			out.set(at)
		}
	}
	return out
}

// mostRounds is how often lines are joined to one node: beyond it, those that
// are still broken are left to the nodes below.
const mostRounds = 500

// settle brings a node to rest: optimised, every line that it breaks joined, and
// every hopeless choice struck out. It reports whether anything better than
// what is known may lie below.
func (s *search) settle(t *tableau, at *node) bool {
	rebuilt := false
	for round := 0; ; round++ {
		how, row := t.optimise()
		prices := t.prices()
		if how == infeasible {
			if s.bounder.emptied(prices, t.proof(row), max(s.known, s.least-1), t.shut) {
				return false
			}
			if !rebuilt { // errors have gathered: the floats show what whole numbers do not
				rebuilt = true
				t.rebuild()
				continue
			}
		}
		if s.proven(t, prices, at) {
			return false
		}
		if !rebuilt && how == optimal && s.strays(t) {
			rebuilt = true
			t.rebuild()
			continue
		}
		if s.known != unknown && s.strikeOut(t) {
			continue
		}
		if how == optimal && round < mostRounds && s.joinBroken(t) {
			continue
		}
		return !s.tryRounded(t) || s.bounder.total>>s.bounder.shift > s.known
	}
}

// strays reports whether the bound in whole numbers is well above that of the
// tableau it is made from, which is then no longer to be trusted.
func (s *search) strays(t *tableau) bool {
	floats := t.objective * float64(s.n.most)
	return math.Ldexp(float64(s.bounder.total), -s.bounder.shift)-floats > 2+1e-5*math.Abs(floats)
}

// strikeOut shuts the hopeless choices and reports whether one was in use.
func (s *search) strikeOut(t *tableau) (used bool) {
	hopeless := s.bounder.hopeless(s.known, t.shut)
	if hopeless == nil {
		return false
	}
	for i, v := range t.basic {
		used = used || v < len(s.n.value) && t.level[i] > tolerance && hopeless.has(v)
	}
	t.shutAll(hopeless)
	return used
}

// proven bounds a node by its prices and reports whether that ends it.
func (s *search) proven(t *tableau, prices []price, at *node) bool {
	if whole, ok := s.bounder.bound(prices, t.shut); ok {
		at.bound = min(at.bound, whole)
	}
	return at.bound <= s.known
}

// result sums the run up.
func (s *search) result() Result {
	r := Result{Picks: s.picks, Value: s.known, Bound: s.known, Stopped: s.stopped, Nodes: s.nodes, Pivots: s.pivots + s.root.pivots, Rows: s.joined}
	for _, n := range s.open {
		r.Bound = max(r.Bound, n.bound)
	}
	r.Proven = r.Bound == r.Value
	if s.picks == nil {
		r.Value = 0
		if r.Proven {
			r.Bound = 0
		}
	}
	return r
}
