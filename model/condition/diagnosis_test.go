package condition_test

import (
	"slices"
	"strings"
	"testing"

	"swardcase/model/condition"
)

func finding(t testing.TB, c condition.Condition, cause condition.Cause) condition.Finding {
	t.Helper()
	for _, f := range c.Diagnosis.Findings {
		if f.Cause == cause {
			return f
		}
	}
	t.Fatalf("no finding on %s", cause)
	return condition.Finding{}
}

// The order is part of the output: a reader, and a comparison of two appraisals,
// find the same cause in the same place.
func TestFindingsComeInTheFixedOrder(t *testing.T) {
	want := []condition.Cause{
		condition.ThatchExcess, condition.AnnualMeadowGrassDominant, condition.SurfaceSealing, condition.RootDepthShallow,
		condition.SubsoilNotDischarging, condition.NoDrains, condition.NoOutfall, condition.ProfileTooShallow, condition.OutfallBlockage,
		condition.Shade, condition.StillAir, condition.WaterRunningIn, condition.SingleWalkOn, condition.SprinklerOverlap,
		condition.CourseWaterlogged, condition.Frost,
	}
	for _, in := range []condition.Input{soundGreen(), bareGreen(5, 30, 70, 7)} {
		var got []condition.Cause
		for _, f := range judge(t, in).Diagnosis.Findings {
			got = append(got, f.Cause)
		}
		if !slices.Equal(got, want) {
			t.Errorf("causes %v", got)
		}
	}
}

func TestASoundGreenHasNoCausePresent(t *testing.T) {
	c := judge(t, soundGreen())
	for _, f := range c.Diagnosis.Findings {
		if f.Verdict != condition.Absent {
			t.Errorf("%s is %s: %+v", f.Cause, f.Verdict, f.Evidence)
		}
	}
	d := c.Diagnosis
	if d.Structural || d.UpkeepCanMend || d.Pattern != condition.NoFaultFound || d.Renovation.Settled {
		t.Errorf("structural %v, upkeep can mend %v, pattern %s, package settled %v", d.Structural, d.UpkeepCanMend, d.Pattern, d.Renovation.Settled)
	}
}

// With the four bare values only, nothing below the surface can be judged, and
// each open question names its test.
func TestWhatCannotBeJudgedNamesItsTest(t *testing.T) {
	c := judge(t, bareGreen(8, 11, 40, 9))
	for cause, test := range map[condition.Cause]string{
		condition.SurfaceSealing:        "top 50 mm removed",
		condition.RootDepthShallow:      "white roots",
		condition.SubsoilNotDischarging: "three pits to 600 mm",
		condition.NoDrains:              "three pits to 600 mm",
		condition.NoOutfall:             "lowest ground",
		condition.ProfileTooShallow:     "each layer's texture",
		condition.Shade:                 "direct sun",
		condition.StillAir:              "dew",
		condition.WaterRunningIn:        "heavy rain",
		condition.SingleWalkOn:          "walk on and off",
		condition.SprinklerOverlap:      "catch cans",
		condition.CourseWaterlogged:     "closed day",
		condition.Frost:                 "closed day",
	} {
		f := finding(t, c, cause)
		if f.Verdict != condition.CannotJudge || !strings.Contains(f.SettleBy, test) {
			t.Errorf("%s is %s, settled by %q; want cannot_judge and a test with %q", cause, f.Verdict, f.SettleBy, test)
		}
	}
	if c.Diagnosis.Pattern != condition.Undecided || c.Diagnosis.Renovation.Settled {
		t.Errorf("pattern %s, package settled %v", c.Diagnosis.Pattern, c.Diagnosis.Renovation.Settled)
	}
}

// slowTop makes the surface slow, so that sealing is in question.
func slowTop(in *condition.Input) { in.Infiltration = bare(8) }

