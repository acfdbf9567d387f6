package main

import (
	"fmt"

	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/confidence"
)

// writeChances prints how sure the advice is: the chance that the requirements
// are met first and largest, since that is what a committee wants to know, and
// what to approve.
func writeChances(p *page, r model.Recommendation) {
	if chance := r.MeetsRequirements; chance != nil {
		p.line("")
		p.line("CHANCE THAT IT MEETS EVERY REQUIREMENT   %s  %s", bar(100*chance.Probability, 30), percent(*chance))
	}
	if r.Best != nil {
		p.paragraph(fmt.Sprintf("(Of the options that qualify it is worth most in %s of the draws: that compares options and is no chance of turning out well.)", percent(*r.Best)))
	}
	switch {
	case r.ApproveCapital.Sign() <= 0:
	case r.ApproveCapitalP90 != nil:
		p.paragraph(fmt.Sprintf("Ask the meeting to approve %s to %s of capital: in four draws of five, and in nine of ten, it costs no more. The likely cost is exceeded as often as not.",
			r.ApproveCapital.About(), r.ApproveCapitalP90.About()))
	default:
		p.paragraph(fmt.Sprintf("Ask the meeting to approve %s of capital: the price book's high rates, since a likely cost is exceeded as often as not.",
			r.ApproveCapital.About()))
	}
}

// percent writes a chance with its error where that can be seen.
func percent(c confidence.ProbabilityWithError) string {
	shown := 100 * c.Probability
	switch {
	case c.Probability > 0.995:
		return "more than 99 %"
	case c.Probability < 0.005:
		return "less than 1 %"
	case c.StandardError >= 0.005:
		return fmt.Sprintf("%.0f %% (±%.0f)", shown, 100*c.StandardError)
	}
	return fmt.Sprintf("%.0f %%", shown)
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
	p.paragraph(fmt.Sprintf("%d draws, seed %d. In a tenth of them a figure is below P10, in a tenth above P90. No option qualifies in %.0f %% of them.",
		c.Draws, c.Seed, 100*c.NoOption.Probability))
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
	title := "What moves the worth of " + t.Option.Words()
	if t.Less != "" {
		title += ", less that of " + t.Less.Words()
	}
	p.paragraph(fmt.Sprintf("%s, most (%s where all is likely):", title, t.AtLikely.Whole()))
	const most = 8
	p.moneyTable([]int{20, 26}, func(write func(costs.Money) string) []tableRow {
		rows := []tableRow{}
		for _, bar := range t.Bars[:min(most, len(t.Bars))] {
			rows = append(rows, tableRow{left("  "+plain(bar.Input), 50), []string{
				fmt.Sprintf("%.4g to %.4g", bar.Low, bar.High), write(bar.AtLow) + " to " + write(bar.AtHigh),
			}, ""})
		}
		return rows
	})
}
