package sward_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"swardcase/model/sward"
)

func laid(t *testing.T, n sward.NewSurface, turf sward.TurfParameters) sward.State {
	t.Helper()
	s, err := sward.Laid(n, turf)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestNewSurfacesStartAsAssumed(t *testing.T) {
	p := turf()
	for _, tt := range []struct {
		surface             sward.Surface
		thatchMM, meadowPct float64
	}{
		{sward.Seed, 0, p.AnnualMeadowGrassStartSeedPct},
		{sward.SupplierTurf, p.ThatchStartSupplierTurfMM, p.AnnualMeadowGrassStartSupplierTurfPct},
		{sward.NurseryTurf, p.ThatchStartNurseryTurfMM, p.AnnualMeadowGrassStartNurseryTurfPct},
	} {
		s := laid(t, sward.NewSurface{Surface: tt.surface}, p)
		near(t, string(tt.surface)+" thatch", s.ThatchDepthMM(p), tt.thatchMM, 1e-9)
		near(t, string(tt.surface)+" annual meadow grass", s.AnnualMeadowGrassPct, tt.meadowPct, 0)
		near(t, string(tt.surface)+" below the turf", s.Profile.OrganicMatterByDepthPct()[1], p.NewRootZoneOrganicMatterPct, 1e-9)
	}
}

// New turf holds the organic matter that its thatch is: no offset is needed.
func TestNewTurfAndItsThatchAgree(t *testing.T) {
	p := turf()
	s := laid(t, sward.NewSurface{Surface: sward.NurseryTurf}, p)
	near(t, "offset", s.Thatch.OffsetMM, 0, 1e-9)
	near(t, "mm", s.Profile[0].ThicknessMM(p), sward.LayerDepthMM, 1e-9)
}

// Existing turf keeps its own make-up to the depth of the cut, here 25 mm: the
// second layer is a quarter turf and three quarters root zone, by depth.
func TestExistingTurfTravelsWithItsOrganicMatter(t *testing.T) {
	p := turf()
	old := withThatch(t, 30, p)
	s := laid(t, sward.NewSurface{Surface: sward.ExistingTurf, Relaid: &sward.Relaid{Green: old, CutMM: 25, ThatchMM: 22.5}}, p)
	near(t, "thatch", s.ThatchDepthMM(p), 22.5, 1e-9)
	near(t, "annual meadow grass", s.AnnualMeadowGrassPct, 50, 0)
	near(t, "top layer", s.Profile[0].OrganicMatterPct(), old.Profile[0].OrganicMatterPct(), 1e-9)
	zone := sward.RootZone(p.NewRootZoneOrganicMatterPct, p)
	near(t, "organic matter of the second", s.Profile[1].OrganicKGPerM2, old.Profile[1].OrganicKGPerM2/4+zone[0].OrganicKGPerM2*3/4, 1e-9)
	near(t, "the third is root zone", s.Profile[2].OrganicMatterPct(), p.NewRootZoneOrganicMatterPct, 1e-9)
}

// A green stripped of 30 mm starts in the middle of its second layer; what lies
// deeper than 80 mm is taken to be like the last.
func TestStrippingTakesTheTopOff(t *testing.T) {
	p := turf()
	old := withThatch(t, 30, p).Profile
	got := old.Stripped(30)
	half := func(a, b sward.Layer) sward.Layer {
		return sward.Layer{OrganicKGPerM2: (a.OrganicKGPerM2 + b.OrganicKGPerM2) / 2, MineralKGPerM2: (a.MineralKGPerM2 + b.MineralKGPerM2) / 2}
	}
	want := sward.Profile{half(old[1], old[2]), half(old[2], old[3]), old[3], old[3]}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Error(diff)
	}
	for _, odd := range []float64{0, -5, math.NaN()} {
		if old.Stripped(odd) != old {
			t.Errorf("stripping %g mm changed the green", odd)
		}
	}
	deep := old.Stripped(math.Inf(1))
	near(t, "all stripped", deep[0].OrganicMatterPct(), old[3].OrganicMatterPct(), 1e-9)
	resurfaced := laid(t, sward.NewSurface{Surface: sward.SupplierTurf, Below: &got}, p)
	near(t, "under new turf", resurfaced.Profile[1].OrganicMatterPct(), got[0].OrganicMatterPct(), 1e-9)
	near(t, "new turf's thatch", resurfaced.ThatchDepthMM(p), p.ThatchStartSupplierTurfMM, 1e-9)
}

// Readings land in their layers by the depth they share; gaps follow the shape
// of the usual profile from the nearest reading.
func TestReadingsFillTheLayers(t *testing.T) {
	p := turf()
	u := p.SettledOrganicMatterPct
	for _, tt := range []struct {
		name     string
		readings []sward.OrganicMatterReading
		want     [4]float64
	}{
		{"each layer", []sward.OrganicMatterReading{{0, 20, 9}, {20, 40, 6}, {40, 60, 4}, {60, 80, 3}}, [4]float64{9, 6, 4, 3}},
		{"two in one layer", []sward.OrganicMatterReading{{0, 5, 12}, {5, 20, 8}, {20, 80, 4}}, [4]float64{9, 4, 4, 4}},
		{"the top alone", []sward.OrganicMatterReading{{0, 20, u[0] / 2}}, [4]float64{u[0] / 2, u[1] / 2, u[2] / 2, u[3] / 2}},
		{"a gap", []sward.OrganicMatterReading{{0, 20, u[0] / 2}, {60, 80, u[3]}}, [4]float64{u[0] / 2, u[1] / 2, u[2], u[3]}},
		{"only deep", []sward.OrganicMatterReading{{100, 200, 2}}, u},
		{"no thickness", []sward.OrganicMatterReading{{10, 10, 40}, {30, 20, 40}}, u},
	} {
		s, err := sward.Surveyed(sward.Survey{OrganicMatter: tt.readings}, p)
		if err != nil {
			t.Fatal(tt.name, err)
		}
		if diff := cmp.Diff(tt.want, s.Profile.OrganicMatterByDepthPct(), cmpopts.EquateApprox(0, 1e-9)); diff != "" {
			t.Errorf("%s: %s", tt.name, diff)
		}
	}
}

func TestASampleCrossesLayers(t *testing.T) {
	p := turf()
	profile := sward.RootZone(8, p)
	near(t, "uniform", profile.OrganicMatterToDepthPct(33), 8, 1e-9)
	profile[1] = sward.Layer{MineralKGPerM2: 30}
	near(t, "half of a clean layer", profile.OrganicMatterToDepthPct(30), 100*profile[0].OrganicKGPerM2/(profile[0].OrganicKGPerM2+profile[0].MineralKGPerM2+15), 1e-9)
	near(t, "nothing sampled", profile.OrganicMatterToDepthPct(0), 0, 0)
}
