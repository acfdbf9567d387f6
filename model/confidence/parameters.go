package confidence

import (
	"fmt"
	"math"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Parameters are the constants that the draws and searches take on trust.
type Parameters struct {
	// PERTLikelyWeight is the λ of the PERT distribution: how many times the
	// likely value counts against each end, 0 (uniform) to 100.
	PERTLikelyWeight float64
	// Draws is how many draws are made where the settings give no number, 100 to
	// 100,000.
	Draws float64
	// BreakEvenScanCells is how many equal parts a break-even search cuts its
	// range into before it closes in, 10 to 10,000. Two crossings within one part
	// hide each other.
	BreakEvenScanCells float64
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	return Parameters{
		PERTLikelyWeight:   set.Likely("pert_likely_weight"),
		Draws:              set.Likely("confidence_draws"),
		BreakEvenScanCells: set.Likely("break_even_scan_cells"),
	}
}

// check refuses parameters without meaning. They come from the table of
// assumptions, so the pointer is the whole document and the detail names the row.
func (p Parameters) check() fault.List {
	var faults fault.List
	for _, b := range []struct {
		name             string
		value, low, high float64
	}{
		{"pert_likely_weight", p.PERTLikelyWeight, 0, 100},
		{"confidence_draws", p.Draws, leastDraws, mostDraws},
		{"break_even_scan_cells", p.BreakEvenScanCells, 10, 10000},
	} {
		if math.IsNaN(b.value) || b.value < b.low || b.value > b.high {
			faults.Add("", b.value, fmt.Sprintf("the assumption %s makes no sense at this value", b.name),
				fmt.Sprintf("set %s from %g to %g", b.name, b.low, b.high))
		}
	}
	return faults
}
