package sward_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/sward"
)

// The trials of testdata/sward/annual_meadow_grass_surveys.csv were sown without
// the grass and kept dry and lean. Seeded greens followed with the assumptions at
// their low and at their high points must bracket every one of them, and the
// likely ones must come within a factor of 2.5 of the mean of each site.
//
// Disagreement: after 26 months the likely share is below half of what the
// trials found. A sponsor's plots are small and stand among others; a green sown
// on sterile sand is credited with 1 % at the start, and a start of 3 %, the
// upper end, runs through the trials.
func TestSeededGreensBracketTheTrials(t *testing.T) {
	lowest, highest := sward.Invasion{StartPct: 0.5, CeilingPct: 20, RatePerY: 0.4}, sward.Invasion{StartPct: 3, CeilingPct: 70, RatePerY: 1.0}
	likely := sward.Invasion{StartPct: 1, CeilingPct: 40, RatePerY: 0.7}
	sum, count, months := map[string]float64{}, map[string]float64{}, map[string]float64{}
	for _, row := range readTable(t, "annual_meadow_grass_surveys.csv") {
		years, found := number(t, row[2])/12, number(t, row[3])
		if l, h := lowest.After(years), highest.After(years); (found < l && row[4] == "") || found > h {
			t.Errorf("%s, %s: found %.1f %%, the range holds %.1f to %.1f", row[0], row[1], found, l, h)
		}
		sum[row[0]] += found
		count[row[0]]++
		months[row[0]] = number(t, row[2])
	}
	if got, mean := likely.After(months["northern_england"]/12), sum["northern_england"]/count["northern_england"]; got < mean/2.5 || got > mean*2.5 {
		t.Errorf("northern England: likely %.1f %%, mean found %.1f", got, mean)
	}
	dirty := sward.Invasion{StartPct: 3, CeilingPct: 40, RatePerY: 0.7}
	near(t, "Ireland from a start of 3 %", dirty.After(26.0/12), sum["ireland"]/count["ireland"], 3.5)
}

// The points that the bracket above uses are those of the table.
func TestTrialBracketUsesTheTable(t *testing.T) {
	set := assumption.Defaults()
	for _, tt := range []struct {
		name              string
		low, likely, high float64
	}{
		{"annual_meadow_grass_start_seed_pct", 0.5, 1, 3},
		{"annual_meadow_grass_ceiling_dry_pct", 20, 40, 70},
		{"annual_meadow_grass_rate_dry_per_year", 0.4, 0.7, 1.0},
	} {
		if a := set.Get(tt.name); a.Low != tt.low || a.Likely != tt.likely || a.High != tt.high {
			t.Errorf("%s is now %g, %g, %g: bring the bracket into line", tt.name, a.Low, a.Likely, a.High)
		}
	}
}

// One Oregon club's account (anecdotal: a test of shape, not of size): 1 to 2 %
// at first sight, 4 to 6 % a year later, 75 to 100 % after 4 to 6 more, 99 to
// 100 % ten years on. From 2 % the likely rate of a wet green, with the whole
// sward to take, must run through all that follows; from 1 % it is a year late.
//
// Disagreement: that club saw nothing for seven years; a logistic from 1 % would
// have filled half of the green by then. A clean new green in clean country
// starts below anything that a survey can find.
func TestInvasionHasTheShapeOfOneClubsAccount(t *testing.T) {
	seen := sward.Invasion{StartPct: 2, CeilingPct: 100, RatePerY: turf().AnnualMeadowGrassRateWetPerYear}
	for _, tt := range []struct{ years, from, to float64 }{{1, 4, 6}, {6, 75, 100}, {11, 99, 100}} {
		if got := seen.After(tt.years); got < tt.from || got > tt.to {
			t.Errorf("%g years after first sight: %.1f %%, want %g to %g", tt.years, got, tt.from, tt.to)
		}
	}
}

// Netherlands, ten courses with sand greens 10 to 15 years old (Baker et al. 2006,
// Journal of Turfgrass Science 82:2 to 18): annual meadow grass dominant on 8 of
// 28 listed, between a quarter and a third. So dominance must follow from wet and
// not from dry: a dry, dressed green of that age stays below the 50 % that Isaac
// calls dominant, a wet one passes it.
func TestDominanceFollowsFromWet(t *testing.T) {
	p := turf()
	for _, age := range []int{10, 15} {
		for wetness, dominant := range map[float64]bool{0: false, 1: true} {
			s := laid(t, sward.NewSurface{Surface: sward.Seed}, p)
			y := presentProgramme(5)
			y.Wetness = wetness
			for range age {
				s = s.NextYear(y, p)
			}
			if got := s.AnnualMeadowGrassPct; (got >= p.AnnualMeadowGrassDominantPct) != dominant {
				t.Errorf("%d years, wetness %g: %.0f %%", age, wetness, got)
			}
		}
	}
}

