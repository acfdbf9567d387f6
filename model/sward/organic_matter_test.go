package sward_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/sward"
)

func turf() sward.TurfParameters { return sward.TurfParametersFrom(assumption.Defaults()) }

// turfAt is the likely turf with one assumption at its low or high point.
func turfAt(t *testing.T, name string, point func(assumption.Assumption) float64) sward.TurfParameters {
	t.Helper()
	set, faults := assumption.Defaults().With([]assumption.Override{{Name: name, Likely: point(assumption.Defaults().Get(name))}})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return sward.TurfParametersFrom(set)
}

func low(a assumption.Assumption) float64  { return a.Low }
func high(a assumption.Assumption) float64 { return a.High }

const (
	netGrowth = "sward_net_organic_matter_kg_per_m2_per_year"
	top3Inch  = 76.2 // mm
	settles   = 100  // years, after which nothing moves any more
)

// stillTurf neither grows nor decays, so that sand and cores act alone.
func stillTurf() sward.TurfParameters {
	p := turf()
	p.NetOrganicMatterKGPerM2PerYear, p.DecayPerYear = 0, 0
	return p
}

// evenTurf is still, and its organic matter is as dense as sand: the simple case
// for which dilution is published.
func evenTurf() sward.TurfParameters {
	p := stillTurf()
	p.OrganicBulkDensityTPerM3 = p.SandBulkDensityTPerM3
	return p
}

func ordinary(sandMM float64) sward.Year {
	return sward.Year{OrganicMatterMultiplier: 1, SandDressMM: sandMM}
}

// presentProgramme is light coring, 3 % of the surface to 60 mm, and sand.
func presentProgramme(sandMM float64) sward.Year {
	return sward.Year{
		OrganicMatterMultiplier: 1, SandDressMM: sandMM - 1, SandFillMM: 1,
		Cored: sward.Removal{AreaPct: 3, DepthMM: 60}, DisturbedAreaPct: 5, Wetness: 0.5,
	}
}

func after(years int, p sward.Profile, y sward.Year, turf sward.TurfParameters) sward.Profile {
	for range years {
		p, _ = p.NextYear(y, turf)
	}
	return p
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.5g, want %.5g ± %g", what, got, want, tolerance)
	}
}

