// Package climate describes the weather that a green lives in: monthly normals
// (built in for a few stations, or the club's own), the growth potential of
// turf, reference evapotranspiration, and generated or recorded daily weather.
//
// A year here has 365 days: the generator and the daily curves leave out the
// leap day, whose weather is that of 28 February. Months are numbered from 0
// (January) in arrays and days from 0 (1 January).
package climate

// Months holds one value for each calendar month, January first.
type Months [12]float64

// Days holds one value for each day of a 365-day year, 1 January first.
type Days [365]float64

// daysInMonth is the length of the months of a 365-day year.
var daysInMonth = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// Climate is what a case says of the weather: the name of a built-in station or
// the site's own normals, not both, and the club's own daily record beside them
// or alone. The record gives the days; the monthly figures are taken from the
// normals where the case has them, and otherwise from the record as far as it has
// them, the station giving the rest.
type Climate struct {
	Station        string          `json:"station,omitempty"`
	MonthlyNormals *MonthlyNormals `json:"monthly_normals,omitempty"`
	DailyRecord    []DailyReading  `json:"daily_record,omitempty"`
}

// MonthlyNormals holds long-term means by month, twelve values each, January
// first. Rain and mean temperature are needed; the rest is filled by a stated
// rule where it is left out.
type MonthlyNormals struct {
	// RainMM is the month's total.
	RainMM []float64 `json:"rain_mm"`
	// WetDays counts days with 0.2 mm of rain or more.
	WetDays []float64 `json:"wet_days,omitempty"`
	// TemperatureMeanC, MaxC and MinC are means of the day's mean, maximum and
	// minimum.
	TemperatureMeanC []float64 `json:"temperature_mean_c"`
	TemperatureMaxC  []float64 `json:"temperature_max_c,omitempty"`
	TemperatureMinC  []float64 `json:"temperature_min_c,omitempty"`
	// AirFrostDays counts days whose minimum is below 0 degC.
	AirFrostDays []float64 `json:"air_frost_days,omitempty"`
	Source       string    `json:"source,omitempty"`
}

// Site is a resolved climate: every month of every quantity is present, and
// what was filled in is marked.
type Site struct {
	// Station names the built-in station, or is empty for the site's own
	// normals.
	Station string `json:"station,omitempty"`
	// LatitudeDeg is that of the green, not of the station; north is positive.
	LatitudeDeg      float64 `json:"latitude_deg"`
	RainMM           Months  `json:"rain_mm"`
	WetDays          Months  `json:"wet_days"`
	TemperatureMeanC Months  `json:"temperature_mean_c"`
	TemperatureMaxC  Months  `json:"temperature_max_c"`
	TemperatureMinC  Months  `json:"temperature_min_c"`
	AirFrostDays     Months  `json:"air_frost_days"`
	// Filled lists the quantities that were not given, in the order above.
	Filled []Filled `json:"filled"`
	// Source says where the figures come from, with the attribution that its
	// licence asks for.
	Source string `json:"source"`
	// Record is the club's own daily record; nil where the case has none.
	Record *Record `json:"-"`
}

// Filled names a quantity that was not given and the rule that supplied it.
type Filled struct {
	Field string `json:"field"`
	Rule  string `json:"rule"`
}

// Normals returns the site's figures as the normals of a case, so that a
// resolved case can write them out and be resolved again to the same site.
func (s Site) Normals() MonthlyNormals {
	return MonthlyNormals{
		RainMM: s.RainMM[:], WetDays: s.WetDays[:],
		TemperatureMeanC: s.TemperatureMeanC[:], TemperatureMaxC: s.TemperatureMaxC[:],
		TemperatureMinC: s.TemperatureMinC[:], AirFrostDays: s.AirFrostDays[:], Source: s.Source,
	}
}

// Sum adds the twelve months.
func (m Months) Sum() float64 {
	total := 0.0
	for _, v := range m {
		total += v
	}
	return total
}

// MonthlyMeans averages the days of each month.
func (d *Days) MonthlyMeans() Months {
	var out Months
	day := 0
	for month, length := range daysInMonth {
		for range length {
			out[month] += d[day]
			day++
		}
		out[month] /= float64(length)
	}
	return out
}
