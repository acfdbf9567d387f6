package main

import (
	"fmt"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// writeOptions prints the table of options side by side, then why each that
// does not pass does not.
func writeOptions(p *page, a model.Appraisal) {
	p.heading("Options side by side")
	writeOptionTable(p, a)
	p.line("%s", report.MonthsNote(a))
	p.paragraph(report.ValueNote(a))
	p.hanging(report.DisturbedHeading+": ", report.DisturbedWords(a))
	for _, words := range report.CannotWords(a) {
		p.item("x", words)
	}
	for _, words := range report.ShortfallWords(a) {
		p.item("-", words)
	}
}

// writeOptionTable prints the figures that a committee compares.
func writeOptionTable(p *page, a model.Appraisal) {
	p.moneyTable([]int{10, 7, 10, 9, 11, 8}, func(write func(costs.Money) string) []tableRow { return optionRows(a, write) })
}

// optionRows is the table with its two lines of headings.
func optionRows(a model.Appraisal, write func(costs.Money) string) []tableRow {
	rows := []tableRow{
		{"", []string{"months", "months", "capital", "upkeep", "worth over", "pays"}, "meets"},
		{"", []string{"playable", "out", "", "a year", "present", "back"}, "all"},
	}
	for _, o := range a.Options {
		payback := "-"
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			payback = fmt.Sprintf("%.1f y", *years)
		}
		rows = append(rows, tableRow{rowName(a, o.Option), []string{
			fmt.Sprintf("%.1f", o.Forecast.MonthsPlayableYear5), fmt.Sprintf("%.1f", o.MonthsOutOfPlay),
			write(o.Money.Capital), write(o.Money.YearlyUpkeep), write(o.Money.AgainstPresent.NetPresentValue), payback,
		}, report.Verdict(o)})
	}
	return rows
}

// rowName names an option at the head of a row, the advised one marked.
func rowName(a model.Appraisal, o model.Option) string {
	if o == a.Recommendation.Option {
		return "> " + report.OptionName(o)
	}
	return "  " + report.OptionName(o)
}
