package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"swardcase/model/fault"
)

func faultsOf(s Survey) fault.List {
	if s.SurveyedOn == "" {
		s.SurveyedOn = "2026-01-20"
	}
	_, faults := Summarise(s, defaults)
	return faults
}

func pointers(faults fault.List) []string {
	out := []string{}
	for _, f := range faults {
		out = append(out, f.Pointer)
	}
	return out
}

func TestFaultsNameThePlace(t *testing.T) {
	sound := ring(10, "")
	changed := func(change func(*RingTest)) Survey {
		bad := sound
		change(&bad)
		return rings(sound, sound, bad)
	}
	closed := func(change func([]ClosedDays) []ClosedDays) Survey {
		return Survey{MonthsPlayable: &PlayRecord{ClosedDays: change(openYear(2023, 1))}}
	}
	quadrat := func(hits, points int) Survey {
		return Survey{AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: []PointQuadrat{{"", hits, points}}}}
	}
	doubleRing := func(intervals ...RingInterval) Survey {
		return Survey{Infiltration: &InfiltrationReadings{DoubleRingTests: []DoubleRingTest{{WaterTemperatureC: 10, Intervals: intervals}}}}
	}
	tests := []struct {
		name   string
		survey Survey
		want   []string
	}{
		{"no such day", Survey{SurveyedOn: "2026-02-31"}, []string{"/surveyed_on"}},
		{"before any survey", Survey{SurveyedOn: "0000-01-01"}, []string{"/surveyed_on"}},
		{"the last day before any survey", Survey{SurveyedOn: "1899-12-31"}, []string{"/surveyed_on"}},
		{"closed long after the survey", closed(func(year []ClosedDays) []ClosedDays {
			year[11].Month = "2150-12"
			return year
		}), []string{"/months_playable/closed_days/11/month"}},
		{"closed in the second year after the survey", closed(func(year []ClosedDays) []ClosedDays {
			year[0].Month = "2028-01"
			return year
		}), []string{"/months_playable/closed_days/0/month"}},
		{"not a date", Survey{SurveyedOn: "20 January"}, []string{"/surveyed_on"}},
		{"test on no such day", changed(func(r *RingTest) { r.TakenOn = "2025-02-29" }), []string{"/infiltration/ring_tests/2/taken_on"}},
		{"bore", changed(func(r *RingTest) { r.BoreMM = 0 }), []string{"/infiltration/ring_tests/2/bore_mm"}},
		{"volume and time", changed(func(r *RingTest) { r.VolumeML, r.Minutes = math.NaN(), math.Inf(1) }), []string{"/infiltration/ring_tests/2/volume_ml", "/infiltration/ring_tests/2/minutes"}},
		{"temperature", changed(func(r *RingTest) { r.WaterTemperatureC = -1 }), []string{"/infiltration/ring_tests/2/water_temperature_c"}},
		{"depth removed", changed(func(r *RingTest) { r.DepthRemovedMM = of(60) }), []string{"/infiltration/ring_tests/2/depth_removed_mm"}},
		{"surface", changed(func(r *RingTest) { r.Surface = "soaked" }), []string{"/infiltration/ring_tests/2/surface"}},
		{"position", changed(func(r *RingTest) { r.Position = strings.Repeat("x", 41) }), []string{"/infiltration/ring_tests/2/position"}},
		{"absurdly fast", changed(func(r *RingTest) { r.VolumeML = 50000 }), []string{"/infiltration/ring_tests/2"}},
		{"absurdly slow", changed(func(r *RingTest) { r.VolumeML, r.BoreMM, r.Minutes = 1, 1000, 2880 }), []string{"/infiltration/ring_tests/2"}},
		{
			"bare value and tests",
			Survey{Infiltration: &InfiltrationReadings{ValueMMPerH: of(10.0), RingTests: []RingTest{sound}}},
			[]string{"/infiltration"},
		},
		{"bare thatch and readings", Survey{ThatchDepth: &ThatchReadings{ValueMM: of(10.0), Readings: []ThatchReading{{"", 9}}}}, []string{"/thatch_depth"}},
		{
			"bare share and quadrats",
			Survey{AnnualMeadowGrass: &AnnualMeadowGrassReadings{ValuePct: of(10.0), PointQuadrats: []PointQuadrat{{"", 1, 2}}}},
			[]string{"/annual_meadow_grass"},
		},
		{"bare months and days", Survey{MonthsPlayable: &PlayRecord{ValueMonths: of(9.0), ClosedDays: openYear(2023, 1)}}, []string{"/months_playable"}},
		{"no intervals", doubleRing(), []string{"/infiltration/double_ring_tests/0/intervals"}},
		{
			"bad intervals",
			doubleRing(RingInterval{5, 2}, RingInterval{0, -1}, RingInterval{5, math.NaN()}),
			[]string{
				"/infiltration/double_ring_tests/0/intervals/1/minutes", "/infiltration/double_ring_tests/0/intervals/1/drop_mm",
				"/infiltration/double_ring_tests/0/intervals/2/drop_mm",
			},
		},
		{"absurd double ring", doubleRing(RingInterval{1, 4000}), []string{"/infiltration/double_ring_tests/0"}},
		{"thatch", Survey{ThatchDepth: &ThatchReadings{Readings: []ThatchReading{{"", -2}}}}, []string{"/thatch_depth/readings/0/depth_mm"}},
		{"more hits than points", quadrat(11, 10), []string{"/annual_meadow_grass/point_quadrats/0/hits"}},
		{"no points", quadrat(0, 0), []string{"/annual_meadow_grass/point_quadrats/0/points"}},
		{"too many closed days", closed(func(d []ClosedDays) []ClosedDays {
			d[1].FrostDays, d[1].WaterloggedGreenDays = of(20.0), of(9.0)
			return d
		}), []string{"/months_playable/closed_days/1"}},
		{"temporary green on an open day", closed(func(d []ClosedDays) []ClosedDays {
			d[1].FrostDays, d[1].TemporaryGreenDays = of(2.0), of(3.0)
			return d
		}), []string{"/months_playable/closed_days/1/temporary_green_days"}},
		{
			"month twice", closed(func(d []ClosedDays) []ClosedDays { return append(d, ClosedDays{Month: "2023-07"}) }),
			[]string{"/months_playable/closed_days/12/month"},
		},
		{"months missing", closed(func(d []ClosedDays) []ClosedDays { return d[2:11] }), []string{"/months_playable/closed_days"}},
		{"no such month", closed(func(d []ClosedDays) []ClosedDays { d[0].Month = "2023-13"; return d }), []string{"/months_playable/closed_days/0/month"}},
		{"days", closed(func(d []ClosedDays) []ClosedDays { d[0].WorksDays = of(math.Inf(1)); return d }), []string{"/months_playable/closed_days/0/works_days"}},
		{"slice upside down", Survey{OrganicMatter: []OrganicMatterReading{{"", 20, 20, 5}}}, []string{"/organic_matter/0/depth_to_mm"}},
		{
			"organic matter",
			Survey{OrganicMatter: []OrganicMatterReading{{"", math.NaN(), 500, 61}}},
			[]string{"/organic_matter/0/depth_from_mm", "/organic_matter/0/depth_to_mm", "/organic_matter/0/organic_matter_pct"},
		},
		{
			"below the pit",
			Survey{Pits: []Pit{{"", 300, of(301.0), of(400.0), nil}}},
			[]string{"/pits/0/free_water_depth_mm", "/pits/0/root_depth_mm"},
		},
		{"pit", Survey{Pits: []Pit{{"", 50, of(60.0), nil, nil}}}, []string{"/pits/0/depth_mm"}},
		{
			"roots and hardness",
			Survey{RootDepthMM: of(-1.0), SurfaceHardnessGravities: of(math.NaN())},
			[]string{"/root_depth_mm", "/surface_hardness_gravities"},
		},
		{"too many readings", Survey{Pits: make([]Pit, 21)}, []string{"/pits"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			faults := faultsOf(tt.survey)
			if got := pointers(faults); !slices.Equal(got, tt.want) {
				t.Fatalf("pointers %q, want %q", got, tt.want)
			}
			for _, f := range faults {
				if f.Detail == "" || f.Remedy == "" {
					t.Errorf("no detail or remedy: %+v", f)
				}
			}
		})
	}
}

