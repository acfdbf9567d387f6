package outline

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// The edge is marked for edge runs in marks of a quarter of a metre.
const edgeMarkM = 0.25

// mostEdgeRounds bounds how often edge runs are added and the ground measured
// again; one round does in nearly every case.
const mostEdgeRounds = 40

// outlet is a place on a ring where an edge run can give up its water: the
// main's ends, or the upper end of a lateral that reaches the main.
type outlet struct {
	ring   int
	at     float64 // along the ring
	into   *pipe
	intoAt float64
	point  orb.Point
}

// edgeRuns adds the runs along the edge. They take the water of the loose
// pieces, and they drain the ground further from a drain than half the spacing
// and the setback together. All such ground lies within that distance of the
// edge: go from it square to the nearest lateral's line, at most half the
// spacing; if there is no drain where one arrives, the line has come within the
// setback of the edge.
func (d *draft) edgeRuns(attached, loose []*pipe) {
	s := d.shape
	far := d.halfSpacing + d.rules.setback
	marks := newEdgeMarks(s)
	outlets := d.outlets(attached)
	leads := d.leads(loose, outlets, marks)
	bare := d.drains()
	s.beyond(bare, far, 2*edgeMarkM, 2*edgeMarkM, func(c cell) {
		marks.markNear(s, c.centre, c.halfM)
	})
	for round := 0; ; round++ {
		d.edges = d.edges[:0]
		for i := range s.rings {
			d.ringRuns(i, outlets, leads, marks)
		}
		d.spread = s.spreadAbout(d.drains(), d.halfSpacing, far)
		if d.spread.greatestM <= far+touchingM || round == mostEdgeRounds {
			break
		}
		marks.markNear(s, d.spread.at, d.halfSpacing/4)
	}
	for _, p := range loose {
		if p.into == nil {
			p.stranded = "no main, lateral or outfall can be reached along the edge from its lower end"
		} else {
			p.into.arrivals = append(p.into.arrivals, arrival{p.intoAt, p.nodes[len(p.nodes)-1].invert})
		}
	}
	for _, p := range d.edges {
		d.rules.grade(p)
	}
}

// outlets lists the places where edge runs can end, in order along each ring.
func (d *draft) outlets(attached []*pipe) []outlet {
	s, main := d.shape, d.mains[0]
	var list []outlet
	add := func(p orb.Point, into *pipe, intoAt float64) {
		ring, at, squared := s.edgeNear(p)
		if near := d.rules.setback + edgeMarkM; squared <= near*near {
			list = append(list, outlet{ring, at, into, intoAt, p})
		}
	}
	add(main.path[0], main, 0)
	add(main.path[1], main, main.length())
	for _, p := range attached {
		add(p.path[0], p, 0)
	}
	slices.SortStableFunc(list, func(a, b outlet) int {
		return cmp.Or(cmp.Compare(a.ring, b.ring), cmp.Compare(a.at, b.at))
	})
	return list
}

// lead is where a loose piece gives its water to the edge.
type lead struct {
	pipe *pipe
	ring int
	at   float64 // along the ring
}

// leads runs the lower end of every loose piece on to the edge and marks the
// place. A piece whose lower end is at a hole with no outlet is turned round.
func (d *draft) leads(loose []*pipe, outlets []outlet, marks *edgeMarks) []lead {
	s := d.shape
	served := make([]bool, len(s.rings))
	for _, o := range outlets {
		served[o.ring] = true
	}
	list := make([]lead, 0, len(loose))
	for _, p := range loose {
		ring, at, _ := s.edgeNear(p.path[len(p.path)-1])
		if upper, _, _ := s.edgeNear(p.path[0]); !served[ring] && served[upper] {
			p.turn()
			ring, at, _ = s.edgeNear(p.path[len(p.path)-1])
		}
		edge := s.rings[ring].point(at)
		if between(edge, p.path[len(p.path)-1]) > touchingM {
			extended := newPipe(p.kind, append(p.path, edge))
			p.path, p.chain = extended.path, extended.chain
		}
		p.nodes = d.rules.levels(p, p.arrivals)
		marks.mark(ring, at)
		list = append(list, lead{p, ring, at})
	}
	return list
}

// ringRuns lays the edge runs of one ring: between each two neighbouring
// outlets, everything marked is joined up to one outlet or the other, leaving
// out the unmarked stretch that spares most trench and pipe.
func (d *draft) ringRuns(ring int, outlets []outlet, leads []lead, marks *edgeMarks) {
	var own []outlet
	for _, o := range outlets {
		if o.ring == ring {
			own = append(own, o)
		}
	}
	total := d.shape.rings[ring].total
	for i, first := range own {
		next := own[(i+1)%len(own)]
		reach := next.at - first.at
		if reach <= 0 && i == len(own)-1 {
			reach += total
		}
		if reach > 0 {
			d.arcRuns(first, next, reach, leads, marks)
		}
	}
}

