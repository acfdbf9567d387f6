package climate

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"swardcase/model/fault"
)

// maxLatitudeDeg bounds the latitudes that can be resolved: beyond the polar
// circles there are days without sunrise, and no golf to speak of.
const maxLatitudeDeg = 66

// maxStationGapDeg is how far north or south of its station a green may lie:
// beyond this the station's temperatures and the green's sun belong to
// different seasons.
const maxStationGapDeg = 10

// Resolve turns a case's climate into a complete one: a built-in station is
// looked up, the site's own normals are checked, and what was left out is
// filled by the rules of fill.go and marked. Pointers of the faults are
// relative to the site of the case ("/latitude_deg", "/climate/station"), or name
// an assumption ("/assumptions/wet_day_exponent").
// The site is usable only when the list of faults is empty.
func Resolve(c Climate, latitudeDeg float64, p Parameters) (Site, fault.List) {
	faults := p.check()
	if !(math.Abs(latitudeDeg) <= maxLatitudeDeg) {
		faults.Add("/latitude_deg", latitudeDeg, "is not a latitude between 66 south and 66 north",
			"give degrees from -66 to 66, north positive")
	}
	var site Site
	var record *Record
	if len(c.DailyRecord) > 0 {
		var bad fault.List
		record, bad = caseRecord(c.DailyRecord, p)
		faults = append(faults, bad...)
	}
	switch {
	case c.Station == "" && c.MonthlyNormals == nil && record != nil && len(faults) == 0:
		site = recordSite(record, latitudeDeg, p, &faults)
	case c.Station == "" && c.MonthlyNormals == nil && len(c.DailyRecord) > 0: // its faults are listed
	case c.Station == "" && c.MonthlyNormals == nil:
		faults.Add("/climate", nil, "gives neither a station nor monthly normals nor a daily record",
			"name a built-in station, or give rain_mm and temperature_mean_c for twelve months")
	case c.Station != "" && c.MonthlyNormals != nil:
		faults.Add("/climate", c.Station, "gives both a station and monthly normals", "keep one of the two")
	case c.Station != "":
		site = stationSite(c.Station, latitudeDeg, &faults)
		if record != nil && len(faults) == 0 {
			site.take(record, p)
			site.Station = "" // no longer the station's own figures
			faults = append(faults, ofRecord(checkNormals(site.stated(), latitudeDeg), "or give monthly_normals in place of the station")...)
		}
	default:
		site = ownSite(*c.MonthlyNormals, latitudeDeg, &faults)
	}
	if len(faults) > 0 {
		return Site{}, faults
	}
	site.LatitudeDeg, site.Record = latitudeDeg, record
	if site.Filled == nil {
		site.Filled = []Filled{} // an empty list in JSON, not null
	}
	site.fill(p)
	return site, nil
}

func stationSite(name string, latitudeDeg float64, faults *fault.List) Site {
	i := slices.IndexFunc(builtIn, func(s station) bool { return s.Name == name })
	if i < 0 {
		faults.Add("/climate/station", name, "is not a built-in climate",
			"did you mean "+strings.Join(nearestNames(name), ", ")+"? Or give the site's monthly_normals")
		return Site{}
	}
	s := builtIn[i]
	if math.Abs(s.LatitudeDeg-latitudeDeg) > maxStationGapDeg {
		faults.Add("/climate/station", name,
			fmt.Sprintf("lies at latitude %g, more than %d degrees from the green at %g", s.LatitudeDeg, maxStationGapDeg, latitudeDeg),
			"choose a nearer station, correct latitude_deg, or give the site's monthly_normals")
	}
	return s.unfilled()
}

func ownSite(n MonthlyNormals, latitudeDeg float64, faults *fault.List) Site {
	own := checkNormals(n, latitudeDeg)
	faults.Under("/climate/monthly_normals", own)
	if len(own) > 0 {
		return Site{}
	}
	return siteOf(n)
}

// siteOf is the site of checked normals.
func siteOf(n MonthlyNormals) Site {
	site := Site{Source: n.Source}
	if site.Source == "" {
		site.Source = "monthly normals stated in the case"
	}
	for _, q := range quantities {
		copy(q.months(&site)[:], *q.given(&n))
		if len(*q.given(&n)) == 0 {
			site.Filled = append(site.Filled, Filled{Field: q.field})
		}
	}
	return site
}

// stated are the site's figures without the quantities that are still to be
// filled: these are not given, not nothing.
func (s Site) stated() MonthlyNormals {
	n := s.Normals()
	for _, q := range quantities {
		if slices.ContainsFunc(s.Filled, func(f Filled) bool { return f.Field == q.field }) {
			*q.given(&n) = nil
		}
	}
	return n
}

// quantity ties one field of the normals to its place in a site and to the
// range outside which a value is absurd.
type quantity struct {
	field     string
	low, high float64
	needed    bool
	given     func(*MonthlyNormals) *[]float64
	months    func(*Site) *Months
}