func TestMissingMonthsAreNamed(t *testing.T) {
	faults := faultsOf(Survey{MonthsPlayable: &PlayRecord{ClosedDays: openYear(2023, 1)[1:10]}})
	if len(faults) != 1 || !strings.Contains(faults[0].Detail, "no January, November and December") {
		t.Errorf("%+v", faults)
	}
}

func TestEveryFaultIsReportedAtOnce(t *testing.T) {
	days := openYear(2023, 1)
	days[3].WorksDays = of(32.0)
	bad := ring(10, "")
	bad.BoreMM = 1
	got := pointers(faultsOf(Survey{
		SurveyedOn:        "2026-13-01",
		Infiltration:      &InfiltrationReadings{RingTests: []RingTest{bad}},
		ThatchDepth:       &ThatchReadings{ValueMM: of(201.0)},
		AnnualMeadowGrass: &AnnualMeadowGrassReadings{PointQuadrats: []PointQuadrat{{"", 3, 2}}},
		MonthsPlayable:    &PlayRecord{ClosedDays: days},
		Pits:              []Pit{{DepthMM: 1}},
	}))
	want := []string{
		"/surveyed_on", "/infiltration/ring_tests/0/bore_mm", "/thatch_depth/value_mm",
		"/annual_meadow_grass/point_quadrats/0/hits", "/months_playable/closed_days/3/works_days", "/pits/0/depth_mm",
	}
	if !slices.Equal(got, want) {
		t.Errorf("pointers %q", got)
	}
}

func TestSenselessParametersAreRefused(t *testing.T) {
	for name, change := range map[string]func(*Parameters){
		"survey_confidence_pct":          func(p *Parameters) { p.ConfidencePct = 100 },
		"double_ring_late_share":         func(p *Parameters) { p.LateShare = 0 },
		"ring_drop_readable_mm":          func(p *Parameters) { p.ReadableDropMM = math.NaN() },
		"annual_meadow_grass_margin_pct": func(p *Parameters) { p.GrassMarginPct = math.Inf(1) },
	} {
		p := defaults
		change(&p)
		if _, faults := Summarise(Survey{SurveyedOn: "2026-01-20"}, p); len(faults) != 1 || !strings.Contains(faults[0].Detail, name) {
			t.Errorf("%s: %v", name, faults)
		}
	}
}
