package model

import (
	"strings"
	"testing"
)

// TestASmallDifferenceIsNeverNothing: a requirement that is missed by little is not
// said to be missed by 0.0, nor by a figure that reads as the limit itself.
func TestASmallDifferenceIsNeverNothing(t *testing.T) {
	for _, tt := range []struct {
		value, limit       float64
		places             int
		figure, difference string
	}{
		{6.4, 10.5, 1, "6.4", "4.1"},
		{10.48, 10.5, 1, "10.48", "0.02"},
		{10.46, 10.5, 1, "10.46", "0.04"},
		{10.499, 10.5, 1, "10.50", "less than 0.01"},
		{39.7, 40, 0, "39.70", "0.30"},
		{33, 40, 0, "33", "7"},
		{7.04, 7, 1, "7.04", "0.04"},
	} {
		if figure, difference := apart(tt.value, tt.limit, tt.places); figure != tt.figure || difference != tt.difference {
			t.Errorf("%g against %g: %s, %s apart, want %s and %s", tt.value, tt.limit, figure, difference, tt.figure, tt.difference)
		}
	}
}

// TestAPaybackBesideALossIsExplained: money may come back before discounting and
// still be worth less than nothing at the discount rate. Nothing is paid back
// without a word on that.
func TestAPaybackBesideALossIsExplained(t *testing.T) {
	years, rate := 19.8, 3.5
	o := OptionAppraisal{Money: &OptionMoney{}}
	o.Money.AgainstPresent.Payback.Years = &years
	a := appraiserOf(t, "green_04")
	a.Case.Money.DiscountRatePct = &rate
	for _, tt := range []struct{ worth, want string }{
		{"-669.00", "It pays back in 19.8 years before discounting, but at the discount rate of 3.5 % it is worth -£669 against the present programme over 25 years."},
		{"669.00", "Against the present programme it is worth £669 over 25 years and pays back in 19.8 years."},
	} {
		o.Money.AgainstPresent.NetPresentValue = pounds(t, tt.worth)
		if got := a.moneyReason(o); got != tt.want {
			t.Errorf("worth %s: %s", tt.worth, got)
		}
	}
}

// appraiserOf opens the money of one of the demonstration's cases.
func appraiserOf(t *testing.T, name string) *appraiser {
	t.Helper()
	a, err := newAppraiser(readCase(t, name), nil)
	if err != nil {
		t.Fatal(err)
	}
	if a.purse, err = a.openPurse(); err != nil {
		t.Fatal(err)
	}
	return a
}

// TestOneRequirementIsNamedOnlyBesideAdviceThatPasses: where nothing meets every
// requirement, one of them is not all that stands in the way.
func TestOneRequirementIsNamedOnlyBesideAdviceThatPasses(t *testing.T) {
	option := func(o Option, worth string, missed ...Shortfall) OptionAppraisal {
		out := OptionAppraisal{Option: o, Words: o.Words(), Money: &OptionMoney{}, Shortfalls: missed, Passes: len(missed) == 0}
		out.Money.AgainstPresent.NetPresentValue = pounds(t, worth)
		return out
	}
	miss := Shortfall{Requirement: "least_months_playable", Text: "too few months", Relative: 0.1}
	others := []OptionAppraisal{option(Yardstick, "0.00", miss)}
	passes, fails := option(Option(IntensifiedAeration), "-5.00"), option(Option(IntensifiedAeration), "-5.00", miss)
	if got := relaxed(passes, others); !strings.HasPrefix(got, "One requirement keeps out the present programme") {
		t.Errorf("beside advice that passes: %q", got)
	}
	if got := relaxed(fails, others); got != "" {
		t.Errorf("beside advice that does not: %q", got)
	}
}

// TestAShortHorizonIsJudgedInItsLastYear: no sentence speaks of a fifth year that
// was never looked at.
func TestAShortHorizonIsJudgedInItsLastYear(t *testing.T) {
	c := readCase(t, "green_14")
	years := 3
	c.Money.HorizonYears = &years
	a := mustAppraise(t, c)
	text := asJSON(t, a.Recommendation)
	for _, o := range a.Options {
		for _, s := range o.Shortfalls {
			text += s.Text + "\n"
		}
	}
	if strings.Contains(text, "year 5") || !strings.Contains(text, "year 3") {
		t.Errorf("of a horizon of 3 years it says %s", text)
	}
}

// TestSharesAreWrittenWithoutTheirLastBits: 1 - 0.85 is not 0.15.
func TestSharesAreWrittenWithoutTheirLastBits(t *testing.T) {
	for _, name := range demoCases {
		a := mustAppraise(t, readCase(t, name))
		d := a.Condition.Condition.Diagnosis
		for _, share := range []float64{a.Enabling.GivenBackPct, d.SurfaceShare, d.DischargeShare} {
			if text := asJSON(t, share); len(text) > len("0.123456789") {
				t.Errorf("%s has a share of %s", name, text)
			}
		}
	}
}
