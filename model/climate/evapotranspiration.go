package climate

import "math"

// The constants of the equations below belong to them as printed and are not
// assumptions of ours; hargreaves_samani_local_factor is.

const (
	solarConstantMJPerM2PerMin = 0.0820
	minutesPerDay              = 1440
	// mmPerMJPerM2 is the depth of water that a megajoule on a square metre
	// evaporates, the inverse of the latent heat of 2.45 MJ/kg.
	mmPerMJPerM2 = 0.408
)

// Sun is the geometry of one day at one latitude.
type Sun struct {
	// RelativeDistance is the inverse relative distance from earth to sun.
	RelativeDistance float64
	DeclinationRad   float64
	// SunsetHourAngleRad is the angle that the earth turns from noon to sunset.
	SunsetHourAngleRad float64
	DaylightH          float64
	// ExtraterrestrialMJPerM2 is the day's radiation outside the atmosphere on a
	// level square metre.
	ExtraterrestrialMJPerM2 float64
}

// ExtraterrestrialMM is the day's radiation outside the atmosphere as the depth
// of water that it could evaporate, in mm.
func (s Sun) ExtraterrestrialMM() float64 { return mmPerMJPerM2 * s.ExtraterrestrialMJPerM2 }

// SunOn works out the sun of a day of the year (1 for 1 January) at a latitude
// in degrees, north positive: Allen, Pereira, Raes and Smith 1998, FAO
// Irrigation and Drainage Paper 56, Equations 21 to 25 and 34. Where the sun
// does not rise or does not set the hour angle is held at 0 or π.
func SunOn(dayOfYear int, latitudeDeg float64) Sun {
	angle := 2 * math.Pi * float64(dayOfYear) / 365
	s := Sun{
		RelativeDistance: 1 + 0.033*math.Cos(angle),
		DeclinationRad:   0.409 * math.Sin(angle-1.39),
	}
	latitude := latitudeDeg * math.Pi / 180
	cosine := -math.Tan(latitude) * math.Tan(s.DeclinationRad)
	s.SunsetHourAngleRad = math.Acos(min(max(cosine, -1), 1))
	s.DaylightH = 24 / math.Pi * s.SunsetHourAngleRad
	s.ExtraterrestrialMJPerM2 = minutesPerDay / math.Pi * solarConstantMJPerM2PerMin * s.RelativeDistance *
		(s.SunsetHourAngleRad*math.Sin(latitude)*math.Sin(s.DeclinationRad) +
			math.Cos(latitude)*math.Cos(s.DeclinationRad)*math.Sin(s.SunsetHourAngleRad))
	return s
}

// HargreavesSamani is the reference evapotranspiration in mm per day from the
// day's mean, maximum and minimum temperature in degC and the radiation outside
// the atmosphere in mm per day: FAO Irrigation and Drainage Paper 56, Equation
// 52. It is never below 0. The relation of the same authors in which the
// coefficient follows the daily range is another formula and gives other values.
func HargreavesSamani(meanC, maxC, minC, extraterrestrialMM float64) float64 {
	et := 0.0023 * (meanC + 17.8) * math.Sqrt(max(maxC-minC, 0)) * extraterrestrialMM
	return max(et, 0)
}

// HeatIndex is Thornthwaite's yearly heat index from twelve mean temperatures in
// degC: the sum of (T/5)^1.514 over months above freezing (Thornthwaite 1948,
// Geographical Review 38).
func HeatIndex(meanC Months) float64 {
	index := 0.0
	for _, t := range meanC {
		index += math.Pow(max(t, 0)/5, 1.514)
	}
	return index
}

// Thornthwaite is the potential evapotranspiration of a month in mm from its
// mean temperature in degC, its mean day length in hours and its length in days,
// given the heat index of the place: 16 (10 T/I)^a (N/12) (days/30) with a the
// usual cubic in I (Thornthwaite 1948). A month at or below freezing gives 0.
// Some texts leave the last factor out: pass 30 days to agree with them.
func Thornthwaite(meanC, daylightH, days, heatIndex float64) float64 {
	if !(meanC > 0 && heatIndex > 0) {
		return 0
	}
	exponent := 6.75e-7*heatIndex*heatIndex*heatIndex - 7.71e-5*heatIndex*heatIndex + 1.792e-2*heatIndex + 0.49239
	return 16 * math.Pow(10*meanC/heatIndex, exponent) * daylightH / 12 * days / 30
}

// DailyReferenceEvapotranspirationMM is the normal reference evapotranspiration
// of each day of the year in mm: Hargreaves-Samani at the day's normal
// temperatures and sun, times the local factor.
func (s Site) DailyReferenceEvapotranspirationMM(p Parameters) Days {
	mean, high, low := s.TemperatureMeanC.Daily(), s.TemperatureMaxC.Daily(), s.TemperatureMinC.Daily()
	var out Days
	for day := range out {
		out[day] = s.ReferenceEvapotranspirationMM(day, mean[day], high[day], low[day], p)
	}
	return out
}

// ReferenceEvapotranspirationMM is the reference evapotranspiration in mm of one
// day of the year (0 for 1 January) with the given temperatures in degC:
// Hargreaves-Samani under the day's sun, times the local factor.
func (s Site) ReferenceEvapotranspirationMM(dayOfYear int, meanC, maxC, minC float64, p Parameters) float64 {
	sun := SunOn(dayOfYear+1, s.LatitudeDeg)
	return p.HargreavesSamaniLocalFactor * HargreavesSamani(meanC, maxC, minC, sun.ExtraterrestrialMM())
}

// MonthlyReferenceEvapotranspirationMM adds up the days of each month.
func (s Site) MonthlyReferenceEvapotranspirationMM(p Parameters) Months {
	days := s.DailyReferenceEvapotranspirationMM(p)
	out := days.MonthlyMeans()
	for i, length := range daysInMonth {
		out[i] *= float64(length)
	}
	return out
}

// MonthlyThornthwaiteMM is Thornthwaite's figure for each month, with the day
// length of its middle day. It does not need the daily range of temperature, and
// so serves as a second opinion on the sum of the year.
func (s Site) MonthlyThornthwaiteMM() Months {
	index := HeatIndex(s.TemperatureMeanC)
	var out Months
	first := 1
	for i, length := range daysInMonth {
		sun := SunOn(first+length/2, s.LatitudeDeg)
		out[i] = Thornthwaite(s.TemperatureMeanC[i], sun.DaylightH, float64(length), index)
		first += length
	}
	return out
}
