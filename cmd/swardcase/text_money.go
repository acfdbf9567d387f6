package main

import (
	"fmt"
	"time"

	"swardcase/costs"
	"swardcase/model"
)

// writeAccounts prints how the worth of a playable month follows from the
// club's accounts, and what a loan would cost; nothing where the case has
// neither.
func writeAccounts(p *page, a model.Appraisal) {
	if len(a.Worth) > 0 {
		p.heading("What a playable month of this green is worth")
		p.moneyTable([]int{18, 14, 18, 14}, func(write func(costs.Money) string) []tableRow {
			rows := []tableRow{{"", []string{"visitor income", "stays away", "subscriptions", "worth"}, ""}}
			for _, m := range a.Worth {
				rows = append(rows, tableRow{left(time.Month(m.Month).String(), 12), []string{
					write(m.VisitorIncome), write(m.FromVisitors), write(m.FromSubscriptions), write(m.Worth),
				}, ""})
			}
			return rows
		})
		first := a.Worth[0]
		p.paragraph(fmt.Sprintf("While this green alone is on a temporary, %s %% of visitor income stays away, and subscriptions of %s %% of members are at risk in a year.",
			rounded(first.StaysAwayPct), rounded(first.MembersAtRiskPct)))
	}
	if a.Financing == nil {
		return
	}
	loan := a.Financing.Loan
	p.heading("The loan")
	p.paragraph(fmt.Sprintf("%s at %s %% over %d years: %d payments a year of %s, %s of interest in all. It changes what is in hand each year, and not whether the works are worth doing.",
		loan.Principal.Format(), rounded(loan.RatePct), loan.TermYears, loan.PaymentsPerYear, loan.Payment.Format(), loan.InterestTotal.Format()))
	for _, o := range a.Financing.Options {
		if o.Option == a.Recommendation.Option {
			low := o.Flow.Years[0]
			for _, year := range o.Flow.Years {
				if year.Cumulative.Amount().LessThan(low.Cumulative.Amount()) {
					low = year
				}
			}
			p.paragraph(fmt.Sprintf("With it, %s leaves the club %s by the end of year %d, the lowest point, and %s still owed at the horizon.",
				o.Option.Words(), low.Cumulative.Whole(), low.Year, o.Flow.Outstanding.Whole()))
		}
	}
}