// Each row changes one thing in a green and names the one verdict that must move,
// and the words of the evidence that moved it.
func TestDiagnosisMovesForTheRightReason(t *testing.T) {
	tests := []struct {
		name    string
		change  func(in *condition.Input)
		cause   condition.Cause
		verdict condition.Verdict
		because string
	}{
		{"deep thatch", func(in *condition.Input) { in.ThatchDepth, in.OrganicMatterTopPct = bare(22), nil }, condition.ThatchExcess, condition.Present, "22 mm deep; more than 13 mm"},
		{"deep and rich thatch", func(in *condition.Input) { in.ThatchDepth, in.OrganicMatterTopPct = bare(22), of(8.0) }, condition.ThatchExcess, condition.Present, "22 mm deep"},
		{"shallow but rich", func(in *condition.Input) { in.OrganicMatterTopPct = of(12.0) }, condition.ThatchExcess, condition.Present, "12 % of organic matter"},
		{"deep but well diluted", func(in *condition.Input) { in.ThatchDepth = bare(22) }, condition.ThatchExcess, condition.CannotJudge, "5 % of organic matter"},
		{"a hair over the limit", func(in *condition.Input) { in.ThatchDepth, in.OrganicMatterTopPct = bare(13.01), nil }, condition.ThatchExcess, condition.Present, "13.01 mm deep; more than 13 mm"},
		{"half annual meadow grass", func(in *condition.Input) { in.AnnualMeadowGrass = bare(50) }, condition.AnnualMeadowGrassDominant, condition.Present, "50 % of the sward"},
		{"just under half", func(in *condition.Input) { in.AnnualMeadowGrass = bare(49.9) }, condition.AnnualMeadowGrassDominant, condition.Absent, "49.9 % of the sward"},
		{"fast under the mat", func(in *condition.Input) { slowTop(in); in.RatioUnderMat = ranged(2, 5, 12) }, condition.SurfaceSealing, condition.Present, "5 times"},
		{"fast under the mat, by chance perhaps", func(in *condition.Input) { slowTop(in); in.RatioUnderMat = ranged(0.8, 5, 30) }, condition.SurfaceSealing, condition.CannotJudge, "chance"},
		{"twice as fast, perhaps thrice", func(in *condition.Input) { slowTop(in); in.RatioUnderMat = ranged(1.2, 2, 4) }, condition.SurfaceSealing, condition.CannotJudge, "more than the limit"},
		{"no faster under the mat", func(in *condition.Input) { slowTop(in) }, condition.SurfaceSealing, condition.Absent, "1.5 times"},
		{"fast under the mat of a fast surface", func(in *condition.Input) { in.RatioUnderMat = bare(5) }, condition.SurfaceSealing, condition.Absent, "60 mm/h"},
		{"short roots", func(in *condition.Input) { in.RootDepthMM = of(40.0) }, condition.RootDepthShallow, condition.Present, "40 mm"},
		{"short roots in a pit", func(in *condition.Input) { in.RootDepthMM = nil; in.Pits[1].RootDepthMM = of(30.0) }, condition.RootDepthShallow, condition.Present, "30 mm"},
		{"slow at 150 mm, and the outfall runs", func(in *condition.Input) { in.RateBelow = bare(3) }, condition.SubsoilNotDischarging, condition.CannotJudge, "3 mm/h"},
		{"slow at 150 mm, nothing against", func(in *condition.Input) { in.RateBelow, in.Pits, in.Outfall.AfterRain = bare(3), nil, "" }, condition.SubsoilNotDischarging, condition.Present, "3 mm/h"},
		{"water in a pit, nothing against", func(in *condition.Input) {
			in.RateBelow, in.Outfall.AfterRain = condition.Estimate{}, ""
			in.Pits[2].FreeWaterDepthMM = of(350.0)
		}, condition.SubsoilNotDischarging, condition.Present, "1 of 3 pits, at 350 mm"},
		{"outfall dry after rain, nothing against", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, nil, condition.OutfallDry
		}, condition.SubsoilNotDischarging, condition.Present, "outfall was dry"},
		{"outfall dry under a sealed surface", func(in *condition.Input) {
			slowTop(in)
			in.RatioUnderMat, in.RateBelow, in.Pits, in.Outfall.AfterRain = bare(6), condition.Estimate{}, nil, condition.OutfallDry
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "sealed surface"},
		{"outfall dry under a surface not yet judged", func(in *condition.Input) {
			slowTop(in)
			in.RatioUnderMat, in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, condition.Estimate{}, nil, condition.OutfallDry
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "sealed surface"},
		{"slow soil measured, but described to 350 mm only", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, nil, ""
			in.SoilLayers[1] = condition.SoilLayer{Texture: condition.Clay, ThicknessMM: 50, ConductivityMMPerH: of(1.0)}
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "described to 350 mm only"},
		{"water in a pit over a blocked outfall", func(in *condition.Input) {
			in.RateBelow, in.Outfall = condition.Estimate{}, condition.Outfall{State: condition.OutfallBlocked}
			in.Pits[2].FreeWaterDepthMM = of(350.0)
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "blocked outfall"},
		{"two dry pits only", func(in *condition.Input) {
			in.RateBelow, in.Outfall.AfterRain, in.Pits = condition.Estimate{}, "", in.Pits[:2]
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "3 are wanted"},
		{"clay below, measured", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, nil, ""
			in.SoilLayers[1] = condition.SoilLayer{Texture: condition.Clay, ThicknessMM: 400, ConductivityMMPerH: of(1.0)}
		}, condition.SubsoilNotDischarging, condition.Present, "measured at 1 mm/h"},
		{"clay below by texture, with drains", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, nil, ""
			in.SoilLayers[1].Texture = condition.Clay
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "averages 4.6 mm/h"},
		{"clay below by texture, no drains", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall, in.HasDrains = condition.Estimate{}, nil, condition.Outfall{}, false
			in.SoilLayers[1].Texture = condition.Clay
		}, condition.SubsoilNotDischarging, condition.Present, "averages 4.6 mm/h"},
		{"clay under gravel over drains", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall.AfterRain = condition.Estimate{}, nil, ""
			in.SoilLayers = append(in.SoilLayers[:1], condition.SoilLayer{Texture: condition.Gravel, ThicknessMM: 100}, condition.SoilLayer{Texture: condition.Clay, ThicknessMM: 300})
		}, condition.SubsoilNotDischarging, condition.CannotJudge, "gravel layer lies over drains"},
		{"no drains on free ground", func(in *condition.Input) { in.HasDrains = false }, condition.NoDrains, condition.Absent, "takes the water away"},
		{"no drains on slow ground", func(in *condition.Input) { in.HasDrains, in.RateBelow, in.Pits = false, bare(2), nil }, condition.NoDrains, condition.Present, "does not discharge"},
		{"no outfall on slow ground", func(in *condition.Input) {
			in.RateBelow, in.Pits, in.Outfall = bare(2), nil, condition.Outfall{State: condition.OutfallNone}
		}, condition.NoOutfall, condition.Present, "nowhere to run"},
		{"no outfall on free ground", func(in *condition.Input) { in.Outfall = condition.Outfall{State: condition.OutfallNone} }, condition.NoOutfall, condition.Absent, "takes the water away"},
		{"blocked outfall", func(in *condition.Input) { in.Outfall = condition.Outfall{State: condition.OutfallBlocked} }, condition.OutfallBlockage, condition.Present, "clear it first"},
		{"clay from 120 mm", func(in *condition.Input) {
			in.RateBelow, in.SoilLayers = bare(2), []condition.SoilLayer{{Texture: condition.Sand, ThicknessMM: 120}, {Texture: condition.Clay, ThicknessMM: 500}}
		}, condition.ProfileTooShallow, condition.Present, "begins 120 mm below"},
		{"clay from 120 mm that takes water freely", func(in *condition.Input) {
			in.SoilLayers = []condition.SoilLayer{{Texture: condition.Sand, ThicknessMM: 120}, {Texture: condition.Clay, ThicknessMM: 500}}
		}, condition.ProfileTooShallow, condition.CannotJudge, "takes water in freely"},
		{"sand described to 150 mm", func(in *condition.Input) {
			in.SoilLayers = []condition.SoilLayer{{Texture: condition.Sand, ThicknessMM: 150}}
		}, condition.ProfileTooShallow, condition.CannotJudge, "described to 150 mm only"},
		{"peat on top", func(in *condition.Input) { in.SoilLayers[0].Texture = condition.Peat }, condition.ProfileTooShallow, condition.CannotJudge, "peat"},
		{"three hours of sun", func(in *condition.Input) { in.Surroundings.SunHPerDay = of(3.0) }, condition.Shade, condition.Present, "No rebuild cures shade"},
		{"five hours of sun", func(in *condition.Input) { in.Surroundings.SunHPerDay = of(5.0) }, condition.Shade, condition.Absent, "6 h would be better"},
		{"enclosed", func(in *condition.Input) { in.Surroundings.Air = condition.AirEnclosed }, condition.StillAir, condition.Present, "stands still"},
		{"water runs in", func(in *condition.Input) { in.Surroundings.WaterRunsIn = of(true) }, condition.WaterRunningIn, condition.Present, "higher ground"},
		{"one walk-on", func(in *condition.Input) { in.Surroundings.WalkOnPoints = of(1) }, condition.SingleWalkOn, condition.Present, "one place"},
		{"poor overlap", func(in *condition.Input) { in.Surroundings.SprinklerOverlap = condition.OverlapPoor }, condition.SprinklerOverlap, condition.Present, "overlap badly"},
		{"course wetter than the green", func(in *condition.Input) { in.LostDays.WaterloggedCourseDays = 30 }, condition.CourseWaterlogged, condition.Present, "30 days a year, more than the 4"},
		{"frost", func(in *condition.Input) { in.LostDays.FrostDays = 12 }, condition.Frost, condition.Present, "no option buys those back"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := soundGreen()
			tt.change(&in)
			f := finding(t, judge(t, in), tt.cause)
			if f.Verdict != tt.verdict {
				t.Errorf("%s is %s, want %s: %+v", tt.cause, f.Verdict, tt.verdict, f.Evidence)
			}
			if f.Verdict == condition.CannotJudge && f.SettleBy == "" {
				t.Error("nothing named that would settle it")
			}
			if !slices.ContainsFunc(f.Evidence, func(e condition.Evidence) bool { return strings.Contains(e.Text, tt.because) }) {
				t.Errorf("no evidence says %q: %+v", tt.because, f.Evidence)
			}
		})
	}
}

