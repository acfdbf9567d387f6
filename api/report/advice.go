package report

import (
	"fmt"
	"strings"

	"swardcase/costs"
	"swardcase/model"
)

// Advised is the option that an appraisal advises.
func Advised(a model.Appraisal) model.OptionAppraisal {
	return optionOf(a, a.Recommendation.Option)
}

// optionOf finds an option; where it is not there, the present programme.
func optionOf(a model.Appraisal, wanted model.Option) model.OptionAppraisal {
	for _, o := range a.Options {
		if o.Option == wanted {
			return o
		}
	}
	return a.Options[0]
}

// BestWords says how often the advised option is worth most, and that this is not
// how often it turns out well; empty without draws.
func BestWords(r model.Recommendation) string {
	if r.Best == nil {
		return ""
	}
	return fmt.Sprintf("Of the options that qualify it is worth most in %s of the draws: that compares options and is no chance of turning out well.", Percent(*r.Best))
}

// ApproveWords says what capital to put before a meeting, and what half of the
// draws cost more than; empty where there is no capital.
func ApproveWords(a model.Appraisal) string {
	r := a.Recommendation
	if r.ApproveCapital.Sign() <= 0 {
		return ""
	}
	half := HalfExceed(a)
	if half == nil || r.ApproveCapitalP90 == nil {
		return fmt.Sprintf("Ask the meeting to approve %s of capital: the price book's high rates. No draws were made, so that nothing says how often the likely cost is exceeded.",
			r.ApproveCapital.About())
	}
	return fmt.Sprintf("Ask the meeting to approve %s to %s of capital: in four draws of five, and in nine of ten, it costs no more. Half of the draws cost more than %s.",
		r.ApproveCapital.About(), r.ApproveCapitalP90.About(), half.About())
}

// HalfExceed is the capital of the advised option that half of the draws exceed;
// nil without draws.
func HalfExceed(a model.Appraisal) *costs.Money {
	if a.Confidence == nil {
		return nil
	}
	for _, o := range a.Confidence.Options {
		if o.Option == a.Recommendation.Option {
			return &o.Capital.P50
		}
	}
	return nil
}

// WorksWords says when an option's works happen; empty without works.
func WorksWords(o model.OptionAppraisal) string {
	t := o.Timeline
	if t == nil {
		return ""
	}
	return fmt.Sprintf("Works start on %s and take %.0f weeks; the surface is sown or laid on %s and the green opens on %s, after %.1f months on a temporary.",
		t.Opening.WorksStart, t.WorksWeeks, t.Opening.LaidOn, t.Opening.OpensOn, o.MonthsOutOfPlay)
}

// Years are those whose figures stand in a table: close at first, then wide.
func Years(horizon int) []int {
	var out []int
	for _, year := range []int{1, 2, 3, 5, 8, 10, 15, 20, 25, 30, 40} {
		if year <= horizon {
			out = append(out, year)
		}
	}
	return out
}

// DiscountWords says at which rate, or rates, the future is discounted.
func DiscountWords(m model.MoneyTerms) string {
	if m.DiscountRatePct != nil {
		return Rounded(*m.DiscountRatePct) + " %"
	}
	var rates []string
	for i, band := range m.DiscountBands {
		switch {
		case i == 0:
			rates = append(rates, Rounded(band.RatePct)+" %")
		case m.HorizonYears == nil || band.FromYear <= *m.HorizonYears:
			rates = append(rates, fmt.Sprintf("%s %% from year %d", Rounded(band.RatePct), band.FromYear))
		}
	}
	return strings.Join(rates, ", ")
}

// WorthWords say how the worth of a playable month follows from the accounts;
// empty where it was given outright.
func WorthWords(a model.Appraisal) string {
	if len(a.Worth) == 0 {
		return ""
	}
	first := a.Worth[0]
	return fmt.Sprintf("While this green alone is on a temporary, %s %% of visitor income stays away, and subscriptions of %s %% of members are at risk in a year.",
		Rounded(first.StaysAwayPct), Rounded(first.MembersAtRiskPct))
}

// LoanWords say what the loan costs, and how low the advised option takes what is
// in hand; nothing without a loan.
func LoanWords(a model.Appraisal) []string {
	if a.Financing == nil {
		return nil
	}
	loan := a.Financing.Loan
	out := []string{fmt.Sprintf("%s at %s %% over %d years: %d payments a year of %s, %s of interest in all. It changes what is in hand each year, and not whether the works are worth doing.",
		loan.Principal.Format(), Rounded(loan.RatePct), loan.TermYears, loan.PaymentsPerYear, loan.Payment.Format(), loan.InterestTotal.Format())}
	for _, o := range a.Financing.Options {
		if o.Option != a.Recommendation.Option {
			continue
		}
		low := o.Flow.Years[0]
		for _, year := range o.Flow.Years {
			if year.Cumulative.Amount().LessThan(low.Cumulative.Amount()) {
				low = year
			}
		}
		out = append(out, fmt.Sprintf("With it, %s leaves the club %s by the end of year %d, the lowest point, and %s still owed at the horizon.",
			o.Option.Words(), low.Cumulative.Whole(), low.Year, o.Flow.Outstanding.Whole()))
	}
	return out
}

// Line is a line of an account: words and an amount. Total marks a line that sums
// those above it.
type Line struct {
	Words  string
	Amount costs.Money
	Total  bool
}
