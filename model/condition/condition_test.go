package condition_test

import (
	"testing"

	"swardcase/model/assumption"
	"swardcase/model/condition"
)

func of[T any](value T) *T { return &value }

func parameters() condition.Parameters { return condition.ParametersFrom(assumption.Defaults()) }

// bare is an estimate without interval or positions.
func bare(value float64) condition.Estimate { return condition.Estimate{Value: &value} }

func ranged(low, value, high float64) condition.Estimate {
	return condition.Estimate{Value: &value, Interval: &condition.Interval{Low: low, High: high, ConfidencePct: 95}}
}

// soundGreen is a green with nothing wrong and everything looked at.
func soundGreen() condition.Input {
	dry := condition.Pit{DepthMM: 600, RootDepthMM: of(140.0), BlackLayer: of(false)}
	return condition.Input{
		Infiltration:        ranged(48, 60, 75),
		ThatchDepth:         ranged(8, 9, 10),
		AnnualMeadowGrass:   ranged(21, 25, 29),
		MonthsPlayable:      ranged(11.5, 11.7, 11.9),
		RatioUnderMat:       ranged(1.1, 1.5, 2),
		RateBelow:           ranged(40, 60, 90),
		OrganicMatterTopPct: of(5.0),
		RootDepthMM:         of(140.0),
		Pits:                []condition.Pit{dry, dry, dry},
		SoilLayers: []condition.SoilLayer{
			{Texture: condition.Sand, ThicknessMM: 300}, {Texture: condition.SandyLoam, ThicknessMM: 400},
		},
		HasDrains: true,
		Outfall:   condition.Outfall{State: condition.OutfallFree, AfterRain: condition.OutfallRunning},
		Surroundings: condition.Surroundings{
			SunHPerDay: of(8.0), Air: condition.AirOpen, WaterRunsIn: of(false),
			WalkOnPoints: of(3), SprinklerOverlap: condition.OverlapGood,
		},
		LostDays: &condition.LostDays{WaterloggedGreenDays: 4, WaterloggedCourseDays: 2},
	}
}

// bareGreen has the four measures and nothing else.
func bareGreen(infiltration, thatch, grass, months float64) condition.Input {
	return condition.Input{
		Infiltration: bare(infiltration), ThatchDepth: bare(thatch),
		AnnualMeadowGrass: bare(grass), MonthsPlayable: bare(months),
	}
}

func judge(t testing.TB, in condition.Input) condition.Condition {
	t.Helper()
	return judgeOn(t, in, condition.Scales{})
}

func judgeOn(t testing.TB, in condition.Input, scales condition.Scales) condition.Condition {
	t.Helper()
	c, faults := condition.Judge(in, scales, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

func near(a, b, tolerance float64) bool { return a-b <= tolerance && b-a <= tolerance }
