package layered_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/layered"
	"swardcase/model/published"
)

func TestEarthworkAnswers(t *testing.T) {
	for _, row := range published.Records(t, "layered/earthwork.csv") {
		volume, pct := number(t, row, "volume"), number(t, row, "swell_or_shrink_pct")
		operation := map[string]func(float64, float64) float64{
			"bank_to_loose": layered.LooseFromBank, "loose_to_bank": layered.BankFromLoose, "compacted_to_bank": layered.BankForCompacted,
		}[row["operation"]]
		near(t, row["case"], operation(volume, pct), number(t, row, "answer"), 0.01)
	}
}

// The layers of a seeded rebuild on an even formation add up to the published
// depth of the formation; turf lies on top of them.
func TestFormationDepths(t *testing.T) {
	p := parameters()
	p.GravelEvennessAllowanceMM = 0
	for _, row := range published.Records(t, "layered/formation_depths.csv") {
		in := invented(layered.LayeredRebuild, "", layered.Seed)
		in.LayerDepths = &layered.LayerDepths{
			RootZoneMM: number(t, row, "root_zone_mm"), BlindingMM: number(t, row, "blinding_mm"), GravelMM: number(t, row, "gravel_mm"),
		}
		d, faults := layered.NewDesign(in, p)
		if faults != nil {
			t.Fatal(faults)
		}
		near(t, "formation below the surface", d.Excavation.MeanDepthMM, number(t, row, "formation_mm"), 1e-9)
	}
	in := invented(layered.LayeredRebuild, "", layered.ExistingTurf)
	d, _ := layered.NewDesign(in, p)
	near(t, "with 30 mm of turf laid on 450 mm of layers", d.Excavation.MeanDepthMM, 480, 1e-9)
}

// 500 m2 by hand: 0.3 m × 500 m2 × 1.55 t/m3 and so on.
func TestTonnesByHand(t *testing.T) {
	d := mustDesign(t, invented(layered.LayeredRebuild, "", layered.Seed))
	want := map[layered.LayerName]float64{layered.RootZone: 232.5, layered.Blinding: 40, layered.Gravel: 500 * 0.110 * 1.6}
	for _, l := range d.Layers {
		near(t, string(l.Name), l.TonnesT, want[l.Name], 1e-9)
		near(t, string(l.Name)+" delivered", l.DeliveredT, want[l.Name]*1.05, 1e-9)
	}
	// 19 greens took about 7,000 US tons of root zone, 334 t a green (USGA Green
	// Section, answers to common questions): a green of the mean American size,
	// 674 m2 (Golf Course Superintendents Association of America 2007), is within
	// 10 % of it.
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	in.AreaM2, in.PerimeterM = 674, 100
	mean := mustDesign(t, in)
	near(t, "root zone of a mean green", mean.Layers[0].DeliveredT, 334, 33.4)
}

// Works take 4, 6 and 9 weeks for a layered rebuild; 2 to 5 weeks for a partial
// renovation over all its packages; stripping and laying new turf a week or two,
// to which lifting the old turf by hand adds up to one (common practice, no source). The programme is built from output rates, so the two
// are independent: they must agree within a fifth.
func TestProgrammeAgreesWithPractice(t *testing.T) {
	weeks := mustDesign(t, invented(layered.LayeredRebuild, "", layered.ExistingTurf)).Programme.Weeks
	near(t, "rebuild, low", weeks.Low, 4, 0.8)
	near(t, "rebuild, likely", weeks.Likely, 6, 1.2)
	near(t, "rebuild, high", weeks.High, 9, 1.8)
	for pkg, limits := range map[layered.Package][2]float64{
		layered.DrainsOnly: {2, 5}, layered.TopAndDrains: {2, 5}, layered.ResurfaceOnly: {1, 2},
	} {
		for i, surface := range []layered.Surface{layered.SupplierTurf, layered.ExistingTurf} {
			if pkg == layered.ResurfaceOnly {
				limits[1] += float64(i)
			}
			got := mustDesign(t, invented(layered.PartialRenovation, pkg, surface)).Programme.Weeks.Likely
			if got < limits[0]*0.8 || got > limits[1]*1.2 {
				t.Errorf("%s/%s: %.1f weeks, against %g to %g", pkg, surface, got, limits[0], limits[1])
			}
		}
	}
}

func TestWinterLengthensTheWorks(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	in.StartMonth = 9
	autumn := mustDesign(t, in).Programme
	in.StartMonth = 12
	winter := mustDesign(t, in).Programme
	near(t, "winter ÷ autumn", winter.Weeks.Likely/autumn.Weeks.Likely, 1.30, 1e-9)
	if autumn.Winter || !winter.Winter {
		t.Error("the programme does not say which it is")
	}
}

