package survey

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"swardcase/model/fault"
)

// limit is the range in which a number of the survey must lie, as the contract
// has it. Numbers that pass it keep every formula here finite.
type limit struct {
	low, high float64
	unit      string
}

var (
	rateLimit        = limit{0.01, 2000, "mm/h"}
	volumeLimit      = limit{1, 50000, "ml"}
	boreLimit        = limit{20, 1000, "mm"}
	ringMinutesLimit = limit{0.1, 2880, "minutes"}
	temperatureLimit = limit{0, 40, "°C"}
	intervalLimit    = limit{0.1, 1440, "minutes"}
	dropLimit        = limit{0, 5000, "mm"}
	thatchLimit      = limit{0, 200, "mm"}
	shareLimit       = limit{0, 100, "%"}
	pointsLimit      = limit{1, 10000, "points"}
	hitsLimit        = limit{0, 10000, "hits"}
	monthsLimit      = limit{0, 12, "months"}
	daysLimit        = limit{0, 31, "days"}
	depthFromLimit   = limit{0, 300, "mm"}
	depthToLimit     = limit{1, 400, "mm"}
	organicLimit     = limit{0, 60, "%"}
	pitLimit         = limit{100, 3000, "mm"}
	freeWaterLimit   = limit{0, 3000, "mm"}
	pitRootLimit     = limit{0, 1500, "mm"}
	rootLimit        = limit{0, 1000, "mm"}
	hardnessLimit    = limit{0, 500, "gravities"}
)

// The most readings of a kind, as the contract has it: they bound the work.
const (
	mostRingTests       = 100
	mostDoubleRingTests = 50
	mostRingIntervals   = 200
	mostThatchReadings  = 200
	mostQuadrats        = 200
	mostClosedMonths    = 240
	mostOrganicReadings = 100
	mostPits            = 20
	longestPosition     = 40
)

// place is where in the survey something stands. It is spelt out as a pointer
// only when there is a fault to report.
type place struct {
	list  string // pointer of the list, or of the object when index is -1
	index int
	field string // empty for the item as a whole
}

func (p place) at(field string) place { p.field = field; return p }

func (p place) String() string {
	text := p.list
	if p.index >= 0 {
		text += fault.Pointer(p.index)
	}
	if p.field != "" {
		text += "/" + p.field
	}
	return text
}

// checker collects everything that is wrong with a survey.
type checker struct{ faults fault.List }

func (c *checker) add(at place, value any, detail, remedy string) {
	c.faults.Add(at.String(), value, detail, remedy)
}

// number refuses what is no number or lies outside the limit.
func (c *checker) number(at place, value float64, l limit) bool {
	if value >= l.low && value <= l.high { // false for NaN
		return true
	}
	c.add(at, value, "is not in the range of what can be measured",
		fmt.Sprintf("give a number from %g to %g %s", l.low, l.high, l.unit))
	return false
}

// optional is number for a value that may be left out.
func (c *checker) optional(at place, value *float64, l limit) bool {
	return value == nil || c.number(at, *value, l)
}

// size refuses a list with more items than the contract allows.
func (c *checker) size(list string, count, most int) bool {
	if count <= most {
		return true
	}
	c.faults.Add(list, fmt.Sprintf("%d items", count), "has too many items", fmt.Sprintf("give %d at most", most))
	return false
}

func (c *checker) position(at place, position string) {
	if utf8.RuneCountInString(position) > longestPosition || !utf8.ValidString(position) {
		c.add(at.at("position"), position, "is too long for the name of a position, or not text",
			fmt.Sprintf("name the position in %d characters at most", longestPosition))
	}
}

// date refuses a day that the calendar does not have.
func (c *checker) date(at place, text string) bool {
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return true
	}
	c.add(at, text, "is not a day of the calendar", "give a date that exists, as YYYY-MM-DD")
	return false
}

// surveyed reads the day of the survey; year is 0 where it cannot be read.
func (c *checker) surveyed(at place, text string) (year int) {
	if !c.date(at, text) {
		return 0
	}
	year, _ = strconv.Atoi(text[:4]) // the date is sound
	if year < FirstYear {
		c.add(at, text, "lies before 1900", "give the day on which the green was surveyed, as YYYY-MM-DD")
		return 0
	}
	return year
}

// FirstYear is the earliest year of any reading.
const FirstYear = 1900

// month reads YYYY-MM.
func (c *checker) month(at place, text string) (calendarMonth, bool) {
	const form = "2006-01"
	parsed, err := time.Parse(form, text)
	if err != nil || parsed.Year() < FirstYear || parsed.Year() > 2199 {
		c.add(at, text, "is not a month of the calendar", "give the month as YYYY-MM, from 1900-01 to 2199-12")
		return 0, false
	}
	return monthOf(parsed.Year(), parsed.Month()), true
}

// ringCommon checks what both kinds of ring test have.
func (c *checker) ringCommon(at place, r InfiltrationReading, temperatureC float64) bool {
	before := len(c.faults)
	c.position(at, r.Position)
	if r.TakenOn != "" {
		c.date(at.at("taken_on"), r.TakenOn)
	}
	switch r.DepthRemovedMM {
	case 0, 50, 150:
	default:
		c.add(at.at("depth_removed_mm"), r.DepthRemovedMM, "is not a depth at which the rings are compared", "give 0, 50 or 150 mm")
	}
	switch r.Surface {
	case "", Wet, Moist, Dry:
	default:
		c.add(at.at("surface"), r.Surface, "is not a known state of the surface", "give wet, moist or dry, or leave it out")
	}
	c.number(at.at("water_temperature_c"), temperatureC, temperatureLimit)
	return len(c.faults) == before
}

// together refuses a bare value beside readings.
func (c *checker) together(at, bare, readings string, hasBare, hasReadings bool) {
	if hasBare && hasReadings {
		c.faults.Add(at, nil, fmt.Sprintf("a bare value (%s) and %s are given together", bare, readings),
			fmt.Sprintf("keep the %s and leave out %s, or the other way about", readings, bare))
	}
}

// rate refuses a rate that no green has: a slip of unit or of the decimal
// point.
func (c *checker) rate(at place, rateMMPerH float64) {
	if rateMMPerH >= rateLimit.low && rateMMPerH <= rateLimit.high { // false for NaN
		return
	}
	c.add(at, fmt.Sprintf("%.4g mm/h", rateMMPerH),
		fmt.Sprintf("the test works out at a rate outside %g to %g mm/h", rateLimit.low, rateLimit.high),
		"check the volume in ml, the bore in mm, the drops in mm and the time in minutes")
}

// joinAnd writes "a, b and c".
func joinAnd(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}
