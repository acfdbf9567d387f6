package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"
)

const playAt = "/months_playable"

// calendarMonth counts months from January of the year 0.
type calendarMonth int

func monthOf(year int, month time.Month) calendarMonth {
	return calendarMonth(12*year + int(month) - 1)
}

// index is 0 for January to 11 for December.
func (m calendarMonth) index() int { return int(m) % 12 }

// days is the length of the month, leap years told apart.
func (m calendarMonth) days() float64 {
	return float64(time.Date(int(m)/12, time.Month(m.index()+2), 0, 0, 0, 0, 0, time.UTC).Day())
}

func (m calendarMonth) String() string { return fmt.Sprintf("%04d-%02d", int(m)/12, m.index()+1) }

// cause indexes the reasons for a closed day, in the order of the record.
type cause int

const (
	waterloggedGreen cause = iota
	waterloggedCourse
	frost
	policy
	works
	causes
)

// closedMonth is one checked line of the record.
type closedMonth struct {
	month     calendarMonth
	lost      [causes]float64
	temporary float64
}

func (m closedMonth) lostDays() float64 {
	var sum float64
	for _, days := range m.lost {
		sum += days
	}
	return sum
}

// openShare is the share of the month that the main green was open.
func (m closedMonth) openShare() float64 { return max(0, 1-m.lostDays()/m.month.days()) }

// gatherPlay checks the record of closed days and sorts it by month. A winter's
// record may be completed in the year after the survey, and no later; surveyYear
// is 0 where it is not known.
func gatherPlay(in *PlayRecord, surveyYear int, c *checker) []closedMonth {
	if in == nil {
		return nil
	}
	c.together(playAt, "value_months", "closed days", in.ValueMonths != nil, len(in.ClosedDays) > 0)
	c.optional(place{playAt, -1, "value_months"}, in.ValueMonths, monthsLimit)
	const list = playAt + "/closed_days"
	if len(in.ClosedDays) == 0 || !c.size(list, len(in.ClosedDays), mostClosedMonths) {
		return nil
	}
	record := make([]closedMonth, 0, len(in.ClosedDays))
	seen := map[calendarMonth]bool{}
	allMonthsRead := true
	for i, line := range in.ClosedDays {
		at := place{list, i, ""}
		month, ok := c.month(at.at("month"), line.Month)
		if !ok {
			allMonthsRead = false
		} else if seen[month] {
			c.add(at.at("month"), line.Month, "the month is given twice", "put all its days on one line")
		} else if surveyYear > 0 && int(month) >= 12*(surveyYear+2) {
			c.add(at.at("month"), line.Month, fmt.Sprintf("lies after %d, the year after the survey", surveyYear+1), "give the months that were recorded, or the date of a later survey")
		}
		seen[month] = true
		if closed, sound := c.closed(at, line, month, ok); sound {
			record = append(record, closed)
		}
	}
	if allMonthsRead {
		c.everyCalendarMonth(list, seen)
	}
	slices.SortFunc(record, func(a, b closedMonth) int { return cmp.Compare(a.month, b.month) })
	return record
}

// roundingDays lets days that were worked out as decimals add up to the length
// of the month.
const roundingDays = 1e-9

// closed checks the days of one line; the length of the month is judged only
// where the month could be read.
func (c *checker) closed(at place, line ClosedDays, month calendarMonth, monthRead bool) (closedMonth, bool) {
	out := closedMonth{month: month}
	sound := monthRead
	read := func(field string, given *float64, days *float64) {
		if !c.optional(at.at(field), given, daysLimit) {
			sound = false
		} else if given != nil {
			*days = *given
		}
	}
	read("waterlogged_green_days", line.WaterloggedGreenDays, &out.lost[waterloggedGreen])
	read("waterlogged_course_days", line.WaterloggedCourseDays, &out.lost[waterloggedCourse])
	read("frost_days", line.FrostDays, &out.lost[frost])
	read("policy_days", line.PolicyDays, &out.lost[policy])
	read("works_days", line.WorksDays, &out.lost[works])
	read("temporary_green_days", line.TemporaryGreenDays, &out.temporary)
	if !sound {
		return out, false
	}
	lost := out.lostDays()
	if lost > month.days()+roundingDays {
		c.add(at, fmt.Sprintf("%g closed days", lost), fmt.Sprintf("%s has only %g days", month, month.days()),
			"put each closed day under one cause only")
	}
	if out.temporary > lost+roundingDays {
		c.add(at.at("temporary_green_days"), out.temporary,
			fmt.Sprintf("a temporary green was in play on more days than the %g on which the main green was closed", lost),
			"count only closed days, and give the cause of each")
	}
	return out, true
}

// everyCalendarMonth refuses a record that never saw some month of the year.
func (c *checker) everyCalendarMonth(list string, seen map[calendarMonth]bool) {
	var has [12]bool
	for month := range seen {
		has[month.index()] = true
	}
	var absent []string
	for i, ok := range has {
		if !ok {
			absent = append(absent, time.Month(i+1).String())
		}
	}
	if len(absent) > 0 {
		c.faults.Add(list, nil, "the record has no "+joinAnd(absent),
			"give one line for each month of the year, with no days where the green stayed open")
	}
}

