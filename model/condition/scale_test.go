package condition_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/model/condition"
)

func scale(points ...condition.ScalePoint) *condition.ValueScale {
	return &condition.ValueScale{Points: points}
}

func TestEveryFaultOfTheScalesIsNamed(t *testing.T) {
	type points = []condition.ScalePoint
	many := make(points, 21)
	tests := []struct {
		name   string
		scales condition.Scales
		want   []string
	}{
		{"a value repeated", condition.Scales{ThatchDepthMM: scale(points{{5, 100}, {5, 50}, {9, 0}}...)}, []string{"/scales/thatch_depth_mm/points/1/value"}},
		{"values falling", condition.Scales{MonthsPlayable: scale(points{{6, 0}, {5, 50}}...)}, []string{"/scales/months_playable/points/1/value"}},
		{"scores turning", condition.Scales{InfiltrationMMPerH: scale(points{{1, 0}, {5, 50}, {9, 40}}...)}, []string{"/scales/infiltration_mm_per_h/points"}},
		{"scores level", condition.Scales{InfiltrationMMPerH: scale(points{{1, 0}, {5, 50}, {9, 50}}...)}, []string{"/scales/infiltration_mm_per_h/points"}},
		{"more thatch scored better", condition.Scales{ThatchDepthMM: scale(points{{5, 0}, {9, 100}}...)}, []string{"/scales/thatch_depth_mm/points"}},
		{"fewer months scored better", condition.Scales{MonthsPlayable: scale(points{{5, 100}, {9, 0}}...)}, []string{"/scales/months_playable/points"}},
		{"one point", condition.Scales{MonthsPlayable: scale(points{{5, 100}}...)}, []string{"/scales/months_playable/points"}},
		{"too many points", condition.Scales{MonthsPlayable: scale(many...)}, []string{"/scales/months_playable/points"}},
		{
			"not numbers",
			condition.Scales{AnnualMeadowGrassPct: scale(points{{math.NaN(), 100}, {50, math.Inf(1)}}...)},
			[]string{"/scales/annual_meadow_grass_pct/points/0/value", "/scales/annual_meadow_grass_pct/points/1/score"},
		},
		{"a negative weight", condition.Scales{MonthsPlayable: &condition.ValueScale{Weight: of(-0.1)}}, []string{"/scales/months_playable/weight"}},
		{"a weight that is no number", condition.Scales{MonthsPlayable: &condition.ValueScale{Weight: of(math.NaN())}}, []string{"/scales/months_playable/weight"}},
		{
			"no weight at all",
			condition.Scales{
				InfiltrationMMPerH: &condition.ValueScale{Weight: of(0.0)}, ThatchDepthMM: &condition.ValueScale{Weight: of(0.0)},
				AnnualMeadowGrassPct: &condition.ValueScale{Weight: of(0.0)}, MonthsPlayable: &condition.ValueScale{Weight: of(0.0)},
			},
			[]string{"/scales"},
		},
		{"an unknown reading", condition.Scales{InfiltrationReads: "laboratory"}, []string{"/scales/infiltration_reads"}},
		{"grade limits out of order", condition.Scales{SoundFromIndex: of(50.0)}, []string{"/scales/fair_from_index"}},
		{"grade limits equal", condition.Scales{PoorFromIndex: of(55.0)}, []string{"/scales/poor_from_index"}},
		{"a grade limit beyond the index", condition.Scales{SoundFromIndex: of(101.0)}, []string{"/scales/sound_from_index"}},
		{
			"two at once",
			condition.Scales{SoundFromIndex: of(math.NaN()), ThatchDepthMM: scale(points{{5, 0}, {9, 100}}...)},
			[]string{"/scales/thatch_depth_mm/points", "/scales/sound_from_index", "/scales/fair_from_index"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, faults := condition.Judge(soundGreen(), tt.scales, parameters())
			var got []string
			for _, f := range faults {
				got = append(got, f.Pointer)
				if f.Detail == "" || f.Remedy == "" {
					t.Errorf("%s: no detail or no remedy", f.Pointer)
				}
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("faults at %q, want %q", got, tt.want)
			}
		})
	}
}

func TestAbsentPartsKeepTheirDefaults(t *testing.T) {
	given := condition.Scales{ThatchDepthMM: &condition.ValueScale{Weight: of(0.5)}}
	before := *given.ThatchDepthMM
	complete := must(given.Complete(parameters()))
	if diff := cmp.Diff(before, *given.ThatchDepthMM); diff != "" {
		t.Errorf("the scales given were changed:\n%s", diff)
	}
	defaults := must(condition.Scales{}.Complete(parameters()))
	if *complete.ThatchDepthMM.Weight != 0.5 {
		t.Errorf("weight %v, want the 0.5 given", *complete.ThatchDepthMM.Weight)
	}
	complete.ThatchDepthMM.Weight = defaults.ThatchDepthMM.Weight
	if diff := cmp.Diff(defaults, complete); diff != "" {
		t.Errorf("other parts than the one given differ from the defaults:\n%s", diff)
	}
	if diff := cmp.Diff(defaults, must(defaults.Complete(parameters()))); diff != "" {
		t.Errorf("completing twice changes the scales:\n%s", diff)
	}
}

// The points themselves, half-way between them, and beyond both ends.
func TestScoresAreReadOffTheScale(t *testing.T) {
	tests := []struct{ thatchMM, want float64 }{{0, 100}, {8, 100}, {10, 90}, {12, 80}, {16, 65}, {20, 50}, {25, 35}, {45, 0}, {90, 0}}
	for _, tt := range tests {
		got := *judge(t, condition.Input{ThatchDepth: bare(tt.thatchMM)}).Measures[1].Score
		if !near(got, tt.want, 1e-12) {
			t.Errorf("%v mm of thatch scores %v, want %v", tt.thatchMM, got, tt.want)
		}
	}
}

func TestWetSurfaceScaleReadsTheRingRateTimesItsRatio(t *testing.T) {
	wet := condition.Scales{InfiltrationReads: condition.WetSurfaceRate}
	p := parameters()
	got := *judgeOn(t, condition.Input{Infiltration: bare(100)}, wet).Measures[0].Score
	want := *judge(t, condition.Input{Infiltration: bare(100 * p.WetSurfaceToRingRatio)}).Measures[0].Score
	if got != want {
		t.Errorf("a ring rate of 100 scores %v as a wet surface, want %v", got, want)
	}
}
