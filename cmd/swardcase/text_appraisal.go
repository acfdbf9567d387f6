package main

import (
	"fmt"

	"swardcase/api/report"
	"swardcase/model"
)

// appraisalText prints a whole appraisal, the answer first.
func appraisalText(a model.Appraisal) string {
	var p page
	p.title(report.Title(a.Case.Title, a.Case.Green.Name))
	p.paragraph(a.PriceStamp)
	writeRecommendation(&p, a)
	writeCondition(&p, a.Condition)
	writeOptions(&p, a)
	writeConfidence(&p, a)
	writeYears(&p, a)
	writeBill(&p, a)
	writeAccounts(&p, a)
	writeCautions(&p, a.Cautions)
	return p.String()
}

func writeRecommendation(p *page, a model.Appraisal) {
	r := a.Recommendation
	p.heading("Advice")
	p.paragraph(r.Headline)
	writeChances(p, a)
	p.line("")
	p.line("Because:")
	for _, reason := range r.Reasons {
		p.item("-", reason)
	}
	if len(r.WhatWouldChange) > 0 {
		p.line("What would change it:")
		for _, change := range r.WhatWouldChange {
			p.item("-", change)
		}
	}
}

// writeYears sets the advised option's months playable beside the present
// programme's.
func writeYears(p *page, a model.Appraisal) {
	advised := report.Advised(a)
	if advised.Option == model.Yardstick {
		return
	}
	p.heading("Months playable by year")
	years := report.Years(len(advised.Forecast.Years))
	row := func(name string, of func(int) string) {
		line := left(name, 36)
		for _, year := range years {
			line += right(of(year), 6)
		}
		p.line("%s", line)
	}
	months := func(o model.OptionAppraisal) func(int) string {
		return func(year int) string { return fmt.Sprintf("%.1f", o.Forecast.Years[year-1].MonthsPlayable) }
	}
	row("year", func(year int) string { return fmt.Sprint(year) })
	row("present programme", months(a.Options[0]))
	row(report.OptionName(advised.Option), months(advised))
	if words := report.WorksWords(advised); words != "" {
		p.paragraph(words)
	}
}

// writeBill prints the advised option's bill by section; an option without
// works has its year of upkeep instead.
func writeBill(p *page, a model.Appraisal) {
	advised := report.Advised(a)
	p.heading(report.BillHeading(a, advised))
	if advised.Drains.Reason != "" {
		p.paragraph("Drains: " + advised.Drains.Reason)
	}
	lines := report.BillLines(a, advised)
	amounts := make([]string, len(lines))
	for i, line := range lines {
		amounts[i] = line.Amount.Format()
	}
	widest := max(16, longest(amounts)+2)
	for i, line := range lines {
		p.line("%s%s", left(line.Words, 44), right(amounts[i], widest))
	}
	if upkeep := report.UpkeepAlone(a, advised); upkeep != nil {
		p.paragraph("Feeding and watering, whose savings are not credited: " + report.FeedingWords(upkeep.ProgrammeYear))
	}
}