// No single change listed above may turn a cause of another kind: the surroundings
// never make a green structural, and the surface never does.
func TestOnlyWhatIsStructuralIsCalledStructural(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(in *condition.Input)
		want   bool
	}{
		"thatch":        {func(in *condition.Input) { in.ThatchDepth, in.OrganicMatterTopPct = bare(35), of(14.0) }, false},
		"sealing":       {func(in *condition.Input) { slowTop(in); in.RatioUnderMat = bare(9) }, false},
		"shade":         {func(in *condition.Input) { in.Surroundings.SunHPerDay = of(1.0) }, false},
		"blocked":       {func(in *condition.Input) { in.Outfall = condition.Outfall{State: condition.OutfallBlocked} }, false},
		"water runs in": {func(in *condition.Input) { in.Surroundings.WaterRunsIn = of(true) }, false},
		"subsoil":       {func(in *condition.Input) { in.RateBelow, in.Pits, in.Outfall.AfterRain = bare(2), nil, "" }, true},
		"shallow": {func(in *condition.Input) {
			in.RateBelow, in.SoilLayers = bare(12), []condition.SoilLayer{{Texture: condition.Clay, ThicknessMM: 600}}
		}, true},
		"merely no pits": {func(in *condition.Input) { in.Pits = nil }, false},
	} {
		in := soundGreen()
		tt.change(&in)
		d := judge(t, in).Diagnosis
		if d.Structural != tt.want {
			t.Errorf("%s: structural %v, want %v", name, d.Structural, tt.want)
		}
		if d.Structural && d.UpkeepCanMend {
			t.Errorf("%s: structural, yet upkeep can mend it", name)
		}
	}
}

