package outline

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// segment is a straight piece of an edge or a drain, with its unit direction
// worked out once because every distance asks for it.
type segment struct {
	a, b   orb.Point
	ux, uy float64
	length float64
}

func newSegment(a, b orb.Point) segment {
	s := segment{a: a, b: b}
	dx, dy := b[0]-a[0], b[1]-a[1]
	s.length = math.Hypot(dx, dy)
	if s.length > 0 {
		s.ux, s.uy = dx/s.length, dy/s.length
	}
	return s
}

// nearest gives how far along the segment the point nearest to p lies, and the
// square of the distance to it.
func (s *segment) nearest(p orb.Point) (along, squared float64) {
	dx, dy := p[0]-s.a[0], p[1]-s.a[1]
	along = dx*s.ux + dy*s.uy
	if along < 0 {
		along = 0
	} else if along > s.length {
		along = s.length
	}
	dx -= along * s.ux
	dy -= along * s.uy
	return along, dx*dx + dy*dy
}

func (s *segment) at(along float64) orb.Point {
	return orb.Point{s.a[0] + along*s.ux, s.a[1] + along*s.uy}
}

// distanceTo is the distance from p to the nearest of the segments, +Inf when
// there is none.
func distanceTo(segments []segment, p orb.Point) float64 {
	best := math.Inf(1)
	for i := range segments {
		if _, squared := segments[i].nearest(p); squared < best {
			best = squared
		}
	}
	return math.Sqrt(best)
}

// gap is the least distance between two segments, 0 when they cross.
func gap(s, t *segment) float64 {
	if side(s.a, s.b, t.a)*side(s.a, s.b, t.b) < 0 && side(t.a, t.b, s.a)*side(t.a, t.b, s.b) < 0 {
		return 0
	}
	_, d1 := s.nearest(t.a)
	_, d2 := s.nearest(t.b)
	_, d3 := t.nearest(s.a)
	_, d4 := t.nearest(s.b)
	return math.Sqrt(min(d1, d2, d3, d4))
}

// side is positive when p lies to the left of the way from a to b.
func side(a, b, p orb.Point) float64 {
	return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
}

func between(a, b orb.Point) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }

func plus(a, b orb.Point) orb.Point { return orb.Point{a[0] + b[0], a[1] + b[1]} }

func minus(a, b orb.Point) orb.Point { return orb.Point{a[0] - b[0], a[1] - b[1]} }

func dot(a, b orb.Point) float64 { return a[0]*b[0] + a[1]*b[1] }

// left turns a direction a quarter turn anticlockwise.
func left(d orb.Point) orb.Point { return orb.Point{-d[1], d[0]} }

// line is a directed straight line; d is a unit vector.
type line struct{ o, d orb.Point }

func (l line) at(t float64) orb.Point {
	return orb.Point{l.o[0] + t*l.d[0], l.o[1] + t*l.d[1]}
}

// interval is a stretch of a line, in metres from its origin.
type interval struct{ from, to float64 }

func (i interval) length() float64 { return i.to - i.from }

// inside lists the stretches of the line that lie within the outline, in
// order. A line that runs along a side counts that side as lying to its left,
// so the answer never depends on rounding alone.
func (s *Shape) inside(l line) []interval {
	var cuts []float64
	for i := range s.sides {
		a, b := minus(s.sides[i].a, l.o), minus(s.sides[i].b, l.o)
		ha, hb := l.d[0]*a[1]-l.d[1]*a[0], l.d[0]*b[1]-l.d[1]*b[0]
		if (ha < 0) == (hb < 0) {
			continue
		}
		ta, tb := dot(a, l.d), dot(b, l.d)
		cuts = append(cuts, ta+(tb-ta)*ha/(ha-hb))
	}
	slices.Sort(cuts)
	stretches := make([]interval, 0, len(cuts)/2)
	for i := 0; i+1 < len(cuts); i += 2 {
		stretches = append(stretches, interval{cuts[i], cuts[i+1]})
	}
	return stretches
}

// clearOf takes out of the stretches of a line that lie within the outline
// what lies nearer to a side of it than the setback.
func (s *Shape) clearOf(stretches []interval, l line, setbackM float64) []interval {
	if setbackM <= 0 || len(stretches) == 0 {
		return stretches
	}
	var near []interval
	for i := range s.sides {
		if n, ok := within(l, &s.sides[i], setbackM); ok {
			near = append(near, n)
		}
	}
	return subtract(stretches, near)
}

// within gives the stretch of the line that lies nearer than r to the segment.
// The set of points nearer than r to a segment is convex, so there is at most
// one: the hull of where the line meets the two end discs and the rectangle
// between them.
func within(l line, s *segment, r float64) (interval, bool) {
	a, b := minus(s.a, l.o), minus(s.b, l.o)
	ha, hb := l.d[0]*a[1]-l.d[1]*a[0], l.d[0]*b[1]-l.d[1]*b[0]
	if (ha > r && hb > r) || (ha < -r && hb < -r) {
		return interval{}, false
	}
	hull := interval{math.Inf(1), math.Inf(-1)}
	grow := func(from, to float64) {
		if from < to {
			hull.from, hull.to = min(hull.from, from), max(hull.to, to)
		}
	}
	ta, tb := dot(a, l.d), dot(b, l.d)
	if half := r*r - ha*ha; half > 0 {
		half = math.Sqrt(half)
		grow(ta-half, ta+half)
	}
	if half := r*r - hb*hb; half > 0 {
		half = math.Sqrt(half)
		grow(tb-half, tb+half)
	}
	if s.length > 0 {
		// The segment's direction as seen along the line.
		c, q := (tb-ta)/s.length, (hb-ha)/s.length
		from, to := math.Inf(-1), math.Inf(1)
		from, to = band(from, to, c, -ta*c-ha*q, 0, s.length)
		from, to = band(from, to, -q, ta*q-ha*c, -r, r)
		grow(from, to)
	}
	return hull, hull.from < hull.to
}

// band narrows from..to to where low ≤ slope·t + offset ≤ high.
func band(from, to, slope, offset, low, high float64) (float64, float64) {
	if slope == 0 {
		if offset < low || offset > high {
			return 0, 0
		}
		return from, to
	}
	t1, t2 := (low-offset)/slope, (high-offset)/slope
	return max(from, min(t1, t2)), min(to, max(t1, t2))
}

// subtract takes the second list of intervals out of the first, which must be
// sorted and must not overlap itself.
func subtract(keep, out []interval) []interval {
	slices.SortFunc(out, func(a, b interval) int {
		if a.from < b.from {
			return -1
		}
		if a.from > b.from {
			return 1
		}
		return 0
	})
	rest := make([]interval, 0, len(keep))
	for _, k := range keep {
		at := k.from
		for _, o := range out {
			if o.from >= k.to {
				break
			}
			if o.to <= at {
				continue
			}
			if o.from > at {
				rest = append(rest, interval{at, o.from})
			}
			at = max(at, o.to)
		}
		if at < k.to {
			rest = append(rest, interval{at, k.to})
		}
	}
	return rest
}
