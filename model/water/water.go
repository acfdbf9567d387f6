// Package water works out how fast water gets into a green and out of it again,
// and from that the days on which the green cannot be played.
//
// Three things are told apart. The rate at which a wet, trodden winter surface
// takes water in; the rate at which drains and subsoil take water out of the
// profile (the discharge); and the share of the profile's store above which the
// surface is soft, which thatch lowers. A Weather holds a daily record spread
// over the hours of each day; Weather.Run carries the three through it and counts
// the lost days; a Curve tabulates them once for a site, so that every option,
// year and draw only looks them up; Curve.Calibrate finds the discharge that
// brings a recorded number of lost days back.
//
// Months are numbered from 0 (January) in arrays.
package water

import "swardcase/model/fault"

// Months holds one value for each calendar month, January first.
type Months [12]float64

// monthDays is the length of the months of a year without a leap day: lost days
// are always stated for such a year.
var monthDays = Months{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// Sum adds the twelve months.
func (m Months) Sum() float64 {
	total := 0.0
	for _, v := range m {
		total += v
	}
	return total
}

// LostDays are the days of a mean year on which the green is not in play, by
// cause. A day that is both frozen and waterlogged counts as frozen, since
// nothing done to the green would have opened it.
type LostDays struct {
	WaterloggedDays Months `json:"waterlogged_days"`
	FrostDays       Months `json:"frost_days"`
}

// MonthlyWater is the water of a mean year by month, in mm: what fell, and where
// it went. What is not accounted for was put into the profile or taken from it.
type MonthlyWater struct {
	RainMM               Months `json:"rain_mm"`
	EvapotranspirationMM Months `json:"evapotranspiration_mm"`
	DischargeMM          Months `json:"discharge_mm"`
	RunoffMM             Months `json:"runoff_mm"`
}

// bound is a field, its value and what it may be: the checks of the package are
// lists of these.
type bound struct {
	pointer          string
	value, low, high float64
	unit             string
}

// checkBounds returns a fault for each value outside its bounds; NaN is outside
// any.
func checkBounds(bounds ...bound) fault.List {
	var faults fault.List
	for _, b := range bounds {
		if !(b.value >= b.low && b.value <= b.high) {
			faults.Add(b.pointer, b.value, "is outside "+number(b.low)+" to "+number(b.high)+b.unit, "give a number in that range")
		}
	}
	return faults
}

// clamp bounds x; NaN becomes low.
func clamp(x, low, high float64) float64 {
	if !(x >= low) {
		return low
	}
	return min(x, high)
}

// What the package will work with, whatever a case says.
const (
	leastSoftShare, mostSoftShare       = 0.3, 0.98
	leastConductivity, mostConductivity = 1e-3, 1e5 // mm/h
)
