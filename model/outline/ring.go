package outline

import (
	"math"
	"sort"

	"github.com/paulmach/orb"
)

// wrap brings a distance along the ring into 0 to its length.
func (r *ring) wrap(at float64) float64 {
	at = math.Mod(at, r.total)
	if at < 0 {
		at += r.total
	}
	return at
}

// point is the place at a distance along the ring.
func (r *ring) point(at float64) orb.Point {
	at = r.wrap(at)
	i := sort.SearchFloat64s(r.chain, at)
	if i == len(r.chain) || r.chain[i] > at {
		i--
	}
	a, b := r.at[i], r.at[(i+1)%len(r.at)]
	end := r.total
	if i+1 < len(r.chain) {
		end = r.chain[i+1]
	}
	share := (at - r.chain[i]) / (end - r.chain[i])
	return orb.Point{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}
}

// walk is the path along the ring, in its own direction, from a place on it
// over a length that is at most its whole length.
func (r *ring) walk(from, length float64) []orb.Point {
	from = r.wrap(from)
	path := []orb.Point{r.point(from)}
	i := sort.SearchFloat64s(r.chain, from)
	for range r.at {
		along := 0.0
		if i < len(r.chain) {
			along = r.chain[i] - from
		} else {
			along = r.chain[i-len(r.chain)] + r.total - from
		}
		if along >= length-touchingM {
			break
		}
		if along > touchingM {
			path = append(path, r.at[i%len(r.at)])
		}
		i++
	}
	return append(path, r.point(from+length))
}

// edgeNear finds the place on the edge nearest to a point: the ring, the
// distance along it, and the square of the distance to it.
func (s *Shape) edgeNear(p orb.Point) (ringIndex int, at, squared float64) {
	best, along := 0, 0.0
	squared = math.Inf(1)
	for i := range s.sides {
		if t, q := s.sides[i].nearest(p); q < squared {
			best, along, squared = i, t, q
		}
	}
	ringIndex, vertex := s.vertexOf(best)
	r := &s.rings[ringIndex]
	return ringIndex, r.wrap(r.chain[vertex] + along), squared
}

// edgeMarks remembers which parts of the edge need a run: each ring is divided
// into equal marks of about a quarter of a metre.
type edgeMarks struct {
	rings [][]bool
	sizes []float64
}

func newEdgeMarks(s *Shape) *edgeMarks {
	m := &edgeMarks{rings: make([][]bool, len(s.rings)), sizes: make([]float64, len(s.rings))}
	for i, r := range s.rings {
		m.rings[i] = make([]bool, max(1, int(math.Ceil(r.total/edgeMarkM))))
		m.sizes[i] = r.total / float64(len(m.rings[i]))
	}
	return m
}

func (m *edgeMarks) mark(ring int, at float64) {
	marks := m.rings[ring]
	marks[min(int(at/m.sizes[ring]), len(marks)-1)] = true
}

// markNear marks the edge nearest to a point, and a little to either side.
func (m *edgeMarks) markNear(s *Shape, p orb.Point, aside float64) {
	ring, at, _ := s.edgeNear(p)
	for step := -aside; step <= aside; step += min(edgeMarkM, max(aside, touchingM)) {
		m.mark(ring, s.rings[ring].wrap(at+step))
	}
}

// stretches lists what is marked on the arc that starts at a place on the ring,
// in metres from that place.
func (m *edgeMarks) stretches(ring int, from, reach float64) []interval {
	marks, size := m.rings[ring], m.sizes[ring]
	var list []interval
	first, count := int(from/size), int(reach/size)+2
	offset := float64(first)*size - from // of the first mark, 0 or less
	for k := 0; k <= count; k++ {
		if !marks[(first+k)%len(marks)] {
			continue
		}
		mark := interval{max(0, offset+float64(k)*size), min(reach, offset+float64(k+1)*size)}
		if mark.from >= mark.to {
			continue
		}
		if n := len(list); n > 0 && mark.from-list[n-1].to < touchingM {
			list[n-1].to = mark.to
			continue
		}
		list = append(list, mark)
	}
	return list
}
