package survey

import "testing"

// openYear is a year, from the given month on, on which nothing was closed.
func openYear(year, firstMonth int) []ClosedDays {
	var out []ClosedDays
	for m := monthOf(year, 1) + calendarMonth(firstMonth-1); len(out) < 12; m++ {
		out = append(out, ClosedDays{Month: m.String()})
	}
	return out
}

func played(t *testing.T, days []ClosedDays) Summary {
	t.Helper()
	return summarise(t, Survey{MonthsPlayable: &PlayRecord{ClosedDays: days}})
}

func TestMonthsPlayableFromClosedDays(t *testing.T) {
	// Worked by hand: January 2024 loses 15.5 of 31 days (0.5), February 14.5 of
	// 29 (0.5, a leap year), April 6 of 30 (0.2), June 3 of 30 (0.1): 12 − 1.3.
	year := openYear(2024, 1)
	year[0].WaterloggedGreenDays, year[0].FrostDays, year[0].TemporaryGreenDays = of(12.5), of(3.0), of(10.0)
	year[1].WaterloggedCourseDays = of(14.5)
	year[3].WorksDays = of(6.0)
	year[5].PolicyDays = of(3.0)
	got := played(t, year)
	near(t, "months", *got.MonthsPlayable.Value, 10.7, 1e-12)
	if e := got.MonthsPlayable; e.Interval != nil || e.IntervalMissingBecause != "fewer than two full years are recorded" || e.Readings != 12 {
		t.Errorf("%+v", e)
	}
	play := got.Play
	near(t, "green", play.LostMonthsPerYear.WaterloggedGreenMonths, 12.5/31, 1e-12)
	near(t, "frost", play.LostMonthsPerYear.FrostMonths, 3.0/31, 1e-12)
	near(t, "course open", *play.CourseOpenMonths, 11.5, 1e-12)
	near(t, "ceiling", *play.CeilingMonths, 11.5-3.0/31-0.1, 1e-12)
	near(t, "June", play.OpenShareByMonth[5], 0.9, 1e-12)
	// 14.5 days of a February of 29 are 14 of the usual 28.
	near(t, "February", play.LostDaysByMonth.WaterloggedCourseDays[1], 14, 1e-12)
	near(t, "works", play.LostDaysByMonth.WorksDays[3], 6, 0)
	near(t, "temporary", play.LostDaysPerYear.TemporaryGreenDays, 10, 0)
	if len(play.Years) != 1 || play.Years[0].FirstMonth != "2024-01" {
		t.Errorf("years %+v", play.Years)
	}
}

func TestYearsOfTheSameMonthAreAveraged(t *testing.T) {
	// Two years from April: the first loses all of June, the second all of June
	// and July. Months 11 and 10; mean 10.5, deviation √½, half width
	// 12.7062·√½/√2 = 6.3531; held at 12.
	days := append(openYear(2022, 4), openYear(2023, 4)...)
	days[2].WaterloggedGreenDays = of(30.0)
	days[14].WaterloggedGreenDays = of(30.0)
	days[15].WaterloggedGreenDays = of(31.0)
	got := played(t, days)
	near(t, "months", *got.MonthsPlayable.Value, 10.5, 1e-12)
	near(t, "low", got.MonthsPlayable.Interval.Low, 10.5-6.3531, 5e-5)
	near(t, "high", got.MonthsPlayable.Interval.High, 12, 0)
	near(t, "July", got.Play.LostDaysByMonth.WaterloggedGreenDays[6], 15.5, 1e-12)
	near(t, "June", got.Play.OpenShareByMonth[5], 0, 0)
	want := []YearOfPlay{{"2022-04", 11}, {"2023-04", 10}}
	for i, y := range got.Play.Years {
		if y.FirstMonth != want[i].FirstMonth {
			t.Errorf("year %d starts %s", i, y.FirstMonth)
		}
		near(t, "year", y.MonthsPlayable, want[i].MonthsPlayable, 1e-12)
	}
}

func TestAGapBreaksAYear(t *testing.T) {
	// Twelve months without one that was skipped, then a full year: one year.
	days := append(openYear(2020, 1)[:11], openYear(2021, 3)...)
	if got := played(t, days).Play.Years; len(got) != 1 || got[0].FirstMonth != "2021-03" {
		t.Errorf("years %+v", got)
	}
	// A stretch of 23 months holds one.
	days = append(openYear(2020, 1), openYear(2021, 1)[:11]...)
	if got := played(t, days).Play.Years; len(got) != 1 || got[0].FirstMonth != "2020-01" {
		t.Errorf("years %+v", got)
	}
}

func TestLengthOfMonths(t *testing.T) {
	// The Gregorian rule: 1900 and 2100 are no leap years, 2000 is.
	for month, want := range map[calendarMonth]float64{
		monthOf(1900, 2): 28, monthOf(2000, 2): 29, monthOf(2024, 2): 29, monthOf(2100, 2): 28,
		monthOf(2023, 12): 31, monthOf(2023, 4): 30, monthOf(2023, 1): 31,
	} {
		if got := month.days(); got != want {
			t.Errorf("%s has %g days, want %g", month, got, want)
		}
	}
}

func TestAClosedYearIsNoFault(t *testing.T) {
	year := openYear(2023, 1)
	for i := range year {
		year[i].WorksDays = of((monthOf(2023, 1) + calendarMonth(i)).days())
	}
	if got := *played(t, year).MonthsPlayable.Value; got != 0 {
		t.Errorf("months %g, want 0", got)
	}
}
