package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// perimeterMain draws a main round the whole edge, in two arms from a summit
// to the place where the water leaves, and laterals straight across from edge
// to edge at the lateral angle to the axis. No ground is then further than half
// the spacing from a drain: go from it square to the nearest lateral's line; if
// there is no drain where one arrives, one has crossed the edge on the way.
func (d *draft) perimeterMain() {
	s, r := d.shape, d.rules
	exit := d.exit()
	d.addOutfall(s.rings[0].point(exit))
	for _, l := range d.crossings() {
		for _, stretch := range s.inside(l) {
			if stretch.length() < leastPieceM {
				continue
			}
			p := newPipe(Lateral, []orb.Point{l.at(stretch.from), l.at(stretch.to)})
			d.turnDownhill(p)
			d.turnToOuter(p)
			r.grade(p)
			d.laterals = append(d.laterals, p)
		}
	}
	d.mains = d.bestArms(exit)
	for _, arm := range d.mains {
		r.grade(arm)
	}
	if d.outfall != nil {
		r.gradeOutfall(d.outfall)
	}
	d.spread = s.spreadAbout(d.drains(), d.halfSpacing, math.Inf(1))
}

// exit is where the perimeter main gives up its water, as a distance along the
// outer ring: the place nearest to the outfall, or furthest along the axis.
func (d *draft) exit() float64 {
	outer := &d.shape.rings[0]
	if d.rules.outfall != nil {
		if ring, at, _ := d.shape.edgeNear(*d.rules.outfall); ring == 0 {
			return at
		}
	}
	best := 0
	for i, p := range outer.at {
		if dot(p, d.axis) > dot(outer.at[best], d.axis) {
			best = i
		}
	}
	return outer.chain[best]
}

// crossings are the lines of the laterals: as few as keep the strips between
// them, and those outside the first and the last, no wider than the spacing.
func (d *draft) crossings() []line {
	sin, cos := math.Sincos(d.rules.angle)
	across := left(d.axis)
	direction := orb.Point{-cos*d.axis[0] + sin*across[0], -cos*d.axis[1] + sin*across[1]}
	normal := left(direction)
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range d.shape.rings[0].at {
		low, high = min(low, dot(p, normal)), max(high, dot(p, normal))
	}
	strips := max(1, int(math.Ceil((high-low)/d.rules.spacing-1e-9)))
	d.spacing = (high - low) / float64(strips)
	lines := make([]line, strips-1)
	for i := range lines {
		offset := low + d.spacing*float64(i+1)
		lines[i] = line{orb.Point{offset * normal[0], offset * normal[1]}, direction}
	}
	return lines
}

// turnToOuter turns a lateral whose lower end is at a hole, where there is no
// main, so that it flows to the outer edge.
func (d *draft) turnToOuter(p *pipe) {
	ring, _, _ := d.shape.edgeNear(p.path[len(p.path)-1])
	if ring == 0 {
		return
	}
	if ring, _, _ := d.shape.edgeNear(p.path[0]); ring != 0 {
		p.stranded = "the lateral runs from one hole to another and meets no main"
		return
	}
	p.turn()
}

// bestArms lays the two arms of the main from the higher of two summits that
// needs the shallower trench: the highest corner of the edge, or the place
// half-way round from the exit.
func (d *draft) bestArms(exit float64) []*pipe {
	outer := &d.shape.rings[0]
	highest := 0
	for i, p := range outer.at {
		if d.rules.surface(p) > d.rules.surface(outer.at[highest]) {
			highest = i
		}
	}
	var best []*pipe
	bestDeep := math.Inf(1)
	for _, summit := range [2]float64{outer.chain[highest], outer.wrap(exit + outer.total/2)} {
		arms := d.arms(summit, exit)
		deep := 0.0
		for _, arm := range arms {
			deep = max(deep, deepest(d.rules.levels(arm, arm.arrivals)))
		}
		if deep < bestDeep-1e-9 {
			best, bestDeep = arms, deep
		}
	}
	for _, lateral := range d.laterals {
		if lateral.stranded == "" {
			d.join(lateral, best, exit)
		}
	}
	return best
}

// arms draws the main from a summit both ways to the exit, with the laterals'
// water coming in.
func (d *draft) arms(summit, exit float64) []*pipe {
	outer := &d.shape.rings[0]
	forward := outer.wrap(exit - summit)
	var arms []*pipe
	if forward > touchingM {
		arms = append(arms, newPipe(Main, outer.walk(summit, forward)))
	}
	if backward := outer.total - forward; backward > touchingM {
		path := outer.walk(exit, backward)
		reverse(path)
		arms = append(arms, newPipe(Main, path))
	}
	for _, arm := range arms {
		arm.into = d.outfall
	}
	for _, lateral := range d.laterals {
		if lateral.stranded == "" {
			d.join(lateral, arms, exit)
			end := lateral.nodes[len(lateral.nodes)-1].invert
			lateral.into.arrivals = append(lateral.into.arrivals, arrival{lateral.intoAt, end})
		}
	}
	return arms
}

// join finds the arm that a lateral's lower end meets, and where.
func (d *draft) join(lateral *pipe, arms []*pipe, exit float64) {
	outer := &d.shape.rings[0]
	_, at, _ := d.shape.edgeNear(lateral.path[len(lateral.path)-1])
	before := outer.wrap(exit - at) // to the exit, along the ring
	arm, left := arms[0], before
	if len(arms) > 1 && before > arms[0].length()+touchingM {
		arm, left = arms[1], outer.total-before
	}
	lateral.into, lateral.intoAt = arm, max(0, arm.length()-left)
}
