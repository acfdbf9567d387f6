package outline_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"swardcase/model/outline"
)

// spotted is a rectangle with spot levels every 2 m from a surface.
func spotted(t testing.TB, ring [][]float64, width, height float64, surface func(x, y float64) float64) *outline.Shape {
	t.Helper()
	var spots []outline.SpotLevel
	for x := 1.0; x < width; x += 2 {
		for y := 1.0; y < height; y += 2 {
			spots = append(spots, outline.SpotLevel{XM: ref(x), YM: ref(y), LevelM: surface(x, y)})
		}
	}
	shape, faults := outline.Read(outline.Outline{Metres: ring, SpotLevels: spots})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return shape
}

func TestAPlaneIsFittedExactly(t *testing.T) {
	// Rises 3 % to the right and 4 % away: falls 5 % towards 36.87° beyond
	// south, that is to 180 + atan(3/4) in degrees from the y axis.
	shape := spotted(t, rectangle(30, 20), 30, 20, func(x, y float64) float64 { return 100 + 0.03*x + 0.04*y })
	plane, warnings := shape.FitPlane(parameters())
	if plane == nil || len(warnings) > 0 {
		t.Fatal(plane, warnings)
	}
	near(t, "fall", plane.FallPct, 5, 1e-9)
	near(t, "bearing", *plane.FallBearingDeg, 180+math.Atan(0.75)*180/math.Pi, 1e-9)
	near(t, "level", plane.LevelAtCentroidM, 100+0.45+0.4, 1e-12)
	if plane.GreatestResidualMM > 1e-6 || len(plane.Residuals) != plane.Spots {
		t.Errorf("residuals %v", plane.Residuals)
	}
}

// The fit agrees with a QR solution of the same least squares by another
// library, and the residuals sum to nothing.
func TestPlaneAgreesWithAnotherLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 40).Draw(t, "n")
		spots := make([]outline.SpotLevel, n)
		design, levels := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
		const east, north = 300000, 200000
		for i := range spots {
			x, y := rapid.Float64Range(0, 30).Draw(t, "x"), rapid.Float64Range(0, 20).Draw(t, "y")
			z := 50 + rapid.Float64Range(-0.5, 0.5).Draw(t, "z")
			spots[i] = outline.SpotLevel{XM: ref(east + x), YM: ref(north + y), LevelM: z}
			design.SetRow(i, []float64{1, x - 15, y - 10})
			levels.SetVec(i, z)
		}
		ring := rectangle(30, 20)
		for i, p := range ring {
			ring[i] = []float64{p[0] + east, p[1] + north}
		}
		shape, faults := outline.Read(outline.Outline{Metres: ring, SpotLevels: spots})
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		plane, _ := shape.FitPlane(parameters())
		var want mat.VecDense
		var qr mat.QR
		qr.Factorize(design)
		if plane == nil || qr.Cond() > 1e4 || qr.SolveVecTo(&want, false, levels) != nil {
			t.Skip("the spots lie nearly in a line")
		}
		fall := 100 * math.Hypot(want.AtVec(1), want.AtVec(2))
		if math.Abs(plane.FallPct-fall) > 1e-5*(1+fall) || math.Abs(plane.LevelAtCentroidM-want.AtVec(0)) > 1e-6 {
			t.Fatalf("fall %.9g level %.9g, other library %.9g %.9g", plane.FallPct, plane.LevelAtCentroidM, fall, want.AtVec(0))
		}
		sum := 0.0
		for _, r := range plane.Residuals {
			sum += r.AboveMM
		}
		if math.Abs(sum) > 1e-3 {
			t.Fatalf("residuals sum to %g mm", sum)
		}
	})
}