// By hand, with the likely assumptions: half wet 0.85 a year; 10 % organic matter
// is 6 points above the threshold, × 1.18; a fifth of the surface opened, × 1.2.
// The ceiling half way is 65 %.
func TestRateOfInvasionByHand(t *testing.T) {
	got := turf().InvasionOf(20, 10, sward.Year{Wetness: 0.5, DisturbedAreaPct: 20, AnnualMeadowGrassFallPctPoints: 2})
	want := sward.Invasion{StartPct: 20, CeilingPct: 65, RatePerY: 0.85 * 1.18 * 1.2, FallPctPointsPerY: 2, LeastPct: 0.1}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Error(diff)
	}
	clean := turf().InvasionOf(20, 1, sward.Year{DisturbedAreaPct: 500})
	near(t, "clean, dry, opened all over", clean.RatePerY, 0.7*2, 1e-12)
}

// A sward above its ceiling falls only as far as its programme is credited:
// coring by itself earns nothing.
func TestCoringAloneLowersNoAnnualMeadowGrass(t *testing.T) {
	p := turf()
	s := usual(t, p)
	cored := sward.Year{OrganicMatterMultiplier: 1, Cored: sward.Removal{AreaPct: 15, DepthMM: 60}, DisturbedAreaPct: 25}
	near(t, "cored", s.NextYear(cored, p).AnnualMeadowGrassPct, 50, 0)
	cored.AnnualMeadowGrassFallPctPoints = 2
	near(t, "leaner, drier and overseeded as well", s.NextYear(cored, p).AnnualMeadowGrassPct, 48, 1e-12)
}

func TestACleanSwardIsInvadedOnlyBySeed(t *testing.T) {
	clean := sward.Invasion{CeilingPct: 40, RatePerY: 0.7, FallPctPointsPerY: 2}
	near(t, "no seed", clean.After(30), 0, 0)
	clean.LeastPct = turf().AnnualMeadowGrassLeastPct
	if got := clean.After(10); got < 10 || got > 40 {
		t.Errorf("from seed alone, after ten years %.1f %%", got)
	}
}

func TestInvasionNeverMovesTheWrongWay(t *testing.T) {
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		start, organic := rapid.Float64Range(0, 100).Draw(t, "start"), rapid.Float64Range(0, 60).Draw(t, "organic matter")
		y := drawYear(t)
		base := p.InvasionOf(start, organic, y).After(1)
		wetter, opened := y, y
		wetter.Wetness += (1 - y.Wetness) * rapid.Float64Range(0, 1).Draw(t, "wetter")
		opened.DisturbedAreaPct += rapid.Float64Range(0, 100).Draw(t, "opened")
		for what, got := range map[string]float64{
			"wetter":         p.InvasionOf(start, organic, wetter).After(1),
			"more opened":    p.InvasionOf(start, organic, opened).After(1),
			"more organic":   p.InvasionOf(start, organic+5, y).After(1),
			"a worse start":  p.InvasionOf(min(100, start+1), organic, y).After(1),
			"less credited":  p.InvasionOf(start, organic, without(y)).After(1),
			"not over a 100": 100,
		} {
			if got < base-1e-9 {
				t.Fatalf("%s: %g %%, not %g", what, got, base)
			}
		}
	})
}

func without(y sward.Year) sward.Year {
	y.AnnualMeadowGrassFallPctPoints = 0
	return y
}

// Two years are one year twice, below the ceiling and above it.
func TestInvasionSplits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := sward.Invasion{
			StartPct:          rapid.Float64Range(0.1, 100).Draw(t, "start"),
			CeilingPct:        rapid.Float64Range(1, 100).Draw(t, "ceiling"),
			RatePerY:          rapid.Float64Range(0, 3).Draw(t, "rate"),
			FallPctPointsPerY: rapid.Float64Range(0, 10).Draw(t, "fall"),
		}
		a, b := rapid.Float64Range(0, 20).Draw(t, "first"), rapid.Float64Range(0, 20).Draw(t, "second")
		rest := i
		rest.StartPct = i.After(a)
		if once, twice := i.After(a+b), rest.After(b); math.Abs(once-twice) > 1e-9 {
			t.Fatalf("%g at once, %g in two", once, twice)
		}
	})
}

func TestInvasionIsMonotoneAndBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := sward.Invasion{
			StartPct:          rapid.Float64Range(0, 100).Draw(t, "start"),
			CeilingPct:        rapid.Float64Range(1, 100).Draw(t, "ceiling"),
			RatePerY:          rapid.Float64Range(0.01, 3).Draw(t, "rate"),
			FallPctPointsPerY: rapid.Float64Range(0, 10).Draw(t, "fall"),
		}
		earlier := rapid.Float64Range(0, 50).Draw(t, "earlier")
		later := earlier + rapid.Float64Range(0, 50).Draw(t, "more")
		a, b := i.After(earlier), i.After(later)
		if a < 0 || a > 100 || b < 0 || b > 100 {
			t.Fatalf("out of bounds: %g, %g", a, b)
		}
		if i.StartPct < i.CeilingPct && b < a-1e-9 {
			t.Fatalf("below the ceiling it fell from %g to %g", a, b)
		}
		if i.StartPct > i.CeilingPct && b > a+1e-9 {
			t.Fatalf("above the ceiling it rose from %g to %g", a, b)
		}
		if more := i; more.StartPct < 100 {
			more.StartPct = min(100, more.StartPct+1)
			if more.After(later) < b-1e-9 {
				t.Fatalf("a dirtier start ends cleaner")
			}
		}
	})
}