// quantities lists the fields in the order in which they are checked, filled
// and marked.
var quantities = []quantity{
	{
		"rain_mm", 0, 1500, true,
		func(n *MonthlyNormals) *[]float64 { return &n.RainMM }, func(s *Site) *Months { return &s.RainMM },
	},
	{
		"wet_days", 0, 31, false,
		func(n *MonthlyNormals) *[]float64 { return &n.WetDays }, func(s *Site) *Months { return &s.WetDays },
	},
	{
		"temperature_mean_c", -40, 45, true,
		func(n *MonthlyNormals) *[]float64 { return &n.TemperatureMeanC }, func(s *Site) *Months { return &s.TemperatureMeanC },
	},
	{
		"temperature_max_c", -40, 55, false,
		func(n *MonthlyNormals) *[]float64 { return &n.TemperatureMaxC }, func(s *Site) *Months { return &s.TemperatureMaxC },
	},
	{
		"temperature_min_c", -50, 45, false,
		func(n *MonthlyNormals) *[]float64 { return &n.TemperatureMinC }, func(s *Site) *Months { return &s.TemperatureMinC },
	},
	{
		"air_frost_days", 0, 31, false,
		func(n *MonthlyNormals) *[]float64 { return &n.AirFrostDays }, func(s *Site) *Months { return &s.AirFrostDays },
	},
}

// checkNormals names every value that cannot be: arrays of the wrong length,
// values out of range, and values that contradict one another.
func checkNormals(n MonthlyNormals, latitudeDeg float64) fault.List {
	var faults fault.List
	for _, q := range quantities {
		values := *q.given(&n)
		if len(values) == 0 && !q.needed {
			continue
		}
		if len(values) != 12 {
			faults.Add("/"+q.field, len(values), "does not hold twelve values", "give one value a month, January first")
			continue
		}
		for i, v := range values {
			if !(v >= q.low && v <= q.high) {
				faults.Add(fault.Pointer(q.field, i), v, fmt.Sprintf("is outside %g to %g", q.low, q.high),
					"give the long-term mean of "+monthName(i))
			}
		}
	}
	if len(faults) > 0 {
		return faults
	}
	for i := range 12 {
		checkMonth(n, i, &faults)
	}
	checkSeasons(n, latitudeDeg, &faults)
	return faults
}

// roundOff forgives the last digits of a product.
const roundOff = 1e-9

// checkMonth names what contradicts itself within one month. Wet days are days
// of 0.2 mm or more, so they put a floor under the month's rain.
func checkMonth(n MonthlyNormals, i int, faults *fault.List) {
	length := float64(daysInMonth[i])
	if i == 1 {
		length = 29
	}
	if len(n.WetDays) == 12 {
		switch wet, rain := n.WetDays[i], n.RainMM[i]; {
		case wet > length:
			faults.Add(fault.Pointer("wet_days", i), wet, "is more days than "+monthName(i)+" has", "give the mean number of days with 0.2 mm or more")
		case wet == 0 && rain >= wetDayMM:
			faults.Add(fault.Pointer("wet_days", i), wet, "leaves no day on which the month's rain could fall", "give at least a part of a day, or no rain")
		case wet > 0 && rain/wet > maxDailyRainMM:
			faults.Add(fault.Pointer("wet_days", i), wet, fmt.Sprintf("leaves %.0f mm for each wet day", rain/wet), "give the mean number of days with 0.2 mm or more")
		case wet*wetDayMM > rain*(1+roundOff):
			faults.Add(fault.Pointer("wet_days", i), wet, fmt.Sprintf("is more days of %g mm than %g mm of rain allows", wetDayMM, rain),
				"count days with 0.2 mm or more, and give rain in millimetres")
		}
	}
	if len(n.AirFrostDays) == 12 && n.AirFrostDays[i] > length {
		faults.Add(fault.Pointer("air_frost_days", i), n.AirFrostDays[i], "is more days than "+monthName(i)+" has", "give the mean number of days with frost")
	}
	mean := n.TemperatureMeanC[i]
	if len(n.TemperatureMaxC) == 12 && n.TemperatureMaxC[i] < mean {
		faults.Add(fault.Pointer("temperature_max_c", i), n.TemperatureMaxC[i], fmt.Sprintf("is below the month's mean of %g", mean), "give min ≤ mean ≤ max")
	}
	if len(n.TemperatureMinC) == 12 && n.TemperatureMinC[i] > mean {
		faults.Add(fault.Pointer("temperature_min_c", i), n.TemperatureMinC[i], fmt.Sprintf("is above the month's mean of %g", mean), "give min ≤ mean ≤ max")
	}
}

// checkSeasons catches normals that do not start in January and latitudes with
// the wrong sign: outside the tropics the sunny half of the year is the warm
// one.
func checkSeasons(n MonthlyNormals, latitudeDeg float64, faults *fault.List) {
	const tropicDeg = 23.5
	if !(math.Abs(latitudeDeg) > tropicDeg) {
		return
	}
	t := n.TemperatureMeanC
	northernExcess := t[5] + t[6] + t[7] - t[11] - t[0] - t[1]
	if northernExcess*latitudeDeg < 0 {
		faults.Add("/temperature_mean_c", nil,
			fmt.Sprintf("is coldest in the summer of latitude %g", latitudeDeg),
			"start the twelve values in January, and give a southern latitude as a negative number")
	}
}

// monthName names a month, 0 for January.
func monthName(month int) string { return time.Month(month + 1).String() }
