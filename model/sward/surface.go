package sward

import (
	"fmt"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Surface is how the new surface is made.
type Surface string

// The surfaces.
const (
	Seed         Surface = "seed"
	SupplierTurf Surface = "supplier_turf"
	NurseryTurf  Surface = "nursery_turf"
	ExistingTurf Surface = "existing_turf"
)

// Needs are what one surface asks for before it is played on; all must be met.
type Needs struct {
	// GrowthDays is growth added up: a day at growth potential 0.5 counts half.
	GrowthDays float64
	// MinimumWeeks is the least time since laying.
	MinimumWeeks float64
	// GrowingWeeks is the number of weeks whose days reach the growth potential
	// of good growing weather; they need not follow one another.
	GrowingWeeks float64
	// WaitsForSpringFromDayOfYear is the day of the year (of the north, 1 for
	// 1 January) from which what is sown or laid opens only after the winter.
	WaitsForSpringFromDayOfYear float64
}

// Parameters are the assumptions that establishment takes on trust.
type Parameters struct {
	Seed, SupplierTurf, NurseryTurf, ExistingTurf Needs
	// GrowingWeatherLeastGrowthPotential decides which days count in
	// GrowingWeeks.
	GrowingWeatherLeastGrowthPotential float64
	// The days of the year, 1 for 1 January, of the north; seeding is advised on
	// both its days, and no green is opened from the gate's closing day until
	// the day before it reopens.
	SeedingOpensDayOfYear  float64
	SeedingClosesDayOfYear float64
	GateClosesDayOfYear    float64
	GateReopensDayOfYear   float64
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	other := set.Likely("minimum_weeks_to_play_other_turf")
	waits := set.Likely("turf_waits_for_spring_from_day_of_year")
	return Parameters{
		Seed: Needs{
			GrowthDays:                  set.Likely("growth_days_to_play_seed"),
			GrowingWeeks:                set.Likely("growing_weeks_to_play_seed"),
			WaitsForSpringFromDayOfYear: set.Likely("seed_waits_for_spring_from_day_of_year"),
		},
		SupplierTurf: Needs{
			GrowthDays:                  set.Likely("growth_days_to_play_supplier_turf"),
			MinimumWeeks:                other,
			WaitsForSpringFromDayOfYear: waits,
		},
		NurseryTurf: Needs{
			GrowthDays:                  set.Likely("growth_days_to_play_nursery_turf"),
			MinimumWeeks:                other,
			WaitsForSpringFromDayOfYear: waits,
		},
		ExistingTurf: Needs{
			GrowthDays:                  set.Likely("growth_days_to_play_existing_turf"),
			MinimumWeeks:                set.Likely("minimum_weeks_to_play_existing_turf"),
			WaitsForSpringFromDayOfYear: waits,
		},
		GrowingWeatherLeastGrowthPotential: set.Likely("growing_weather_least_growth_potential"),
		SeedingOpensDayOfYear:              set.Likely("seeding_opens_day_of_year"),
		SeedingClosesDayOfYear:             set.Likely("seeding_closes_day_of_year"),
		GateClosesDayOfYear:                set.Likely("opening_gate_closes_day_of_year"),
		GateReopensDayOfYear:               set.Likely("opening_gate_reopens_day_of_year"),
	}
}

// needs returns what a surface asks for; ok is false for an unknown one.
func (p Parameters) needs(s Surface) (n Needs, ok bool) {
	switch s {
	case Seed:
		return p.Seed, true
	case SupplierTurf:
		return p.SupplierTurf, true
	case NurseryTurf:
		return p.NurseryTurf, true
	case ExistingTurf:
		return p.ExistingTurf, true
	}
	return Needs{}, false
}

// check refuses parameters that an override has made absurd. The pointers name
// the assumption.
func (p Parameters) check(faults *fault.List) {
	p.Seed.check("seed", "growing_weeks_to_play_seed", "seed_waits_for_spring_from_day_of_year", faults)
	p.SupplierTurf.check("supplier_turf", "minimum_weeks_to_play_other_turf", "turf_waits_for_spring_from_day_of_year", faults)
	p.NurseryTurf.check("nursery_turf", "minimum_weeks_to_play_other_turf", "turf_waits_for_spring_from_day_of_year", faults)
	p.ExistingTurf.check("existing_turf", "minimum_weeks_to_play_existing_turf", "turf_waits_for_spring_from_day_of_year", faults)
	checkRange("growing_weather_least_growth_potential", p.GrowingWeatherLeastGrowthPotential, 0, 1, faults)
	checkRange("seeding_opens_day_of_year", p.SeedingOpensDayOfYear, 1, yearDays, faults)
	checkRange("seeding_closes_day_of_year", p.SeedingClosesDayOfYear, 1, yearDays, faults)
	checkRange("opening_gate_closes_day_of_year", p.GateClosesDayOfYear, 1, yearDays, faults)
	checkRange("opening_gate_reopens_day_of_year", p.GateReopensDayOfYear, 1, yearDays, faults)
}

func (n Needs) check(surface, weeks, waits string, faults *fault.List) {
	checkRange("growth_days_to_play_"+surface, n.GrowthDays, 0, 1000, faults)
	checkRange(weeks, n.MinimumWeeks, 0, maxWorksWeeks, faults)
	checkRange(weeks, n.GrowingWeeks, 0, maxWorksWeeks, faults)
	checkRange(waits, n.WaitsForSpringFromDayOfYear, 1, yearDays, faults)
}

func checkRange(name string, value, low, high float64, faults *fault.List) {
	if !(value >= low && value <= high) {
		faults.Add(fault.Pointer("assumptions", name), value, fmt.Sprintf("is outside %g to %g", low, high), "correct the override of this assumption")
	}
}