// usual is the profile of an old green where nothing was measured.
func usual(t *testing.T, turf sward.TurfParameters) sward.State {
	t.Helper()
	s, err := sward.Surveyed(sward.Survey{AnnualMeadowGrassPct: 50}, turf)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Woods, December 2021, organic matter by mass and by volume: organic matter at
// 0.22 t/m³ and sand at 1.56 t/m³ fill their volumes side by side. By hand, 5 %
// by mass then weighs 1 ÷ (0.05/0.22 + 0.95/1.56) = 1.1958 t/m³; to four digits.
func TestDensityOfAMixtureByHand(t *testing.T) {
	p := turf()
	p.SandBulkDensityTPerM3 = 1.56
	near(t, "assumed density of organic matter", p.OrganicBulkDensityTPerM3, 0.22, 0)
	l := sward.FullLayer(5, p)
	near(t, "t/m³ at 5 %", (l.OrganicKGPerM2+l.MineralKGPerM2)/sward.LayerDepthMM, 1.1958, 1e-4)
	near(t, "mm", l.ThicknessMM(p), sward.LayerDepthMM, 1e-12)
	near(t, "%", l.OrganicMatterPct(), 5, 1e-12)
}

// Woods, Three reasons why sand topdressing is best expressed as a depth, 8
// August 2019: 10 mm on a 20 mm layer halves its organic matter, and 1 mm takes
// 8 % to about 7.6 %. He takes sand and layer as equally dense; to 1e-9.
func TestOneDressingDilutesAsPublished(t *testing.T) {
	p := evenTurf()
	near(t, "10 mm on 20 mm at 9 %", sward.FullLayer(9, p).DressedOnce(10, p).OrganicMatterPct(), 4.5, 1e-9)
	near(t, "1 mm on 20 mm at 8 %", sward.FullLayer(8, p).DressedOnce(1, p).OrganicMatterPct(), 7.6, 1e-9)
	near(t, "20 mm on 20 mm", sward.FullLayer(8, p).DressedOnce(20, p).OrganicMatterPct(), 0, 1e-9)
}

// Disagreement with the same formula, on purpose: a millimetre of sand is
// heavier than a millimetre of organic turf, so that by weight it dilutes more
// than by depth. By hand at 9 %: half a layer of 20 mm holds 0.886 kg organic
// and 8.958 kg mineral; with 15 kg of sand 3.57 %, where equal densities give 4.5.
func TestHeavierSandDilutesMoreByWeight(t *testing.T) {
	p := stillTurf()
	near(t, "10 mm on 20 mm at 9 %", sward.FullLayer(9, p).DressedOnce(10, p).OrganicMatterPct(), 3.57, 0.005)
}

// The same 10 mm in four dressings lies between the fast limit (it displaces the
// old turf: a half) and the slow one (it is mixed evenly through it: two
// thirds), near the 1 ÷ √e = 0.607 of sand that trickles in; within 5 %.
func TestManyDressingsDiluteBetweenTheLimits(t *testing.T) {
	p := evenTurf()
	got := after(1, sward.RootZone(9, p), ordinary(10), p).OrganicMatterByDepthPct()[0] / 9
	near(t, "share left", got, math.Exp(-0.5), 0.03)
	if got <= 0.5 || got >= 2.0/3 {
		t.Errorf("share left %.3f: want between a half and two thirds", got)
	}
}

// Published planning case (Golf Course Industry, organic matter management):
// 4.57 % in the top 3 inches, 0.43 points more after a season's growth. The
// likely growth must add 0.43 to within 0.1 without sand, and the range of
// growth must bracket it.
func TestPlanningCaseGrowsAsPublished(t *testing.T) {
	added := func(p sward.TurfParameters) float64 {
		return after(1, sward.RootZone(4.57, p), ordinary(0), p).OrganicMatterToDepthPct(top3Inch) - 4.57
	}
	near(t, "points added", added(turf()), 0.43, 0.1)
	if l, h := added(turfAt(t, netGrowth, low)), added(turfAt(t, netGrowth, high)); l > 0.43 || h < 0.43 {
		t.Errorf("the range of growth adds %.2f to %.2f points, want it to hold 0.43", l, h)
	}
}

// The same case wants 3.25 % from 5.00 %: the sand that displaces 35 % of 3
// inches is 26.7 mm. With equal densities and nothing growing the layers must
// come within 0.15 points of it (they blur the front between sand and turf a
// little); with real densities the sand goes further.
func TestPlanningCaseReachesItsTarget(t *testing.T) {
	sandMM := top3Inch * (1 - 3.25/5.00)
	even, still := evenTurf(), stillTurf()
	near(t, "equal densities", after(1, sward.RootZone(5, even), ordinary(sandMM), even).OrganicMatterToDepthPct(top3Inch), 3.25, 0.15)
	if got := after(1, sward.RootZone(5, still), ordinary(sandMM), still).OrganicMatterToDepthPct(top3Inch); got >= 3.25 {
		t.Errorf("with heavier sand %.2f %%, want below 3.25", got)
	}
}

// The four layers of the survey means (testdata/sward/organic_matter_surveys.csv)
// are what greens settle at. Under 60 t/ha of sand a year (4 mm, common
// practice) and light coring, the model must settle within 0.6 points of UK
// parkland in every layer, and under 75 t/ha within 0.2 points of the range of all
// surveys.
// The decay and where growth is left were fitted to the first; the second, and
// the likely sand and growth, were not.
func TestGreensSettleWhereSurveysFindThem(t *testing.T) {
	p := turf()
	at4 := after(settles, usual(t, p).Profile, presentProgramme(4), p).OrganicMatterByDepthPct()
	at5 := after(settles, usual(t, p).Profile, presentProgramme(5), p).OrganicMatterByDepthPct()
	rows := readTable(t, "organic_matter_surveys.csv")
	for layer, row := range rows {
		least, most := math.Inf(1), math.Inf(-1)
		for _, cell := range row[2:] {
			if cell != "" {
				least, most = min(least, number(t, cell)), max(most, number(t, cell))
			}
		}
		near(t, "UK parkland below "+row[0]+" mm", at4[layer], number(t, row[3]), 0.6)
		if at5[layer] < least-0.2 || at5[layer] > most+0.2 {
			t.Errorf("below %s mm: %.2f %%, surveys hold %g to %g", row[0], at5[layer], least, most)
		}
	}
	if len(rows) != len(at4) {
		t.Fatalf("%d layers in the survey, %d here", len(rows), len(at4))
	}
}

// Where a green settles does not depend on where it started: from a clean new
// root zone and from a thatchy one it is the same to 0.01 points.
func TestWhereAGreenSettlesDoesNotDependOnItsStart(t *testing.T) {
	p := turf()
	clean := after(settles, sward.RootZone(0.5, p), presentProgramme(4), p).OrganicMatterByDepthPct()
	thatchy := after(settles, sward.RootZone(30, p), presentProgramme(4), p).OrganicMatterByDepthPct()
	for layer := range clean {
		near(t, "layer", clean[layer], thatchy[layer], 0.01)
	}
}

// targetCoring is the published target of 15 to 20 % of the surface (Hartwiger &
// O'Brien 2001) in cores of about half that area by the inside of the tine, 3
// inches deep, with half the sand in the holes.
func targetCoring(sandMM float64) sward.Year {
	return sward.Year{
		OrganicMatterMultiplier: 1, SandDressMM: sandMM / 2, SandFillMM: sandMM / 2,
		Cored: sward.Removal{AreaPct: 9, DepthMM: top3Inch},
	}
}

// Schmid et al. 2014, Applied Turfgrass Science, greens in 15 US states: organic
// matter in the top 7.6 cm at or below 3.3 % where sand was 6.19 mm a year or
// more.
//
// The model agrees at the low end of growth with the coring that is usual there,
// for a green five years old with the likely growth, and for an old green with
// the likely growth at the published target of 12.2 mm. It disagrees for an old
// green with the likely growth at 6.19 mm: that settles up to 1.5 points higher.
// The likely growth is that of thatchy annual meadow grass in a wet, mild
// climate, where turf grows for more of the year and rots more slowly; the
// survey is of younger bentgrass greens on sand, cored twice a year.
func TestSurveyOfSandedGreens(t *testing.T) {
	const published, sandMM = 3.3, 6.19
	lean, likely := turfAt(t, netGrowth, low), turf()
	oldLean := after(settles, usual(t, lean).Profile, targetCoring(sandMM), lean).OrganicMatterToDepthPct(top3Inch)
	young := after(5, sward.RootZone(likely.NewRootZoneOrganicMatterPct, likely), targetCoring(sandMM), likely).OrganicMatterToDepthPct(top3Inch)
	target := after(settles, usual(t, likely).Profile, targetCoring(12.2), likely).OrganicMatterToDepthPct(top3Inch)
	for what, got := range map[string]float64{"old and lean": oldLean, "five years old": young, "at 12.2 mm": target} {
		if got > published+0.05 || got < 1.5 {
			t.Errorf("%s: %.2f %%, want 1.5 to %.1f", what, got, published)
		}
	}
	old := after(settles, usual(t, likely).Profile, targetCoring(sandMM), likely).OrganicMatterToDepthPct(top3Inch)
	if old <= published || old > published+1.5 {
		t.Errorf("the known disagreement moved: %.2f %% against %.1f", old, published)
	}
}

// A younger green has less to decay, so it gains faster than an old one.
func TestAYoungGreenGainsFaster(t *testing.T) {
	p := turf()
	gain := func(pct float64) float64 {
		_, b := sward.RootZone(pct, p).NextYear(ordinary(0), p)
		return b.OrganicMadeKGPerM2 - b.OrganicDecayedKGPerM2
	}
	if young, old := gain(1), gain(6); young <= old {
		t.Errorf("young gains %.3f kg/m², old %.3f", young, old)
	}
	_, b := usual(t, p).Profile.NextYear(ordinary(0), p)
	near(t, "net gain of the usual green", b.OrganicMadeKGPerM2-b.OrganicDecayedKGPerM2, p.NetOrganicMatterKGPerM2PerYear, 0.02)
}

// Quarters are fine enough: steps a quarter as long move the settled profile by
// less than 0.2 points. Finer steps are had by running a year's doses as four.
func TestQuartersAreFineEnough(t *testing.T) {
	p := turf()
	fine := p
	fine.NetOrganicMatterKGPerM2PerYear, fine.DecayPerYear = p.NetOrganicMatterKGPerM2PerYear/4, p.DecayPerYear/4
	y := presentProgramme(6)
	finer := y
	finer.SandDressMM, finer.SandFillMM, finer.Cored.AreaPct = y.SandDressMM/4, y.SandFillMM/4, y.Cored.AreaPct/4
	coarse := after(25, usual(t, p).Profile, y, p).OrganicMatterByDepthPct()
	for layer, want := range after(100, usual(t, p).Profile, finer, fine).OrganicMatterByDepthPct() {
		near(t, fmt.Sprintf("layer %d", layer), coarse[layer], want, 0.2)
	}
}

func drawLayer(t *rapid.T) sward.Layer {
	p := turf()
	full := sward.FullLayer(rapid.Float64Range(0, 60).Draw(t, "organic matter"), p)
	loose := rapid.Float64Range(0.3, 1).Draw(t, "packing")
	return sward.Layer{OrganicKGPerM2: full.OrganicKGPerM2 * loose, MineralKGPerM2: full.MineralKGPerM2 * loose}
}

func drawProfile(t *rapid.T) sward.Profile {
	var p sward.Profile
	for i := range p {
		p[i] = drawLayer(t)
	}
	return p
}

func drawRemoval(t *rapid.T) sward.Removal {
	return sward.Removal{
		AreaPct: rapid.Float64Range(0, 60).Draw(t, "area"),
		DepthMM: rapid.Float64Range(0, 300).Draw(t, "depth"),
	}
}

func drawYear(t *rapid.T) sward.Year {
	return sward.Year{
		OrganicMatterMultiplier:        rapid.Float64Range(0, 3).Draw(t, "growth"),
		SandDressMM:                    rapid.Float64Range(0, 100).Draw(t, "dressing"),
		SandFillMM:                     rapid.Float64Range(0, 100).Draw(t, "fill"),
		Cored:                          drawRemoval(t),
		Scarified:                      drawRemoval(t),
		DisturbedAreaPct:               rapid.Float64Range(0, 300).Draw(t, "disturbed"),
		Wetness:                        rapid.Float64Range(0, 1).Draw(t, "wetness"),
		AnnualMeadowGrassFallPctPoints: rapid.Float64Range(0, 10).Draw(t, "fall"),
	}
}

// Whatever comes in stays, decays, is carried off or is buried: organic and
// mineral matter each close to 1e-12 of what moved.
func TestMassCloses(t *testing.T) {
	const overFullMM = 2 // an eighth of the growth of a lush year, threefold, at 0.22 t/m³
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		before, y := drawProfile(t), drawYear(t)
		after, b := before.NextYear(y, p)
		was, is := before.Total(), after.Total()
		organic := was.OrganicKGPerM2 + b.OrganicMadeKGPerM2 - b.OrganicDecayedKGPerM2 - b.Removed.OrganicKGPerM2 - b.Buried.OrganicKGPerM2
		mineral := was.MineralKGPerM2 + b.SandKGPerM2 - b.Removed.MineralKGPerM2 - b.Buried.MineralKGPerM2
		scale := 1e-12 * (was.OrganicKGPerM2 + was.MineralKGPerM2 + b.SandKGPerM2 + b.OrganicMadeKGPerM2)
		if math.Abs(organic-is.OrganicKGPerM2) > scale || math.Abs(mineral-is.MineralKGPerM2) > scale {
			t.Fatalf("organic %g, mineral %g kg/m² adrift", organic-is.OrganicKGPerM2, mineral-is.MineralKGPerM2)
		}
		for i, l := range after {
			if l.OrganicKGPerM2 < 0 || l.MineralKGPerM2 < 0 || l.ThicknessMM(p) > sward.LayerDepthMM+overFullMM {
				t.Fatalf("layer %d is %+v, %g mm", i, l, l.ThicknessMM(p))
			}
		}
		if !(y.Cored.DepthMM > 80) {
			sand := y.SandMM() * p.SandBulkDensityTPerM3
			if math.Abs(sand-b.SandKGPerM2) > 1e-9 {
				t.Fatalf("%g kg/m² of sand given, %g came in", sand, b.SandKGPerM2)
			}
		}
	})
}

