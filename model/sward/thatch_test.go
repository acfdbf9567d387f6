package sward_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/assumption"
	"swardcase/model/sward"
)

func withThatch(t *testing.T, mm float64, turf sward.TurfParameters) sward.State {
	t.Helper()
	s, err := sward.Surveyed(sward.Survey{ThatchDepthMM: &mm, AnnualMeadowGrassPct: 50}, turf)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// paceMM is the mean yearly change of thatch over three years.
func paceMM(s sward.State, y sward.Year, turf sward.TurfParameters) float64 {
	before := s.ThatchDepthMM(turf)
	for range 3 {
		s = s.NextYear(y, turf)
	}
	return (s.ThatchDepthMM(turf) - before) / 3
}

// Undressed thatch grows 1, 2.5, 5 mm a year (common practice, no source): the
// likely assumptions must come within 0.5 of the middle, and the low and high
// growth within the range.
func TestUndressedThatchGrowsAsPracticeSays(t *testing.T) {
	p := turf()
	near(t, "likely", paceMM(usual(t, p), ordinary(0), p), 2.5, 0.5)
	slow, fast := turfAt(t, netGrowth, low), turfAt(t, netGrowth, high)
	if l, h := paceMM(usual(t, slow), ordinary(0), slow), paceMM(usual(t, fast), ordinary(0), fast); l < 0.5 || h > 5 || h <= l {
		t.Errorf("from %.2f to %.2f mm a year", l, h)
	}
}

// Dressed, the table of assumptions has its own judgement of thatch under the
// present programme and under an intensified one, made before this model and
// not from it: 60 t/ha of sand must land in the range of the first, 140 t/ha in
// that of the second, and a seeded green's first five years under 60 to 100 t/ha
// in that of new surfaces or below.
func TestDressedThatchMovesAsJudgedBefore(t *testing.T) {
	p, set := turf(), assumption.Defaults()
	within := func(what string, got float64, name string) {
		a := set.Get(name)
		if got < a.Low || got > a.High {
			t.Errorf("%s: %.2f mm a year, %s holds %g to %g", what, got, name, a.Low, a.High)
		}
	}
	within("present", paceMM(usual(t, p), presentProgramme(4), p), "thatch_growth_present_mm_per_year")
	within("intensified", -paceMM(usual(t, p), presentProgramme(9.33), p), "thatch_fall_intensified_mm_per_year")
	seeded := laid(t, sward.NewSurface{Surface: sward.Seed}, p)
	five := seeded
	for range 5 {
		five = five.NextYear(ordinary(4), p)
	}
	within("seeded", five.ThatchDepthMM(p)/5, "thatch_growth_dressed_mm_per_year")
}

// Where the model starts is what was read, whatever else was or was not.
func TestThatchStartsAtTheReading(t *testing.T) {
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(0, 200).Draw(t, "thatch")
		survey := sward.Survey{ThatchDepthMM: &mm}
		if rapid.Bool().Draw(t, "measured") {
			from := rapid.Float64Range(0, 100).Draw(t, "from")
			survey.OrganicMatter = []sward.OrganicMatterReading{{
				DepthFromMM: from, DepthToMM: from + rapid.Float64Range(0, 100).Draw(t, "thickness"),
				OrganicMatterPct: rapid.Float64Range(0, 100).Draw(t, "organic matter"),
			}}
		}
		s, err := sward.Surveyed(survey, p)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.ThatchDepthMM(p); math.Abs(got-mm) > 1e-9 {
			t.Fatalf("read %g, starts at %g", mm, got)
		}
	})
}

// Of two greens without samples the thatchier is taken to hold more organic
// matter in every layer.
func TestThatchierGreensAreTakenToHoldMore(t *testing.T) {
	p := turf()
	thin, thick := withThatch(t, 10, p).Profile.OrganicMatterByDepthPct(), withThatch(t, 25, p).Profile.OrganicMatterByDepthPct()
	for i := range thin {
		if thin[i] >= thick[i] {
			t.Errorf("layer %d: %.2f %% at 10 mm, %.2f %% at 25 mm", i, thin[i], thick[i])
		}
	}
	usual := p.SettledOrganicMatterPct
	for i, got := range withThatch(t, 200, p).Profile.OrganicMatterByDepthPct() {
		near(t, "the limit of scaling", got, p.AssumedProfileMostRatio*usual[i], 1e-6)
	}
}

