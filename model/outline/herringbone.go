package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// leastPieceM is the shortest piece of lateral worth laying.
const leastPieceM = 0.3

// herringbone draws a main along the axis and laterals on both sides of it,
// each pointing upstream and outwards at the lateral angle, their lines at the
// spacing over the whole green. Where a lateral's line leaves the outline and
// comes back, or meets the main's line outside it, the piece is cut off from
// the main; an edge run then takes its water.
func (d *draft) herringbone() {
	trunk, stems := d.stems()
	d.mains = []*pipe{stems[0].pipe}
	exit := stems[0].pipe.path[len(stems[0].pipe.path)-1]
	d.addOutfall(exit)
	if d.outfall != nil {
		stems[0].pipe.into, stems[0].pipe.intoAt = d.outfall, 0
	}
	var loose []*pipe
	for _, stem := range stems[1:] {
		loose = append(loose, stem.pipe)
	}
	var attached, onLoose []*pipe
	for _, junction := range d.junctions(trunk) {
		for _, hand := range [2]float64{1, -1} {
			for _, piece := range d.pieces(trunk, junction, hand, stems) {
				switch {
				case piece.into == nil:
					loose = append(loose, piece)
				case piece.into == d.mains[0]:
					attached = append(attached, piece)
				default:
					onLoose = append(onLoose, piece)
				}
			}
		}
	}
	d.laterals = append(append(append(d.laterals, attached...), onLoose...), loose...)
	for _, p := range onLoose {
		d.rules.grade(p)
	}
	for _, p := range loose {
		d.turnDownhill(p)
	}
	d.edgeRuns(attached, loose)
	for _, p := range attached {
		d.rules.grade(p)
	}
	d.rules.grade(d.mains[0])
	if d.outfall != nil {
		d.rules.gradeOutfall(d.outfall)
	}
}

// stem is a pipe on the main's line that laterals can join: the main itself,
// or a piece of its line in a part of the green that the main does not reach.
type stem struct {
	pipe *pipe
	on   interval // along the trunk line
}

// stems chooses the line of the main and lays pipes on it. The first stem is
// the main: it starts a setback short of the edge and runs through it at its
// lower end.
func (d *draft) stems() (line, []stem) {
	trunk := d.trunk()
	s, r := d.shape, d.rules
	ground := s.inside(trunk)
	open := s.clearOf(ground, trunk, r.setback)
	longest := 0
	for i, g := range ground {
		if g.length() > ground[longest].length() {
			longest = i
		}
	}
	main := ground[longest]
	for _, o := range open {
		if o.from >= main.from && o.to <= main.to && o.from < main.to-leastPieceM {
			main.from = o.from
			break
		}
	}
	stems := []stem{{pipe: newPipe(Main, []orb.Point{trunk.at(main.from), trunk.at(main.to)}), on: main}}
	for _, o := range open {
		if o.to <= main.from || o.from >= main.to {
			if o.length() >= leastPieceM {
				piece := newPipe(Lateral, []orb.Point{trunk.at(o.from), trunk.at(o.to)})
				stems = append(stems, stem{pipe: piece, on: o})
			}
		}
	}
	return trunk, stems
}

// trunk is the line of the main: through the outfall or the centroid if that
// runs through the green in one stretch nearly as long as any, else through
// the nearest place to the centroid that does.
func (d *draft) trunk() line {
	s := d.shape
	across, centre := left(d.axis), s.centroid()
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range s.rings[0].at {
		offset := dot(minus(p, centre), across)
		low, high = min(low, offset), max(high, offset)
	}
	var offsets []float64
	if d.rules.outfall != nil {
		offset := dot(minus(*d.rules.outfall, centre), across)
		if offset > low && offset < high {
			offsets = append(offsets, offset)
		}
	}
	const steps = 16
	offsets = append(offsets, 0)
	for i := 1; i < steps; i++ {
		step := (high - low) * float64(i) / (2 * steps)
		offsets = append(offsets, step, -step)
	}
	lines := make([]line, len(offsets))
	longest := make([]float64, len(offsets))
	single := make([]bool, len(offsets))
	best := 0
	for i, offset := range offsets {
		lines[i] = line{orb.Point{centre[0] + offset*across[0], centre[1] + offset*across[1]}, d.axis}
		stretches := s.inside(lines[i])
		single[i] = len(stretches) == 1
		for _, stretch := range stretches {
			longest[i] = max(longest[i], stretch.length())
		}
		if longest[i] > longest[best] {
			best = i
		}
	}
	const nearly = 0.7
	for i := range lines {
		if single[i] && longest[i] >= nearly*longest[best] {
			return lines[i]
		}
	}
	return lines[best]
}

