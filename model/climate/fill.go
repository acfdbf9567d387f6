package climate

import (
	"fmt"
	"math"
)

// wetDayMM is the least rain of a wet day, the threshold of the contract's
// wet_days and of the built-in records.
const wetDayMM = 0.2

// fill supplies every quantity that is marked as not given, and writes the rule
// beside its name. Order matters: air frost is judged from the minimum.
func (s *Site) fill(p Parameters) {
	missing := map[string]bool{}
	for _, f := range s.Filled {
		missing[f.Field] = true
	}
	defer s.bound()
	for i := range s.Filled {
		switch f := &s.Filled[i]; f.Field {
		case "wet_days":
			f.Rule = s.fillWetDays(p)
		case "temperature_max_c":
			f.Rule = s.fillMaximum(p, missing["temperature_min_c"])
		case "temperature_min_c":
			f.Rule = s.fillMinimum(p, missing["temperature_max_c"])
		case "air_frost_days":
			f.Rule = s.fillAirFrost(p)
		}
	}
}

// bound keeps what was filled within the ranges that a case may state, so that a
// resolved case is itself a sound one.
func (s *Site) bound() {
	for _, q := range quantities {
		months := q.months(s)
		for i, v := range months {
			months[i] = min(max(v, q.low), q.high)
		}
	}
}

func (s *Site) fillWetDays(p Parameters) string {
	for i, rain := range s.RainMM {
		s.WetDays[i] = WetDays(rain, float64(daysInMonth[i]), p)
	}
	return fmt.Sprintf("share of wet days = 1 - exp(-%g r^%g), r the month's rain in mm per day",
		p.WetDayCoefficientAt1MMPerDay, p.WetDayExponent)
}

// WetDays estimates the number of days with 0.2 mm or more in a month of the
// given length (days) from its total rain (mm): the share of wet days is
// 1 − exp(−k r^m), with r the rain in mm per day. The form is ours: no rain
// gives no wet day, and the share rises with rain towards one. k and m are
// fitted to Dublin Airport and so serve an Atlantic climate; a drier, more
// continental place has fewer wet days for its rain.
// Never more days than the rain would give at 0.2 mm each.
func WetDays(rainMM, days float64, p Parameters) float64 {
	if !(rainMM > 0 && days > 0) {
		return 0
	}
	share := -math.Expm1(-p.WetDayCoefficientAt1MMPerDay * math.Pow(rainMM/days, p.WetDayExponent))
	return min(days*share, rainMM/wetDayMM)
}

func (s *Site) fillMaximum(p Parameters, minimumMissing bool) string {
	if minimumMissing {
		for i, mean := range s.TemperatureMeanC {
			s.TemperatureMaxC[i] = mean + s.diurnalRangeC(i, p)/2
		}
		return diurnalRule(p)
	}
	for i, mean := range s.TemperatureMeanC {
		s.TemperatureMaxC[i] = 2*mean - s.TemperatureMinC[i]
	}
	return "the mean lies midway between minimum and maximum"
}

func (s *Site) fillMinimum(p Parameters, maximumMissing bool) string {
	if maximumMissing {
		for i, mean := range s.TemperatureMeanC {
			s.TemperatureMinC[i] = mean - s.diurnalRangeC(i, p)/2
		}
		return diurnalRule(p)
	}
	for i, mean := range s.TemperatureMeanC {
		s.TemperatureMinC[i] = 2*mean - s.TemperatureMaxC[i]
	}
	return "the mean lies midway between minimum and maximum"
}

func diurnalRule(p Parameters) string {
	return fmt.Sprintf("daily range of temperature %g degC at midwinter and %g degC at midsummer, a cosine between",
		p.DiurnalRangeMidwinterC, p.DiurnalRangeMidsummerC)
}

// diurnalRangeC is the assumed daily range of temperature in a month (0 for
// January): a cosine between the midwinter and the midsummer value, which fall
// at the turn of December and June in the north and six months later in the
// south.
func (s *Site) diurnalRangeC(month int, p Parameters) float64 {
	phase := 2 * math.Pi * (float64(month) + 0.5) / 12
	if s.LatitudeDeg < 0 {
		phase += math.Pi
	}
	summer := (1 - math.Cos(phase)) / 2
	return p.DiurnalRangeMidwinterC + summer*(p.DiurnalRangeMidsummerC-p.DiurnalRangeMidwinterC)
}

func (s *Site) fillAirFrost(p Parameters) string {
	for i, minimum := range s.TemperatureMinC {
		s.AirFrostDays[i] = float64(daysInMonth[i]) * frostShare(minimum, p.DailyMinimumSpreadC)
	}
	return fmt.Sprintf("daily minimum normal about its monthly mean with a standard deviation of %g degC", p.DailyMinimumSpreadC)
}

// frostShare is the share of days whose minimum is below 0 degC when the daily
// minimum is normally distributed about the monthly mean.
func frostShare(meanMinimumC, spreadC float64) float64 {
	return 0.5 * math.Erfc(meanMinimumC/(spreadC*math.Sqrt2))
}
