package survey

import (
	"fmt"
	"math"

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

// ParametersFrom takes the likely values from the table of assumptions.
func ParametersFrom(set assumption.Set) Parameters {
	return Parameters{
		ConfidencePct:       set.Likely("survey_confidence_pct"),
		RingTestsLeast:      set.Likely("ring_tests_usual_least"),
		RingTestsMost:       set.Likely("ring_tests_usual_most"),
		ThatchReadingsLeast: set.Likely("thatch_readings_usual_least"),
		GrassMarginPct:      set.Likely("annual_meadow_grass_margin_pct"),
		LateShare:           set.Likely("double_ring_late_share"),
		SettledChangePct:    set.Likely("double_ring_settled_change_pct"),
		ReadableDropMM:      set.Likely("ring_drop_readable_mm"),
	}
}

// check refuses parameters with which the formulas have no meaning. They come
// from the table of assumptions and not from the survey, so the pointer is the
// survey as a whole and the detail names the assumption.
func (p Parameters) check(c *checker) bool {
	sound := true
	for _, b := range []struct {
		name             string
		value, low, high float64
	}{
		{"survey_confidence_pct", p.ConfidencePct, 50, 99.9},
		{"ring_tests_usual_least", p.RingTestsLeast, 1, 100},
		{"ring_tests_usual_most", p.RingTestsMost, 1, 100},
		{"thatch_readings_usual_least", p.ThatchReadingsLeast, 1, 200},
		{"annual_meadow_grass_margin_pct", p.GrassMarginPct, 0.1, 50},
		{"double_ring_late_share", p.LateShare, 0.01, 1},
		{"double_ring_settled_change_pct", p.SettledChangePct, 0, 100},
		{"ring_drop_readable_mm", p.ReadableDropMM, 0.001, 50},
	} {
		if math.IsNaN(b.value) || b.value < b.low || b.value > b.high {
			sound = false
			c.faults.Add("", b.value, fmt.Sprintf("the assumption %s makes no sense at this value", b.name),
				fmt.Sprintf("set %s from %g to %g", b.name, b.low, b.high))
		}
	}
	return sound
}
