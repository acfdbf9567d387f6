package climate

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"swardcase/model/fault"
)

// MostCaseRecordDays is the longest record that a case may carry: twenty years,
// which leaves room for the rest of the document.
const MostCaseRecordDays = 20 * 366

// caseRecord checks the daily record of a case. Pointers are relative to the
// site.
func caseRecord(readings []DailyReading, p Parameters) (*Record, fault.List) {
	var faults fault.List
	if len(readings) > MostCaseRecordDays {
		faults.Add("/climate/daily_record", len(readings), fmt.Sprintf("is more than %d days", MostCaseRecordDays), "give the last twenty years")
		return nil, faults
	}
	record, bad := NewRecord(readings)
	faults.Under("/climate/daily_record", bad)
	if len(faults) > 0 {
		return nil, faults
	}
	days, years := record.WholeYears()
	if years == 0 {
		faults.Add("/climate/daily_record", len(readings), "does not hold a whole year, 1 January to 31 December or any other twelve months",
			"add days, or leave the record out: the rain is then generated from the monthly figures")
		return nil, faults
	}
	read := 0
	for _, d := range days {
		if _, ok := d.RainMM(); ok {
			read++
		}
	}
	if float64(read) < p.RecordMonthLeastCompleteShare*float64(len(days)) {
		faults.Add("/climate/daily_record", read, fmt.Sprintf("has rain readings on %d of the %d days of its last %d years; %s", read, len(days), years, longestGap(record.Gaps)),
			"fill the gaps from a nearby gauge, or leave the record out")
		return nil, faults
	}
	return &record, nil
}

func longestGap(gaps []Gap) string {
	var longest Gap
	for _, g := range gaps {
		if g.Days > longest.Days {
			longest = g
		}
	}
	return fmt.Sprintf("the longest gap runs from %s to %s", longest.From, longest.To)
}

// WholeYears lays out the record's last whole years day by day, so that every
// season weighs alike. A day that is not in the record is there without
// readings.
func (r Record) WholeYears() (days []RecordDay, years int) {
	if len(r.Days) == 0 {
		return nil, 0
	}
	first, last := r.Days[0].serial, r.Days[len(r.Days)-1].serial
	end := time.Unix(int64(last+1)*86400, 0).UTC()
	start := last + 1
	for {
		earlier := int(end.AddDate(-years-1, 0, 0).Unix() / 86400)
		if earlier < first {
			break
		}
		start = earlier
		years++
	}
	if years == 0 {
		return nil, 0
	}
	at := len(r.Days) - 1
	days = make([]RecordDay, last+1-start)
	for i := len(days) - 1; i >= 0; i-- {
		serial := start + i
		if at >= 0 && r.Days[at].serial == serial {
			days[i] = r.Days[at]
			at--
			continue
		}
		date := time.Unix(int64(serial)*86400, 0).UTC()
		days[i] = RecordDay{serial, date.Year(), int(date.Month()) - 1, math.NaN(), math.NaN(), math.NaN()}
	}
	return days, years
}

// DayOfYear counts from 0 on 1 January; 29 February counts as the 28th.
func (d RecordDay) DayOfYear() int {
	date := time.Unix(int64(d.serial)*86400, 0).UTC()
	day := date.YearDay() - 1
	leap := time.Date(d.year, time.December, 31, 0, 0, 0, 0, time.UTC).YearDay() == 366
	if leap && day >= 59 { // from 29 February on
		day--
	}
	return day
}

// Readings gives a record back as the readings of a case.
func (r Record) Readings() []DailyReading {
	known := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		return &v
	}
	out := make([]DailyReading, len(r.Days))
	for i, d := range r.Days {
		out[i] = DailyReading{Date: d.Date(), RainMM: known(d.rainMM), TemperatureMaxC: known(d.maxC), TemperatureMinC: known(d.minC)}
	}
	return out
}

// take puts a record's own monthly means into a site, as far as it has them: rain
// and wet days where every calendar month has enough rain readings, temperatures
// and frost where every one has enough of those.
func (s *Site) take(r *Record, p Parameters) {
	totals, coverage := r.totals(p)
	rain, temperatures := all(coverage.RainMonths), all(coverage.TemperatureMonths)
	n := r.averages(totals, coverage)
	if rain {
		copy(s.RainMM[:], n.RainMM)
		copy(s.WetDays[:], n.WetDays)
		s.given("rain_mm", "wet_days")
	}
	if temperatures {
		copy(s.TemperatureMeanC[:], n.TemperatureMeanC)
		copy(s.TemperatureMaxC[:], n.TemperatureMaxC)
		copy(s.TemperatureMinC[:], n.TemperatureMinC)
		copy(s.AirFrostDays[:], n.AirFrostDays)
		s.given("temperature_mean_c", "temperature_max_c", "temperature_min_c", "air_frost_days")
	}
	switch {
	case rain && temperatures:
		s.Source = n.Source
	case rain:
		s.Source = "rain: " + n.Source + "; temperatures: " + s.Source
	case temperatures:
		s.Source = "temperatures: " + n.Source + "; rain: " + s.Source
	}
}

// given takes fields off the list of those to be filled.
func (s *Site) given(fields ...string) {
	s.Filled = slices.DeleteFunc(s.Filled, func(f Filled) bool { return slices.Contains(fields, f.Field) })
}

func all(months [12]int) bool {
	for _, n := range months {
		if n == 0 {
			return false
		}
	}
	return true
}

// recordSite is the site of a case that has a record alone: its normals are the
// record's.
func recordSite(r *Record, latitudeDeg float64, p Parameters, faults *fault.List) Site {
	normals, _, bad := r.Normals(p)
	if len(bad) == 0 {
		bad = checkNormals(normals, latitudeDeg)
	}
	if len(bad) > 0 {
		*faults = append(*faults, ofRecord(bad, "or name a station or give monthly_normals beside the record")...)
		return Site{}
	}
	return siteOf(normals)
}

// ofRecord words the faults of normals as those of the daily record that they are
// made of; instead is what else the case can do.
func ofRecord(bad fault.List, instead string) fault.List {
	for i := range bad {
		f := &bad[i]
		if mean := monthlyMean(f.Pointer); mean != "" {
			f.Detail = "the mean " + mean + " made of it " + f.Detail
		}
		f.Pointer = "/climate/daily_record"
		f.Remedy = "check the readings, their units and how many there are, " + instead
	}
	return bad
}

// monthlyMean puts a pointer into the normals in words, as "rain mm of April";
// empty for any other.
func monthlyMean(pointer string) string {
	field, month, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	i, err := strconv.Atoi(month)
	if field == "" || err != nil || i < 0 || i >= 12 {
		return ""
	}
	return strings.ReplaceAll(field, "_", " ") + " of " + monthName(i)
}
