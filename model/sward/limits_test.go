package sward_test

import (
	"math"
	"testing"

	"swardcase/model/sward"
)

// Sand for holes that nobody cored lies on top.
func TestSandWithoutHolesLiesOnTop(t *testing.T) {
	p := turf()
	start := usual(t, p).Profile
	on, _ := start.NextYear(sward.Year{OrganicMatterMultiplier: 1, SandDressMM: 5}, p)
	without, b := start.NextYear(sward.Year{OrganicMatterMultiplier: 1, SandFillMM: 5}, p)
	if on != without {
		t.Errorf("dressed %v, filled without holes %v", on, without)
	}
	near(t, "sand", b.SandKGPerM2, 5*p.SandBulkDensityTPerM3, 1e-12)
}

// All that growth leaves is placed, wherever it is left.
func TestAllGrowthIsPlaced(t *testing.T) {
	p := turf()
	for _, share := range []float64{0, 0.3, 1} {
		p.MadeInTopLayerShare = share
		_, b := usual(t, p).Profile.NextYear(ordinary(0), p)
		p.MadeInTopLayerShare = 0.95
		_, want := usual(t, p).Profile.NextYear(ordinary(0), p)
		near(t, "made", b.OrganicMadeKGPerM2, want.OrganicMadeKGPerM2, 1e-12)
	}
}

// A scarifier takes out what a corer would from the same area and depth. By
// hand: 4 % of the surface to 10 mm in four quarters is 1 − 0.995⁴ of the top
// layer, and nothing from below it.
func TestScarifyingTakesOutAsMuchAsCoring(t *testing.T) {
	p := stillTurf()
	start, removal := usual(t, p).Profile, sward.Removal{AreaPct: 4, DepthMM: 10}
	cored, fromCores := start.NextYear(sward.Year{Cored: removal}, p)
	scarified, fromBlades := start.NextYear(sward.Year{Scarified: removal}, p)
	if cored != scarified || fromCores != fromBlades {
		t.Errorf("cored %v, scarified %v", cored, scarified)
	}
	near(t, "organic matter removed", fromBlades.Removed.OrganicKGPerM2, start[0].OrganicKGPerM2*(1-math.Pow(0.995, 4)), 1e-12)
}

// Sand thicker than a layer goes through it and leaves it full of sand.
func TestAFloodOfSandFillsTheLayers(t *testing.T) {
	p := stillTurf()
	flooded := after(1, usual(t, p).Profile, sward.Year{SandDressMM: 100}, p)
	for i, l := range flooded {
		near(t, "organic matter", l.OrganicMatterPct(), 0, 1e-9)
		near(t, "mm", l.ThicknessMM(p), sward.LayerDepthMM, 1e-9)
		if i == 3 {
			near(t, "kg/m²", l.MineralKGPerM2, sward.LayerDepthMM*p.SandBulkDensityTPerM3, 1e-9)
		}
	}
}

// A layer cannot be more than all organic, however far a reading or an override
// is stretched.
func TestNoLayerIsMoreThanAllOrganic(t *testing.T) {
	p := turf()
	deep := sward.Survey{OrganicMatter: []sward.OrganicMatterReading{{DepthFromMM: 60, DepthToMM: 80, OrganicMatterPct: 90}}}
	s, err := sward.Surveyed(deep, p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "stretched upwards", s.Profile[0].OrganicMatterPct(), 100, 1e-9)

	rich := p
	rich.SettledOrganicMatterPct = [4]float64{80, 60, 40, 20}
	near(t, "scaled", withThatch(t, 200, rich).Profile[0].OrganicMatterPct(), 100, 1e-9)

	thick := p
	thick.ThatchStartSupplierTurfMM = 150
	laidThick := laid(t, sward.NewSurface{Surface: sward.SupplierTurf}, thick)
	near(t, "turf", laidThick.Profile[0].OrganicMatterPct(), 100, 1e-9)
	near(t, "its thatch", laidThick.ThatchDepthMM(thick), 150, 1e-9)
}

// A drift slower than the steady limit is no turn: a green settled under 4 mm of
// sand keeps pace under a hair less and under a hair more.
func TestASlowDriftIsNoTurn(t *testing.T) {
	p := turf()
	s := usual(t, p)
	s.Profile = after(settles, s.Profile, ordinary(4), p)
	for _, sandMM := range []float64{3.95, 4.05} {
		out := follow(t, s, repeated(1, ordinary(sandMM)))
		if got := told(out, "sand kept pace with growth"); len(got) != 1 {
			t.Errorf("%g mm: %v", sandMM, out[0].Reasons)
		}
	}
}

// The share of annual meadow grass in a year depends on the organic matter with
// which it began.
func TestASpongySurfaceIsInvadedFaster(t *testing.T) {
	p := turf()
	lean, spongy := usual(t, p), usual(t, p)
	lean.AnnualMeadowGrassPct, spongy.AnnualMeadowGrassPct = 10, 10
	lean.Profile, spongy.Profile = sward.RootZone(3, p), sward.RootZone(12, p)
	a, b := lean.NextYear(ordinary(4), p).AnnualMeadowGrassPct, spongy.NextYear(ordinary(4), p).AnnualMeadowGrassPct
	if b <= a {
		t.Errorf("spongy %.2f %%, lean %.2f %%", b, a)
	}
}

// The multiplier of the programme that growth is matched under does not matter,
// so it may be left out.
func TestMatchingIgnoresTheGivenMultiplier(t *testing.T) {
	p, y := turf(), presentProgramme(4)
	want, err := sward.MatchGrowth(usual(t, p), y, byThatch(0.5), p)
	if err != nil {
		t.Fatal(err)
	}
	y.OrganicMatterMultiplier = math.NaN()
	if got, err := sward.MatchGrowth(usual(t, p), y, byThatch(0.5), p); err != nil || got != want {
		t.Errorf("%+v, %v; want %+v", got, err, want)
	}
}

// Seed keeps up a share even where the ceiling would allow less.
func TestSeedKeepsUpTheLeastShare(t *testing.T) {
	i := sward.Invasion{CeilingPct: 0.05, RatePerY: 1, LeastPct: 0.1}
	near(t, "share", i.After(3), 0.1, 0)
}

// Holes of next to no depth still take their sand, and no number is lost.
func TestHolesOfNoDepthToSpeakOf(t *testing.T) {
	p := turf()
	_, b := usual(t, p).Profile.NextYear(sward.Year{SandFillMM: 5, Cored: sward.Removal{AreaPct: 5, DepthMM: 5e-324}}, p)
	near(t, "sand", b.SandKGPerM2, 5*p.SandBulkDensityTPerM3, 1e-9)
}
