package sward

import (
	"fmt"
	"math"
	"time"
)

// yearDays is the length of a year here: the leap day is left out, so that the
// same works in another year take the same time.
const yearDays = 365

var daysInMonth = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// Date is a day of the calendar, written YYYY-MM-DD. 29 February is taken as
// 28 February.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ordinal counts days of 365-day years from 1 January of the year 0.
func (d Date) ordinal() int {
	n := d.Year * yearDays
	for m := range int(d.Month) - 1 {
		n += daysInMonth[m]
	}
	return n + min(d.Day, daysInMonth[d.Month-1]) - 1
}

func dateOf(ordinal int) Date {
	year, day := ordinal/yearDays, ordinal%yearDays
	month := 0
	for day >= daysInMonth[month] {
		day -= daysInMonth[month]
		month++
	}
	return Date{Year: year, Month: time.Month(month + 1), Day: day + 1}
}

// valid reports whether the date exists and lies in the years 1900 to 2199.
func (d Date) valid() bool {
	if d.Year < 1900 || d.Year > 2199 || d.Month < time.January || d.Month > time.December || d.Day < 1 {
		return false
	}
	return d.Day <= daysInMonth[d.Month-1] || d.Month == time.February && d.Day == 29
}

// String writes the date as YYYY-MM-DD.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// MarshalText writes the date as YYYY-MM-DD.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads YYYY-MM-DD and refuses days that do not exist.
func (d *Date) UnmarshalText(text []byte) error {
	t, err := time.Parse(time.DateOnly, string(text))
	if err != nil {
		return fmt.Errorf("date: %w", err)
	}
	*d = Date{Year: t.Year(), Month: t.Month(), Day: t.Day()}
	return nil
}

// season is a span of the year that may run over its end: from the first day
// (counted) to the end day (not counted), both from 0 for 1 January. A season
// that ends where it starts is empty.
type season struct{ from, end int }

// seasonOf makes a season from days of the year (1 for 1 January), moved by six
// calendar months in the southern hemisphere.
func seasonOf(fromDayOfYear, endDayOfYear float64, southern bool) season {
	day := func(dayOfYear float64) int {
		d := dateOf(int(math.Floor(dayOfYear)) - 1)
		if southern {
			d.Month = (d.Month+5)%12 + 1
		}
		return d.ordinal() % yearDays
	}
	return season{from: day(fromDayOfYear), end: day(endDayOfYear)}
}

// holds reports whether a day, given by its ordinal, is in the season.
func (s season) holds(ordinal int) bool {
	day := ordinal % yearDays
	if s.from <= s.end {
		return s.from <= day && day < s.end
	}
	return day >= s.from || day < s.end
}