// Thin cutting carries the lesser of cut and thatch; what is below stays and
// must be dug out (common practice, no source).
func TestThinCutLeavesThatchBehind(t *testing.T) {
	in := invented(layered.PartialRenovation, layered.ResurfaceOnly, layered.ExistingTurf)
	in.Turf = layered.Turf{ThatchDepthMM: 45, CutThicknessMM: 25, HoldsTogether: layered.Yes}
	d := mustDesign(t, in)
	near(t, "carried", d.Lifting.ThatchCarriedMM, 0.9*25, 1e-9)
	near(t, "left", d.Lifting.ThatchLeftMM, 20, 1e-9)
	near(t, "left, in m3", d.Lifting.ThatchLeftM3, 10, 1e-9)
	near(t, "dug", d.Excavation.MeanDepthMM, 45, 1e-9)
	near(t, "root zone that takes its place", d.Layers[0].DepthMM, 20, 1e-9)
	in.Turf.ThatchDepthMM = 15
	d = mustDesign(t, in)
	near(t, "thin thatch, carried", d.Lifting.ThatchCarriedMM, 0.9*15, 1e-9)
	if len(d.Layers) != 0 || d.Excavation.ThatchLeftMM != 0 {
		t.Errorf("nothing is left to dig, yet %+v", d.Layers)
	}
}

func TestEllipseAxes(t *testing.T) {
	long, short := layered.EllipseAxes(math.Pi*100, 20*math.Pi)
	near(t, "circle", long, 20, 1e-3)
	near(t, "circle", short, 20, 1e-3)
	// Half-axes 20 and 10: perimeter 96.8844822 m by the complete elliptic
	// integral 4·a·E(e²), e² = 0.75, E = 1.21105603 (Abramowitz and Stegun 1964, Table 17.1).
	long, short = layered.EllipseAxes(math.Pi*200, 4*20*1.2110560275684595)
	near(t, "long axis", long, 40, 0.001)
	near(t, "short axis", short, 20, 0.001)
}

func TestDrainsFromArea(t *testing.T) {
	d := layered.DrainsFromArea(500, 85, 5, 30, 0.25)
	near(t, "laterals, 0.20 m for each m2", d.LateralM, 100, 1e-9)
	near(t, "edge", d.EdgeM, 21.25, 1e-9)
	if d.Source != layered.AreaBySpacing || d.OutfallM != 30 {
		t.Errorf("got %+v", d)
	}
	if d.MainM < 2*math.Sqrt(500/math.Pi) || d.MainM > 85/2 {
		t.Errorf("a main of %g m is not a diameter of the green", d.MainM)
	}
}

func TestDrawnLayoutIsTaken(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	in.Drains = &layered.Drains{Source: layered.Outline, MainM: 30, LateralM: 111, OutfallM: 12, EdgeM: 7, LateralSpacingM: 4.5, Laterals: 11, OutfallPipeMM: 150}
	d := mustDesign(t, in)
	want := layered.Drains{Source: layered.Outline, MainM: 30, LateralM: 111, OutfallM: 12, EdgeM: 7, LateralSpacingM: 4.5, Laterals: 11, MainPipeMM: 150, OutfallPipeMM: 150}
	if diff := cmp.Diff(want, *d.Drains); diff != "" {
		t.Error(diff)
	}
	if in.Drains.MainPipeMM != 0 {
		t.Error("the caller's layout was written to")
	}
	lengths := map[layered.TrenchKind]float64{}
	for _, trench := range d.Trenches {
		lengths[trench.Kind] = trench.LengthM
	}
	if diff := cmp.Diff(map[layered.TrenchKind]float64{"outfall": 12, "main": 30, "lateral": 111, "edge": 7}, lengths); diff != "" {
		t.Error(diff)
	}
}

func codes(reasons []layered.Reason) []string {
	var list []string
	for _, r := range reasons {
		list = append(list, r.Code)
	}
	return list
}

