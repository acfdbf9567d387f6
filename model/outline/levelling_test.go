package outline_test

import (
	"math"
	"testing"

	"swardcase/model/outline"
)

// levelled reads an outline with its spots and fits the plane.
func levelled(t *testing.T, ring [][]float64, spots []outline.SpotLevel) (*outline.Shape, *outline.Plane) {
	t.Helper()
	shape, faults := outline.Read(outline.Outline{Metres: ring, SpotLevels: spots})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	plane, _ := shape.FitPlane(parameters())
	return shape, plane
}

func spotAt(x, y, levelM float64) outline.SpotLevel {
	return outline.SpotLevel{XM: &x, YM: &y, LevelM: levelM}
}

// Four spots in the middles of the quarters of 20 m by 20 m, two 10 mm high and
// two 10 mm low across the diagonals: the plane is level, each spot stands for
// 100 m², so that 2 m³ are cut and 2 m³ filled (the sum by hand).
func TestCutAndFillOfASaddleByHand(t *testing.T) {
	shape, plane := levelled(t, rectangle(20, 20), []outline.SpotLevel{
		spotAt(5, 5, 30.01), spotAt(15, 5, 29.99), spotAt(5, 15, 29.99), spotAt(15, 15, 30.01),
	})
	got := shape.Levelling(plane, parameters())
	for name, pair := range map[string][2]float64{
		"cut": {got.CutM3, 2}, "fill": {got.FillM3, 2}, "net": {got.NetM3, 0},
		"greatest cut": {got.GreatestCutMM, 10}, "greatest fill": {got.GreatestFillMM, 10},
		"ground per spot": {got.GroundPerSpot, 100},
		// 400 m² × 10 mm ÷ √4
		"error": {got.ErrorM3, 2},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-6 {
			t.Errorf("%s: %g, want %g", name, pair[0], pair[1])
		}
	}
}

// Over whole waves of z = a·cos(2πx/10) the earth above the mean is area × a ÷ π
// (the integral). Spots half a metre apart
// come within 2 %.
func TestCutAndFillOfAWaveByTheIntegral(t *testing.T) {
	var spots []outline.SpotLevel
	for x := -9.75; x < 10; x += 0.5 {
		for y := -9.75; y < 10; y += 0.5 {
			spots = append(spots, spotAt(x, y, 12+0.05*math.Cos(2*math.Pi*x/10)))
		}
	}
	ring := closed([][]float64{{-10, -10}, {10, -10}, {10, 10}, {-10, 10}})
	shape, plane := levelled(t, ring, spots)
	got, want := shape.Levelling(plane, parameters()), 400*0.05/math.Pi
	if math.Abs(got.CutM3/want-1) > 0.02 || math.Abs(got.FillM3/want-1) > 0.02 {
		t.Errorf("cut %.3f and fill %.3f m³, want %.3f of each", got.CutM3, got.FillM3, want)
	}
}

func TestAPlaneNeedsNoEarthMoved(t *testing.T) {
	var spots []outline.SpotLevel
	for _, p := range kidney(16)[:16] {
		spots = append(spots, spotAt(p[0], p[1], 40-0.012*p[0]+0.003*p[1]))
	}
	shape, plane := levelled(t, kidney(60), spots)
	got := shape.Levelling(plane, parameters())
	if got.CutM3 > 1e-9 || got.FillM3 > 1e-9 {
		t.Errorf("got %+v", got)
	}
	if shape.Levelling(nil, parameters()) != nil {
		t.Error("earth is moved without levels")
	}
}

// 22 m by 12 m about the centroid (11, 6): crossings at x of 1, 6, 11, 16 and 21
// and y of 1, 6 and 11. The surface falls 1 in 100 along x from 50.00 m.
func TestStakesOnAGridByHand(t *testing.T) {
	shape, plane := levelled(t, rectangle(22, 12), []outline.SpotLevel{
		spotAt(0, 0, 50), spotAt(20, 0, 49.8), spotAt(0, 10, 50), spotAt(20, 10, 49.8),
	})
	stakes := shape.Stakes(5, plane, 450)
	if len(stakes) != 15 {
		t.Fatalf("%d stakes, want 15", len(stakes))
	}
	for i, want := range map[int][4]float64{0: {1, 1, 49.99, 49.54}, 4: {21, 1, 49.79, 49.34}, 14: {21, 11, 49.79, 49.34}} {
		s := stakes[i]
		for k, got := range [4]float64{s.XM, s.YM, *s.SurfaceM, *s.FormationM} {
			if math.Abs(got-want[k]) > 1e-9 {
				t.Errorf("stake %d: %g, want %g", i, got, want[k])
			}
		}
	}
	if without := shape.Stakes(5, nil, 450); len(without) != 15 || without[0].SurfaceM != nil {
		t.Error("stakes without levels state a level")
	}
	if most := len(shape.Stakes(0, nil, 450)); most > 22*12+22+12+1 {
		t.Errorf("%d stakes: a grid of nothing is not held to its least", most)
	}
}

func TestOddConstantsAreRefusedByName(t *testing.T) {
	p := parameters()
	p.SpotLevelErrorMM, p.HoleableEdgeM, p.HoleableSlopePct = -1, math.NaN(), 1e9
	faults := read(t, rectangle(20, 20)).CheckOptions(outline.Options{}, p)
	if len(faults) != 3 || faults[0].Pointer != "/assumptions/spot_level_error_mm" {
		t.Errorf("got %v", faults)
	}
	bad := outline.Options{SpacingM: ref(9), Pipe: &outline.PipeChoice{Wall: "straw"}}
	faults = read(t, rectangle(20, 20)).CheckOptions(bad, parameters())
	if len(faults) != 2 || faults[0].Pointer != "/spacing_m" || faults[1].Pointer != "/pipe/wall" {
		t.Errorf("got %v", faults)
	}
}