// play estimates the months playable a year and spells out the record.
//
// Each calendar month counts by the share of its days that the main green was
// open, averaged over the years that have it; the twelve are summed. The
// interval is Student's, from the spread of the full years, about that sum, and
// is held within 0 to 12.
func (e *estimator) play(in *PlayRecord, record []closedMonth) (Estimate, PlaySummary) {
	summary := PlaySummary{MonthsRecorded: len(record), Years: []YearOfPlay{}}
	if in != nil && in.ValueMonths != nil {
		out := bare(*in.ValueMonths)
		out.Notes = append(out.Notes, "Why days were lost is not known: give the closed days by month and cause.")
		return out, summary
	}
	if len(record) == 0 {
		return missing(notMeasured), summary
	}
	months := averageByMonth(record)
	months.fill(&summary)
	summary.Years = fullYears(record)

	value := sum(months.open)
	out := Estimate{Value: &value, Readings: len(record), ByPosition: []PositionEstimate{}, Notes: []string{}}
	if n := len(summary.Years); n < 2 {
		out.IntervalMissingBecause = "fewer than two full years are recorded"
		out.Notes = append(out.Notes, "The record holds fewer than two full years: one wet or dry winter is no average.")
	} else {
		half := e.student(float64(n-1)) * yearlyDeviation(summary.Years) / math.Sqrt(float64(n))
		out.Interval = e.interval(value-half, value, value+half, monthsLimit)
	}
	return out, summary
}

// ordinaryDays is the length of each month in a year without a leap day.
var ordinaryDays = Months{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// monthAverages are means over the years, by calendar month. All are averaged
// as shares of the month, so that a February of 29 days weighs no more than one
// of 28.
type monthAverages struct {
	open      Months
	lost      [causes]Months
	temporary Months
}

func averageByMonth(record []closedMonth) monthAverages {
	var out monthAverages
	var years Months
	for _, line := range record {
		years[line.month.index()]++
	}
	for _, line := range record {
		i := line.month.index()
		days := line.month.days() * years[i]
		out.open[i] += line.openShare() / years[i]
		out.temporary[i] += line.temporary / days
		for k, lost := range line.lost {
			out.lost[k][i] += lost / days
		}
	}
	for i := range out.open {
		out.open[i] = min(out.open[i], 1)
	}
	return out
}

// ordinary turns shares of the months into days of a year of 365.
func ordinary(shares Months) Months {
	for i := range shares {
		shares[i] *= ordinaryDays[i]
	}
	return shares
}

// fill writes the averages into the summary.
func (m monthAverages) fill(s *PlaySummary) {
	s.OpenShareByMonth = &m.open
	days := LostDaysByMonth{
		WaterloggedGreenDays:  ordinary(m.lost[waterloggedGreen]),
		WaterloggedCourseDays: ordinary(m.lost[waterloggedCourse]),
		FrostDays:             ordinary(m.lost[frost]),
		PolicyDays:            ordinary(m.lost[policy]),
		WorksDays:             ordinary(m.lost[works]),
		TemporaryGreenDays:    ordinary(m.temporary),
	}
	s.LostDaysByMonth = &days
	s.LostDaysPerYear = &LostDaysPerYear{
		WaterloggedGreenDays: sum(days.WaterloggedGreenDays), WaterloggedCourseDays: sum(days.WaterloggedCourseDays),
		FrostDays: sum(days.FrostDays), PolicyDays: sum(days.PolicyDays), WorksDays: sum(days.WorksDays),
		TemporaryGreenDays: sum(days.TemporaryGreenDays),
	}
	lost := LostMonthsPerYear{
		WaterloggedGreenMonths: sum(m.lost[waterloggedGreen]), WaterloggedCourseMonths: sum(m.lost[waterloggedCourse]),
		FrostMonths: sum(m.lost[frost]), PolicyMonths: sum(m.lost[policy]), WorksMonths: sum(m.lost[works]),
	}
	s.LostMonthsPerYear = &lost
	courseOpen := max(0, 12-lost.WaterloggedCourseMonths)
	ceiling := max(0, courseOpen-lost.FrostMonths-lost.PolicyMonths)
	s.CourseOpenMonths, s.CeilingMonths = &courseOpen, &ceiling
}

// fullYears cuts a sorted record into runs of twelve months that follow one
// another. A golf year that starts in April counts as well as a calendar year;
// what is left over at the end of an unbroken stretch belongs to no full year.
func fullYears(record []closedMonth) []YearOfPlay {
	years := []YearOfPlay{}
	for start := 0; start+12 <= len(record); {
		run := record[start : start+12]
		if gap := firstGap(run); gap > 0 {
			start += gap
			continue
		}
		var open float64
		for _, m := range run {
			open += m.openShare()
		}
		years = append(years, YearOfPlay{run[0].month.String(), min(open, 12)})
		start += 12
	}
	return years
}

// firstGap is the index of the first month that does not follow the one before
// it, or 0.
func firstGap(run []closedMonth) int {
	for i := 1; i < len(run); i++ {
		if run[i].month != run[i-1].month+1 {
			return i
		}
	}
	return 0
}

func yearlyDeviation(years []YearOfPlay) float64 {
	months := make([]float64, len(years))
	for i, y := range years {
		months[i] = y.MonthsPlayable
	}
	return stat.StdDev(months, nil)
}

func sum(months Months) float64 {
	var total float64
	for _, m := range months {
		total += m
	}
	return total
}
