package sward_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/fault"
	"swardcase/model/sward"
)

func repeated(n int, y sward.Year) []sward.Year {
	years := make([]sward.Year, n)
	for i := range years {
		years[i] = y
	}
	return years
}

func follow(t *testing.T, s sward.State, years []sward.Year) []sward.Outcome {
	t.Helper()
	out, err := sward.Follow(s, years, turf())
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// told gives the years in which some reason holds the text.
func told(outcomes []sward.Outcome, text string) []int {
	var years []int
	for _, o := range outcomes {
		if strings.Contains(strings.Join(o.Reasons, "\n"), text) {
			years = append(years, o.Year)
		}
	}
	return years
}

func first(t *testing.T, outcomes []sward.Outcome, holds func(sward.Outcome) bool) int {
	t.Helper()
	for _, o := range outcomes {
		if holds(o) {
			return o.Year
		}
	}
	t.Fatal("no such year")
	return 0
}

// Each turn is told once, in the year in which it happens.
func TestTurnsAreToldWhenTheyHappen(t *testing.T) {
	p := turf()
	bare := follow(t, laid(t, sward.NewSurface{Surface: sward.Seed}, p), repeated(25, sward.Year{OrganicMatterMultiplier: 1, Wetness: 1}))
	for _, tt := range []struct {
		text  string
		holds func(sward.Outcome) bool
	}{
		{"no sand was added", func(sward.Outcome) bool { return true }},
		{"organic matter in the top 20 mm passed 10 %", func(o sward.Outcome) bool { return o.OrganicMatterTop20MMPct >= 10 }},
		{"thatch passed 12.7 mm", func(o sward.Outcome) bool { return o.ThatchDepthMM >= 12.7 }},
		{"thatch passed 25 mm", func(o sward.Outcome) bool { return o.ThatchDepthMM >= 25 }},
		{"annual meadow grass passed 50 %", func(o sward.Outcome) bool { return o.AnnualMeadowGrassPct >= 50 }},
	} {
		if got := told(bare, tt.text); len(got) != 1 || got[0] != first(t, bare, tt.holds) {
			t.Errorf("%q is told in years %v", tt.text, got)
		}
	}

	mended := follow(t, withThatch(t, 30, p), repeated(25, sward.Year{OrganicMatterMultiplier: 1, SandDressMM: 9, AnnualMeadowGrassFallPctPoints: 2}))
	for _, text := range []string{
		"sand outran growth", "sand kept pace with growth", "fell below 10 %",
		"thatch fell below 25 mm", "thatch fell below 12.7 mm", "annual meadow grass fell below 50 %",
	} {
		if got := told(mended, text); len(got) != 1 {
			t.Errorf("%q is told in years %v", text, got)
		}
	}
	if got := told(follow(t, usual(t, p), repeated(8, ordinary(1))), "sand did not keep pace with growth"); len(got) != 1 || got[0] != 1 {
		t.Errorf("too little sand is told in years %v", got)
	}
}

// Without sand the reason is never sand.
func TestDecayIsGivenAsTheReasonWithoutSand(t *testing.T) {
	idle := follow(t, withThatch(t, 30, turf()), repeated(60, sward.Year{}))
	if got := told(idle, "decay outran growth"); len(got) != 1 || got[0] != 1 {
		t.Errorf("decay outran growth in years %v", got)
	}
	if got := told(idle, "decay kept pace with growth"); len(got) != 1 {
		t.Errorf("decay kept pace in years %v", got)
	}
	if got := told(idle, "sand outran"); got != nil {
		t.Errorf("sand is told in years %v", got)
	}
}

// Follow only repeats the step, and its lists are never null.
func TestFollowRepeatsTheStep(t *testing.T) {
	p, y := turf(), presentProgramme(4)
	s := usual(t, p)
	out := follow(t, s, repeated(5, y))
	for i, o := range out {
		s = s.NextYear(y, p)
		near(t, "thatch", o.ThatchDepthMM, s.ThatchDepthMM(p), 0)
		near(t, "annual meadow grass", o.AnnualMeadowGrassPct, s.AnnualMeadowGrassPct, 0)
		near(t, "organic matter", o.OrganicMatterTop20MMPct, s.Profile.OrganicMatterByDepthPct()[0], 0)
		near(t, "sand", o.SandMM, 4, 1e-12)
		if o.Year != i+1 || o.Reasons == nil {
			t.Errorf("%+v", o)
		}
	}
	text, err := json.Marshal(out[3])
	if err != nil || !strings.Contains(string(text), `"reasons":[]`) {
		t.Errorf("%s %v", text, err)
	}
	if none, err := sward.Follow(s, nil, p); err != nil || len(none) != 0 {
		t.Errorf("no years: %v, %v", none, err)
	}
}

func TestASwardStaysWithinItsBounds(t *testing.T) {
	p := turf()
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(0, 200).Draw(t, "thatch")
		s, err := sward.Surveyed(sward.Survey{ThatchDepthMM: &mm, AnnualMeadowGrassPct: rapid.Float64Range(0, 100).Draw(t, "grass")}, p)
		if err != nil {
			t.Fatal(err)
		}
		out, err := sward.Follow(s, repeated(25, drawYear(t)), p)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range out {
			if !(o.OrganicMatterTop20MMPct >= 0 && o.OrganicMatterTop20MMPct <= 100 && o.AnnualMeadowGrassPct >= 0 && o.AnnualMeadowGrassPct <= 100 && o.ThatchDepthMM >= 0 && o.ThatchDepthMM <= 400) {
				t.Fatalf("%+v", o)
			}
		}
	})
}