func TestTheWorstZoneRulesWhereItDiffersClearly(t *testing.T) {
	zones := []condition.PositionEstimate{{Position: "front", Value: 60}, {Position: "hollow", Value: 10}}
	tests := []struct {
		name     string
		rate     condition.Estimate
		position string
		value    float64
		says     string
	}{
		{"below the interval", condition.Estimate{Value: of(15.0), Interval: &condition.Interval{Low: 11, High: 40, ConfidencePct: 95}, ByPosition: zones}, "hollow", 10, "below the whole interval"},
		{"under half", condition.Estimate{Value: of(24.0), ByPosition: zones}, "hollow", 10, "under 50 %"},
		{"neither", condition.Estimate{Value: of(18.0), Interval: &condition.Interval{Low: 5, High: 40, ConfidencePct: 95}, ByPosition: zones}, "", 18, "No zone differs"},
		{"no positions", bare(18), "", 18, "not told apart"},
	}
	for _, tt := range tests {
		in := soundGreen()
		in.Infiltration = tt.rate
		got := judge(t, in).Diagnosis.RulingInfiltration
		if got.Position != tt.position || *got.ValueMMPerH != tt.value || !strings.Contains(got.Reason, tt.says) {
			t.Errorf("%s: %q %v %q, want %q %v with %q", tt.name, got.Position, *got.ValueMMPerH, got.Reason, tt.position, tt.value, tt.says)
		}
	}
	// The ruling zone's own readings below the surface rule with it.
	in := soundGreen()
	in.Infiltration = condition.Estimate{Value: of(60.0), ByPosition: zones}
	in.RatioUnderMat.ByPosition = []condition.PositionEstimate{{Position: "hollow", Value: 8}}
	if f := finding(t, judge(t, in), condition.SurfaceSealing); f.Verdict != condition.Present {
		t.Errorf("the hollow is sealed, yet sealing is %s: %+v", f.Verdict, f.Evidence)
	}
}

// sealedTop and slowGround are the two faults that decide the package.
func sealedTop(in *condition.Input) { slowTop(in); in.RatioUnderMat = bare(8) }