// On a green of the usual shape, under any programme that a club would run, sand
// never makes thatch and growth never takes it away: to a millimetre, since layers
// of 20 mm blur where a mat ends. Outside that there are exceptions, and
// they are meant: a mat buried under cleaner turf is pushed below the 80 mm that
// count by growth as by sand, and what sand buries beyond the reach of heavy
// scarifying, and of the faster decay above 40 mm, lasts longer.
func TestThatchNeverMovesTheWrongWay(t *testing.T) {
	const blurMM = 1
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		var profile sward.Profile
		ratio := rapid.Float64Range(0.3, 2).Draw(t, "ratio")
		for i, pct := range p.SettledOrganicMatterPct {
			profile[i] = sward.FullLayer(pct*ratio, p)
		}
		y := presentProgramme(rapid.Float64Range(2, 20).Draw(t, "sand"))
		y.OrganicMatterMultiplier = rapid.Float64Range(0.3, 1.5).Draw(t, "growth")
		y.Cored = sward.Removal{AreaPct: rapid.Float64Range(0, 12).Draw(t, "cored"), DepthMM: rapid.Float64Range(20, 100).Draw(t, "depth")}
		sandier, lusher := y, y
		sandier.SandDressMM += rapid.Float64Range(0, 15).Draw(t, "more sand")
		lusher.OrganicMatterMultiplier += rapid.Float64Range(0, 0.5).Draw(t, "more growth")
		base := sward.State{Profile: profile, Thatch: sward.Thatch{OffsetMM: rapid.Float64Range(-20, 20).Draw(t, "offset")}}
		a, b, c := base, base, base
		for year := range 20 {
			a, b, c = a.NextYear(y, p), b.NextYear(sandier, p), c.NextYear(lusher, p)
			if b.ThatchDepthMM(p) > a.ThatchDepthMM(p)+blurMM {
				t.Fatalf("year %d: more sand, %g mm instead of %g", year+1, b.ThatchDepthMM(p), a.ThatchDepthMM(p))
			}
			if c.ThatchDepthMM(p) < a.ThatchDepthMM(p)-blurMM {
				t.Fatalf("year %d: more growth, %g mm instead of %g", year+1, c.ThatchDepthMM(p), a.ThatchDepthMM(p))
			}
		}
	})
}

// However much sand, an old green's thatch stays at the depth that no programme
// goes below, and a thinner one where it was.
func TestThatchHasAFloor(t *testing.T) {
	p := turf()
	for _, reading := range []float64{4, 30} {
		s := withThatch(t, reading, p)
		for range 25 {
			s = s.NextYear(ordinary(20), p)
		}
		near(t, "after 25 years of sand", s.ThatchDepthMM(p), min(reading, p.ThatchLeastMM), 1e-9)
	}
}

// A green that is thatchier than most must be growing more than most: matched to
// half a millimetre a year under its present sand it does what its owner says,
// where usual growth would have it mend by itself.
func TestGrowthIsMatchedToTheGreen(t *testing.T) {
	p := turf()
	thick, present := withThatch(t, 25, p), presentProgramme(4)
	m, err := sward.MatchGrowth(thick, present, 0.5, p)
	if err != nil {
		t.Fatal(err)
	}
	if !m.Met || m.OrganicMatterMultiplier <= 1 {
		t.Fatalf("%+v", m)
	}
	present.OrganicMatterMultiplier = m.OrganicMatterMultiplier
	s := thick
	for range 5 {
		s = s.NextYear(present, p)
	}
	near(t, "after five years", s.ThatchDepthMM(p), 27.5, 0.3)
	present.OrganicMatterMultiplier = 1
	if pace := paceMM(thick, present, p); pace >= 0 {
		t.Errorf("usual growth: %.2f mm a year", pace)
	}
	usual, err := sward.MatchGrowth(usual(t, p), present, 0.5, p)
	if err != nil || math.Abs(usual.OrganicMatterMultiplier-1) > 0.15 {
		t.Errorf("a usual green needs × %.2f (%v)", usual.OrganicMatterMultiplier, err)
	}
}

func TestAnImpossiblePaceIsSaid(t *testing.T) {
	p := turf()
	for _, pace := range []float64{-150, 150} {
		m, err := sward.MatchGrowth(withThatch(t, 25, p), presentProgramme(4), pace, p)
		if err != nil || m.Met {
			t.Errorf("%g mm a year: %+v, %v", pace, m, err)
		}
	}
	if _, err := sward.MatchGrowth(withThatch(t, 25, p), presentProgramme(4), math.NaN(), p); err == nil {
		t.Error("NaN was taken")
	}
}
