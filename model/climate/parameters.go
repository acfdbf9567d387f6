package climate

import (
	"fmt"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the assumptions that this package takes on trust.
type Parameters struct {
	GrowthPotentialOptimumC       float64
	GrowthPotentialSpreadC        float64
	WetDayCoefficientAt1MMPerDay  float64
	WetDayExponent                float64
	DiurnalRangeMidwinterC        float64
	DiurnalRangeMidsummerC        float64
	DailyMinimumSpreadC           float64
	HargreavesSamaniLocalFactor   float64
	RainPersistenceShare          float64
	WetDayGammaShape              float64
	RecordMonthLeastCompleteShare float64
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	return Parameters{
		GrowthPotentialOptimumC:       set.Likely("growth_potential_optimum_c"),
		GrowthPotentialSpreadC:        set.Likely("growth_potential_spread_c"),
		WetDayCoefficientAt1MMPerDay:  set.Likely("wet_day_coefficient_at_1_mm_per_day"),
		WetDayExponent:                set.Likely("wet_day_exponent"),
		DiurnalRangeMidwinterC:        set.Likely("diurnal_range_midwinter_c"),
		DiurnalRangeMidsummerC:        set.Likely("diurnal_range_midsummer_c"),
		DailyMinimumSpreadC:           set.Likely("daily_minimum_spread_c"),
		HargreavesSamaniLocalFactor:   set.Likely("hargreaves_samani_local_factor"),
		RainPersistenceShare:          set.Likely("rain_persistence_share"),
		WetDayGammaShape:              set.Likely("wet_day_gamma_shape"),
		RecordMonthLeastCompleteShare: set.Likely("record_month_least_complete_share"),
	}
}

// check refuses parameters that an override has made absurd. The pointers name
// the assumption.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, r := range []struct {
		name             string
		value, low, high float64
	}{
		{"growth_potential_optimum_c", p.GrowthPotentialOptimumC, 0, 50},
		{"growth_potential_spread_c", p.GrowthPotentialSpreadC, 0.5, 30},
		{"wet_day_coefficient_at_1_mm_per_day", p.WetDayCoefficientAt1MMPerDay, 0.01, 10},
		{"wet_day_exponent", p.WetDayExponent, 0.1, 1},
		{"diurnal_range_midwinter_c", p.DiurnalRangeMidwinterC, 0, 30},
		{"diurnal_range_midsummer_c", p.DiurnalRangeMidsummerC, 0, 30},
		{"daily_minimum_spread_c", p.DailyMinimumSpreadC, 0.1, 20},
		{"hargreaves_samani_local_factor", p.HargreavesSamaniLocalFactor, 0.1, 5},
		{"rain_persistence_share", p.RainPersistenceShare, 0.01, 1},
		{"wet_day_gamma_shape", p.WetDayGammaShape, leastShape, mostShape},
		{"record_month_least_complete_share", p.RecordMonthLeastCompleteShare, 0.1, 1},
	} {
		if !(r.value >= r.low && r.value <= r.high) {
			faults.Add(fault.Pointer("assumptions", r.name), r.value, fmt.Sprintf("is outside %g to %g", r.low, r.high),
				"correct the override of this assumption")
		}
	}
	return faults
}