func TestRefusals(t *testing.T) {
	drains := func() layered.Input {
		return invented(layered.PartialRenovation, layered.DrainsOnly, layered.ExistingTurf)
	}
	for _, c := range []struct {
		name   string
		in     layered.Input
		change func(*layered.Input)
		want   string
	}{
		{"no outfall", drains(), func(in *layered.Input) { in.Outfall.State = layered.OutfallNone }, "no_outfall"},
		{"outfall above the drains", drains(), func(in *layered.Input) { in.Outfall.FallM = at(0.3) }, "outfall_too_shallow"},
		{"rebuild without an outfall", invented(layered.LayeredRebuild, "", layered.Seed), func(in *layered.Input) { in.Outfall.State = layered.OutfallNone }, "no_outfall"},
		{"turf falls apart", invented(layered.LayeredRebuild, "", layered.ExistingTurf), func(in *layered.Input) { in.Turf.HoldsTogether = layered.No }, "turf_does_not_hold_together"},
		{"nursery too small", invented(layered.LayeredRebuild, "", layered.NurseryTurf), func(in *layered.Input) { in.NurseryTurfM2 = 539 }, "nursery_turf_too_small"},
		{"slits buried under soil", drains(), func(in *layered.Input) { in.Slits.BackfillTopMM = at(120) }, "slits_do_not_reach_sand"},
		{"slits below the sand", drains(), func(in *layered.Input) { in.Soil.SandTopMM = 100; in.Slits.BackfillTopMM = at(101) }, "slits_do_not_reach_sand"},
		{"sand thinner than the turf over the slit", drains(), func(in *layered.Input) { in.Soil.SandTopMM = 20 }, "slits_do_not_reach_sand"},
		{"slits below the new top", invented(layered.PartialRenovation, layered.TopAndDrains, layered.SupplierTurf), func(in *layered.Input) { in.Slits.BackfillTopMM = at(180) }, "slits_do_not_reach_sand"},
		{"fabric over the slits", drains(), func(in *layered.Input) { in.Slits.BackfillBroken = true }, "slit_backfill_not_continuous"},
	} {
		if got := mustDesign(t, c.in).Infeasible; len(got) != 0 {
			t.Errorf("%s: refused before the change: %v", c.name, got)
		}
		c.change(&c.in)
		if diff := cmp.Diff([]string{c.want}, codes(mustDesign(t, c.in).Infeasible)); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestSlitsThatReachTheSandAreNotRefused(t *testing.T) {
	in := invented(layered.PartialRenovation, layered.DrainsOnly, layered.ExistingTurf)
	in.Soil.SandTopMM, in.Slits.BackfillTopMM = 100, at(90)
	if got := mustDesign(t, in).Infeasible; len(got) != 0 {
		t.Errorf("refused: %v", got)
	}
	// Resurfacing needs no outfall, and turf that falls apart can be replaced.
	in = invented(layered.PartialRenovation, layered.ResurfaceOnly, layered.SupplierTurf)
	in.Outfall.State, in.Turf.HoldsTogether = layered.OutfallNone, layered.No
	if got := mustDesign(t, in).Infeasible; len(got) != 0 {
		t.Errorf("refused: %v", got)
	}
}

// The fall to the outfall by hand: 460 mm of cavity, 210 mm of main trench, and
// 30 m at 1 in 200.
func TestLeastFallToTheOutfall(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	for fall, want := range map[float64]int{0.819: 1, 0.821: 0} {
		in.Outfall.FallM = at(fall)
		if got := mustDesign(t, in).Infeasible; len(got) != want {
			t.Errorf("fall of %g m: %v", fall, got)
		}
	}
}

func TestEveryFaultIsNamedAtOnce(t *testing.T) {
	in := layered.Input{
		Route: "rebuild", Surface: layered.Seed, AreaM2: math.NaN(), PerimeterM: math.Inf(1),
		Turf: layered.Turf{ThatchDepthMM: -1}, NurseryTurfM2: 1e300, StartMonth: 13,
		Slits: layered.Slits{DepthMM: 5}, Outfall: layered.Outfall{State: "wet"},
	}
	p := parameters()
	p.GravelFirmDensityTPerM3 = 0
	_, faults := layered.NewDesign(in, p)
	var pointers []string
	for _, f := range faults {
		pointers = append(pointers, f.Pointer)
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%s: no detail or remedy", f.Pointer)
		}
	}
	want := []string{"/route", "/area_m2", "/perimeter_m", "/start_month", "/outfall/state", "/slits/depth_mm", "/turf/thatch_depth_mm", "/nursery_turf_m2", "/assumptions"}
	if diff := cmp.Diff(want, pointers); diff != "" {
		t.Error(diff)
	}
}

func TestImpossibleOutlineIsRefused(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	in.PerimeterM = 78 // a circle of 500 m2 has 79.27 m
	_, faults := layered.NewDesign(in, parameters())
	if len(faults) != 1 || faults[0].Pointer != "/perimeter_m" || !strings.Contains(faults[0].Detail, "79.3") {
		t.Errorf("got %v", faults)
	}
	in.PerimeterM = 79 // short by rounding
	mustDesign(t, in)
}

// Lists are written as [] and never as null.
func TestListsAreNeverNull(t *testing.T) {
	for _, in := range options() {
		text, err := json.Marshal(mustDesign(t, in))
		if err != nil {
			t.Fatal(err)
		}
		for _, list := range []string{"layers", "trenches", "quantities", "infeasible", "cautions", "stages"} {
			if strings.Contains(string(text), `"`+list+`":null`) {
				t.Errorf("%s: %s is null", optionName(in), list)
			}
		}
	}
}

func TestSameInputSameDesign(t *testing.T) {
	for _, in := range options() {
		if diff := cmp.Diff(mustDesign(t, in), mustDesign(t, in)); diff != "" {
			t.Errorf("%s: %s", optionName(in), diff)
		}
	}
}

func TestAftercareOnTopOfOrdinaryUpkeep(t *testing.T) {
	d := mustDesign(t, invented(layered.LayeredRebuild, "", layered.Seed))
	first, second := totals(d.AftercareYear1), totals(d.AftercareYear2)
	near(t, "fertiliser, (225 - 100) kg/ha of nitrogen at 12 %", first["fertiliser"], 125*0.05/0.12, 1e-9)
	near(t, "hours, 0.4 h/m2 × 0.75 + 40 h of watering", first["general_labour"], 190, 1e-9)
	near(t, "sand, 8 × 0.5 mm", first["top_dressing_sand"], 3, 1e-9)
	for item, amount := range first {
		if second[item] >= amount {
			t.Errorf("%s: the second year takes as much as the first", item)
		}
	}
}

func TestOwnLabour(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.ExistingTurf)
	d := mustDesign(t, in)
	if d.Labour.OwnH != nil || d.Labour.ShortH != nil {
		t.Error("own labour reported though none is stated")
	}
	in.OwnLabourHPerWk = at(10)
	d = mustDesign(t, in)
	near(t, "own", *d.Labour.OwnH, 10*d.Programme.Weeks.Likely, 1e-9)
	near(t, "short", *d.Labour.OwnH+*d.Labour.ShortH, d.Labour.TotalH, 1e-9)
	if !slices.Contains(codes(d.Cautions), "own_labour_short") {
		t.Error("no caution that the club's hours fall short")
	}
}

