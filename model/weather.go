package model

import "swardcase/model/climate"

func (r Resolved) climateParameters() climate.Parameters {
	return climate.ParametersFrom(r.assumptions)
}

// growthPotentialByMonth is the turf's growth as a share of its best, by
// calendar month.
func (r Resolved) growthPotentialByMonth() [12]float64 {
	return r.site.MonthlyGrowthPotential(r.climateParameters())
}

// growthPotentialByDay is the same for each day of a 365-day year.
func growthPotentialByDay(site climate.Site, p climate.Parameters) []float64 {
	days := site.DailyGrowthPotential(p)
	return days[:]
}
