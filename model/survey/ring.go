package survey

import "math"

// ViscosityUPaS is the dynamic viscosity of liquid water at 0.1 MPa in
// micropascal seconds, for a temperature of 0 to 40 °C (the formula holds from
// −20 to 110 °C).
//
// Source: J. Pátek, J. Hrubý, J. Klomfar, M. Součková and A. H. Harvey,
// Reference correlations for thermophysical properties of liquid water at 0.1
// MPa, Journal of Physical and Chemical Reference Data 38 (2009), the
// correlation for viscosity, which represents the IAPWS formulation of 2008.
func ViscosityUPaS(temperatureC float64) float64 {
	t := (temperatureC + 273.15) / 300
	return 280.68*math.Pow(t, -1.9) + 511.45*math.Pow(t, -7.7) +
		61.131*math.Pow(t, -19.6) + 0.45903*math.Pow(t, -40)
}

var viscosityAt20UPaS = ViscosityUPaS(20)

// ViscosityRatio is the viscosity of water at the given temperature (0 to 40
// °C) divided by that at 20 °C: above 1 for colder water. A rate measured at
// that temperature times this ratio is the rate at 20 °C, because flow through
// soil is inversely proportional to viscosity (Darcy's law; the change of
// density over the range is under 1 % and is left out).
func ViscosityRatio(temperatureC float64) float64 {
	return ViscosityUPaS(temperatureC) / viscosityAt20UPaS
}

// DepthMM is the depth in mm that a volume in ml makes in a ring of the given
// inside diameter in mm.
func DepthMM(volumeML, boreMM float64) float64 {
	return volumeML * 1000 / (math.Pi / 4 * boreMM * boreMM)
}

// RingRateMMPerH is the rate in mm/h, at the temperature of the water, at which
// a volume in ml sank in from a single ring of the given inside diameter in mm
// in the given minutes. It is the volume over the area of the ring over time:
// no allowance is made for water that escaped sideways below the ring, so a
// small ring reads high.
func RingRateMMPerH(volumeML, boreMM, minutes float64) float64 {
	return DepthMM(volumeML, boreMM) / minutes * 60
}

// RunRates is what one double-ring test gave, at the temperature of its water.
type RunRates struct {
	Minutes       float64 `json:"minutes"`
	AccumulatedMM float64 `json:"accumulated_mm"`
	// MeanMMPerH is the accumulated depth over the whole time.
	MeanMMPerH float64 `json:"mean_rate_mm_per_h"`
	// LateMinutes and LateDropMM are the near-steady part at the end.
	LateMinutes float64 `json:"late_minutes"`
	LateDropMM  float64 `json:"late_drop_mm"`
	// LateMMPerH is their quotient: the reading.
	LateMMPerH float64 `json:"late_rate_mm_per_h"`
	// FinalMMPerH is the rate of the last interval alone.
	FinalMMPerH float64 `json:"final_rate_mm_per_h"`
	// Settled is true when the last interval and the late mean are close enough
	// to call the rate steady. It is false when the last interval is all there
	// is of the late part, because one interval cannot show that nothing changes.
	Settled bool `json:"settled"`
}

// Run reads a double-ring test.
//
// The reading is the time-weighted mean over the late part of the test: by
// default its last third. The first part fills dry pores by suction, which a
// wet green in winter does not do, so a mean of the whole test flatters the
// green; the last interval alone is the nearest to steady, but rests on one
// difference of two scale readings. An interval that straddles the start of the
// late part counts by the share of it that lies inside.
//
// Rates are never summed nor averaged as they stand: intervals differ in
// length, so the sum of rates is not the depth and the mean of rates is not the
// mean rate. lateShare is above 0, up to 1; settledChangePct is in % of the
// late mean. With no intervals the result is zero.
func Run(intervals []RingInterval, lateShare, settledChangePct float64) RunRates {
	if len(intervals) == 0 {
		return RunRates{}
	}
	var r RunRates
	for _, interval := range intervals {
		r.Minutes += interval.Minutes
		r.AccumulatedMM += interval.DropMM
	}
	r.LateMinutes = r.Minutes * lateShare
	left := r.LateMinutes
	for i := len(intervals) - 1; i >= 0 && left > 0; i-- {
		inside := min(left, intervals[i].Minutes)
		r.LateDropMM += intervals[i].DropMM * (inside / intervals[i].Minutes)
		left -= inside
	}
	last := intervals[len(intervals)-1]
	r.MeanMMPerH = r.AccumulatedMM / r.Minutes * 60
	r.LateMMPerH = r.LateDropMM / r.LateMinutes * 60
	r.FinalMMPerH = last.DropMM / last.Minutes * 60
	steady := math.Abs(r.FinalMMPerH-r.LateMMPerH) <= settledChangePct/100*r.LateMMPerH
	r.Settled = steady && last.Minutes < r.LateMinutes
	return r
}
