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
		lost: LostDays{
			WaterloggedGreenDays:  anyMonths(20).Draw(t, "green"),
			WaterloggedCourseDays: anyMonths(5).Draw(t, "course"),
			FrostDays:             anyMonths(5).Draw(t, "frost"),
			WorksDays:             anyMonths(2).Draw(t, "works"),
		},
		decline: decline{rapid.Float64Range(0, 5).Draw(t, "decline"), rapid.Float64Range(1, 3).Draw(t, "limit")},
		effect: effect{
			share:     rapid.Float64Range(0, 1).Draw(t, "share"),
			leftAtEnd: rapid.Float64Range(0, 1).Draw(t, "left"),
		},
	}
	if rapid.Bool().Draw(t, "has works") {
		in.effect.lifeYears = float64(rapid.IntRange(1, 30).Draw(t, "life"))
		out := rapid.IntRange(1, 11).Draw(t, "months out")
		for range out {
			in.outOfPlay = append(in.outOfPlay, rapid.Float64Range(0, 28).Draw(t, "days out"))
		}
		in.opensMonth = out - 1
	}
	return in
}

func TestForecastAccountsForEveryDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyForecast(t)
		yardstick := in
		yardstick.effect, yardstick.outOfPlay = effect{isYardstick: true}, nil
		option, present := forecastOption(in), forecastOption(yardstick)
		if len(option.Years) != in.horizonYears {
			t.Fatalf("%d years for a horizon of %d", len(option.Years), in.horizonYears)
		}
		for y, year := range option.Years {
			months := 0.0
			for m, playable := range year.PlayableDays {
				length := monthDays[monthIn(in.firstMonth, m)]
				ceiling := length - in.lost.other(monthIn(in.firstMonth, m))
				if playable < 0 || playable > ceiling+0.001 {
					t.Fatalf("year %d month %d: %g playable days under a ceiling of %g: days lost to other causes were bought back", y+1, m, playable, ceiling)
				}
				without := playable + year.lostToWorks[m]
				if before := present.Years[y].PlayableDays[m]; without < before-0.003 {
					t.Fatalf("year %d month %d: %g days but for the works, under the present programme's %g", y+1, m, without, before)
				}
				months += playable / length
			}
			if math.Abs(months-year.MonthsPlayable) > 0.01 {
				t.Fatalf("year %d: months playable %g, days say %g", y+1, year.MonthsPlayable, months)
			}
		}
	})
}

func TestGivingBackMoreNeverLosesADay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyForecast(t)
		better := in
		better.effect.share = rapid.Float64Range(in.effect.share, 1).Draw(t, "better share")
		a, b := forecastOption(in), forecastOption(better)
		for y := range a.Years {
			for m := range a.Years[y].PlayableDays {
				if b.Years[y].PlayableDays[m] < a.Years[y].PlayableDays[m]-0.002 {
					t.Fatalf("year %d month %d: more given back, fewer days", y+1, m)
				}
			}
		}
	})
}

func TestThePresentProgrammeOnlyGetsWorse(t *testing.T) {
	in := forecastInput{
		firstMonth: costs.YearMonth{Year: 2027, Month: 9}, horizonYears: 25,
		lost:    LostDays{WaterloggedGreenDays: [12]float64{10, 8, 4, 0, 0, 0, 0, 0, 0, 1, 5, 9}},
		decline: decline{daysPerYear: 1.5, limitRatio: 2},
		effect:  effect{isYardstick: true},
	}
	years := forecastOption(in).Years
	for y := 1; y < len(years); y++ {
		if years[y].MonthsPlayable > years[y-1].MonthsPlayable {
			t.Errorf("year %d is better than the year before", y+1)
		}
	}
	// 37 days grow by 1.5 a year: in year 11 to 52, and after 25 years to 73,
	// still under the limit of 74.
	lost := 0.0
	for m, playable := range years[10].PlayableDays {
		lost += monthDays[monthIn(in.firstMonth, m)] - playable
	}
	if math.Abs(lost-52) > 0.02 {
		t.Errorf("year 11 loses %.2f days, want 52", lost)
	}
}

func TestWorksAreDoneAgainAtTheEndOfALife(t *testing.T) {
	in := forecastInput{
		firstMonth: costs.YearMonth{Year: 2027, Month: 9}, horizonYears: 25,
		lost:      LostDays{WaterloggedGreenDays: [12]float64{10, 8, 4, 0, 0, 0, 0, 0, 0, 1, 5, 9}},
		effect:    effect{share: 0.9, lifeYears: 12, leftAtEnd: 0.4},
		outOfPlay: []float64{30, 31, 20}, opensMonth: 2,
	}
	for _, year := range forecastOption(in).Years {
		out := sum(year.OutOfPlayDays)
		if want := map[int]float64{1: 81, 13: 81, 25: 81}[year.Year]; out != want {
			t.Errorf("year %d: %g days out of play, want %g", year.Year, out, want)
		}
	}
}
