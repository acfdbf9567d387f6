package sward_test

import (
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/sward"
)

// TestInvasionRunsThroughThePublishedTrials: seed-company trials sown in 2006
// and 2009 (northern England with wear, surveyed after 51 months; Druids Glen
// without wear, after 26 months; trial booklet, indicative since sponsored)
// found 6.3 to 17.7 % after 26 months and about 10 to 20 % after 51. From a
// clean seedbed the likely dry rate and ceiling must land in the band of the
// second; sward after 26 months lies below its band, because a seed surface is
// credited with a cleaner start than the trials had.
func TestInvasionRunsThroughThePublishedTrials(t *testing.T) {
	clean := sward.Invasion{StartPct: 1, CeilingPct: 40, RatePerY: 0.7, FallPctPointsPerY: 2}
	if got := clean.After(51.0 / 12); got < 8 || got > 20 {
		t.Errorf("after 51 months %.1f %%, want 8 to 20 %%", got)
	}
	trialStart := sward.Invasion{StartPct: 3, CeilingPct: 40, RatePerY: 0.7, FallPctPointsPerY: 2}
	if got := trialStart.After(26.0 / 12); got < 6.3 || got > 17.7 {
		t.Errorf("from 3 %%, after 26 months %.1f %%, want 6.3 to 17.7 %%", got)
	}
}

func TestInvasionIsMonotoneAndBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i := sward.Invasion{
			StartPct:          rapid.Float64Range(0, 100).Draw(t, "start"),
			CeilingPct:        rapid.Float64Range(1, 100).Draw(t, "ceiling"),
			RatePerY:          rapid.Float64Range(0.01, 3).Draw(t, "rate"),
			FallPctPointsPerY: rapid.Float64Range(0, 10).Draw(t, "fall"),
		}
		earlier := rapid.Float64Range(0, 50).Draw(t, "earlier")
		later := earlier + rapid.Float64Range(0, 50).Draw(t, "more")
		a, b := i.After(earlier), i.After(later)
		if a < 0 || a > 100 || b < 0 || b > 100 {
			t.Fatalf("out of bounds: %g, %g", a, b)
		}
		if i.StartPct < i.CeilingPct && b < a-1e-9 {
			t.Fatalf("below the ceiling it fell from %g to %g", a, b)
		}
		if i.StartPct > i.CeilingPct && b > a+1e-9 {
			t.Fatalf("above the ceiling it rose from %g to %g", a, b)
		}
		if more := i; more.StartPct < 100 {
			more.StartPct = min(100, more.StartPct+1)
			if more.After(later) < b-1e-9 {
				t.Fatalf("a dirtier start ends cleaner")
			}
		}
	})
}
