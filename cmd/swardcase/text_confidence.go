package main

import (
	"fmt"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// writeChances prints how sure the advice is: the chance that the requirements
// are met first and largest, since that is what a committee wants to know, and
// what to approve.
func writeChances(p *page, a model.Appraisal) {
	r := a.Recommendation
	if chance := r.MeetsRequirements; chance != nil {
		p.line("")
		p.line("CHANCE THAT IT MEETS EVERY REQUIREMENT   %s  %s", bar(100*chance.Probability, 30), report.Percent(*chance))
	}
	if words := report.BestWords(r); words != "" {
		p.paragraph("(" + words + ")")
	}
	if words := report.ApproveWords(a); words != "" {
		p.paragraph(words)
	}
}

// writeConfidence prints the ranges of every option, and what moves the advised
// one most.
func writeConfidence(p *page, a model.Appraisal) {
	c := a.Confidence
	if c == nil {
		return
	}
	p.heading("How far it could move")
	p.moneyTable([]int{21, 23, 8, 7}, func(write func(costs.Money) string) []tableRow {
		rows := []tableRow{
			{"", []string{"capital", "worth over present", "meets", "best"}, ""},
			{"", []string{"P10 to P90", "P10 to P90", "all", ""}, ""},
		}
		for _, o := range c.Options {
			rows = append(rows, tableRow{rowName(a, o.Option), []string{
				write(o.Capital.P10) + " to " + write(o.Capital.P90), write(o.NetPresentValue.P10) + " to " + write(o.NetPresentValue.P90),
				fmt.Sprintf("%.0f %%", 100*o.MeetsRequirements.Probability), fmt.Sprintf("%.0f %%", 100*o.Best.Probability),
			}, ""})
		}
		return rows
	})
	p.paragraph(report.DrawsWords(*c))
	writeTornado(p, c.Tornado)
	for _, b := range c.BreakEvens {
		p.item("-", b.Text)
	}
}

// writeTornado prints the widest bars.
func writeTornado(p *page, t model.Tornado) {
	if len(t.Bars) == 0 {
		return
	}
	p.line("")
	p.paragraph(report.TornadoTitle(t) + ":")
	p.moneyTable([]int{20, 26}, func(write func(costs.Money) string) []tableRow {
		rows := []tableRow{}
		for _, bar := range t.Bars[:min(report.MostBars, len(t.Bars))] {
			from, to := report.InputEnds(bar.Input, bar.Low, bar.High)
			rows = append(rows, tableRow{left("  "+report.InputWords(bar.Input), 50), []string{
				from + " to " + to, write(bar.AtLow) + " to " + write(bar.AtHigh),
			}, ""})
		}
		return rows
	})
}