// Cores and scarifyings take each layer as it is.
func TestTakingOutAloneChangesNoPercentage(t *testing.T) {
	p := stillTurf()
	rapid.Check(t, func(t *rapid.T) {
		before := drawProfile(t)
		after, b := before.NextYear(sward.Year{Cored: drawRemoval(t), Scarified: drawRemoval(t)}, p)
		was := before.OrganicMatterByDepthPct()
		for i, is := range after.OrganicMatterByDepthPct() {
			if math.Abs(is-was[i]) > 1e-9 {
				t.Fatalf("layer %d went from %g to %g %%", i, was[i], is)
			}
		}
		if b.Removed.OrganicKGPerM2 > before.Total().OrganicKGPerM2+1e-12 {
			t.Fatalf("more was carried off than there was")
		}
	})
}

// On a growing green too: without sand, more coring over the years never lowers
// the percentage at the surface.
func TestCoringWithoutSandNeverLowersThePercentage(t *testing.T) {
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		start := drawProfile(t)
		few := sward.Year{OrganicMatterMultiplier: 1, Cored: sward.Removal{AreaPct: rapid.Float64Range(0, 20).Draw(t, "few"), DepthMM: 60}}
		many := few
		many.Cored.AreaPct += rapid.Float64Range(0, 20).Draw(t, "more")
		a, b := start, start
		for year := range 15 {
			a, b = after(1, a, few, p), after(1, b, many, p)
			if was, is := a.OrganicMatterByDepthPct()[0], b.OrganicMatterByDepthPct()[0]; is < was-1e-9 {
				t.Fatalf("year %d: %g %% with %g %% cored, %g %% with %g", year+1, was, few.Cored.AreaPct, is, many.Cored.AreaPct)
			}
		}
	})
}

