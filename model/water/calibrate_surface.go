package water

import (
	"fmt"
	"math"
)

// SurfaceFound: the discharge was known to be free, and the ratio of wet surface
// to ring reading was set within its range so that the recorded days come back.
const SurfaceFound Outcome = "surface_found"

// CalibrateSurface explains a record from the surface, for a green whose base is
// known to drain: the discharge is given, and the ratio of wet surface to ring
// reading is moved within its range until as many days are lost as were
// recorded. Where even the slowest surface in the range loses too few, the
// discharge is lowered after all, at that ratio; where the fastest loses too
// many, the record is below the model. The error is a fault.List.
func (c *Curve) CalibrateSurface(recorded Months, ring RingMMPerH, softAboveShare, dischargeMMPerDay float64, p Parameters) (Calibration, error) {
	faults := c.checkRecord(recorded, ring, softAboveShare, p)
	faults = append(faults, checkBounds(bound{"/discharge_mm_per_day", dischargeMMPerDay, 0, mostConductivity, " mm/day"})...)
	if err := faults.Err(); err != nil {
		return Calibration{}, err
	}
	s := search{curve: c, ring: ring, soft: softAboveShare, target: recorded.Sum()}
	logDischarge := clamp(math.Log(dischargeMMPerDay), dischargeAxis.low, dischargeAxis.high)
	slow, fast := math.Log(p.WetSurfaceToRingRatioLow), math.Log(p.WetSurfaceToRingRatioHigh)
	atRatio := func(logRatio float64) float64 { return s.days(math.Exp(logRatio), logDischarge) }
	switch {
	case atRatio(fast) > s.target+withinDays:
		return s.report(p.WetSurfaceToRingRatioHigh, logDischarge, RecordBelowModel, recorded), nil
	case atRatio(slow) < s.target-withinDays:
		slowest := p
		slowest.WetSurfaceToRingRatio = p.WetSurfaceToRingRatioLow
		ratio, found, outcome := s.solve(slowest)
		return s.report(ratio, found, outcome, recorded), nil
	}
	ratio := math.Exp(falls(atRatio, slow, fast, s.target))
	return s.report(ratio, logDischarge, SurfaceFound, recorded), nil
}

// surfaceReason puts a calibration of the surface into words.
func (c Calibration) surfaceReason() string {
	return fmt.Sprintf("the base drains, so the surface accounts for the %.1f days recorded: wet and trodden it takes %.2g of the ring reading, %.2g mm/h",
		c.RecordedDays, c.WetSurfaceToRingRatio, float64(c.WetSurfaceMMPerH))
}
