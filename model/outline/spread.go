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
}

// search is one walk down a tree of squares. A square is left as soon as all
// of it is known to lie outside, or neither beyond the threshold nor further
// than the furthest ground found.
type search struct {
	shape     *Shape
	segments  []segment
	threshold float64
	least     float64 // half side of the smallest cell
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
	w := &search{shape: s, segments: segments, threshold: threshold, least: leastHalfM, largest: math.Inf(1), slack: spreadSlackM, limit: limit}
	w.run()
	if len(segments) > 0 {
		w.polish()
	}
	return w.found
}

// beyond hands visit the cells of ground further from the segments than the
// threshold and gives their area. Their half sides lie between the two sizes.
func (s *Shape) beyond(segments []segment, threshold, least, largest float64, visit func(cell)) float64 {
	w := &search{shape: s, segments: segments, threshold: threshold, least: least, largest: largest, slack: math.Inf(1), limit: math.Inf(1), visit: visit}
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
	low, high := s.bounds()
	if !math.IsInf(w.slack, 1) {
		w.offerCorners()
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

// offerCorners tries the corners of the shape, where the furthest ground often
// lies. A corner is dropped at the first segment that is nearer than ground
// already found; neighbouring corners are mostly dropped by the same one, so
// each begins with the segment that dropped the one before.
func (w *search) offerCorners() {
	begin := 0
	for _, p := range w.shape.rings[0].at {
		best, found := math.Inf(1), w.found.greatestM*w.found.greatestM
		for k := range w.segments {
			i := begin + k
			if i >= len(w.segments) {
				i -= len(w.segments)
			}
			if _, squared := w.segments[i].nearest(p); squared < best {
				best = squared
				if best <= found {
					begin = i
					break
				}
			}
		}
		w.offer(p, math.Sqrt(best))
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
	far, most := w.nearest(c, reach, nearFrom, nearEnd)
	known := most <= w.found.greatestM+w.slack && most <= w.limit+touchingM
	if most <= w.threshold+touchingM && known {
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
			w.take(c, half)
			return
		}
	}
	if half <= fineHalfM || (half <= w.least && most <= w.limit+touchingM) {
		if (!mixed || w.shape.contains(c)) && far > w.threshold {
			w.offer(c, far)
			w.take(c, half)
		}
		return
	}
	half /= 2
	for _, q := range [4]orb.Point{{-half, -half}, {half, -half}, {-half, half}, {half, half}} {
		w.square(plus(c, q), half, sidesEnd, nearEnd, mixed)
	}
}

// nearest gives the distance of the square's middle to the segments and the
// most that any point of the square can have, and stacks the segments that can
// be nearest to any of its points.
func (w *search) nearest(c orb.Point, reach float64, from, end int) (far, most float64) {
	first, second := -1, -1 // of the list, nearest and next
	squared := w.squared[:end-from]
	for k, i := range w.near[from:end] {
		_, squared[k] = w.segments[i].nearest(c)
		switch {
		case first < 0 || squared[k] < squared[first]:
			first, second = k, first
		case second < 0 || squared[k] < squared[second]:
			second = k
		}
	}
	far = math.Sqrt(squared[first])
	most = far + reach
	if second >= 0 {
		most = min(most, pairBound(&w.segments[w.near[from+first]], &w.segments[w.near[from+second]], c, reach))
	}
	limit := (far + 2*reach) * (far + 2*reach)
	for k, i := range w.near[from:end] {
		if squared[k] <= limit {
			w.near = append(w.near, i)
		}
	}
	return far, most
}

// pairBound is the most that the lesser of the distances to two segments can be
// within reach of c. It is no more than their mean, and the mean hardly changes
// between two drains that face each other: so the ground half-way between two
// laterals is known at once. It holds where both are met square on, and is
// infinite elsewhere.
func pairBound(s, t *segment, c orb.Point, reach float64) float64 {
	ds, us, ok := s.squareOn(c, reach)
	dt, ut, alsoOK := t.squareOn(c, reach)
	if !ok || !alsoOK {
		return math.Inf(1)
	}
	return (ds + dt + reach*math.Hypot(us[0]+ut[0], us[1]+ut[1])) / 2
}

// squareOn gives the distance of c from the segment and the direction away from
// it; it is false unless every point within reach of c has its nearest point
// inside the segment, and lies on the same side of it.
func (s *segment) squareOn(c orb.Point, reach float64) (distance float64, away orb.Point, ok bool) {
	dx, dy := c[0]-s.a[0], c[1]-s.a[1]
	along, across := dx*s.ux+dy*s.uy, s.ux*dy-s.uy*dx
	if along < reach || along > s.length-reach || math.Abs(across) < reach {
		return 0, orb.Point{}, false
	}
	if across < 0 {
		return -across, orb.Point{s.uy, -s.ux}, true
	}
	return across, orb.Point{-s.uy, s.ux}, true
}

func (w *search) take(c orb.Point, half float64) {
	w.found.beyondM2 += 4 * half * half
	if w.visit != nil {
		w.visit(cell{c, half})
	}
}

// polish walks uphill from the furthest point found, in ever smaller steps, so
// that a distance which is known exactly comes out exactly.
func (w *search) polish() {
	for step := spreadSlackM; step > 1e-5; {
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
