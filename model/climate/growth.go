package climate

import "math"

// GrowthPotential is the growth of cool-season turf at a mean temperature
// (degC) as a share of its growth at the optimum, 0 to 1:
//
//	exp(−½ ((T − optimum)/spread)²)
//
// Gelernter and Stowell 2005, Golf Course Management, with 20 degC and 5.5.
// A temperature or a spread that is not a number gives 0.
func GrowthPotential(temperatureMeanC float64, p Parameters) float64 {
	z := (temperatureMeanC - p.GrowthPotentialOptimumC) / p.GrowthPotentialSpreadC
	if math.IsNaN(z) {
		return 0
	}
	return math.Exp(-z * z / 2)
}

// MonthlyGrowthPotential is the growth potential at each month's mean
// temperature, as the published tables have it.
func (s Site) MonthlyGrowthPotential(p Parameters) Months {
	var out Months
	for i, t := range s.TemperatureMeanC {
		out[i] = GrowthPotential(t, p)
	}
	return out
}

// DailyGrowthPotential is the growth potential at each day's normal
// temperature (see DailyTemperatureMeanC). Because the curve bends, a month's
// mean of it differs a little from MonthlyGrowthPotential.
func (s Site) DailyGrowthPotential(p Parameters) Days {
	out := s.DailyTemperatureMeanC()
	for i, t := range out {
		out[i] = GrowthPotential(t, p)
	}
	return out
}

// DailyTemperatureMeanC is the normal mean temperature of each day of the year
// in degC; each month's average is exactly the monthly normal.
func (s Site) DailyTemperatureMeanC() Days { return s.TemperatureMeanC.Daily() }

// Daily spreads twelve monthly means over 365 days: straight lines between
// nodes at mid-month, the nodes chosen so that the mean of each month's days is
// the monthly mean exactly. Plain interpolation between the means themselves
// would shave the peak of summer and fill the trough of winter. The method is
// Killworth's (1996, Journal of Physical Oceanography 26, "Time interpolation
// of forcing fields in ocean models"), with the months' true lengths.
// The nodes can lie outside the range of the means, so a quantity that cannot
// be negative needs a floor afterwards.
func (m Months) Daily() Days {
	nodes := killworthNodes(m)
	var out Days
	day := 0
	for month, length := range daysInMonth {
		for k := range length {
			w := nodeWeights(month, k)
			out[day] = w[0]*nodes[(month+11)%12] + w[1]*nodes[month] + w[2]*nodes[(month+1)%12]
			day++
		}
	}
	return out
}

// nodeWeights gives the shares of the nodes of the month before, this month and
// the month after in the value of day k (from 0) of a month: linear in time
// between the mid-months that enclose the middle of the day.
func nodeWeights(month, k int) [3]float64 {
	length := float64(daysInMonth[month])
	past := float64(k) + 0.5 - length/2 // days since mid-month
	if past < 0 {
		span := (length + float64(daysInMonth[(month+11)%12])) / 2
		return [3]float64{-past / span, 1 + past/span, 0}
	}
	span := (length + float64(daysInMonth[(month+1)%12])) / 2
	return [3]float64{0, 1 - past/span, past / span}
}

// killworthNodes solves for the mid-month values whose interpolated days
// average to the means. Each month's own weight is about 3/4 against 1/8 for
// each neighbour, so Gauss-Seidel sweeps shrink the error at least threefold;
// 60 sweeps leave nothing in double precision.
func killworthNodes(means Months) Months {
	const sweeps = 60
	var weights [12][3]float64
	for month, length := range daysInMonth {
		for k := range length {
			w := nodeWeights(month, k)
			for i := range w {
				weights[month][i] += w[i] / float64(length)
			}
		}
	}
	nodes := means
	for range sweeps {
		for month, w := range weights {
			rest := means[month] - w[0]*nodes[(month+11)%12] - w[2]*nodes[(month+1)%12]
			nodes[month] = rest / w[1]
		}
	}
	return nodes
}
