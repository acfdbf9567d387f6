package main

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"swardcase/costs"
	"swardcase/model"
)

// optionRow is a row of the table of options: its name, six figures set to the
// right, and one word.
type optionRow struct {
	name    string
	figures [6]string
	meets   string
}

// usualWidths are the widths of the figures where none is long.
var usualWidths = [6]int{10, 7, 10, 9, 11, 8}

// writeOptions prints the table of options side by side, then why each that
// does not pass does not.
func writeOptions(p *page, a model.Appraisal) {
	p.heading("Options side by side")
	writeOptionTable(p, a)
	p.line("Months playable: open on the main green, year %d. Months out: this green on a temporary.", judgedYear(a))
	p.line("Worth over present: net present value against the present programme, %d years at %s %% (%s).",
		*a.Case.Money.HorizonYears, rounded(*a.Case.Money.DiscountRatePct), a.Case.Money.Basis)
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

// judgedYear is the year in which the options are held to the requirements: the
// fifth, or the last of a shorter horizon.
func judgedYear(a model.Appraisal) int { return min(5, *a.Case.Money.HorizonYears) }

// writeOptionTable widens the columns to what stands in them. Amounts too long
// for the page are cut to three digits.
func writeOptionTable(p *page, a model.Appraisal) {
	rows := optionRows(a, costs.Money.Whole)
	widths, full := columnWidths(rows, usualWidths)
	if full > textWidth {
		rows = optionRows(a, costs.Money.Short)
		widths, _ = columnWidths(rows, [6]int{})
	}
	for _, row := range rows {
		line := left(row.name, optionNameWidth)
		for i, figure := range row.figures {
			line += right(figure, widths[i])
		}
		p.line("%s  %s", line, row.meets)
	}
}

// optionNameWidth holds the longest name of an option with its mark.
const optionNameWidth = 35

// columnWidths gives each column of figures its least width or its longest
// figure and a space, whichever is more, and the length of the longest line.
func columnWidths(rows []optionRow, least [6]int) (widths [6]int, full int) {
	widths = least
	meets := 0
	for _, row := range rows {
		for i, figure := range row.figures {
			widths[i] = max(widths[i], utf8.RuneCountInString(figure)+1)
		}
		meets = max(meets, len(row.meets))
	}
	full = optionNameWidth + 2 + meets
	for _, width := range widths {
		full += width
	}
	return widths, full
}

// optionRows is the table with its two lines of headings.
func optionRows(a model.Appraisal, write func(costs.Money) string) []optionRow {
	rows := []optionRow{
		{"", [6]string{"months", "months", "capital", "upkeep", "worth over", "pays"}, "meets"},
		{"", [6]string{"playable", "out", "", "a year", "present", "back"}, "all"},
	}
	for _, o := range a.Options {
		row := optionRow{name: "  " + optionName(o.Option), meets: "yes"}
		if o.Option == a.Recommendation.Option {
			row.name = "> " + optionName(o.Option)
		}
		switch {
		case len(o.Infeasible) > 0:
			row.meets = "cannot"
		case len(o.Shortfalls) > 0:
			row.meets = "no"
		}
		payback := "-"
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			payback = fmt.Sprintf("%.1f y", *years)
		}
		row.figures = [6]string{
			fmt.Sprintf("%.1f", o.Forecast.MonthsPlayableYear5), fmt.Sprintf("%.1f", o.MonthsOutOfPlay),
			write(o.Money.Capital), write(o.Money.YearlyUpkeep), write(o.Money.AgainstPresent.NetPresentValue), payback,
		}
		rows = append(rows, row)
	}
	return rows
}

// rounded prints a percentage to at most two places.
func rounded(pct float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(pct, 'f', 2, 64), "0"), ".")
}

// longest is the length of the longest text.
func longest(texts []string) int {
	most := 0
	for _, text := range texts {
		most = max(most, utf8.RuneCountInString(text))
	}
	return most
}
