package outline

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"swardcase/model/fault"
)

// check refuses what no green can be: sides that cross or touch, an area or a
// length out of all proportion, holes that are not inside.
func (s *Shape) check(given []rawRing, faults *fault.List) {
	if i, j, found := s.firstCrossing(); found {
		s.addCrossing(i, j, given, faults)
		return
	}
	area, perimeter := math.Abs(signedArea(s.rings[0].at)), s.rings[0].total
	switch {
	case area < LeastAreaM2:
		faults.Add(given[0].pointer, fmt.Sprintf("%.3g m²", area), "the outline is tiny",
			fmt.Sprintf("a green has at least %d m²; check the unit of the coordinates", LeastAreaM2))
	case area > MostAreaM2:
		faults.Add(given[0].pointer, fmt.Sprintf("%.4g m²", area), "the outline is absurdly large",
			fmt.Sprintf("a green has at most %d m²; check the unit of the coordinates", MostAreaM2))
	}
	if perimeter > MostPerimeterM {
		longest := s.longestSide()
		faults.Add(given[0].pointer+fault.Pointer(given[0].index[longest]), fmt.Sprintf("%.4g m", perimeter),
			"the edge is absurdly long; its longest side starts or ends at this vertex",
			fmt.Sprintf("the edge of a green measures at most %d m; check this vertex and the unit", MostPerimeterM))
	}
	for i := 1; i < len(s.rings); i++ {
		s.checkHole(i, given, faults)
	}
}

func (s *Shape) checkHole(i int, given []rawRing, faults *fault.List) {
	hole := s.rings[i]
	if area := math.Abs(signedArea(hole.at)); area < leastHoleM2 {
		faults.Add(given[i].pointer, fmt.Sprintf("%.3g m²", area), "the hole is tiny", "leave it out")
	}
	// Sides do not cross, so one vertex speaks for the whole ring.
	vertex, first := given[i].pointer+"/0", [2]float64(given[i].at[0])
	if !s.rings[0].contains(hole.at[0]) {
		faults.Add(vertex, first, "the hole is not inside the outline", "give only holes that lie within it")
		return
	}
	for j := 1; j < len(s.rings); j++ {
		if j != i && s.rings[j].contains(hole.at[0]) {
			faults.Add(vertex, first, "the hole lies within another hole", "leave it out")
			return
		}
	}
}

func (s *Shape) addCrossing(i, j int, given []rawRing, faults *fault.List) {
	ri, vi := s.vertexOf(i)
	rj, vj := s.vertexOf(j)
	name := func(r, v int) (string, int, int) {
		index := given[r].index
		a, b := index[v], index[(v+1)%len(index)]
		return given[r].pointer, min(a, b), max(a, b)
	}
	pi, a, b := name(ri, vi)
	pj, c, d := name(rj, vj)
	at := pi + fault.Pointer(a)
	faults.Add(at, [2]float64(given[ri].at[a]),
		fmt.Sprintf("the side between vertices %d and %d crosses or touches the side between vertices %d and %d of %s", a, b, c, d, pj),
		"put the vertices in order round the green and leave out spikes and necks narrower than a millimetre")
}

// vertexOf gives the ring of a side and the vertex it starts from.
func (s *Shape) vertexOf(sideIndex int) (ringIndex, vertex int) {
	for r := len(s.rings) - 1; r >= 0; r-- {
		if sideIndex >= s.rings[r].first {
			return r, sideIndex - s.rings[r].first
		}
	}
	return 0, sideIndex
}

func (s *Shape) longestSide() int {
	longest := 0
	for i := range s.rings[0].at {
		if s.sides[i].length > s.sides[longest].length {
			longest = i
		}
	}
	return longest
}

// firstCrossing finds two sides that cross or come within a millimetre of one
// another, or neighbours that fold back on one another; of several it names
// the pair earliest in the list. Sides are taken in order of their left end,
// and each is compared only with those that begin before it ends.
func (s *Shape) firstCrossing() (int, int, bool) {
	order := make([]int, len(s.sides))
	for i := range order {
		order[i] = i
	}
	leftEnd := func(i int) float64 { return min(s.sides[i].a[0], s.sides[i].b[0]) }
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(leftEnd(i), leftEnd(j)), cmp.Compare(i, j))
	})
	bestI, bestJ := -1, -1
	for n, i := range order {
		end := max(s.sides[i].a[0], s.sides[i].b[0]) + touchingM
		for _, j := range order[n+1:] {
			if leftEnd(j) > end {
				break
			}
			low, high := min(i, j), max(i, j)
			if bestI >= 0 && (low > bestI || (low == bestI && high >= bestJ)) {
				continue
			}
			if s.touch(low, high) {
				bestI, bestJ = low, high
			}
		}
	}
	return bestI, bestJ, bestI >= 0
}

// touch says whether two sides come too near to one another. Neighbours share
// a vertex: they touch when one folds back along the other.
func (s *Shape) touch(i, j int) bool {
	a, b := &s.sides[i], &s.sides[j]
	switch {
	case a.b == b.a && a.a == b.b:
		return true
	case a.b == b.a:
		return foldsBack(a, b)
	case b.b == a.a:
		return foldsBack(b, a)
	}
	if min(a.a[1], a.b[1]) > max(b.a[1], b.b[1])+touchingM || min(b.a[1], b.b[1]) > max(a.a[1], a.b[1])+touchingM {
		return false
	}
	return gap(a, b) < touchingM
}

// foldsBack says whether b, which starts where a ends, runs back along a.
func foldsBack(a, b *segment) bool {
	_, d1 := a.nearest(b.b)
	_, d2 := b.nearest(a.a)
	return math.Sqrt(min(d1, d2)) < touchingM
}

// contains says whether p lies inside the ring (even-odd rule).
func (r *ring) contains(p orb.Point) bool {
	in := false
	for i, a := range r.at {
		b := r.at[(i+1)%len(r.at)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// bands sorts the sides of a shape by height, so that a point is tested only
// against the sides that lie level with it.
type bands struct {
	low, perM float64
	sides     [][]int32
}

func newBands(sides []segment) bands {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range sides {
		low, high = min(low, sides[i].a[1]), max(high, sides[i].a[1])
	}
	count := min(len(sides), 128)
	b := bands{low: low, sides: make([][]int32, count)}
	if high > low {
		b.perM = float64(count) / (high - low)
	}
	for i := range sides {
		from, to := b.of(min(sides[i].a[1], sides[i].b[1])), b.of(max(sides[i].a[1], sides[i].b[1]))
		for k := from; k <= to; k++ {
			b.sides[k] = append(b.sides[k], int32(i))
		}
	}
	return b
}

// of gives the band of a height, the nearest one for heights outside.
func (b *bands) of(y float64) int {
	return int(min(max((y-b.low)*b.perM, 0), float64(len(b.sides)-1)))
}

// contains says whether p lies inside the outline and outside its holes
// (even-odd rule over all rings).
func (s *Shape) contains(p orb.Point) bool {
	in := false
	for _, i := range s.bands.sides[s.bands.of(p[1])] {
		a, b := s.sides[i].a, s.sides[i].b
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// signedArea is positive for a ring that runs anticlockwise.
func signedArea(ring []orb.Point) float64 {
	sum := 0.0
	for i := 1; i+1 < len(ring); i++ {
		sum += side(ring[0], ring[i], ring[i+1])
	}
	return sum / 2
}
