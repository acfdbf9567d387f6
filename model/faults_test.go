package model

import (
	"slices"
	"testing"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// TestAFaultAmongAssumptionsStaysThere: some checks name the assumption in words
// only, and their pointer stops at the list.
func TestAFaultAmongAssumptionsStaysThere(t *testing.T) {
	low := 50.0
	for _, tt := range []struct {
		name     string
		override assumption.Override
	}{
		{"a value that layers cannot use", assumption.Override{Name: "trench_width_mm", Likely: 100, Low: &low}},
		{"two values out of order", assumption.Override{Name: "slow_subsoil_mm_per_h", Likely: 30}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := readCase(t, "green_14")
			c.Assumptions = append(slices.Clone(c.Assumptions), tt.override)
			faults := appraisalFaults(t, c)
			if slices.ContainsFunc(faults, func(f fault.Fault) bool { return f.Pointer != "/assumptions" }) {
				t.Errorf("faults at %v, want all at /assumptions", faults)
			}
		})
	}
}
