package outline

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// pipe is one run of drain while a layout is being drawn: a path from its
// upper end to its lower end, and the pipe that it flows into.
type pipe struct {
	kind string
	id   string
	path []orb.Point
	// chain is the distance along the path to each of its points.
	chain []float64
	// into is the pipe that takes the water, intoAt how far along its path;
	// nil for the last pipe of the layout.
	into   *pipe
	intoAt float64
	// stranded says why the water has nowhere to go, when it has not.
	stranded string
	// beyondEdge is true of a pipe that lies outside the green.
	beyondEdge bool

	arrivals []arrival
	nodes    []node
}

// arrival is water coming in from another pipe: how far along the path and at
// what invert level.
type arrival struct{ along, invertM float64 }

// node is one point of a graded pipe.
type node struct {
	at     orb.Point
	along  float64
	invert float64
	depth  float64 // of the trench below the formation, metres
}

func newPipe(kind string, path []orb.Point) *pipe {
	p := &pipe{kind: kind, path: path, chain: make([]float64, len(path))}
	for i := 1; i < len(path); i++ {
		p.chain[i] = p.chain[i-1] + between(path[i-1], path[i])
	}
	return p
}

// turn makes the pipe run the other way; what flows into it keeps its place.
func (p *pipe) turn() {
	reverse(p.path)
	p.chain = newPipe(p.kind, p.path).chain
	for i := range p.arrivals {
		p.arrivals[i].along = p.length() - p.arrivals[i].along
	}
}

func (p *pipe) length() float64 { return p.chain[len(p.chain)-1] }

// segments of the path, for distances.
func (p *pipe) segments(list []segment) []segment {
	for i := 1; i < len(p.path); i++ {
		list = append(list, newSegment(p.path[i-1], p.path[i]))
	}
	return list
}

// grade gives the pipe its invert levels: as shallow as the cover, the pipes
// that come in and the least fall allow, worked from the upper end down. It
// hands the level of its lower end on to the pipe it flows into.
func (r *rules) grade(p *pipe) {
	p.nodes = r.levels(p, p.arrivals)
	if p.into != nil {
		p.into.arrivals = append(p.into.arrivals, arrival{p.intoAt, p.nodes[len(p.nodes)-1].invert})
	}
}

// gradeOutfall lays the last pipe straight from the green to a stated water
// level, or like any other where none is stated. Outside the green the plane is
// only a guess at the ground, so no trench is measured above it.
func (r *rules) gradeOutfall(p *pipe) {
	r.grade(p)
	if r.outfallLevel == nil {
		return
	}
	for i := range p.nodes {
		n := &p.nodes[i]
		start := p.nodes[0].invert
		n.invert = start + (*r.outfallLevel-start)*n.along/p.length()
		n.depth = max(-r.formation, r.surface(n.at)-r.formation-n.invert+r.bed)
	}
}

// levels works out the nodes of a graded pipe without changing it. The surface
// is a plane, so between two nodes the cover is met when it is met at both.
func (r *rules) levels(p *pipe, arrivals []arrival) []node {
	nodes := make([]node, 0, len(p.path)+len(arrivals))
	for i, at := range p.path {
		nodes = append(nodes, node{at: at, along: p.chain[i], invert: r.cover(at)})
	}
	for _, a := range arrivals {
		nodes = p.insert(nodes, a, r)
	}
	for i := range nodes {
		if i > 0 {
			highest := nodes[i-1].invert - r.fall*(nodes[i].along-nodes[i-1].along)
			nodes[i].invert = min(nodes[i].invert, highest)
		}
		nodes[i].depth = r.surface(nodes[i].at) - r.formation - nodes[i].invert + r.bed
	}
	return nodes
}