var hostile = []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, -1, 5e-324}

// Every number of a year and of a state is refused by name when it cannot be,
// and all at once.
func TestHostileYearsAreRefusedByName(t *testing.T) {
	p := turf()
	good := usual(t, p)
	for name, set := range map[string]func(*sward.State, *sward.Year, float64){
		"/years/0/organic_matter_multiplier":           func(_ *sward.State, y *sward.Year, v float64) { y.OrganicMatterMultiplier = v },
		"/years/0/sand_dress_mm":                       func(_ *sward.State, y *sward.Year, v float64) { y.SandDressMM = v },
		"/years/0/sand_fill_mm":                        func(_ *sward.State, y *sward.Year, v float64) { y.SandFillMM = v },
		"/years/0/cored/area_pct":                      func(_ *sward.State, y *sward.Year, v float64) { y.Cored.AreaPct = v },
		"/years/0/cored/depth_mm":                      func(_ *sward.State, y *sward.Year, v float64) { y.Cored.DepthMM = v },
		"/years/0/scarified/area_pct":                  func(_ *sward.State, y *sward.Year, v float64) { y.Scarified.AreaPct = v },
		"/years/0/scarified/depth_mm":                  func(_ *sward.State, y *sward.Year, v float64) { y.Scarified.DepthMM = v },
		"/years/0/disturbed_area_pct":                  func(_ *sward.State, y *sward.Year, v float64) { y.DisturbedAreaPct = v },
		"/years/0/wetness":                             func(_ *sward.State, y *sward.Year, v float64) { y.Wetness = v },
		"/years/0/annual_meadow_grass_fall_pct_points": func(_ *sward.State, y *sward.Year, v float64) { y.AnnualMeadowGrassFallPctPoints = v },
		"/start/profile/2/organic_kg_per_m2":           func(s *sward.State, _ *sward.Year, v float64) { s.Profile[2].OrganicKGPerM2 = v },
		"/start/profile/2/mineral_kg_per_m2":           func(s *sward.State, _ *sward.Year, v float64) { s.Profile[2].MineralKGPerM2 = v },
		"/start/annual_meadow_grass_pct":               func(s *sward.State, _ *sward.Year, v float64) { s.AnnualMeadowGrassPct = v },
		"/start/thatch/least_mm":                       func(s *sward.State, _ *sward.Year, v float64) { s.Thatch.LeastMM = v },
	} {
		for _, v := range hostile[:6] {
			s, y := good, presentProgramme(4)
			set(&s, &y, v)
			_, err := sward.Follow(s, []sward.Year{y}, p)
			var faults fault.List
			if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Pointer != name || faults[0].Remedy == "" {
				t.Errorf("%s = %g: %v", name, v, err)
			}
			s.NextYear(y, p) // without a check: any number, no panic
		}
	}
	bad := sward.Year{SandDressMM: -1, Wetness: 2}
	if faults := sward.CheckYear(bad); len(faults) != 2 {
		t.Errorf("want both faults: %v", faults)
	}
	if _, err := sward.Follow(good, make([]sward.Year, 1000), p); err == nil {
		t.Error("a thousand years were taken")
	}
}