// arcRuns lays the edge runs between two outlets.
func (d *draft) arcRuns(first, next outlet, reach float64, leads []lead, marks *edgeMarks) {
	marked := marks.stretches(first.ring, first.at, reach)
	if len(marked) == 0 {
		return
	}
	// Each choice leaves out the stretch before one mark, or after the last.
	bestWork, bestDeep := math.Inf(1), math.Inf(1)
	var best []*pipe
	var bestLeads [][]joining
	for i := 0; i <= len(marked); i++ {
		var runs []*pipe
		var joins [][]joining
		if i > 0 {
			run, joined := d.edgeRun(first, marked[i-1].to, false, reach, leads)
			runs, joins = append(runs, run), append(joins, joined)
		}
		if i < len(marked) {
			run, joined := d.edgeRun(next, marked[i].from, true, reach, leads)
			runs, joins = append(runs, run), append(joins, joined)
		}
		work, deep := 0.0, 0.0
		for j, run := range runs {
			w, depth := d.edgeWork(run, joins[j])
			work, deep = work+w, max(deep, depth)
		}
		limit := d.rules.trenchDepth + d.rules.deepening
		better := work < bestWork
		if (deep > limit) != (bestDeep > limit) {
			better = deep < bestDeep
		}
		if better {
			best, bestLeads, bestWork, bestDeep = runs, joins, work, deep
		}
	}
	for j, run := range best {
		if len(bestLeads[j]) == 0 && run.length() < edgeMarkM {
			continue // the rest of a mark that an outlet cuts in two
		}
		if run.length() < touchingM {
			for _, joined := range bestLeads[j] {
				joined.pipe.into, joined.pipe.intoAt = run.into, run.intoAt
			}
			continue
		}
		for _, joined := range bestLeads[j] {
			joined.pipe.into, joined.pipe.intoAt = run, joined.along
		}
		d.edges = append(d.edges, run)
	}
}

// edgeWork is what an edge run costs, in cubic metres of trench, and its
// deepest trench: its own pipe and trench, and what it deepens the lateral that
// takes its water, which starts no higher than the run ends.
func (d *draft) edgeWork(run *pipe, joins []joining) (work, deep float64) {
	r := d.rules
	arrivals := make([]arrival, len(joins))
	for i, joined := range joins {
		arrivals[i] = arrival{joined.along, joined.pipe.nodes[len(joined.pipe.nodes)-1].invert}
	}
	nodes := r.levels(run, arrivals)
	work = run.length()/r.pipeMPerTrenchM3 + r.trench(nodes, 0)
	deep = deepest(nodes)
	if run.into.kind == Lateral {
		end := arrival{run.intoAt, nodes[len(nodes)-1].invert}
		below := r.levels(run.into, append(slices.Clone(run.into.arrivals), end))
		work += r.trench(below, 0) - r.trench(r.levels(run.into, run.into.arrivals), 0)
		deep = max(deep, deepest(below))
	}
	return work, deep
}

// joining is a loose piece that an edge run picks up, and where along it.
type joining struct {
	pipe  *pipe
	along float64
}

// edgeRun draws a run along the edge to an outlet from a place that lies
// `from` beyond the arc's first outlet. forward runs lead to the arc's far end.
func (d *draft) edgeRun(to outlet, from float64, forward bool, reach float64, leads []lead) (*pipe, []joining) {
	ring := &d.shape.rings[to.ring]
	var path []orb.Point
	length := from
	if forward {
		length = reach - from
		path = ring.walk(to.at-length, length)
	} else {
		path = ring.walk(to.at, length)
		reverse(path)
	}
	if between(path[len(path)-1], to.point) > touchingM {
		path = append(path, to.point)
	}
	run := newPipe(Edge, path)
	run.into, run.intoAt = to.into, to.intoAt
	var joins []joining
	for _, l := range leads {
		if l.ring != to.ring {
			continue
		}
		// How far the lead lies from the outlet, going against the flow.
		upstream := ring.wrap(l.at - to.at)
		if forward {
			upstream = ring.wrap(to.at - l.at)
		}
		if upstream > ring.total-1e-6 {
			upstream = 0 // at the outlet, but for rounding
		}
		if upstream <= length+1e-6 {
			joins = append(joins, joining{l.pipe, max(0, length-upstream)})
		}
	}
	return run, joins
}
