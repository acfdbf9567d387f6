package model

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"swardcase/costs"
)

// anyForecast draws the input of one option with works or without.
func anyForecast(t *rapid.T) forecastInput {
	in := forecastInput{
		firstMonth:   costs.YearMonth{Year: 2027, Month: time.Month(rapid.IntRange(1, 12).Draw(t, "first"))},
		horizonYears: rapid.IntRange(1, 40).Draw(t, "horizon"),
		other: LostDays{
			WaterloggedCourseDays: anyMonths(5).Draw(t, "course"),
			FrostDays:             anyMonths(5).Draw(t, "frost"),
			WorksDays:             anyMonths(2).Draw(t, "works"),
		},
		before: anyAges(t, "before"),
		ages:   anyAges(t, "ages"),
	}
	if rapid.Bool().Draw(t, "has works") {
		in.lifeYears = rapid.IntRange(1, 30).Draw(t, "life")
		out := rapid.IntRange(1, 11).Draw(t, "months out")
		for range out {
			in.outOfPlay = append(in.outOfPlay, rapid.Float64Range(0, 28).Draw(t, "days out"))
		}
		in.opensMonth = out - 1
	}
	return in
}

func anyAges(t *rapid.T, name string) []ageYear {
	ages := make([]ageYear, rapid.IntRange(1, 41).Draw(t, name))
	for i := range ages {
		ages[i].lost = anyMonths(20).Draw(t, "lost")
	}
	return ages
}

func TestForecastAccountsForEveryDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyForecast(t)
		option := in.run()
		if len(option.Years) != in.horizonYears {
			t.Fatalf("%d years for a horizon of %d", len(option.Years), in.horizonYears)
		}
		for y, year := range option.Years {
			months := 0.0
			for m, playable := range year.PlayableDays {
				calendar := monthIn(in.firstMonth, m)
				length := monthDays[calendar]
				own := in.stateAt(12*y + m).lost[calendar]
				open := max(0, length-in.other.other(calendar)-own)
				if got := playable + year.lostToWorks[m]; math.Abs(got-open) > 0.002 {
					t.Fatalf("year %d month %d: %g days playable or lost to works, want %g", y+1, m, got, open)
				}
				if year.OutOfPlayDays[m] == 0 && math.Abs(playable-open) > 0.001 {
					t.Fatalf("year %d month %d: %g days playable without works, want %g", y+1, m, playable, open)
				}
				months += playable / length
			}
			if math.Abs(months-year.MonthsPlayable) > 0.01 {
				t.Fatalf("year %d: months playable %g, days say %g", y+1, year.MonthsPlayable, months)
			}
		}
	})
}

func TestLosingLessNeverLosesADay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyForecast(t)
		better := in
		better.ages = make([]ageYear, len(in.ages))
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		for i := range in.ages {
			for month := range in.ages[i].lost {
				better.ages[i].lost[month] = in.ages[i].lost[month] * share
			}
		}
		a, b := in.run(), better.run()
		for y := range a.Years {
			for m := range a.Years[y].PlayableDays {
				if b.Years[y].PlayableDays[m] < a.Years[y].PlayableDays[m]-0.002 {
					t.Fatalf("year %d month %d: fewer days lost, fewer days playable", y+1, m)
				}
			}
		}
	})
}

// wetAges is a green that loses so many days each January, year by year.
func wetAges(days ...float64) []ageYear {
	ages := make([]ageYear, len(days))
	for i, lost := range days {
		ages[i].lost[0] = lost
	}
	return ages
}

func TestALifeEndsWhereTheRequirementIsNoLongerMet(t *testing.T) {
	need := 11.5
	in := forecastInput{other: LostDays{}, ages: wetAges(5, 5, 10, 15, 20, 25), required: &need}
	// 15 days of January are 0.48 of a month: 11.52; 20 are 0.65: 11.35.
	if got := in.life(22); got != 4 {
		t.Errorf("life %d years, want 4", got)
	}
	if got := in.life(3); got != 3 {
		t.Errorf("usual life 3: got %d", got)
	}
	high := 11.9
	in.required = &high // never met: the usual life stands
	if got := in.life(22); got != 22 {
		t.Errorf("never met: life %d years, want 22", got)
	}
}

func TestWorksAreDoneAgainAtTheEndOfALife(t *testing.T) {
	in := forecastInput{
		firstMonth: costs.YearMonth{Year: 2027, Month: 9}, horizonYears: 25,
		before: wetAges(10), ages: wetAges(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12),
		lifeYears: 12, outOfPlay: []float64{30, 31, 20}, opensMonth: 2,
	}
	for _, year := range in.run().Years {
		out := sum(year.OutOfPlayDays)
		if want := map[int]float64{1: 81, 13: 81, 25: 81}[year.Year]; out != want {
			t.Errorf("year %d: %g days out of play, want %g", year.Year, out, want)
		}
		// January is the fifth month from September. Opened in November, the
		// green is in its first year of age in January of years 1 and 13.
		want := 31 - float64((year.Year-1)%12+1)
		if got := year.PlayableDays[4]; got != want {
			t.Errorf("January of year %d: %g days, want %g", year.Year, got, want)
		}
	}
}