func TestMoreSandNeverRaisesThePercentage(t *testing.T) {
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		start, less := drawProfile(t), drawYear(t)
		less.SandDressMM, less.SandFillMM = less.SandDressMM/4, less.SandFillMM/4
		more := less
		more.SandDressMM += rapid.Float64Range(0, 20).Draw(t, "more dressing")
		more.SandFillMM += rapid.Float64Range(0, 20).Draw(t, "more fill")
		a, b := start, start
		for year := range 25 {
			a, b = after(1, a, less, p), after(1, b, more, p)
			if was, is := a.OrganicMatterByDepthPct()[0], b.OrganicMatterByDepthPct()[0]; is > was+1e-9 {
				t.Fatalf("year %d: %g %% with %g mm, %g %% with %g mm", year+1, was, less.SandMM(), is, more.SandMM())
			}
		}
	})
}

// The trap is coring that is credited by itself. A coring of a tenth of the
// surface with no sand leaves 9.6 % at 9.6 %; replaced by sand it brings it to
// less than 9 %.
func TestSandInTheHolesLowersWhatCoringAloneDoesNot(t *testing.T) {
	p := stillTurf()
	cored := sward.Year{Cored: sward.Removal{AreaPct: 10, DepthMM: 80}}
	near(t, "cored", after(1, sward.RootZone(9.6, p), cored, p).OrganicMatterByDepthPct()[0], 9.6, 1e-9)
	cored.SandFillMM = 8
	if got := after(1, sward.RootZone(9.6, p), cored, p).OrganicMatterByDepthPct()[0]; got > 9 || got < 8 {
		t.Errorf("cored and filled: %.2f %%, want 8 to 9", got)
	}
}
