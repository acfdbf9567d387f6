package outline

import (
	"fmt"

	"swardcase/model/fault"
)

// CheckOptions lists what is wrong with the options of a layout in this shape,
// without drawing one. Pointers are relative to the options.
func (s *Shape) CheckOptions(o Options, p Parameters) fault.List {
	faults := p.check()
	plane, _ := s.FitPlane(p)
	_, bad := s.resolve(o, plane, p)
	faults = append(faults, bad...)
	// A stand-in fall: only the choice of pipe is looked at here.
	_, bad = SizePipe(o.Pipe, s.Measures().AreaM2, 0.01, p)
	return append(faults, under("/pipe", bad)...)
}

// check refuses an override that would make nonsense of what is measured. The
// constants that stand in for an option are checked with it.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, row := range [...]struct {
		name             string
		value, low, high float64
	}{
		{"plane_residual_limit_mm", p.PlaneResidualMM, 0, 10000},
		{"spot_level_error_mm", p.SpotLevelErrorMM, 0, 1000},
		{"holeable_edge_distance_m", p.HoleableEdgeM, 0, 50},
		{"holeable_greatest_slope_pct", p.HoleableSlopePct, 0, 100},
		{"pipe_least_velocity_m_per_s", p.LeastVelocityMPS, 0, 100},
		{"pipe_greatest_velocity_m_per_s", p.GreatestVelocityMPS, 0, 100},
	} {
		if !(row.value >= row.low && row.value <= row.high) {
			faults.Add(assumptionsPrefix+row.name, row.value, row.name+" is outside what the arithmetic can use",
				fmt.Sprintf("give a number between %g and %g", row.low, row.high))
		}
	}
	return faults
}