func TestHostileStartsAreRefused(t *testing.T) {
	p := turf()
	for _, v := range hostile[:6] {
		for i, survey := range []sward.Survey{
			{ThatchDepthMM: &v},
			{AnnualMeadowGrassPct: v},
			{OrganicMatter: []sward.OrganicMatterReading{{DepthFromMM: v, DepthToMM: 20, OrganicMatterPct: 5}}},
			{OrganicMatter: []sward.OrganicMatterReading{{DepthFromMM: 0, DepthToMM: v, OrganicMatterPct: 5}}},
			{OrganicMatter: []sward.OrganicMatterReading{{DepthFromMM: 0, DepthToMM: 20, OrganicMatterPct: v}}},
		} {
			if _, err := sward.Surveyed(survey, p); err == nil {
				t.Errorf("survey %d with %g was taken", i, v)
			}
		}
		for i, relaid := range []sward.Relaid{{CutMM: v}, {ThatchMM: v}, {Green: sward.State{AnnualMeadowGrassPct: v}}} {
			if _, err := sward.Laid(sward.NewSurface{Surface: sward.ExistingTurf, Relaid: &relaid}, p); err == nil {
				t.Errorf("turf %d with %g was taken", i, v)
			}
		}
		below := sward.Profile{{OrganicKGPerM2: v}}
		if _, err := sward.Laid(sward.NewSurface{Surface: sward.Seed, Below: &below}, p); err == nil {
			t.Errorf("a profile with %g was taken", v)
		}
	}
	if _, err := sward.Surveyed(sward.Survey{OrganicMatter: make([]sward.OrganicMatterReading, 10_000)}, p); err == nil {
		t.Error("ten thousand readings were taken")
	}
	for _, n := range []sward.NewSurface{{Surface: "moss"}, {Surface: sward.ExistingTurf}} {
		if _, err := sward.Laid(n, p); err == nil {
			t.Errorf("%+v was taken", n)
		}
	}
}

// Every assumption is checked before use: one that an override made absurd is
// named.
func TestAbsurdTurfAssumptionsAreNamed(t *testing.T) {
	p := turf()
	p.OrganicBulkDensityTPerM3, p.ThatchOrganicMatterKGPerM2PerMM, p.DecayPerYear = 0, 0, math.NaN()
	_, err := sward.Follow(sward.State{}, nil, p)
	var faults fault.List
	if !errors.As(err, &faults) || len(faults) != 3 {
		t.Fatalf("want three faults, got %v", err)
	}
	for _, f := range faults {
		if !strings.HasPrefix(f.Pointer, "/assumptions/") {
			t.Errorf("%v", f)
		}
	}
}

func BenchmarkTwentyFiveYears(b *testing.B) {
	p, y := turf(), presentProgramme(4)
	start, err := sward.Surveyed(sward.Survey{AnnualMeadowGrassPct: 50}, p)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		s := start
		for range 25 {
			s = s.NextYear(y, p)
		}
	}
}

func BenchmarkFollowTwentyFiveYears(b *testing.B) {
	p, years := turf(), repeated(25, presentProgramme(4))
	start, err := sward.Surveyed(sward.Survey{AnnualMeadowGrassPct: 50}, p)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := sward.Follow(start, years, p); err != nil {
			b.Fatal(err)
		}
	}
}