func slowGround(in *condition.Input) {
	in.RateBelow, in.Pits, in.Outfall.AfterRain = bare(2), nil, condition.OutfallNotObserved
}

func TestPatternDecidesSharesAndPackage(t *testing.T) {
	p := parameters()
	tests := []struct {
		name    string
		change  func(in *condition.Input)
		pattern condition.Pattern
		surface float64
		other   float64
		pkg     condition.Package
		settled bool
		says    string
	}{
		{"surface", sealedTop, condition.SurfaceFaultOnly, p.SurfaceShareSurfaceFaultOnly, 0, condition.ResurfaceOnly, true, "base drains"},
		{"discharge", slowGround, condition.DischargeFaultOnly, p.SurfaceShareDischargeFaultOnly, 0, condition.DrainsOnly, true, "surface is sound"},
		{"both", func(in *condition.Input) { sealedTop(in); slowGround(in) }, condition.BothFaults, p.SurfaceShareBothFaults, 0, condition.TopAndDrains, true, "both at fault"},
		{"neither", func(*condition.Input) {}, condition.NoFaultFound, p.SurfaceShareUndecided, p.OtherShareNoFaultFound, condition.ResurfaceOnly, false, "nothing here calls"},
		{"undecided", func(in *condition.Input) { slowTop(in); in.RatioUnderMat = condition.Estimate{} }, condition.Undecided, p.SurfaceShareUndecided, 0, condition.TopAndDrains, false, "top 50 mm removed"},
		{"surface, and water runs in", func(in *condition.Input) { sealedTop(in); in.Surroundings.WaterRunsIn = of(true) }, condition.SurfaceFaultOnly, p.SurfaceShareSurfaceFaultOnly, p.OtherShareWaterRunningIn, condition.ResurfaceOnly, true, "base drains"},
		{"shallow", func(in *condition.Input) {
			slowGround(in)
			in.SoilLayers = []condition.SoilLayer{{Texture: condition.Sand, ThicknessMM: 100}, {Texture: condition.Clay, ThicknessMM: 500}}
		}, condition.DischargeFaultOnly, p.SurfaceShareDischargeFaultOnly, 0, condition.TopAndDrains, true, "made deeper"},
		{"blocked outfall", func(in *condition.Input) { in.Outfall = condition.Outfall{State: condition.OutfallBlocked} }, condition.DischargeFaultOnly, p.SurfaceShareDischargeFaultOnly, 0, condition.DrainsOnly, false, "clear it and look again"},
		{"no outfall", func(in *condition.Input) { slowGround(in); in.Outfall.State = condition.OutfallNone }, condition.DischargeFaultOnly, p.SurfaceShareDischargeFaultOnly, 0, condition.DrainsOnly, true, "nowhere to run"},
	}
	for _, tt := range tests {
		in := soundGreen()
		tt.change(&in)
		d := judge(t, in).Diagnosis
		if d.Pattern != tt.pattern {
			t.Errorf("%s: pattern %s, want %s", tt.name, d.Pattern, tt.pattern)
		}
		if !near(d.SurfaceShare, (1-tt.other)*tt.surface, 1e-12) || !near(d.OtherShare, tt.other, 1e-12) || !near(d.SurfaceShare+d.DischargeShare+d.OtherShare, 1, 1e-12) {
			t.Errorf("%s: shares %v, %v, %v; want surface %v of what is left beside %v", tt.name, d.SurfaceShare, d.DischargeShare, d.OtherShare, tt.surface, tt.other)
		}
		r := d.Renovation
		if r.RecommendedPackage != tt.pkg || r.Settled != tt.settled || !strings.Contains(strings.Join(r.Reasons, " "), tt.says) {
			t.Errorf("%s: %+v, want %s settled %v with %q", tt.name, r, tt.pkg, tt.settled, tt.says)
		}
	}
}

// A limit that the case sets is not printed with the built-in limit's source.
func TestSourcesFollowTheLimitInUse(t *testing.T) {
	in := soundGreen()
	source := func(p condition.Parameters) string {
		c, faults := condition.Judge(in, condition.Scales{}, p)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		return finding(t, c, condition.AnnualMeadowGrassDominant).Evidence[0].Source
	}
	p := parameters()
	if got := source(p); !strings.Contains(got, "Isaac") {
		t.Errorf("source %q, want the published definition", got)
	}
	p.AnnualMeadowGrassDominantPct = 60
	if got := source(p); !strings.Contains(got, "annual_meadow_grass_dominant_pct") || strings.Contains(got, "Isaac") {
		t.Errorf("source %q, want the name of the assumption that the case set", got)
	}
}
