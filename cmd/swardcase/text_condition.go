package main

import (
	"fmt"

	"swardcase/api/report"
	"swardcase/model"
	"swardcase/model/condition"
)

// conditionText prints a condition report.
func conditionText(r model.ConditionReport) string {
	var p page
	p.title(report.Title(r.Title, r.Green))
	p.paragraph(r.Condition.Headline)
	writeCondition(&p, r)
	writeCautions(&p, r.Cautions)
	return p.String()
}

// writeCondition prints measures, zones, lost days and diagnosis.
func writeCondition(p *page, r model.ConditionReport) {
	c := r.Condition
	p.heading("Condition: " + string(c.Grade))
	p.hanging(left("all measures", 23)+bar(c.Index, 30)+"  ", fmt.Sprintf("index %.0f of 100 (%s)", c.Index, report.IndexIntervalWords(c)))
	for _, m := range report.Measures(r) {
		p.line("%s %s %s  %s (%s)", left(m.Name, 22), bar(m.Score, 30), right(fmt.Sprintf("%.0f", m.Score), 4), m.ValueWords(), m.IntervalWords())
	}
	if words := report.PartsWords(c); words != "" {
		p.line("%s %s", left("", 22), words)
	}
	for _, words := range report.MissingWords(c) {
		p.line("%s", words)
	}
	if words := report.ZonesWords(c); words != "" {
		p.hanging("zones, worst first: ", words)
	}
	writeLostDays(p, r.LostDays)
	writeDiagnosis(p, c.Diagnosis)
}

func writeLostDays(p *page, l model.LostDays) {
	p.hanging(report.LostDaysHeading(l)+": ", report.LostDaysWords(l))
}

// writeDiagnosis prints what is present with its evidence, then what cannot be
// judged with the test that would settle it. What is absent is left out.
func writeDiagnosis(p *page, d condition.Diagnosis) {
	p.heading("Diagnosis")
	for _, f := range report.Findings(d) {
		mark := "?"
		if f.Present {
			mark = "*"
		}
		p.item(mark, f.Name+": "+f.Words)
	}
	p.item("-", report.UpkeepWords(d))
}

func writeCautions(p *page, cautions []string) {
	p.heading("Cautions")
	for _, caution := range cautions {
		p.item("!", caution)
	}
}
