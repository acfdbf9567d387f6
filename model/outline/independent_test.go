package outline_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"swardcase/model/outline"
)

// validRing asks another library whether a ring bounds a polygon.
func validRing(ring [][]float64) bool {
	flat := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		flat = append(flat, p[0], p[1])
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	return geom.NewPolygon([]geom.LineString{line}).Validate() == nil
}

// Clipped laterals are measured again: each lateral's whole line is sampled
// every centimetre with the point-in-polygon and distance tests of another
// library, and the length of the samples that lie on the lateral, in the
// outline and clear of the edge by the setback, is held against the lateral's
// own length. A sample stands for a centimetre, so each end may be out by one.
func TestClippedLengthsAgreeWithAnotherLibrary(t *testing.T) {
	const stepM, toleranceM = 0.01, 0.021
	outlines := 200
	if testing.Short() {
		outlines = 20
	}
	for seed := range uint64(outlines) {
		random := rand.New(rand.NewPCG(seed, 5))
		ring := randomOutline(random)
		layout := lay(t, ring, outline.PerimeterMain, outline.Options{
			StatedFall: towards(2, 300*random.Float64()), LateralAngleDeg: ref(30 + 60*random.Float64()),
		})
		polygon := independent(t, ring)
		green := polygon.AsGeometry()
		for _, run := range layout.Runs {
			if run.Kind != outline.Lateral {
				continue
			}
			dx, dy := (run.End.XM-run.Start.XM)/run.LengthM, (run.End.YM-run.Start.YM)/run.LengthM
			// Out from the middle both ways until the green is left.
			middleX, middleY := (run.Start.XM+run.End.XM)/2, (run.Start.YM+run.End.YM)/2
			length := stepM
			for _, way := range [2]float64{1, -1} {
				for k := 1; ; k++ {
					along := way * float64(k) * stepM
					if !holds(green, middleX+along*dx, middleY+along*dy) {
						break
					}
					length += stepM
				}
			}
			if math.Abs(length-run.LengthM) > toleranceM {
				t.Errorf("seed %d %s: %.3f m, sampled %.3f m", seed, run.ID, run.LengthM, length)
			}
		}
	}
}

// The pieces of a herringbone keep the setback: sampled every centimetre, no
// piece between its ends comes nearer to the edge than that, except where a
// piece that an edge run serves runs on to the edge, and where a lateral leaves
// the main.
func TestHerringboneKeepsTheSetback(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 6))
		ring := randomOutline(random)
		setback := 0.2 + 0.6*random.Float64()
		layout := lay(t, ring, outline.Herringbone, outline.Options{StatedFall: towards(2, 300*random.Float64()), SetbackM: &setback})
		edge := independent(t, ring).ExteriorRing().AsGeometry()
		for _, run := range layout.Runs {
			if run.Kind != outline.Lateral {
				continue
			}
			a, b := run.Points[0], run.Points[1]
			length := b.AlongM - a.AlongM
			for along := 0.0; along < length-2*setback; along += 0.1 {
				x, y := a.XM+(b.XM-a.XM)*along/length, a.YM+(b.YM-a.YM)*along/length
				d, _ := geom.Distance(geom.XY{X: x, Y: y}.AsPoint().AsGeometry(), edge)
				if d < setback-1e-6 {
					t.Errorf("seed %d %s: %.4f m from the edge, setback %.4f", seed, run.ID, d, setback)
					break
				}
			}
		}
	}
}

func holds(green geom.Geometry, x, y float64) bool {
	return geom.Intersects(green, geom.XY{X: x, Y: y}.AsPoint().AsGeometry())
}
