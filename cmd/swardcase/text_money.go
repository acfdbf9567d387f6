package main

import (
	"time"

	"swardcase/api/report"
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
		p.paragraph(report.WorthWords(a))
	}
	if words := report.LoanWords(a); len(words) > 0 {
		p.heading("The loan")
		for _, text := range words {
			p.paragraph(text)
		}
	}
}
