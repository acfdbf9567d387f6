package confidence

import (
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

// bindings lists every field once, to be filled and to be checked.
func (p *Parameters) bindings() []assumption.Binding {
	return []assumption.Binding{
		assumption.Bind("pert_likely_weight", &p.PERTLikelyWeight, 0, 100),
		assumption.Bind("confidence_draws", &p.Draws, leastDraws, mostDraws),
		assumption.Bind("break_even_scan_cells", &p.BreakEvenScanCells, 10, 10000),
	}
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	set.Fill(p.bindings())
	return p
}

// check refuses parameters without meaning. They come from the table of
// assumptions, so the pointer is the whole document and the detail names the row.
func (p Parameters) check() fault.List {
	return assumption.OutsideFaults(p.bindings())
}
