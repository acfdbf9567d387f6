package confidence

import "math"

// axis is the range of a search, cut up for the scan. Places on it count from 0
// to last: steps of a stepped input, or parts of the range of a smooth one.
type axis struct {
	from, to float64
	step     float64 // 0 for a smooth input
	last     int     // the place of to
	scan     []int   // the places looked at first, ascending, with both ends
}

func newAxis(in Input, q BreakEvenQuestion, cells int) axis {
	a := axis{step: in.Step, last: cells}
	a.from, a.to = in.searchRange(q)
	if a.step > 0 {
		a.last = int(math.Round((a.to - a.from) / in.Step))
	}
	parts := min(cells, a.last)
	for i := range parts + 1 {
		a.scan = append(a.scan, int(math.Round(float64(i)/float64(parts)*float64(a.last))))
	}
	return a
}

// at is the value of the input at a place; the ends are met exactly.
func (a axis) at(place int) float64 {
	switch {
	case place == a.last:
		return a.to
	case a.step > 0: // multiplied, not divided, so that whole numbers stay whole
		return a.from + a.step*float64(place)
	}
	return a.from + (a.to-a.from)*(float64(place)/float64(a.last))
}

// search is one break-even search under way.
type search struct {
	axis    axis
	figure  func(x float64) float64 // NaN where absent
	target  float64
	within  float64
	points  []point // of the scan; their y are distances
	found   []Crossing
	leftOut bool
}

// remembered evaluates a figure once at each value: the search comes back to the
// ends of what it finds, and one evaluation may be a whole appraisal.
func remembered(figure func(x float64) float64) func(x float64) float64 {
	known := map[float64]float64{}
	return func(x float64) float64 {
		y, ok := known[x]
		if !ok {
			y = figure(x)
			known[x] = y
		}
		return y
	}
}

// distance is how far the figure lies above the target.
func (s *search) distance(x float64) float64 { return s.figure(x) - s.target }

// scan looks at the points of the axis and then at what lies between them.
func (s *search) scan(within float64) {
	farthest := 0.0
	for _, place := range s.axis.scan {
		x := s.axis.at(place)
		p := point{x, s.distance(x)}
		if !math.IsNaN(p.y) {
			farthest = max(farthest, math.Abs(p.y))
		}
		s.points = append(s.points, p)
	}
	s.within = within
	if within == 0 {
		s.within = farthest * 1e-9
	}
	for i := 0; i < len(s.points); i++ {
		switch {
		case s.side(i) == equal:
			first := i
			for i+1 < len(s.points) && s.side(i+1) == equal {
				i++
			}
			s.addEqual(first, i)
		case i+1 < len(s.points) && opposite(s.side(i), s.side(i+1)):
			s.closeIn(i)
		}
	}
}

// equal is a side of the search's own: no crossing has it beside it.
const equal Side = "equal"

// side is how the figure lies at a point of the scan.
func (s *search) side(i int) Side {
	if i < 0 || i >= len(s.points) {
		return EndOfRange
	}
	return s.sideOf(s.points[i].y)
}

func (s *search) sideOf(y float64) Side {
	switch {
	case math.IsNaN(y):
		return Absent
	case math.Abs(y) <= s.within:
		return equal
	case y > 0:
		return Greater
	}
	return Smaller
}

func opposite(a, b Side) bool { return a == Greater && b == Smaller || a == Smaller && b == Greater }

func (s *search) add(c Crossing) {
	if len(s.found) == mostCrossings {
		s.leftOut = true
		return
	}
	s.found = append(s.found, c)
}

// addEqual adds points of the scan that equal the target.
func (s *search) addEqual(first, last int) {
	c := s.crossing(EqualFromTo, s.points[first], s.points[last], s.side(first-1), s.side(last+1))
	if first == last {
		c.Kind = EqualAt
	}
	s.add(c)
}

func (s *search) crossing(kind CrossingKind, from, to point, below, above Side) Crossing {
	return Crossing{
		Kind: kind, From: from.x, To: to.x, AtFrom: s.figure(from.x), AtTo: s.figure(to.x),
		Below: below, Above: above,
	}
}

// closeIn finds the crossing between two neighbouring points of the scan that lie
// on opposite sides.
func (s *search) closeIn(i int) {
	below, above := s.side(i), s.side(i+1)
	low, high := s.points[i], s.points[i+1]
	if s.axis.step > 0 {
		low, high = s.halve(s.axis.scan[i], s.axis.scan[i+1])
	} else {
		near, far := root(s.distance, low, high, (s.axis.to-s.axis.from)*1e-12)
		if s.sideOf(near.y) == equal {
			s.add(s.crossing(EqualAt, near, near, below, above))
			return
		}
		low, high = near, far
		if low.x > high.x {
			low, high = high, low
		}
	}
	if s.sideOf(low.y) == equal { // a step of the input that happens to fit
		s.add(s.crossing(EqualAt, low, low, below, above))
		return
	}
	s.add(s.crossing(TurnsBetween, low, high, below, above))
}

// halve narrows two places on opposite sides down to neighbours, or to one place
// that equals the target, given twice. A place without a figure ends it early.
func (s *search) halve(lowPlace, highPlace int) (low, high point) {
	at := func(place int) point {
		x := s.axis.at(place)
		return point{x, s.distance(x)}
	}
	low, high = at(lowPlace), at(highPlace)
	for highPlace-lowPlace > 1 {
		place := lowPlace + (highPlace-lowPlace)/2
		middle := at(place)
		switch s.sideOf(middle.y) {
		case equal:
			return middle, middle
		case Absent:
			return low, high
		case s.sideOf(low.y):
			lowPlace, low = place, middle
		default:
			highPlace, high = place, middle
		}
	}
	return low, high
}

func (s *search) answer() BreakEven {
	first, last := s.points[0], s.points[len(s.points)-1]
	b := BreakEven{
		From: first.x, To: last.x, AtFrom: orNil(s.figure(first.x)), AtTo: orNil(s.figure(last.x)),
		Crossings: s.found, CrossingsLeftOut: s.leftOut, Points: len(s.points), Verdict: Found,
	}
	if b.Crossings == nil {
		b.Crossings = []Crossing{}
	}
	for _, p := range s.points {
		if math.IsNaN(p.y) {
			b.AbsentPoints++
		}
	}
	switch {
	case b.AbsentPoints == b.Points:
		b.Verdict = AbsentInRange
	case len(s.found) == 0:
		b.Verdict = NeverInRange
	case s.found[0].Kind == EqualFromTo && s.found[0].From == b.From && s.found[0].To == b.To:
		b.Verdict = EqualThroughout
	}
	return b
}
