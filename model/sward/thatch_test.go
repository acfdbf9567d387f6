package sward_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

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

// Dressed thatch was judged before this model and not from it (judgement, no
// source): it grows by 0 to 2.5 mm a year under a usual programme of 60 t/ha of
// sand, falls by 0.5 to 3 under an intensified one of 140 t/ha, and grows by 0.5
// to 2 on a new surface in its first five years under 60 t/ha.
func TestDressedThatchMovesAsJudgedBefore(t *testing.T) {
	p := turf()
	within := func(what string, got, low, high float64) {
		if got < low || got > high {
			t.Errorf("%s: %.2f mm a year, judged %g to %g", what, got, low, high)
		}
	}
	within("present", paceMM(usual(t, p), presentProgramme(4), p), 0, 2.5)
	within("intensified", -paceMM(usual(t, p), presentProgramme(9.33), p), 0.5, 3)
	seeded := laid(t, sward.NewSurface{Surface: sward.Seed}, p)
	five := seeded
	for range 5 {
		five = five.NextYear(ordinary(4), p)
	}
	within("seeded", five.ThatchDepthMM(p)/5, 0.5, 2)
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

func byThatch(mm float64) sward.Pace { return sward.Pace{ThatchMM: &mm} }

// A green that is thatchier than most must be growing more than most: matched to
// half a millimetre a year under its present sand it does what its owner says,
// where usual growth would have it mend by itself.
func TestGrowthIsMatchedToTheGreen(t *testing.T) {
	p := turf()
	thick, present := withThatch(t, 25, p), presentProgramme(4)
	m, err := sward.MatchGrowth(thick, present, byThatch(0.5), p)
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
	usual, err := sward.MatchGrowth(usual(t, p), present, byThatch(0.5), p)
	if err != nil || math.Abs(usual.OrganicMatterMultiplier-1) > 0.15 {
		t.Errorf("a usual green needs × %.2f (%v)", usual.OrganicMatterMultiplier, err)
	}
}

// A trial that measured organic matter is matched by it, whatever it says of
// thatch: the top 20 mm then moves at the trial's pace, within what the limits of
// growth allow.
func TestGrowthIsMatchedToOrganicMatterWhereItWasMeasured(t *testing.T) {
	p := turf()
	green := withThatch(t, 25, p)
	start := green.Profile.OrganicMatterByDepthPct()[0]
	thatch := 1.0
	for _, pace := range []float64{-0.5, -0.2, 0, 0.1} {
		programme := presentProgramme(5)
		m, err := sward.MatchGrowth(green, programme, sward.Pace{OrganicMatterPctPoints: &pace, ThatchMM: &thatch}, p)
		if err != nil || !m.Met || m.By != sward.ByOrganicMatter {
			t.Fatalf("%g points a year: %+v, %v", pace, m, err)
		}
		programme.OrganicMatterMultiplier = m.OrganicMatterMultiplier
		s := m.Start(green)
		for range 5 {
			s = s.NextYear(programme, p)
		}
		near(t, "thatch, which was read too", s.ThatchDepthMM(p), 25+5*thatch, 1e-9)
		held := s.NextYear(programme, p)
		near(t, "thatch, once the trial's years are over", held.ThatchDepthMM(p)-s.ThatchDepthMM(p), m.ThatchMMPerYear, 1)
		near(t, "after five years", s.Profile.OrganicMatterByDepthPct()[0], start+5*pace, 0.1)
	}
	if m, err := sward.MatchGrowth(green, presentProgramme(7), sward.Pace{}, p); err != nil || m.OrganicMatterMultiplier != 1 || m.By != sward.ByNothing {
		t.Errorf("nothing known: %+v, %v", m, err)
	}
	absurd := math.Inf(-1)
	if _, err := sward.MatchGrowth(green, presentProgramme(7), sward.Pace{OrganicMatterPctPoints: &absurd}, p); err == nil {
		t.Error("an infinite pace was taken")
	}
}

func TestAnImpossiblePaceIsSaid(t *testing.T) {
	p := turf()
	for _, pace := range []float64{-150, 150} {
		m, err := sward.MatchGrowth(withThatch(t, 25, p), presentProgramme(4), byThatch(pace), p)
		if err != nil || m.Met {
			t.Errorf("%g mm a year: %+v, %v", pace, m, err)
		}
	}
	if _, err := sward.MatchGrowth(withThatch(t, 25, p), presentProgramme(4), byThatch(math.NaN()), p); err == nil {
		t.Error("NaN was taken")
	}
}