// junctions lists where laterals meet the trunk line, in metres along it, over
// the whole reach of the green and evenly left over at both ends. A lateral
// through a point that lies u along and v across meets the line at
// u + |v|·cot(angle).
func (d *draft) junctions(trunk line) []float64 {
	across, cot := left(trunk.d), 1/math.Tan(d.rules.angle)
	low, high := math.Inf(1), math.Inf(-1)
	reach := func(p orb.Point) {
		at := minus(p, trunk.o)
		u := dot(at, trunk.d) + math.Abs(dot(at, across))*cot
		low, high = min(low, u), max(high, u)
	}
	for _, p := range d.shape.rings[0].at {
		reach(p)
	}
	for _, stretch := range d.shape.inside(trunk) {
		reach(trunk.at(stretch.from))
		reach(trunk.at(stretch.to))
	}
	return evenly(low, high, d.rules.spacing/math.Sin(d.rules.angle))
}

// evenly places as few marks as will do from low to high, a step apart, with
// at most half a step left over at either end.
func evenly(low, high, step float64) []float64 {
	count := max(1, int(math.Ceil((high-low)/step-1e-9)))
	first := (low + high - float64(count-1)*step) / 2
	marks := make([]float64, count)
	for i := range marks {
		marks[i] = first + float64(i)*step
	}
	return marks
}

// pieces draws the lateral that leaves the trunk line at a junction to one
// hand. Its pieces come from the upper end down; the one that reaches a stem
// flows into it.
func (d *draft) pieces(trunk line, junction, hand float64, stems []stem) []*pipe {
	sin, cos := math.Sincos(d.rules.angle)
	across := left(trunk.d)
	ray := line{trunk.at(junction), orb.Point{
		-cos*trunk.d[0] + hand*sin*across[0],
		-cos*trunk.d[1] + hand*sin*across[1],
	}}
	var under *stem
	for i := range stems {
		if junction >= stems[i].on.from && junction <= stems[i].on.to {
			under = &stems[i]
		}
	}
	reach := 0.0 // of the stretch of ground that holds the junction
	ground := d.shape.inside(ray)
	for _, stretch := range ground {
		if under != nil && stretch.from <= 0 && stretch.to > 0 {
			reach = stretch.to
		}
	}
	var pieces []*pipe
	for _, open := range d.shape.clearOf(ground, ray, d.rules.setback) {
		from, joined := max(open.from, 0), false
		if under != nil && open.to > 0 && open.to <= reach && len(pieces) == 0 {
			from, joined = 0, true
		}
		if open.to-from < leastPieceM {
			continue
		}
		p := newPipe(Lateral, []orb.Point{ray.at(open.to), ray.at(from)})
		if joined {
			p.into, p.intoAt = under.pipe, under.along(junction)
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// along turns a place on the trunk line into one on the stem's pipe.
func (s *stem) along(junction float64) float64 { return junction - s.on.from }

// turnDownhill turns a loose piece so that it flows to its lower end, or on
// level ground to the end nearer the outfall. Laterals that flow into it keep
// their junctions.
func (d *draft) turnDownhill(p *pipe) {
	first, last := p.path[0], p.path[len(p.path)-1]
	fall := d.rules.surface(first) - d.rules.surface(last)
	const level = 1e-9
	if fall > level || (fall >= -level && dot(minus(last, first), d.axis) >= 0) {
		return
	}
	p.turn()
}
