package costs

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestYearMonthParsesAndRefuses(t *testing.T) {
	got, err := ParseYearMonth("2026-10")
	if err != nil || got != (YearMonth{2026, time.October}) {
		t.Errorf("2026-10 read as %v (%v)", got, err)
	}
	for _, text := range []string{"", "2026-13", "2026-00", "2026-1", "26-10", "2026/10", "2026-10-01", "1899-12", "2200-01", "+026-10", "2026-1०"} {
		if got, err := ParseYearMonth(text); err == nil {
			t.Errorf("%q read as %v", text, got)
		}
	}
	if text, err := (YearMonth{}).MarshalText(); err == nil {
		t.Errorf("no month was written as %s", text)
	}
}

// Adding months agrees with the standard library's calendar.
func TestAddMonthsAgreesWithTheCalendar(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		month := YearMonth{rapid.IntRange(1900, 2199).Draw(rt, "year"), time.Month(rapid.IntRange(1, 12).Draw(rt, "month"))}
		n := rapid.IntRange(-2400, 2400).Draw(rt, "n")
		day := time.Date(month.Year, month.Month, 1, 0, 0, 0, 0, time.UTC).AddDate(0, n, 0)
		got := month.AddMonths(n)
		if got != (YearMonth{day.Year(), day.Month()}) {
			rt.Fatalf("%v and %d months is %v, the calendar says %v", month, n, got, day)
		}
		if got.MonthsSince(month) != n {
			rt.Fatalf("%v since %v is %d months, want %d", got, month, got.MonthsSince(month), n)
		}
	})
}

func TestAddMonthsBeforeYearZero(t *testing.T) {
	if got := (YearMonth{0, time.January}).AddMonths(-1); got != (YearMonth{-1, time.December}) {
		t.Errorf("the month before 0000-01 is %v", got)
	}
}

func FuzzYearMonth(f *testing.F) {
	f.Add("2026-10")
	f.Add("0000-00")
	f.Fuzz(func(t *testing.T, text string) {
		month, err := ParseYearMonth(text)
		if err == nil && month.String() != text {
			t.Fatalf("%q read and written %q", text, month)
		}
	})
}