func BenchmarkDesign(b *testing.B) {
	p := parameters()
	for _, in := range options() {
		in.Soil.ConductivityMMPerH = at(5)
		b.Run(optionName(in), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, faults := layered.NewDesign(in, p); faults != nil {
					b.Fatal(faults)
				}
			}
		})
	}
}

// A pipe 110 mm across with 25 mm of gravel at each side takes a trench 160 mm
// wide. Dug 120 mm deeper to find its fall over 40 m, it takes 0.768 m³ more out
// of the ground and as much more gravel in; at 300 mm wide, 1.44 m³.
func TestTrenchesDugDeeperTakeMoreGravel(t *testing.T) {
	trench := func(change func(*layered.Drains)) layered.Trench {
		in := invented(layered.LayeredRebuild, "", layered.Seed)
		in.Drains = &layered.Drains{Source: layered.Outline, MainM: 30, LateralM: 40, LateralSpacingM: 5, Laterals: 4, MainPipeMM: 100}
		change(in.Drains)
		for _, trench := range mustDesign(t, in).Trenches {
			if trench.Kind == layered.LateralTrench {
				return trench
			}
		}
		t.Fatal("no laterals")
		return layered.Trench{}
	}
	plain := trench(func(*layered.Drains) {})
	deeper := trench(func(d *layered.Drains) { d.LateralDeepenedMM = 120 })
	near(t, "dug", deeper.TrenchM3-plain.TrenchM3, 0.768, 1e-9)
	near(t, "gravel", deeper.GravelM3-plain.GravelM3, 0.768, 1e-9)
	wide := trench(func(d *layered.Drains) { d.TrenchWidthMM = 300 })
	both := trench(func(d *layered.Drains) { d.TrenchWidthMM, d.LateralDeepenedMM = 300, 120 })
	near(t, "dug when wide", both.TrenchM3-wide.TrenchM3, 1.44, 1e-9)
}

// The main leaves at 700 mm below the formation, which lies 460 mm below the
// surface, and 12 m of outfall run fall 60 mm: 1.22 m in all.
func TestTheOutfallMustLieBelowTheDrawnMain(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	in.Drains = &layered.Drains{Source: layered.Outline, MainM: 30, LateralM: 111, OutfallM: 12, LateralSpacingM: 5, Laterals: 11, ExitDepthMM: 700}
	in.Outfall.FallM = at(1.23)
	if got := codes(mustDesign(t, in).Infeasible); slices.Contains(got, "outfall_too_shallow") {
		t.Errorf("an outfall 1.23 m down was refused: %v", got)
	}
	in.Outfall.FallM = at(1.21)
	if got := codes(mustDesign(t, in).Infeasible); !slices.Contains(got, "outfall_too_shallow") {
		t.Errorf("an outfall 1.21 m down was accepted: %v", got)
	}
}

func TestTheRouteForMachinesMayBeStated(t *testing.T) {
	in := invented(layered.LayeredRebuild, "", layered.Seed)
	usual := mustDesign(t, in).HaulRouteM2
	in.HaulRouteM = at(250)
	if got := mustDesign(t, in).HaulRouteM2; got != 2.5*usual {
		t.Errorf("250 m of route are %g m², and the usual 100 m %g m²", got, usual)
	}
}
