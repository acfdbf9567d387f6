package main

import (
	"fmt"
	"strconv"
	"strings"

	"swardcase/costs"
	"swardcase/model"
)

// writeOptions prints the table of options side by side, then why each that
// does not pass does not.
func writeOptions(p *page, a model.Appraisal) {
	p.heading("Options side by side")
	writeOptionTable(p, a)
	p.line("Months playable: open on the main green, year %d. Months out: this green on a temporary.", model.JudgedYear(*a.Case.Money.HorizonYears))
	p.paragraph(fmt.Sprintf("Worth over present: net present value against the present programme, %d years at %s (%s).",
		*a.Case.Money.HorizonYears, discountText(*a.Case.Money), a.Case.Money.Basis))
	weeks := make([]string, len(a.Programmes))
	for i, programme := range a.Programmes {
		weeks[i] = fmt.Sprintf("%s %.0f", plain(programme.Name), programme.DisturbedWeeksPerYear)
	}
	p.hanging("Weeks of disturbed surface a year, on an open green: ", strings.Join(weeks, ", ")+".")
	for _, o := range a.Options {
		for _, reason := range o.Infeasible {
			p.item("x", o.Words+" cannot be done: "+reason.Text)
		}
	}
	for _, o := range a.Options {
		for _, shortfall := range o.Shortfalls {
			p.item("-", o.Words+": "+shortfall.Text)
		}
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
		meets := "yes"
		switch {
		case len(o.Infeasible) > 0:
			meets = "cannot"
		case len(o.Shortfalls) > 0:
			meets = "no"
		}
		payback := "-"
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			payback = fmt.Sprintf("%.1f y", *years)
		}
		rows = append(rows, tableRow{rowName(a, o.Option), []string{
			fmt.Sprintf("%.1f", o.Forecast.MonthsPlayableYear5), fmt.Sprintf("%.1f", o.MonthsOutOfPlay),
			write(o.Money.Capital), write(o.Money.YearlyUpkeep), write(o.Money.AgainstPresent.NetPresentValue), payback,
		}, meets})
	}
	return rows
}

// rowName names an option at the head of a row, the advised one marked.
func rowName(a model.Appraisal, o model.Option) string {
	if o == a.Recommendation.Option {
		return "> " + optionName(o)
	}
	return "  " + optionName(o)
}

// rounded prints a percentage to at most two places.
func rounded(pct float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(pct, 'f', 2, 64), "0"), ".")
}
