package outline

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"
)

// ragged is a simple outline with many corners that point inwards.
func ragged(t interface{ Fatal(...any) }, random *rand.Rand) (*Shape, geom.Geometry) {
	n := 6 + random.IntN(40)
	ring := make([][]float64, 0, n+1)
	flat := make([]float64, 0, 2*n+2)
	for i := range n {
		r := 6 + 14*random.Float64()
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.8*random.Float64()) / float64(n))
		ring = append(ring, []float64{r * cos, r * sin})
	}
	ring = append(ring, ring[0])
	for _, p := range ring {
		flat = append(flat, p[0], p[1])
	}
	shape, faults := Read(Outline{Metres: ring})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	return shape, geom.NewPolygon([]geom.LineString{line}).AsGeometry()
}

// What is clear of the edge is so by another library's distance and
// point-in-polygon, at places along random lines: a millimetre inside every
// stretch it holds, a millimetre outside it does not.
func TestClearStretchesAgreeWithAnotherLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 9))
		shape, green := ragged(t, random)
		setback := 2 * random.Float64()
		sin, cos := math.Sincos(2 * math.Pi * random.Float64())
		l := line{orb.Point{4 * random.Float64(), 4 * random.Float64()}, orb.Point{cos, sin}}
		stretches := shape.clearOf(shape.inside(l), l, setback)
		for k := range 120 {
			along := -22 + 44*(float64(k)+random.Float64())/120
			within, margin := false, math.Inf(1)
			for _, s := range stretches {
				within = within || (along > s.from && along < s.to)
				margin = min(margin, math.Abs(along-s.from), math.Abs(along-s.to))
			}
			if margin < 0.001 {
				continue
			}
			at := shape.given(l.at(along))
			point := geom.XY{X: at[0], Y: at[1]}.AsPoint().AsGeometry()
			edge, _ := geom.Distance(point, green.MustAsPolygon().ExteriorRing().AsGeometry())
			want := geom.Intersects(green, point) && edge >= setback
			if want != within && math.Abs(edge-setback) > 1e-6 {
				t.Fatalf("%.4f m along: clear %v, other library %v (%.4f m from the edge, setback %.4f)", along, within, want, edge, setback)
			}
		}
	})
}

// The bound on ground between two segments is never broken by a point of it.
func TestPairBoundHolds(t *testing.T) {
	bounded := 0
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 10))
		at := func() orb.Point { return orb.Point{10 * random.Float64(), 10 * random.Float64()} }
		s, u, c := newSegment(at(), at()), newSegment(at(), at()), at()
		reach := 1.5 * random.Float64()
		bound := pairBound(&s, &u, c, reach)
		if math.IsInf(bound, 1) {
			return
		}
		bounded++
		for range 300 {
			sin, cos := math.Sincos(2 * math.Pi * random.Float64())
			r := reach * math.Sqrt(random.Float64())
			p := orb.Point{c[0] + r*cos, c[1] + r*sin}
			if d := distanceTo([]segment{s, u}, p); d > bound+1e-9 {
				t.Fatalf("%.6f m at %v, bound %.6f", d, p, bound)
			}
		}
	})
	if bounded == 0 {
		t.Error("no pair was bounded")
	}
}

// The search for the furthest ground and for the area beyond a distance agrees
// with plain sampling every 0.1 m, for random drains in random outlines.
func TestSpreadAgreesWithSampling(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 11))
		shape, _ := ragged(t, random)
		var drains []segment
		for range 1 + random.IntN(8) {
			a := orb.Point{-15 + 30*random.Float64(), -15 + 30*random.Float64()}
			angle := math.Pi * float64(random.IntN(4)) / 4 // often parallel
			b := orb.Point{a[0] + 15*math.Cos(angle), a[1] + 15*math.Sin(angle)}
			drains = append(drains, newSegment(minus(a, shape.shift), minus(b, shape.shift)))
		}
		threshold := 1 + 3*random.Float64()
		got := shape.spreadAbout(drains, threshold, math.Inf(1))
		furthest, beyond := 0.0, 0.0
		const step = 0.1
		for x := -20.0; x < 20; x += step {
			for y := -20.0; y < 20; y += step {
				p := minus(orb.Point{x, y}, shape.shift)
				if !shape.rings[0].contains(p) {
					continue
				}
				d := distanceTo(drains, p)
				furthest = max(furthest, d)
				if d > threshold {
					beyond += step * step
				}
			}
		}
		if got.greatestM < furthest-spreadSlackM {
			t.Errorf("seed %d: furthest %.3f m, sampled %.3f m", seed, got.greatestM, furthest)
		}
		// The furthest ground is ground, and as far away as is said.
		_, _, edge := shape.edgeNear(got.at)
		if distanceTo(drains, got.at) != got.greatestM || (!shape.contains(got.at) && edge > 1e-12) {
			t.Errorf("seed %d: no ground lies %.3f m away at %v", seed, got.greatestM, got.at)
		}
		if area := shape.Measures().AreaM2; math.Abs(got.beyondM2-beyond) > 0.01*area {
			t.Errorf("seed %d: %.2f m² beyond, sampled %.2f m² of %.0f", seed, got.beyondM2, beyond, area)
		}
		if marked := shape.beyond(drains, threshold, leastHalfM, 1, func(cell) {}); math.Abs(marked-beyond) > 0.01*area(shape) {
			t.Errorf("seed %d: cells of %.2f m², sampled %.2f m²", seed, marked, beyond)
		}
	}
}

func area(s *Shape) float64 { return s.Measures().AreaM2 }
