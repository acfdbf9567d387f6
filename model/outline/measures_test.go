package outline_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"swardcase/model/outline"
)

// independent makes a polygon of another library from the rings as given.
func independent(t interface{ Fatal(...any) }, rings ...[][]float64) geom.Polygon {
	lines := make([]geom.LineString, len(rings))
	for i, ring := range rings {
		flat := make([]float64, 0, 2*len(ring))
		for _, p := range ring {
			flat = append(flat, p[0], p[1])
		}
		lines[i] = geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	}
	polygon := geom.NewPolygon(lines)
	if err := polygon.Validate(); err != nil {
		t.Fatal(err)
	}
	return polygon
}

// ellipsePerimeter is the Gauss-Kummer series for the length of an ellipse
// (Ivory 1796; Kummer 1836), summed until it stops changing.
func ellipsePerimeter(a, b float64) float64 {
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	sum, coefficient, power := 1.0, 1.0, 1.0
	for n := 1; n < 60; n++ {
		coefficient *= (0.5 - float64(n-1)) / float64(n) // binomial(1/2, n)
		power *= h
		sum += coefficient * coefficient * power
	}
	return math.Pi * (a + b) * sum
}

func TestExactMeasures(t *testing.T) {
	lShape := closed([][]float64{{0, 0}, {20, 0}, {20, 8}, {10, 8}, {10, 24}, {0, 24}})
	tests := []struct {
		name                           string
		ring                           [][]float64
		area, perimeter, x, y, percent float64
	}{
		{"rectangle", rectangle(30, 20), 600, 100, 15, 10, 1e-10},
		// 20×8 about (10, 4) and 10×16 about (5, 16).
		{"L", lShape, 320, 88, (160*10 + 160*5) / 320.0, (160*4 + 160*16) / 320.0, 1e-10},
		// An ellipse drawn with 2,000 chords is short of the curve by about
		// (π/2000)²/6 of its length and four times that of its area.
		{"ellipse", ellipse(15, 10, 1999), math.Pi * 15 * 10, ellipsePerimeter(15, 10), 0, 0, 2e-4},
	}
	for _, tt := range tests {
		m := read(t, tt.ring).Measures()
		near(t, tt.name+" area", m.AreaM2, tt.area, tt.percent/100)
		near(t, tt.name+" perimeter", m.PerimeterM, tt.perimeter, tt.percent/100)
		if math.Hypot(m.Centroid.XM-tt.x, m.Centroid.YM-tt.y) > 1e-9 {
			t.Errorf("%s: centroid %v, want %g, %g", tt.name, m.Centroid, tt.x, tt.y)
		}
	}
	// The series itself, at its known ends: a circle, and a flat ellipse
	// whose length is four times its long half-axis.
	near(t, "circle", ellipsePerimeter(7, 7), 14*math.Pi, 1e-15)
	near(t, "flat ellipse", ellipsePerimeter(1, 1e-9), 4, 1e-3)
}

func TestHolesAreTakenOut(t *testing.T) {
	hole := closed([][]float64{{5, 5}, {5, 9}, {8, 9}, {8, 5}})
	shape, faults := outline.Read(outline.Outline{Metres: rectangle(30, 20), HolesMetres: [][][]float64{hole}})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	m := shape.Measures()
	near(t, "area", m.AreaM2, 600-12, 1e-12)
	near(t, "perimeter", m.PerimeterM, 100, 1e-12)
	near(t, "hole", m.HolePerimeterM, 14, 1e-12)
	near(t, "centroid x", m.Centroid.XM, (600*15-12*6.5)/588.0, 1e-12)
	near(t, "centroid y", m.Centroid.YM, (600*10-12*7)/588.0, 1e-12)
}

// Area and centroid agree with another library's on random outlines, whichever
// way round the ring is given and wherever the grid's origin lies.
func TestMeasuresAgreeWithAnotherLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		ring := randomOutline(random)
		other := independent(t, ring)
		want, _ := other.Centroid().XY()
		moved := make([][]float64, len(ring))
		const east, north = 612345, 5823456 // as of a national grid
		for i, p := range ring {
			moved[len(ring)-1-i] = []float64{p[0] + east, p[1] + north}
		}
		for _, given := range []struct {
			ring   [][]float64
			dx, dy float64
		}{{ring, 0, 0}, {moved, east, north}} {
			shape, faults := outline.Read(outline.Outline{Metres: given.ring})
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			m := shape.Measures()
			if math.Abs(m.AreaM2-other.Area()) > 1e-6*other.Area() {
				t.Fatalf("area %.9g, other library %.9g", m.AreaM2, other.Area())
			}
			if math.Abs(m.PerimeterM-other.ExteriorRing().Length()) > 1e-6*m.PerimeterM {
				t.Fatalf("perimeter %.9g, other library %.9g", m.PerimeterM, other.ExteriorRing().Length())
			}
			if math.Hypot(m.Centroid.XM-given.dx-want.X, m.Centroid.YM-given.dy-want.Y) > 1e-6 {
				t.Fatalf("centroid %v, other library %v", m.Centroid, want)
			}
		}
	})
}
