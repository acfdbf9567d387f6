package outline_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"swardcase/model/outline"
)

// towards is a surface that falls at a rate in a bearing.
func towards(fallPct, bearingDeg float64) *outline.StatedFall {
	return &outline.StatedFall{FallPct: fallPct, BearingDeg: bearingDeg}
}

func lay(t testing.TB, ring [][]float64, kind string, options outline.Options) *outline.Layout {
	t.Helper()
	layout, faults := read(t, ring).Lay(kind, options, nil, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return layout
}

func lengths(layout *outline.Layout, kind string) []float64 {
	var list []float64
	for _, run := range layout.Runs {
		if run.Kind == kind {
			list = append(list, run.LengthM)
		}
	}
	slices.Sort(list)
	return list
}

func same(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-6)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// Laterals of a perimeter main across a rectangle of 30 by 20 m, by hand.
//
// At 0° to the long side (90° to the fall) four strips of 5 m leave three
// laterals of 30 m. At 30° the rectangle measures 30·½ + 20·cos 30° =
// 32.321 m square to the laterals: seven strips of 4.617 m. A chord a distance
// t in from the corner is t/(sin 30°·cos 30°) long, until t = 30·sin 30° = 15;
// from there it is 30/cos 30° long. At 45° there are 35.355 m and eight strips;
// the chords are 2t, until t = 20·sin 45° = 14.142, then 20·√2.
func TestLateralsAcrossARectangleByHand(t *testing.T) {
	sin30, cos30, root2 := 0.5, math.Sqrt(3)/2, math.Sqrt2
	step30 := (30*sin30 + 20*cos30) / 7
	step45 := 50 / root2 / 8
	tests := []struct {
		name  string
		angle float64
		want  []float64
	}{
		{"0°", 90, []float64{30, 30, 30}},
		{"30°", 60, []float64{
			step30 / (sin30 * cos30), step30 / (sin30 * cos30), 2 * step30 / (sin30 * cos30), 2 * step30 / (sin30 * cos30),
			3 * step30 / (sin30 * cos30), 3 * step30 / (sin30 * cos30),
		}},
		{"45°", 45, []float64{2 * step45, 2 * step45, 4 * step45, 4 * step45, 6 * step45, 6 * step45, 20 * root2}},
	}
	for _, tt := range tests {
		layout := lay(t, rectangle(30, 20), outline.PerimeterMain, outline.Options{
			StatedFall: towards(2, 180), LateralAngleDeg: &tt.angle,
		})
		same(t, tt.name, lengths(layout, outline.Lateral), tt.want)
		if layout.MainM < 100-1e-9 || layout.MainM > 100+1e-9 || layout.EdgeM != 0 {
			t.Errorf("%s: main %.3f m, edge %.3f m", tt.name, layout.MainM, layout.EdgeM)
		}
		near(t, tt.name+" greatest distance", layout.GreatestDistanceM, layout.SpacingM/2, 0.02)
	}
}

// A herringbone at right angles in a rectangle 20 m wide and 30 m long falling
// along its length, setback 0.5 m: the main is 29.5 m, and six laterals of
// 9.5 m stand on either side, 2.5 m from the ends and 5 m apart. The corner is
// √(2.5² + 0.5²) m from a drain.
func TestHerringboneAtRightAnglesByHand(t *testing.T) {
	layout := lay(t, rectangle(20, 30), outline.Herringbone, outline.Options{
		StatedFall: towards(1, 180), LateralAngleDeg: ref(90),
	})
	same(t, "main", lengths(layout, outline.Main), []float64{29.5})
	same(t, "laterals", lengths(layout, outline.Lateral), slices.Repeat([]float64{9.5}, 12))
	if layout.EdgeM != 0 {
		t.Errorf("%.2f m of edge runs", layout.EdgeM)
	}
	near(t, "corner", layout.GreatestDistanceM, math.Hypot(2.5, 0.5), 1e-4)
	// Laterals on the contour have no fall of their own: 9.5 m at 1 in 200
	// puts their ends 47.5 mm deeper than the least depth.
	for _, run := range layout.Runs {
		if run.Kind == outline.Lateral {
			near(t, run.ID+" fall", run.FallPct, 0.5, 1e-9)
			near(t, run.ID+" deepened", run.DeepenedMM, 47.5, 1e-6)
		}
	}
}

// With a setback of 2 m the laterals are 8 m long, and ground lies beyond 2.5 m
// of a drain past their ends: to both sides of each, between an arc of 2.5 m
// about its end and the line half-way to the next lateral,
//
//	2·(2·2.5 - ½(2·√(2.5² - 2²) + 2.5²·asin(2/2.5))) = 1.204 m².
func TestGroundBeyondHalfTheSpacingByHand(t *testing.T) {
	layout := lay(t, rectangle(20, 30), outline.Herringbone, outline.Options{
		StatedFall: towards(1, 180), LateralAngleDeg: ref(90), SetbackM: ref(2),
	})
	same(t, "laterals", lengths(layout, outline.Lateral), slices.Repeat([]float64{8}, 12))
	each := 2 * (5 - (2*1.5+6.25*math.Asin(0.8))/2)
	// The slivers are thin beside the search's cells of 0.2 m.
	near(t, "beyond", layout.BeyondHalfSpacingPct, 100*12*each/600, 0.08)
	near(t, "corner", layout.GreatestDistanceM, math.Hypot(2.5, 2), 1e-4)
}

// The same rectangle at 45°: laterals stand 5·√2 m apart on the main. Junctions
// reach from the upper end (u = 0) to u + |v| = 40 m: six, 7.071 m apart, the
// first (40 - 5·7.071)/2 = 2.322 m down. A lateral ends 0.5 m short of the top
// or of the side; the two lowest lines meet the main's line below the green,
// so their pieces run on 0.5 m to an edge run along the low edge.
func TestHerringboneAtHalfARightAngleByHand(t *testing.T) {
	layout := lay(t, rectangle(20, 30), outline.Herringbone, outline.Options{
		StatedFall: towards(2, 180), LateralAngleDeg: ref(45),
	})
	root2 := math.Sqrt2
	first, step := (40-25*root2)/2, 5*root2
	want := []float64{
		(first - 0.5) * root2,        // to the top
		(first + step - 0.5) * root2, // to the top
		9.5 * root2, 9.5 * root2,     // to the side
		(9.5-(first+4*step-29.5))*root2 + 0.5, // from the low edge to the side
		(9.5-(first+5*step-29.5))*root2 + 0.5,
	}
	want = append(want, want...)
	slices.Sort(want)
	same(t, "laterals", lengths(layout, outline.Lateral), want)
	into := map[string]int{}
	for _, run := range layout.Runs {
		if run.Kind == outline.Lateral {
			into[run.Into]++
		}
	}
	if into["main_1"] != 8 || len(into) != 3 {
		t.Errorf("laterals flow into %v, want 8 into the main and two into each edge run", into)
	}
	if layout.EdgeM == 0 || !layout.Feasible() {
		t.Errorf("edge %.1f m, refused %v", layout.EdgeM, layout.Refused)
	}
}

// Levels by hand: formation 450 mm and trench 200 mm below a surface that falls
// 2 % along the main, pipe 25 mm above the bottom of the trench. The main of
// 29.5 m starts 0.5 m below the top edge, 14.5 m from the middle.
func TestInvertLevelsByHand(t *testing.T) {
	layout := lay(t, rectangle(20, 30), outline.Herringbone, outline.Options{StatedFall: towards(2, 180), LateralAngleDeg: ref(90)})
	main := layout.Runs[0]
	near(t, "upper end", main.StartInvertM, 14.5*0.02-0.450-0.200+0.025, 1e-9)
	if main.Start.YM < 29 || main.End.YM > 1e-9 {
		t.Errorf("main from %v to %v", main.Start, main.End)
	}
	for _, run := range layout.Runs {
		for i, p := range run.Points {
			surface := (p.YM - 15) * 0.02
			near(t, run.ID+" depth", p.TrenchDepthMM, 1000*(surface-0.450-p.InvertM+0.025), 1e-9)
			if p.TrenchDepthMM < 200-1e-6 {
				t.Errorf("%s: trench %.1f mm deep", run.ID, p.TrenchDepthMM)
			}
			if i > 0 {
				before := run.Points[i-1]
				if fall := (before.InvertM - p.InvertM) / (p.AlongM - before.AlongM); fall < 0.005-1e-9 {
					t.Errorf("%s falls %.5f between points", run.ID, fall)
				}
			}
		}
	}
}

func TestARunThatFindsNoFallIsRefusedByName(t *testing.T) {
	// 60 m of level ground need 300 mm; the limit is 100.
	layout := lay(t, rectangle(10, 60), outline.Herringbone, outline.Options{
		Outfall: &outline.OutfallPlace{BearingDeg: ref(180)}, DeepeningLimitMM: ref(100),
	})
	if layout.Feasible() || layout.Refused[0].Run != "main_1" {
		t.Fatalf("refused %v", layout.Refused)
	}
	if r := layout.Refused[0]; !strings.Contains(r.Reason, "1 in 200") || !strings.Contains(r.Reason, "100 mm is the limit") || r.Remedy == "" {
		t.Errorf("got %+v", r)
	}
	// The same with a limit of 400 mm is deepened instead.
	layout = lay(t, rectangle(10, 60), outline.Herringbone, outline.Options{
		Outfall: &outline.OutfallPlace{BearingDeg: ref(180)}, DeepeningLimitMM: ref(400),
	})
	if !layout.Feasible() || layout.Runs[0].DeepenedMM < 290 || layout.LevelBasis != "level_ground" {
		t.Errorf("refused %v, main deepened %.0f mm", layout.Refused, layout.Runs[0].DeepenedMM)
	}
}

func TestAnOutfallAboveTheDrainIsRefused(t *testing.T) {
	shape := spotted(t, rectangle(20, 30), 20, 30, func(_, y float64) float64 { return 50 + 0.02*y })
	plane, _ := shape.FitPlane(parameters())
	free, faults := shape.Lay(outline.Herringbone, outline.Options{Outfall: &outline.OutfallPlace{XM: ref(10), YM: ref(-20)}}, plane, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	// 20 m of outfall at 1 in 200 take 100 mm.
	lowest := free.Runs[0].EndInvertM - 0.1
	start := free.Runs[len(free.Runs)-1].StartInvertM
	for level, feasible := range map[float64]bool{
		lowest + 0.001: false, lowest - 0.001: true, lowest - 0.3: true,
		start - 20./3 + 0.001: true, start - 20./3 - 0.001: false, // 1 in 3
	} {
		layout, faults := shape.Lay(outline.Herringbone, outline.Options{
			Outfall: &outline.OutfallPlace{XM: ref(10), YM: ref(-20), LevelM: &level},
		}, plane, parameters())
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		if layout.Feasible() != feasible {
			t.Errorf("water at %.1f: refused %v", level, layout.Refused)
		}
		last := layout.Runs[len(layout.Runs)-1]
		if last.Kind != outline.Outfall || math.Abs(last.LengthM-20) > 1e-6 || layout.OutfallM != last.LengthM {
			t.Errorf("outfall %+v", last)
		}
		if last.EndInvertM != level {
			t.Errorf("the outfall ends at %.3f, want %.3f", last.EndInvertM, level)
		}
		deep := strings.Contains(strings.Join(layout.Cautions, "\n"), "lower than the drains need")
		if deep != (lowest-level > 0.5) {
			t.Errorf("an outfall %.1f m lower than need be: cautions %v", lowest-level, layout.Cautions)
		}
	}
}

func TestTheLayoutWithLessWorkIsSuggestedAndTheChoiceIsFree(t *testing.T) {
	given := outline.Outline{Metres: kidney(80)}
	report, faults := outline.Design(given, outline.Options{StatedFall: towards(2, 200)}, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	a, b := report.Layout(outline.Herringbone), report.Layout(outline.PerimeterMain)
	work := func(l *outline.Layout) float64 { return l.TrenchM3 + l.PipeM/parameters().PipeMPerTrenchM3 }
	want := outline.Herringbone
	if work(b) < work(a) {
		want = outline.PerimeterMain
	}
	if report.Suggested != want || report.Chosen != want || report.Advised != "" || report.SuggestedReason == "" {
		t.Errorf("suggested %q chosen %q advised %q", report.Suggested, report.Chosen, report.Advised)
	}
	// Water that runs in asks for the perimeter main, whatever costs less;
	// the user's choice goes over both.
	report, _ = outline.Design(given, outline.Options{StatedFall: towards(2, 200), WaterRunsIn: true}, parameters())
	if report.Advised != outline.PerimeterMain || report.Chosen != outline.PerimeterMain || report.Suggested != want {
		t.Errorf("suggested %q chosen %q advised %q", report.Suggested, report.Chosen, report.Advised)
	}
	report, _ = outline.Design(given, outline.Options{StatedFall: towards(2, 200), WaterRunsIn: true, Choice: outline.Herringbone}, parameters())
	if report.Chosen != outline.Herringbone {
		t.Errorf("chosen %q", report.Chosen)
	}
	if report.MainPipe == nil || report.MainPipe.CatchmentM2 != report.Measures.AreaM2 {
		t.Errorf("main pipe %+v", report.MainPipe)
	}
}

// In the rectangle of 20 by 30 m with laterals square to the main, a lateral of
// 9.5 m drains 47.5 m² at 1 in 200, and the main everything at the same fall.
func TestPipesOfARectangleByHand(t *testing.T) {
	report, faults := outline.Design(outline.Outline{Metres: rectangle(20, 30)}, outline.Options{
		StatedFall: towards(1, 180), LateralAngleDeg: ref(90), Choice: outline.Herringbone,
		Pipe: &outline.PipeChoice{DesignRateMMPerH: ref(20), BoresMM: []float64{40, 50, 60, 100, 149}},
	}, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	lateral, main := report.LateralPipe, report.MainPipe
	if lateral == nil || main == nil {
		t.Fatal("no pipes")
	}
	near(t, "lateral flow", lateral.FlowLPS, 20*47.5/3600, 1e-9)
	near(t, "main flow", main.FlowLPS, 20*600/3600.0, 1e-9)
	// 1000·0.3117·D^(8/3)·√0.005/0.016 = 0.264 L/s at D = 40.3 mm: 50 it is.
	if *lateral.BoreMM != 50 || math.Abs(lateral.BoreNeededMM-40.4) > 0.5 {
		t.Errorf("lateral %+v", lateral)
	}
}

func TestBadOptionsAreAllNamed(t *testing.T) {
	bad := outline.Options{
		Choice: "fan", SpacingM: ref(6), LateralAngleDeg: ref(10), SetbackM: ref(math.NaN()),
		TrenchWidthMM: ref(-1), TrenchDepthMM: ref(math.Inf(1)), DeepeningLimitMM: ref(5000), LeastFallPct: ref(0.1),
		FormationDepthMM: ref(0), Outfall: &outline.OutfallPlace{XM: ref(1)}, StatedFall: towards(50, 400),
	}
	_, faults := outline.Design(outline.Outline{Metres: rectangle(20, 20)}, bad, parameters())
	var pointers []string
	for _, f := range faults {
		pointers = append(pointers, strings.TrimPrefix(f.Pointer, "/drains/"))
	}
	want := []string{
		"spacing_m", "lateral_angle_deg", "setback_m", "trench_width_mm", "trench_depth_mm", "deepening_limit_mm",
		"least_fall_pct", "formation_depth_mm", "choice", "outfall", "stated_fall/fall_pct", "stated_fall/bearing_deg",
	}
	if diff := cmp.Diff(want, pointers); diff != "" {
		t.Errorf("pointers (-want +got):\n%s", diff)
	}
}

// Moving the grid's origin moves every point and changes nothing else; the same
// input always gives the same layout.
func TestALayoutDoesNotDependOnTheGrid(t *testing.T) {
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 3))
		ring := randomOutline(random)
		options := randomOptions(random)
		moved := make([][]float64, len(ring))
		const east, north = 500, 900
		for i, p := range ring {
			moved[i] = []float64{p[0] + east, p[1] + north}
		}
		for _, kind := range [2]string{outline.Herringbone, outline.PerimeterMain} {
			a, again, b := lay(t, ring, kind, options), lay(t, ring, kind, options), lay(t, moved, kind, options)
			if diff := cmp.Diff(a, again); diff != "" {
				t.Fatalf("seed %d: %s", seed, diff)
			}
			if len(a.Runs) != len(b.Runs) || math.Abs(a.PipeM-b.PipeM) > 1e-3 || math.Abs(a.TrenchM3-b.TrenchM3) > 1e-3 {
				t.Errorf("seed %d %s: %d runs %.6f m, moved %d runs %.6f m", seed, kind, len(a.Runs), a.PipeM, len(b.Runs), b.PipeM)
			}
		}
	}
}

// Every run but the last flows into another that exists, at a place on it and
// no lower than that run lies there; totals are the sums of the runs.
func TestWaterRunsDownToTheOutlet(t *testing.T) {
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 4))
		ring, options := randomOutline(random), randomOptions(random)
		for _, kind := range [2]string{outline.Herringbone, outline.PerimeterMain} {
			layout := lay(t, ring, kind, options)
			byID := map[string]outline.Run{}
			total := 0.0
			for _, run := range layout.Runs {
				byID[run.ID] = run
				total += run.LengthM
			}
			if math.Abs(total-layout.PipeM) > 1e-9 || math.Abs(layout.MainM+layout.LateralM+layout.EdgeM+layout.OutfallM-total) > 1e-9 {
				t.Errorf("seed %d: totals do not add up", seed)
			}
			for _, run := range layout.Runs {
				if run.Into == "" {
					if run.Kind != outline.Main {
						t.Errorf("seed %d %s: %s flows nowhere", seed, kind, run.ID)
					}
					continue
				}
				for i, p := range run.Points {
					if p.TrenchDepthMM < parameters().TrenchDepthMM-1e-6 {
						t.Errorf("seed %d %s: %s is only %.1f mm deep", seed, kind, run.ID, p.TrenchDepthMM)
					}
					if i > 0 && p.InvertM > run.Points[i-1].InvertM-0.005*(p.AlongM-run.Points[i-1].AlongM)+1e-9 {
						t.Errorf("seed %d %s: %s falls less than 1 in 200 at %.2f m", seed, kind, run.ID, p.AlongM)
					}
				}
				gap, level := meets(byID[run.Into], run.End)
				if gap > 1e-6 || level > run.EndInvertM+1e-6 {
					t.Errorf("seed %d %s: %s ends %.4f m from %s, at %.4f where that lies at %.4f", seed, kind, run.ID, gap, run.Into, run.EndInvertM, level)
				}
			}
		}
	}
}

// meets gives the distance of a point to a run and the run's level there.
func meets(run outline.Run, at outline.Point) (gap, level float64) {
	gap = math.Inf(1)
	for i := 1; i < len(run.Points); i++ {
		a, b := run.Points[i-1], run.Points[i]
		if d := toSegment(at.XM, at.YM, a.XM, a.YM, b.XM, b.YM); d < gap {
			share := min(1, math.Hypot(at.XM-a.XM, at.YM-a.YM)/(b.AlongM-a.AlongM))
			gap, level = d, a.InvertM+share*(b.InvertM-a.InvertM)
		}
	}
	return gap, level
}
