package survey

import (
	"swardcase/model/assumption"
)

// Parameters are the constants that the summary takes on trust.
type Parameters struct {
	// ConfidencePct is the confidence of every interval, 50 to 99.9 %.
	ConfidencePct float64
	// RingTestsLeast and RingTestsMost are how many tests a green usually has.
	RingTestsLeast, RingTestsMost float64
	// ThatchReadingsLeast is how many cores a green should have.
	ThatchReadingsLeast float64
	// GrassMarginPct is how near the share of annual meadow grass should be
	// known either way, percentage points.
	GrassMarginPct float64
	// LateShare is the share of a double-ring test's time, at its end, that
	// counts as near steady, 0.01 to 1.
	LateShare float64
	// SettledChangePct is the difference between the last interval and the late
	// mean up to which a double-ring test counts as settled, %.
	SettledChangePct float64
	// ReadableDropMM is the smallest fall of the water that can be read, mm.
	ReadableDropMM float64
}

// bindings lists every field once, to be filled and to be checked.
func (p *Parameters) bindings() []assumption.Binding {
	return []assumption.Binding{
		assumption.Bind("survey_confidence_pct", &p.ConfidencePct, 50, 99.9),
		assumption.Bind("ring_tests_usual_least", &p.RingTestsLeast, 1, 100),
		assumption.Bind("ring_tests_usual_most", &p.RingTestsMost, 1, 100),
		assumption.Bind("thatch_readings_usual_least", &p.ThatchReadingsLeast, 1, 200),
		assumption.Bind("annual_meadow_grass_margin_pct", &p.GrassMarginPct, 0.1, 50),
		assumption.Bind("double_ring_late_share", &p.LateShare, 0.01, 1),
		assumption.Bind("double_ring_settled_change_pct", &p.SettledChangePct, 0, 100),
		assumption.Bind("ring_drop_readable_mm", &p.ReadableDropMM, 0.001, 50),
	}
}

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	var p Parameters
	set.Fill(p.bindings())
	return p
}

// check refuses parameters with which the formulas have no meaning. They come
// from the table of assumptions and not from the survey, so the pointer is the
// survey as a whole and the detail names the assumption.
func (p Parameters) check(c *checker) bool {
	outside := assumption.OutsideFaults(p.bindings())
	c.faults = append(c.faults, outside...)
	return len(outside) == 0
}
