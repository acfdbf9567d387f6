package layered_test

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/layered"
)

func number(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	value, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return value
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g within %.3g", what, got, want, tolerance)
	}
}

func parameters() layered.Parameters { return layered.ParametersFrom(assumption.Defaults()) }

func at(value float64) *float64 { return &value }

// invented returns the options of an invented green of 500 m2.
func invented(route layered.Route, pkg layered.Package, surface layered.Surface) layered.Input {
	return layered.Input{
		Route: route, Package: pkg, Surface: surface, AreaM2: 500, PerimeterM: 85,
		Outfall:       layered.Outfall{State: layered.OutfallFree, DistanceM: at(30), FallM: at(3)},
		Turf:          layered.Turf{ThatchDepthMM: 20, HoldsTogether: layered.Yes},
		NurseryTurfM2: 600,
	}
}

// options lists every route, package and surface.
func options() []layered.Input {
	var list []layered.Input
	for _, surface := range []layered.Surface{layered.Seed, layered.SupplierTurf, layered.NurseryTurf, layered.ExistingTurf} {
		list = append(list, invented(layered.LayeredRebuild, "", surface))
	}
	for _, pkg := range []layered.Package{layered.DrainsOnly, layered.ResurfaceOnly, layered.TopAndDrains} {
		for _, surface := range []layered.Surface{layered.ExistingTurf, layered.SupplierTurf} {
			list = append(list, invented(layered.PartialRenovation, pkg, surface))
		}
	}
	return list
}

func mustDesign(t interface {
	Helper()
	Fatalf(string, ...any)
}, in layered.Input,
) layered.Design {
	t.Helper()
	d, faults := layered.NewDesign(in, parameters())
	if err := faults.Err(); err != nil {
		t.Fatalf("%s/%s/%s: %v", in.Route, in.Package, in.Surface, err)
	}
	return d
}

func optionName(in layered.Input) string {
	return string(in.Route) + "/" + string(in.Package) + "/" + string(in.Surface)
}

// drawInput draws a sound input over the whole range that is accepted.
func drawInput(t *rapid.T) layered.Input {
	all := options()
	in := all[rapid.IntRange(0, len(all)-1).Draw(t, "option")]
	in.AreaM2 = rapid.Float64Range(60, 3000).Draw(t, "area")
	circle := 2 * math.Sqrt(math.Pi*in.AreaM2)
	in.PerimeterM = max(25, min(500, circle*rapid.Float64Range(1, 1.8).Draw(t, "outline")))
	in.Turf.ThatchDepthMM = rapid.Float64Range(0, 200).Draw(t, "thatch")
	in.Turf.CutThicknessMM = rapid.Float64Range(10, 100).Draw(t, "cut")
	in.StartMonth = rapid.IntRange(0, 12).Draw(t, "month")
	in.Outfall.DistanceM = at(rapid.Float64Range(0, 1000).Draw(t, "run"))
	if in.Route == layered.LayeredRebuild {
		in.LayerDepths = &layered.LayerDepths{
			RootZoneMM: rapid.Float64Range(100, 600).Draw(t, "root zone"),
			BlindingMM: rapid.SampledFrom([]float64{0, 25, 50, 100, 200}).Draw(t, "blinding"),
			GravelMM:   rapid.Float64Range(50, 400).Draw(t, "gravel"),
		}
	} else {
		in.TopDepthMM = at(rapid.Float64Range(25, 300).Draw(t, "top"))
		if rapid.Bool().Draw(t, "soil known") {
			in.Soil.ConductivityMMPerH = at(rapid.Float64Range(0.001, 500).Draw(t, "conductivity"))
			in.Soil.ImperviousDepthMM = at(rapid.Float64Range(100, 5000).Draw(t, "impervious"))
		}
	}
	return in
}
