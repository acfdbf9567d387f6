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

// bindings lists every field once, to be filled and to be checked.
func (p *Parameters) bindings() []assumption.Binding {
	return []assumption.Binding{
		assumption.Bind("growth_potential_optimum_c", &p.GrowthPotentialOptimumC, 0, 50),
		assumption.Bind("growth_potential_spread_c", &p.GrowthPotentialSpreadC, 0.5, 30),
		assumption.Bind("wet_day_coefficient_at_1_mm_per_day", &p.WetDayCoefficientAt1MMPerDay, 0.01, 10),
		assumption.Bind("wet_day_exponent", &p.WetDayExponent, 0.1, 1),
		assumption.Bind("diurnal_range_midwinter_c", &p.DiurnalRangeMidwinterC, 0, 30),
		assumption.Bind("diurnal_range_midsummer_c", &p.DiurnalRangeMidsummerC, 0, 30),
		assumption.Bind("daily_minimum_spread_c", &p.DailyMinimumSpreadC, 0.1, 20),
		assumption.Bind("hargreaves_samani_local_factor", &p.HargreavesSamaniLocalFactor, 0.1, 5),
		assumption.Bind("rain_persistence_share", &p.RainPersistenceShare, 0.01, 1),
		assumption.Bind("wet_day_gamma_shape", &p.WetDayGammaShape, leastShape, mostShape),
		assumption.Bind("record_month_least_complete_share", &p.RecordMonthLeastCompleteShare, 0.1, 1),
	}
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	set.Fill(p.bindings())
	return p
}

// check refuses parameters that an override has made absurd. The pointers name
// the assumption.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, r := range assumption.Outside(p.bindings()) {
		faults.Add(fault.Pointer("assumptions", r.Name), *r.Field, fmt.Sprintf("is outside %g to %g", r.Low, r.High),
			"correct the override of this assumption")
	}
	return faults
}