func TestWarningsAboutTheSurface(t *testing.T) {
	spot := func(x, y, z float64) outline.SpotLevel {
		return outline.SpotLevel{XM: ref(x), YM: ref(y), LevelM: z}
	}
	tests := []struct {
		name   string
		spots  []outline.SpotLevel
		fitted bool
		want   string
	}{
		{"none", nil, false, "no spot levels"},
		{"two", []outline.SpotLevel{spot(1, 1, 1), spot(5, 1, 2)}, false, "fewer than three"},
		{"in a line", []outline.SpotLevel{spot(1, 1, 1), spot(5, 5, 2), spot(9, 9, 1), spot(3, 3, 1)}, false, "out of line"},
		{"three", []outline.SpotLevel{spot(1, 1, 1), spot(9, 1, 1), spot(1, 9, 1.1)}, true, "always fit a plane"},
		// A saddle with corners 100 mm up and down: every residual is 100 mm,
		// and with four spots and three constants the deviation is twice that.
		{"saddle", []outline.SpotLevel{spot(0, 0, 1.1), spot(20, 0, 0.9), spot(20, 20, 1.1), spot(0, 20, 0.9)}, true, "up to 100 mm off it (standard deviation 200 mm"},
	}
	for _, tt := range tests {
		shape, faults := outline.Read(outline.Outline{Metres: rectangle(20, 20), SpotLevels: tt.spots})
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		plane, warnings := shape.FitPlane(parameters())
		if (plane != nil) != tt.fitted || len(warnings) != 1 || !strings.Contains(warnings[0], tt.want) {
			t.Errorf("%s: plane %v, warnings %q", tt.name, plane, warnings)
		}
	}
}

func TestHoleableShareOfSimpleGreens(t *testing.T) {
	// A rectangle of 30 by 20 m keeps 24 by 14 clear of its edge by 3 m.
	flat := read(t, rectangle(30, 20)).Holeable(nil, parameters())
	near(t, "rectangle", flat.HoleablePct, 100*24*14/600.0, 0.01)
	// A circle of 12 m keeps one of 9.
	round := read(t, ellipse(12, 12, 400)).Holeable(nil, parameters())
	near(t, "circle", round.HoleablePct, 100*81/144.0, 0.01)
	if flat.SlopeBasis != "not_measured" || round.ClearOfEdgePct != round.HoleablePct {
		t.Errorf("got %+v, %+v", flat, round)
	}
}

// One half level and the other falling 4 %: only the level half takes holes.
func TestHoleableGroundLeavesOutWhatIsTooSteep(t *testing.T) {
	shape := spotted(t, rectangle(30, 20), 30, 20, func(x, _ float64) float64 { return max(0, x-15) * 0.04 })
	plane, _ := shape.FitPlane(parameters())
	h := shape.Holeable(plane, parameters())
	if h.SlopeBasis != "spot_levels" {
		t.Fatalf("basis %q", h.SlopeBasis)
	}
	// The slope passes 3 % a little beyond the break, by the width of the
	// smoothing: 12 of 24 m, to within 2 m.
	if h.HoleablePct < 100*12*14/600.0 || h.HoleablePct > 100*14*14/600.0 {
		t.Errorf("holeable %.1f %%", h.HoleablePct)
	}
	// A bowl z = k·r²/2 has slope k·r: within 3 % out to 7.5 m for k = 0.004.
	bowl := spotted(t, rectangle(30, 30), 30, 30, func(x, y float64) float64 {
		return 0.002 * ((x-15)*(x-15) + (y-15)*(y-15))
	})
	plane, _ = bowl.FitPlane(parameters())
	near(t, "bowl", bowl.Holeable(plane, parameters()).HoleableM2, math.Pi*7.5*7.5, 0.05)
}

func TestATiltedGreenTakesNoHoles(t *testing.T) {
	shape := spotted(t, rectangle(30, 20), 30, 20, func(x, _ float64) float64 { return 0.035 * x })
	plane, _ := shape.FitPlane(parameters())
	if h := shape.Holeable(plane, parameters()); h.HoleablePct != 0 || h.ClearOfEdgePct < 50 {
		t.Errorf("got %+v", h)
	}
}
