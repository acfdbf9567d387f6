package outline_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"swardcase/model/assumption"
	"swardcase/model/outline"
)

func parameters() outline.Parameters {
	return outline.ParametersFrom(assumption.Defaults())
}

// closed repeats the first point at the end.
func closed(points [][]float64) [][]float64 {
	return append(points, points[0])
}

func rectangle(width, height float64) [][]float64 {
	return closed([][]float64{{0, 0}, {width, 0}, {width, height}, {0, height}})
}

func ellipse(a, b float64, vertices int) [][]float64 {
	ring := make([][]float64, vertices)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(vertices))
		ring[i] = []float64{a * cos, b * sin}
	}
	return closed(ring)
}

// kidney is the outline that the drawings are looked at with: 33 m long, with
// a hollow in one flank.
func kidney(vertices int) [][]float64 {
	ring := make([][]float64, vertices)
	for i := range ring {
		t := 2 * math.Pi * float64(i) / float64(vertices)
		r := 14 - 5.5*math.Exp(-8*(1-math.Cos(t-0.4))) + 2*math.Cos(2*t)
		sin, cos := math.Sincos(t)
		ring[i] = []float64{20 + r*cos, 18 + 0.9*r*sin}
	}
	return closed(ring)
}

// turned rotates a ring about the origin by degrees, anticlockwise.
func turned(ring [][]float64, degrees float64) [][]float64 {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	out := make([][]float64, len(ring))
	for i, p := range ring {
		out[i] = []float64{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos}
	}
	return out
}

// randomOutline draws a simple outline of one of several families: ragged
// stars, lobed greens, and combs with deep bays. Its area lies in the range
// that a green can have.
func randomOutline(random *rand.Rand) [][]float64 {
	switch random.IntN(3) {
	case 0: // ragged star
		n := 5 + random.IntN(60)
		ring := make([][]float64, n)
		for i := range ring {
			r := 8 + 12*random.Float64()
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.8*random.Float64()) / float64(n))
			ring[i] = []float64{r * cos, r * sin}
		}
		return closed(ring)
	case 1: // lobed
		n := 40 + random.IntN(160)
		lobes, depth, phase := float64(1+random.IntN(5)), 0.55*random.Float64(), 7*random.Float64()
		size, stretch := 9+7*random.Float64(), 0.6+0.8*random.Float64()
		ring := make([][]float64, n)
		for i := range ring {
			t := 2 * math.Pi * float64(i) / float64(n)
			r := size * (1 + depth*math.Cos(lobes*t+phase))
			sin, cos := math.Sincos(t)
			ring[i] = []float64{r * cos, stretch * r * sin}
		}
		return turned(closed(ring), 360*random.Float64())
	}
	// comb: a spine with teeth, and bays between them
	teeth := 2 + random.IntN(3)
	tooth, bay, spine := 3+4*random.Float64(), 1+4*random.Float64(), 3+4*random.Float64()
	ring := [][]float64{{0, 0}}
	width := float64(teeth)*(tooth+bay) - bay
	ring = append(ring, []float64{width, 0})
	for i := teeth - 1; i >= 0; i-- {
		left, height := float64(i)*(tooth+bay), spine+4+12*random.Float64()
		ring = append(ring, []float64{left + tooth, height}, []float64{left, height})
		if i > 0 {
			ring = append(ring, []float64{left, spine}, []float64{left - bay, spine})
		}
	}
	return turned(closed(ring), 360*random.Float64())
}

// randomOptions draws the choices of a layout that has levels to spare.
func randomOptions(random *rand.Rand) outline.Options {
	options := outline.Options{
		SpacingM: ref(2 + 3*random.Float64()), SetbackM: ref(random.Float64()),
		LateralAngleDeg: ref(30 + 60*random.Float64()),
	}
	if random.IntN(3) > 0 {
		options.StatedFall = &outline.StatedFall{FallPct: 0.2 + 3*random.Float64(), BearingDeg: 359 * random.Float64()}
	}
	if random.IntN(2) > 0 {
		options.Outfall = &outline.OutfallPlace{BearingDeg: ref(359 * random.Float64())}
	}
	return options
}

func ref(v float64) *float64 { return &v }

func read(t testing.TB, ring [][]float64) *outline.Shape {
	t.Helper()
	shape, faults := outline.Read(outline.Outline{Metres: ring})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return shape
}
