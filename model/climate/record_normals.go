package climate

import (
	"fmt"
	"math"
	"time"

	"swardcase/model/fault"
)

// Coverage says how many whole months stand behind the normals of each calendar
// month, January first.
type Coverage struct {
	RainMonths        [12]int `json:"rain_months"`
	TemperatureMonths [12]int `json:"temperature_months"`
}

// monthSums adds up one month of one year.
type monthSums struct {
	rainDays, rainMM, wetDays                     float64
	temperatureDays, maxSumC, minSumC, frostyDays float64
}

// Normals averages the record by calendar month. A month of a year counts when
// it holds most of its days (record_month_least_complete_share); its rain and
// its counts of days are then scaled up to the whole month. A calendar month for
// which no month counts is a fault: normals cannot be had from the record alone.
// The mean temperature is taken midway between maximum and minimum.
func (r Record) Normals(p Parameters) (MonthlyNormals, Coverage, fault.List) {
	faults := p.check()
	if len(faults) > 0 || len(r.Days) == 0 {
		return MonthlyNormals{}, Coverage{}, faults
	}
	totals, coverage := r.totals(p)
	for i := range 12 {
		name := monthName(i)
		if coverage.RainMonths[i] == 0 {
			faults.Add("", nil, "holds no "+name+" with enough rain readings", "add days, or give monthly_normals instead")
		}
		if coverage.TemperatureMonths[i] == 0 {
			faults.Add("", nil, "holds no "+name+" with enough maximum and minimum temperatures", "add days, or give monthly_normals instead")
		}
	}
	if len(faults) > 0 {
		return MonthlyNormals{}, coverage, faults
	}
	return r.averages(totals, coverage), coverage, nil
}

// totals adds the record up by calendar month.
func (r Record) totals(p Parameters) (totals [12]monthSums, coverage Coverage) {
	for start := 0; start < len(r.Days); {
		end := start
		var sums monthSums
		for end < len(r.Days) && r.Days[end].month == r.Days[start].month && r.Days[end].year == r.Days[start].year {
			sums.add(r.Days[end])
			end++
		}
		month := r.Days[start].month
		totals[month].addMonth(sums, r.Days[start], p.RecordMonthLeastCompleteShare, &coverage)
		start = end
	}
	return totals, coverage
}

func (m *monthSums) add(d RecordDay) {
	if rain, ok := d.RainMM(); ok {
		m.rainDays++
		m.rainMM += rain
		if rain >= wetDayMM {
			m.wetDays++
		}
	}
	if maximum, minimum, ok := d.TemperaturesC(); ok {
		m.temperatureDays++
		m.maxSumC += maximum
		m.minSumC += minimum
		if minimum < 0 {
			m.frostyDays++
		}
	}
}

// addMonth adds one month of one year to the sums of its calendar month, if
// enough of its days were read: rain and counts scaled to the whole month,
// temperatures as that month's means.
func (m *monthSums) addMonth(sums monthSums, day RecordDay, leastShare float64, coverage *Coverage) {
	length := float64(time.Date(day.year, time.Month(day.month+2), 0, 0, 0, 0, 0, time.UTC).Day())
	if sums.rainDays >= leastShare*length {
		coverage.RainMonths[day.month]++
		m.rainMM += sums.rainMM * length / sums.rainDays
		m.wetDays += sums.wetDays * length / sums.rainDays
	}
	if sums.temperatureDays >= leastShare*length {
		coverage.TemperatureMonths[day.month]++
		m.maxSumC += sums.maxSumC / sums.temperatureDays
		m.minSumC += sums.minSumC / sums.temperatureDays
		m.frostyDays += sums.frostyDays * length / sums.temperatureDays
	}
}

func (r Record) averages(totals [12]monthSums, coverage Coverage) MonthlyNormals {
	n := MonthlyNormals{Source: fmt.Sprintf("the club's daily record, %s to %s", r.Days[0].Date(), r.Days[len(r.Days)-1].Date())}
	for i, m := range totals {
		rainMonths, temperatureMonths := float64(coverage.RainMonths[i]), float64(coverage.TemperatureMonths[i])
		maximum, minimum := m.maxSumC/temperatureMonths, m.minSumC/temperatureMonths
		n.RainMM = append(n.RainMM, m.rainMM/rainMonths)
		n.WetDays = append(n.WetDays, m.wetDays/rainMonths)
		n.TemperatureMeanC = append(n.TemperatureMeanC, minimum+math.Max(maximum-minimum, 0)/2)
		n.TemperatureMaxC = append(n.TemperatureMaxC, maximum)
		n.TemperatureMinC = append(n.TemperatureMinC, minimum)
		n.AirFrostDays = append(n.AirFrostDays, m.frostyDays/temperatureMonths)
	}
	return n
}
