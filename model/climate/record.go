package climate

import (
	"fmt"
	"math"
	"slices"
	"time"

	"swardcase/model/fault"
)

// DailyReading is one day of a club's own weather record. What was not read is
// left out (null).
type DailyReading struct {
	// Date is written YYYY-MM-DD.
	Date            string   `json:"date"`
	RainMM          *float64 `json:"rain_mm,omitempty"`
	TemperatureMaxC *float64 `json:"temperature_max_c,omitempty"`
	TemperatureMinC *float64 `json:"temperature_min_c,omitempty"`
}

// Record is a checked daily record in order of date.
type Record struct {
	Days []RecordDay
	// Gaps lists the runs of days that are not in the record, and those in it
	// that lack a rain reading, in order of date.
	Gaps []Gap
}

// RecordDay is one day of a record; NaN stands for a reading that is missing.
type RecordDay struct {
	serial int // days since 1 January 1970
	year   int
	month  int // 0 for January
	rainMM float64
	maxC   float64
	minC   float64
}

// Date is the day, written YYYY-MM-DD.
func (d RecordDay) Date() string { return dateOfSerial(d.serial) }

// Month is the calendar month, 0 for January.
func (d RecordDay) Month() int { return d.month }

// RainMM is the day's rain; ok is false where it was not read.
func (d RecordDay) RainMM() (rain float64, ok bool) { return d.rainMM, !math.IsNaN(d.rainMM) }

// TemperaturesC are the day's maximum and minimum; ok is false where either was
// not read.
func (d RecordDay) TemperaturesC() (maximum, minimum float64, ok bool) {
	return d.maxC, d.minC, !math.IsNaN(d.maxC) && !math.IsNaN(d.minC)
}

// Gap is a run of days without rain readings.
type Gap struct {
	From string `json:"from"`
	To   string `json:"to"`
	Days int    `json:"days"`
}

const (
	// maxRecordDays bounds a record to 200 years.
	maxRecordDays = maxYears * 366
	// maxRowFaults bounds how many bad rows are named one by one.
	maxRowFaults = 50
	// maxDailyRainMM is beyond any day's rain on record in the temperate world.
	maxDailyRainMM = 500
)

// NewRecord checks a record and puts it in order. Days may come in any order and
// may be missing; a day given twice, a date that does not exist, and readings
// that cannot be are faults, one for each bad row up to fifty, with a last one
// that counts the rest. Pointers are relative to the list of readings.
func NewRecord(readings []DailyReading) (Record, fault.List) {
	rows := rowFaults{}
	if len(readings) == 0 || len(readings) > maxRecordDays {
		rows.list.Add("", len(readings), fmt.Sprintf("is not 1 to %d days", maxRecordDays), "give one reading for each day")
		return Record{}, rows.list
	}
	days := make([]RecordDay, 0, len(readings))
	firstRow := make(map[int]int, len(readings))
	for i, reading := range readings {
		day, bad := newRecordDay(i, reading)
		if len(bad) == 0 {
			if first, twice := firstRow[day.serial]; twice {
				bad.Add(fault.Pointer(i, "date"), reading.Date, fmt.Sprintf("is given twice, first as reading %d", first+1), "keep one reading for each day")
			} else {
				firstRow[day.serial] = i
			}
		}
		if len(bad) > 0 {
			rows.add(bad)
			continue
		}
		days = append(days, day)
	}
	if list := rows.all(); len(list) > 0 {
		return Record{}, list
	}
	slices.SortFunc(days, func(a, b RecordDay) int { return a.serial - b.serial })
	if span := days[len(days)-1].serial - days[0].serial + 1; span > maxRecordDays {
		rows.list.Add("", span, "is a longer span of days than 200 years", "correct the first or the last date")
		return Record{}, rows.list
	}
	return Record{Days: days, Gaps: gaps(days)}, nil
}

// rowFaults keeps the faults of the first bad rows and counts the others.
type rowFaults struct {
	list       fault.List
	rows, more int
}

func (r *rowFaults) add(bad fault.List) {
	if r.rows == maxRowFaults {
		r.more++
		return
	}
	r.rows++
	r.list = append(r.list, bad...)
}

func (r *rowFaults) all() fault.List {
	if r.more > 0 {
		r.list.Add("", r.more, "more readings are wrong than are named here", "mend those that are named, and try again")
	}
	return r.list
}

func newRecordDay(i int, reading DailyReading) (RecordDay, fault.List) {
	var bad fault.List
	at, err := time.Parse(time.DateOnly, reading.Date)
	if err != nil || at.Year() < 1700 || at.Year() > 2199 {
		bad.Add(fault.Pointer(i, "date"), reading.Date, "is not a day of the years 1700 to 2199", "write the date as YYYY-MM-DD")
	}
	day := RecordDay{serial: int(at.Unix() / 86400), month: int(at.Month()) - 1, year: at.Year()}
	number := func(field string, value *float64, low, high float64) float64 {
		if value == nil {
			return math.NaN()
		}
		if !(*value >= low && *value <= high) {
			bad.Add(fault.Pointer(i, field), *value, fmt.Sprintf("on %s is outside %g to %g", fault.Shorten(reading.Date), low, high),
				"correct the reading, or leave it out if it was not taken")
		}
		return *value
	}
	day.rainMM = number("rain_mm", reading.RainMM, 0, maxDailyRainMM)
	day.maxC = number("temperature_max_c", reading.TemperatureMaxC, -60, 60)
	day.minC = number("temperature_min_c", reading.TemperatureMinC, -70, 50)
	if day.maxC < day.minC {
		bad.Add(fault.Pointer(i, "temperature_min_c"), day.minC, fmt.Sprintf("on %s is above the maximum of %g", fault.Shorten(reading.Date), day.maxC),
			"give the lower reading as the minimum")
	}
	return day, bad
}

// gaps lists the runs of days without a rain reading between the first and the
// last day of the record.
func gaps(days []RecordDay) []Gap {
	var out []Gap
	read := days[0].serial - 1 // the last day with a reading
	closeGap := func(next int) {
		if missing := next - read - 1; missing > 0 {
			out = append(out, Gap{From: dateOfSerial(read + 1), To: dateOfSerial(next - 1), Days: missing})
		}
		read = next
	}
	for _, d := range days {
		if !math.IsNaN(d.rainMM) {
			closeGap(d.serial)
		}
	}
	closeGap(days[len(days)-1].serial + 1)
	return out
}

func dateOfSerial(serial int) string {
	return time.Unix(int64(serial)*86400, 0).UTC().Format(time.DateOnly)
}