// insert lowers the node at an arrival, or makes one there.
func (p *pipe) insert(nodes []node, a arrival, r *rules) []node {
	const same = 1e-6
	i := 0
	for i < len(nodes) && nodes[i].along < a.along-same {
		i++
	}
	if i < len(nodes) && math.Abs(nodes[i].along-a.along) <= same {
		nodes[i].invert = min(nodes[i].invert, a.invertM)
		return nodes
	}
	if i == len(nodes) {
		nodes[i-1].invert = min(nodes[i-1].invert, a.invertM)
		return nodes
	}
	before, after := nodes[i-1], nodes[i]
	share := (a.along - before.along) / (after.along - before.along)
	at := orb.Point{
		before.at[0] + share*(after.at[0]-before.at[0]),
		before.at[1] + share*(after.at[1]-before.at[1]),
	}
	nodes = append(nodes, node{})
	copy(nodes[i+1:], nodes[i:])
	nodes[i] = node{at: at, along: a.along, invert: min(r.cover(at), a.invertM)}
	return nodes
}

// trench is the volume dug for the nodes, in cubic metres, when digging starts
// at the given height above the formation.
func (r *rules) trench(nodes []node, above float64) float64 {
	volume := 0.0
	for i := 1; i < len(nodes); i++ {
		a, b := &nodes[i-1], &nodes[i]
		volume += r.trenchWidth * (b.along - a.along) * ((a.depth+b.depth)/2 + above)
	}
	return volume
}

// deepest is the greatest trench depth of the nodes, in metres.
func deepest(nodes []node) float64 {
	depth := 0.0
	for _, n := range nodes {
		depth = max(depth, n.depth)
	}
	return depth
}

// steepestOutfall is the steepest fall at which the last pipe is laid as a plain
// pipe in a trench: judgement, common practice, no source. Steeper is more often
// a slip in a level.
const steepestOutfall = 1.0 / 3

// surplusDropM is how much lower than its least fall would bring it an outfall
// may lie before the reader is told that the ground must fall too.
const surplusDropM = 0.5

// outfallCaution tells when the outfall lies so low that its trench is of the
// depth that is priced only where the ground falls as well.
func (r *rules) outfallCaution(p *pipe) string {
	if p == nil || r.outfallLevel == nil {
		return ""
	}
	if r.outfallDrop(p)-r.fall*p.length() <= surplusDropM {
		return ""
	}
	return "the outfall lies lower than the drains need: its trench is priced at the usual depth, which holds only where the ground falls with the pipe; survey the ground between"
}

// outfallDrop is how much lower the stated water level lies than the upper end
// of the last pipe.
func (r *rules) outfallDrop(p *pipe) float64 { return p.nodes[0].invert - *r.outfallLevel }

// refusal says why a pipe cannot be laid, or gives "".
func (r *rules) refusal(p *pipe) (reason, remedy string) {
	if p.stranded != "" {
		return p.stranded, "turn the laterals, move the outfall, or take the other layout"
	}
	const rounding = 1e-9
	if p.kind == Outfall && r.outfallLevel != nil {
		start := p.nodes[0].invert
		if end := start - r.fall*p.length(); end < *r.outfallLevel-rounding {
			return fmt.Sprintf("from level %.3f m a fall of 1 in %.0f reaches the outfall at %.3f m, below the water level there, %.3f m",
					start, 1/r.fall, end, *r.outfallLevel),
				"find a lower outfall, or raise the green"
		}
		if drop := r.outfallDrop(p); drop > steepestOutfall*p.length() {
			return fmt.Sprintf("from level %.3f m the outfall at %.3f m lies %.1f m lower over %.1f m, steeper than 1 in %.0f",
					start, *r.outfallLevel, drop, p.length(), 1/steepestOutfall),
				"check the level of the outfall and its datum; a true drop of that kind needs a drop chamber, designed by an engineer"
		}
		return "", ""
	}
	deepened := deepest(p.nodes) - r.trenchDepth
	if deepened > r.deepening+rounding {
		return fmt.Sprintf("a fall of 1 in %.0f needs a trench %.0f mm deeper than the least depth, and %.0f mm is the limit",
				1/r.fall, 1000*deepened, 1000*r.deepening),
			"raise the deepening limit, turn the laterals towards the fall, move the outfall, or shape the formation with more fall"
	}
	return "", ""
}
