package outline_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"swardcase/model/outline"
)

// A constant that is not a number, or is absurd, is refused with a fault or
// comes to nothing; it never panics and never runs away.
func TestHostileParameters(t *testing.T) {
	for i := range reflect.TypeFor[outline.Parameters]().NumField() {
		for _, value := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e300, 1e-300} {
			p := parameters()
			reflect.ValueOf(&p).Elem().Field(i).SetFloat(value)
			shape, report, faults := outline.Draw(surveyed(), outline.Options{}, p)
			if len(faults) > 0 {
				continue
			}
			for _, layout := range report.Layouts {
				shape.DrawPlan(&layout, report.Plane, "a")
				for _, run := range layout.Runs {
					if math.IsNaN(run.LengthM+run.FallPct+run.TrenchM3) || math.IsInf(run.LengthM+run.FallPct+run.TrenchM3, 0) {
						t.Errorf("field %d = %g: %+v", i, value, run)
					}
				}
			}
		}
	}
}

// Outlines with holes are drained or refused by the run's name, and in either
// case every number is sound. A hole that is crossed leaves no pipe under it.
func TestLayoutsRoundHoles(t *testing.T) {
	crossed := 0
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 8))
		var holes [][][]float64
		for range 1 + random.IntN(3) {
			x, y, size := 2+22*random.Float64(), 2+12*random.Float64(), 1+3*random.Float64()
			holes = append(holes, closed([][]float64{{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}}))
		}
		shape, faults := outline.Read(outline.Outline{Metres: rectangle(30, 20), HolesMetres: holes})
		if len(faults) > 0 {
			continue // the holes cross
		}
		options := randomOptions(random)
		for _, kind := range [2]string{outline.Herringbone, outline.PerimeterMain} {
			layout, faults := shape.Lay(kind, options, nil, parameters())
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			for _, run := range layout.Runs {
				if !(run.LengthM > 0) || math.IsNaN(run.FallPct+run.TrenchM3+run.GreatestDepthMM) {
					t.Errorf("seed %d %s: %+v", seed, kind, run)
				}
				for i := 1; i < len(run.Points) && run.Kind != outline.Edge; i++ {
					a, b := run.Points[i-1], run.Points[i]
					for _, hole := range holes {
						if inRing(hole, (a.XM+b.XM)/2+1e-7, (a.YM+b.YM)/2+1e-7) && inRing(hole, (a.XM+b.XM)/2-1e-7, (a.YM+b.YM)/2-1e-7) {
							t.Errorf("seed %d %s: %s passes under a hole", seed, kind, run.ID)
						}
					}
				}
				if run.Kind == outline.Edge {
					crossed++
				}
			}
		}
	}
	if crossed == 0 {
		t.Error("no edge run in any of them")
	}
}
