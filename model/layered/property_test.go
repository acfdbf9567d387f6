package layered_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/layered"
)

func TestVolumesAndTonnesBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		d := mustDesign(t, in)
		e := d.Excavation
		balance(t, "what is dug leaves, is kept or is returned", e.SpoilBankM3+e.KeptTurfM3+e.ReturnedSoilM3, e.CavityM3+e.TrenchM3)
		filled := 0.0
		for _, l := range d.Layers {
			filled += l.FirmM3
			if l.MeanDepthMM < l.DepthMM {
				t.Errorf("%s: mean depth %g below the least depth %g", l.Name, l.MeanDepthMM, l.DepthMM)
			}
			balance(t, "tonnes of "+string(l.Name), l.FirmM3*l.DensityTPerM3, l.TonnesT)
			if l.DeliveredT < l.TonnesT || l.LooseM3 < l.FirmM3 {
				t.Errorf("%s: less delivered than placed", l.Name)
			}
		}
		if d.Package != layered.DrainsOnly && (d.Package != layered.ResurfaceOnly || len(d.Layers) > 0) {
			balance(t, "the cavity holds the layers and the turf on them", filled+in.AreaM2*d.Covering.LaidMM/1000, e.CavityM3)
		}
		for _, trench := range d.Trenches {
			balance(t, "a trench holds what fills it", trench.PipeM3+trench.GravelM3+trench.SandM3+trench.ReturnedSoilM3+trench.TurfM3, trench.TrenchM3)
			if trench.GravelM3 < 0 || trench.SandM3 < 0 {
				t.Errorf("%s: filled with less than nothing", trench.Kind)
			}
		}
		if c := d.Covering; in.Surface != layered.Seed && (c.OrderedM2 < c.AreaM2 || c.MadeUpM2 < 0) {
			t.Errorf("turf of %g m2 for %g m2", c.OrderedM2, c.AreaM2)
		}
	})
}

func balance(t *rapid.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*max(1, math.Abs(want)) {
		t.Errorf("%s: %.9g against %.9g", what, got, want)
	}
}

// The bill buys exactly the tonnes of layers and trenches with their waste.
func TestBillBuysWhatTheDesignHolds(t *testing.T) {
	p := parameters()
	rapid.Check(t, func(t *rapid.T) {
		d := mustDesign(t, drawInput(t))
		bought := totals(d.Quantities)
		held := map[string]float64{}
		for _, l := range d.Layers {
			held[map[layered.LayerName]string{layered.RootZone: "root_zone_mix", layered.Blinding: "blinding_sand", layered.Gravel: "drainage_gravel"}[l.Name]] += l.TonnesT
		}
		for _, trench := range d.Trenches {
			held["drainage_gravel"] += trench.GravelT
			held["slit_drain_sand"] += trench.SandT
		}
		for _, item := range []string{"root_zone_mix", "blinding_sand", "drainage_gravel", "slit_drain_sand"} {
			balance(t, item, bought[item], held[item]*(1+p.MaterialWastePct/100))
		}
		balance(t, "spoil", bought["spoil_disposal"], d.Excavation.SpoilBankM3*(1+p.BulkingPct/100))
		balance(t, "labour", bought["skilled_labour"]+bought["general_labour"], d.Labour.TotalH)
	})
}

func totals(list []layered.Quantity) map[string]float64 {
	sum := map[string]float64{}
	for _, q := range list {
		sum[q.Item] += q.Amount
	}
	return sum
}

// At one shape and the same depths, what covers the green grows with its area.
func TestQuantitiesScaleWithArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.AreaM2 = rapid.Float64Range(60, 105).Draw(t, "small area") // four times as much still drains through a 100 mm main
		in.PerimeterM = max(25, 2*math.Sqrt(math.Pi*in.AreaM2)*1.1)
		k := rapid.Float64Range(1, 4).Draw(t, "times")
		small := mustDesign(t, in)
		in.AreaM2, in.PerimeterM = in.AreaM2*k, in.PerimeterM*math.Sqrt(k)
		large := mustDesign(t, in)
		for i := range small.Layers {
			balance(t, "tonnes", large.Layers[i].TonnesT, k*small.Layers[i].TonnesT)
		}
		if in.Package != layered.DrainsOnly {
			balance(t, "cavity", large.Excavation.CavityM3, k*small.Excavation.CavityM3)
			balance(t, "turf", large.Covering.OrderedM2, k*small.Covering.OrderedM2)
			balance(t, "seed", large.Covering.SeedKg, k*small.Covering.SeedKg)
		}
		if small.Drains != nil {
			balance(t, "laterals", large.Drains.LateralM, k*small.Drains.LateralM)
		}
		less := totals(small.Quantities)
		for item, amount := range totals(large.Quantities) {
			if amount < less[item]*(1-1e-9) {
				t.Errorf("%s: %g for the larger green, %g for the smaller", item, amount, less[item])
			}
		}
		if large.Programme.Weeks.Likely < small.Programme.Weeks.Likely {
			t.Error("the larger green is done sooner")
		}
	})
}

// Deepening one layer never takes less of any material, plant or labour.
func TestDeeperNeverTakesLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		in.Route, in.Package, in.Surface = layered.LayeredRebuild, "", layered.SupplierTurf
		in.TopDepthMM = nil
		in.LayerDepths = &layered.LayerDepths{RootZoneMM: 250, BlindingMM: 50, GravelMM: 100}
		before := totals(mustDesign(t, in).Quantities)
		more := rapid.Float64Range(0, 100).Draw(t, "deeper by")
		deeper := *in.LayerDepths
		*rapid.SampledFrom([]*float64{&deeper.RootZoneMM, &deeper.BlindingMM, &deeper.GravelMM}).Draw(t, "layer") += more
		in.LayerDepths = &deeper
		after := totals(mustDesign(t, in).Quantities)
		for item, amount := range before {
			if after[item] < amount*(1-1e-9) {
				t.Errorf("%s: %g before, %g after deepening", item, amount, after[item])
			}
		}
	})
}

