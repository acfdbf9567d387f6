package costs

import (
	"fmt"
	"time"
)

// YearMonth is a calendar month. The zero value is no month.
type YearMonth struct {
	Year  int
	Month time.Month
}

// ParseYearMonth reads YYYY-MM, from 1900-01 to 2199-12.
func ParseYearMonth(text string) (YearMonth, error) {
	bad := func() (YearMonth, error) {
		return YearMonth{}, fmt.Errorf("costs: %q is not a month written YYYY-MM between 1900-01 and 2199-12", shorten(text))
	}
	if len(text) != 7 || text[4] != '-' || !allDigits(text[:4]) || !allDigits(text[5:]) {
		return bad()
	}
	number := func(digits string) (n int) {
		for i := range len(digits) {
			n = 10*n + int(digits[i]-'0')
		}
		return n
	}
	month := YearMonth{Year: number(text[:4]), Month: time.Month(number(text[5:]))}
	if !month.valid() {
		return bad()
	}
	return month, nil
}

// valid is the range of the contract; AddMonths may go past its end.
func (ym YearMonth) valid() bool {
	return 1900 <= ym.Year && ym.Year <= 2199 && time.January <= ym.Month && ym.Month <= time.December
}

// String writes YYYY-MM.
func (ym YearMonth) String() string { return fmt.Sprintf("%04d-%02d", ym.Year, int(ym.Month)) }

// AddMonths returns the month that many months later, or earlier where n is
// negative.
func (ym YearMonth) AddMonths(n int) YearMonth {
	months := 12*ym.Year + int(ym.Month) - 1 + n
	year := months / 12
	if months%12 < 0 {
		year--
	}
	return YearMonth{Year: year, Month: time.Month(months - 12*year + 1)}
}

// MonthsSince returns how many months after the other month this one is.
func (ym YearMonth) MonthsSince(other YearMonth) int {
	return 12*(ym.Year-other.Year) + int(ym.Month) - int(other.Month)
}

// MarshalText writes YYYY-MM.
func (ym YearMonth) MarshalText() ([]byte, error) {
	if ym.Month < time.January || ym.Month > time.December || ym.Year < 0 || ym.Year > 9999 {
		return nil, fmt.Errorf("costs: year %d month %d cannot be written YYYY-MM", ym.Year, int(ym.Month))
	}
	return []byte(ym.String()), nil
}

// UnmarshalText reads YYYY-MM.
func (ym *YearMonth) UnmarshalText(text []byte) error {
	read, err := ParseYearMonth(string(text))
	if err != nil {
		return err
	}
	*ym = read
	return nil
}
