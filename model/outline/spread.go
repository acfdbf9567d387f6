package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// spread is how the ground of a shape lies about a set of segments (drains, or
// the edge itself).
type spread struct {
	greatestM float64   // greatest distance from ground to the segments
	at        orb.Point // where
	beyondM2  float64   // ground further away than the threshold
}

// The search ends in cells of 0.2 m, whose middle is at most 142 mm from any of
// their points: distance changes no faster than one walks, so no ground is
// further away than greatestM by more than that. Nearly always greatestM is
// exact, since the last step walks uphill from the furthest cell.
const (
	leastHalfM   = 0.1
	spreadSlackM = 0.15
	// Where ground may lie beyond a limit, the search goes on to cells of
	// 25 mm, so that none does by more than 18 mm without being found.
	fineHalfM = leastHalfM / 8
)

// cell is a square of ground that the search hands to its visitor.
type cell struct {
	centre orb.Point
	halfM  float64
	farM   float64 // distance of the centre
}

// search is one walk down a tree of squares. A square is left as soon as all
// of it is known to lie outside, or neither beyond the threshold nor further
// than the furthest ground found.
type search struct {
	shape     *Shape
	segments  []segment
	threshold float64
	largest   float64 // half side of the largest cell handed to visit
	slack     float64 // ground this much further than any found is let go
	limit     float64 // ground that may lie beyond this is not
	visit     func(cell)
	found     spread
	sides     []int32 // stack of the sides that reach the current squares
	near      []int32 // the same of the segments
	squared   []float64
}

// spreadAbout measures the shape's ground against the segments, and more
// closely where it may lie beyond the limit.
func (s *Shape) spreadAbout(segments []segment, threshold, limit float64) spread {
	w := &search{shape: s, segments: segments, threshold: threshold, largest: math.Inf(1), slack: spreadSlackM, limit: limit}
	w.run()
	if len(segments) > 0 {
		w.polish()
	}
	return w.found
}

// beyond hands visit the cells of ground further from the segments than the
// threshold, none with more than twice the largest half side, and gives their
// area.
func (s *Shape) beyond(segments []segment, threshold, largest float64, visit func(cell)) float64 {
	w := &search{shape: s, segments: segments, threshold: threshold, largest: largest, slack: math.Inf(1), limit: math.Inf(1), visit: visit}
	w.run()
	return w.found.beyondM2
}

// run starts the walk from a square that holds the whole shape and halves
// down to the least cell without a remainder.
func (w *search) run() {
	s, segments := w.shape, w.segments
	if len(segments) == 0 {
		w.found.greatestM = math.Inf(1)
		w.found.beyondM2 = s.Measures().AreaM2
		return
	}
	low, high := orb.Point{math.Inf(1), math.Inf(1)}, orb.Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range s.rings[0].at {
		low = orb.Point{min(low[0], p[0]), min(low[1], p[1])}
		high = orb.Point{max(high[0], p[0]), max(high[1], p[1])}
		w.offer(p, distanceTo(segments, p))
	}
	for i := range s.sides {
		w.sides = append(w.sides, int32(i))
	}
	for i := range segments {
		w.near = append(w.near, int32(i))
	}
	w.squared = make([]float64, len(segments))
	half := leastHalfM
	for half < max(high[0]-low[0], high[1]-low[1])/2 {
		half *= 2
	}
	w.square(orb.Point{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}, half, 0, 0, true)
}

func (w *search) offer(p orb.Point, far float64) {
	if far > w.found.greatestM {
		w.found.greatestM, w.found.at = far, p
	}
}

// square takes one square: the sides from sidesFrom and the segments from
// nearFrom on their stacks are those that matter to it. mixed says that the
// edge of the shape may pass through it.
func (w *search) square(c orb.Point, half float64, sidesFrom, nearFrom int, mixed bool) {
	sidesEnd, nearEnd := len(w.sides), len(w.near)
	w.inSquare(c, half, sidesFrom, nearFrom, mixed)
	w.sides, w.near = w.sides[:sidesEnd], w.near[:nearEnd]
}

// inSquare does the work of square and leaves its lists on the stacks.
func (w *search) inSquare(c orb.Point, half float64, sidesFrom, nearFrom int, mixed bool) {
	reach := half * math.Sqrt2
	sidesEnd, nearEnd := len(w.sides), len(w.near)
	far := w.nearest(c, reach, nearFrom, nearEnd)
	known := far+reach <= w.found.greatestM+w.slack && far+reach <= w.limit
	if far+reach <= w.threshold && known {
		return
	}
	if mixed {
		for _, i := range w.sides[sidesFrom:sidesEnd] {
			if _, squared := w.shape.sides[i].nearest(c); squared <= reach*reach {
				w.sides = append(w.sides, i)
			}
		}
		if len(w.sides) == sidesEnd {
			if !w.shape.contains(c) {
				return
			}
			mixed = false
		}
	}
	if !mixed {
		w.offer(c, far)
		if far-reach > w.threshold && half <= w.largest && known {
			w.take(c, half, far)
			return
		}
	}
	if half <= fineHalfM || (half <= leastHalfM && far+reach <= w.limit) {
		if (!mixed || w.shape.contains(c)) && far > w.threshold {
			w.offer(c, far)
			w.take(c, half, far)
		}
		return
	}
	half /= 2
	for _, q := range [4]orb.Point{{-half, -half}, {half, -half}, {-half, half}, {half, half}} {
		w.square(plus(c, q), half, sidesEnd, nearEnd, mixed)
	}
}

// nearest gives the distance of the square's middle to the segments, and
// stacks those that can be nearest to any point of the square.
func (w *search) nearest(c orb.Point, reach float64, from, end int) float64 {
	best, squared := math.Inf(1), w.squared[:end-from]
	for k, i := range w.near[from:end] {
		_, squared[k] = w.segments[i].nearest(c)
		best = min(best, squared[k])
	}
	far := math.Sqrt(best)
	limit := (far + 2*reach) * (far + 2*reach)
	for k, i := range w.near[from:end] {
		if squared[k] <= limit {
			w.near = append(w.near, i)
		}
	}
	return far
}

func (w *search) take(c orb.Point, half, far float64) {
	w.found.beyondM2 += 4 * half * half
	if w.visit != nil {
		w.visit(cell{c, half, far})
	}
}

// polish walks uphill from the furthest point found, in ever smaller steps, so
// that a distance which is known exactly comes out exactly.
func (w *search) polish() {
	for step := spreadSlackM; step > 1e-6; {
		moved := false
		for _, d := range [8]orb.Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, -1}, {1, -1}, {-1, 1}} {
			p := orb.Point{w.found.at[0] + step*d[0], w.found.at[1] + step*d[1]}
			if far := distanceTo(w.segments, p); far > w.found.greatestM && w.shape.contains(p) {
				w.found.greatestM, w.found.at, moved = far, p, true
				break
			}
		}
		if !moved {
			step /= 4
		}
	}
}