// Whatever numbers come in, the answer is a design of finite amounts or faults.
func TestHostileNumbers(t *testing.T) {
	hostile := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e-300, 1e300, 500, 85}))
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		for _, target := range []*float64{
			&in.AreaM2, &in.PerimeterM, &in.Turf.ThatchDepthMM, &in.Turf.CutThicknessMM, &in.Slits.SpacingM, &in.Slits.DepthMM,
			&in.Slits.WidthMM, &in.Soil.SandTopMM, &in.NurseryTurfM2, in.Outfall.DistanceM, in.Outfall.FallM, &in.TemporaryGreen.AreaM2,
		} {
			if rapid.IntRange(0, 5).Draw(t, "spoil") == 0 {
				*target = hostile.Draw(t, "value")
			}
		}
		if rapid.Bool().Draw(t, "drawn") {
			in.Drains = &layered.Drains{Source: layered.Outline, MainM: hostile.Draw(t, "main"), LateralM: hostile.Draw(t, "laterals"), LateralSpacingM: hostile.Draw(t, "spacing")}
		}
		d, faults := layered.NewDesign(in, parameters())
		if len(faults) > 0 {
			return
		}
		for _, list := range [][]layered.Quantity{d.Quantities, d.AftercareYear1, d.AftercareYear2} {
			for _, q := range list {
				if !(q.Amount > 0) || math.IsInf(q.Amount, 0) {
					t.Errorf("%s: %g %s", q.Item, q.Amount, q.Unit)
				}
			}
		}
		if w := d.Programme.Weeks; !(w.Low <= w.Likely && w.Likely <= w.High) {
			t.Errorf("weeks out of order: %+v", w)
		}
	})
}

// An assumption that a case overrides, however oddly, gives faults or a design
// of finite amounts.
func TestHostileAssumptions(t *testing.T) {
	defaults := assumption.Defaults()
	names := defaults.All()
	rapid.Check(t, func(t *rapid.T) {
		var overrides []assumption.Override
		for _, i := range rapid.SliceOfNDistinct(rapid.IntRange(0, len(names)-1), 1, 6, rapid.ID[int]).Draw(t, "which") {
			a := names[i]
			odd := rapid.SampledFrom([]float64{0, -1, 1e-6, 1, a.Low, a.High, a.Likely * 3, 1e6, -1e6}).Draw(t, a.Name)
			overrides = append(overrides, assumption.Override{Name: a.Name, Likely: odd})
		}
		set, wrong := defaults.With(overrides)
		if wrong != nil {
			return
		}
		in := drawInput(t)
		d, faults := layered.NewDesign(in, layered.ParametersFrom(set))
		if faults != nil {
			return
		}
		for _, q := range slices.Concat(d.Quantities, d.AftercareYear1, d.AftercareYear2) {
			if !(q.Amount > 0) || q.Amount > 1e7 {
				t.Errorf("%s: %g %s", q.Item, q.Amount, q.Unit)
			}
		}
		if w := d.Programme.Weeks; !(w.Low <= w.Likely && w.Likely <= w.High) {
			t.Errorf("weeks out of order: %+v", w)
		}
	})
}

// Each parameter is read from the assumption of its name: to move the one moves
// the design, so that no constant is listed and then ignored.
func TestEveryAssumptionMatters(t *testing.T) {
	file, err := os.ReadFile("../assumption/layered.csv")
	if err != nil {
		t.Fatal(err)
	}
	inputs := options()
	for i := range inputs {
		inputs[i].Soil.ConductivityMMPerH = at(0.5) // slits cut as close as they can be
		inputs[i].Outfall.DistanceM = nil
		if i%2 == 1 { // and a larger, thatchier green, in winter, over a quicker soil
			inputs[i].AreaM2, inputs[i].PerimeterM, inputs[i].StartMonth = 300, 70, 12
			inputs[i].Turf.ThatchDepthMM = 60
			inputs[i].Soil.ConductivityMMPerH = at(1)
		}
	}
	slow := inputs[4]
	slow.Soil.ConductivityMMPerH = nil
	soil, washed := inputs[1], inputs[1]
	soil.SupplierTurfSoil, washed.SupplierTurfSoil = layered.SoilGrown, layered.Washed
	soil.Outfall.FallM = nil // the level to be found is printed
	inputs = append(inputs, slow, soil, washed)
	for _, line := range strings.Split(strings.TrimSpace(string(file)), "\n")[1:] {
		name, _, _ := strings.Cut(line, ",")
		a := assumption.Defaults().Get(name)
		moved := a.High
		if a.High == a.Likely {
			moved = a.Low
		}
		set, wrong := assumption.Defaults().With([]assumption.Override{{Name: name, Likely: moved}})
		if wrong != nil {
			t.Fatal(wrong)
		}
		changed := false
		for _, in := range inputs {
			before := mustDesign(t, in)
			after, faults := layered.NewDesign(in, layered.ParametersFrom(set))
			if faults != nil {
				t.Fatalf("%s = %g: %v", name, moved, faults)
			}
			changed = changed || !cmp.Equal(before, after)
		}
		if !changed {
			t.Errorf("%s: moved from %g to %g and nothing changed", name, a.Likely, moved)
		}
	}
}
