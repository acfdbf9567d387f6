package main

import (
	"fmt"
	"strings"

	"swardcase/model"
	"swardcase/model/condition"
	"swardcase/model/survey"
)

// conditionText prints a condition report.
func conditionText(r model.ConditionReport) string {
	var p page
	p.title(titleOf(r.Title, r.Green))
	p.paragraph(r.Condition.Headline)
	writeCondition(&p, r)
	writeCautions(&p, r.Cautions)
	return p.String()
}

func titleOf(title, green string) string {
	if title != "" {
		return title
	}
	return "Green " + green
}

// writeCondition prints measures, zones, lost days and diagnosis.
func writeCondition(p *page, r model.ConditionReport) {
	c := r.Condition
	p.heading("Condition: " + string(c.Grade))
	interval := "no interval: no measure has one"
	if c.Interval != nil {
		interval = fmt.Sprintf("%.0f to %.0f at %.0f %% confidence", c.Interval.Low, c.Interval.High, c.Interval.ConfidencePct)
	}
	p.hanging(left("all measures", 23)+bar(c.Index, 30)+"  ", fmt.Sprintf("index %.0f of 100 (%s)", c.Index, interval))
	for _, m := range c.Measures {
		writeMeasure(p, m, estimateOf(r.Survey, m.Measure))
	}
	if c.CausesScore != nil && c.OutcomeScore != nil {
		p.line("%s causes %.0f (infiltration, thatch, grass), outcome %.0f (months playable)", left("", 22), *c.CausesScore, *c.OutcomeScore)
	}
	for _, m := range c.MissingMeasures {
		p.line("not measured: %s; the index is incomplete", plain(m))
	}
	if len(c.Zones) > 1 {
		zones := make([]string, len(c.Zones))
		for i, z := range c.Zones {
			zones[i] = fmt.Sprintf("%s %.0f (%s)", z.Position, z.Index, z.Grade)
		}
		p.hanging("zones, worst first: ", strings.Join(zones, ", "))
	}
	writeLostDays(p, r.LostDays)
	writeDiagnosis(p, c.Diagnosis)
}

func estimateOf(s survey.Summary, m condition.Measure) survey.Estimate {
	return map[condition.Measure]survey.Estimate{
		"infiltration_mm_per_h":   s.Infiltration,
		"thatch_depth_mm":         s.ThatchDepth,
		"annual_meadow_grass_pct": s.AnnualMeadowGrass,
		"months_playable":         s.MonthsPlayable,
	}[m]
}

func writeMeasure(p *page, m condition.MeasureScore, e survey.Estimate) {
	if m.Value == nil {
		return
	}
	name := strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(string(m.Measure), "_mm_per_h"), "_mm"), "_pct")
	spread := "no interval"
	if e.Interval != nil {
		spread = fmt.Sprintf("%s to %s", figure(e.Interval.Low), figure(e.Interval.High))
	}
	unit := m.Unit
	if name == "months_playable" {
		unit = "months"
	}
	p.line("%s %s %s  %s %s (%s)", left(plain(name), 22), bar(*m.Score, 30), right(fmt.Sprintf("%.0f", *m.Score), 4),
		figure(*m.Value), unit, spread)
}

// figure prints a measure to about three digits.
func figure(value float64) string {
	switch {
	case value >= 100:
		return fmt.Sprintf("%.0f", value)
	case value >= 10:
		return fmt.Sprintf("%.1f", value)
	}
	return fmt.Sprintf("%.2g", value)
}

func writeLostDays(p *page, l model.LostDays) {
	estimated := ""
	if l.Estimated {
		estimated = " (causes estimated: record them)"
	}
	p.hanging("days lost in a year"+estimated+": ", fmt.Sprintf("waterlogged green %.0f, waterlogged course %.0f, frost %.0f, policy %.0f, works %.0f",
		total(l.WaterloggedGreenDays), total(l.WaterloggedCourseDays), total(l.FrostDays), total(l.PolicyDays), total(l.WorksDays)))
}

func total(months [12]float64) float64 {
	sum := 0.0
	for _, days := range months {
		sum += days
	}
	return sum
}

// writeDiagnosis prints what is present with its evidence, then what cannot be
// judged with the test that would settle it. What is absent is left out.
func writeDiagnosis(p *page, d condition.Diagnosis) {
	p.heading("Diagnosis")
	for _, verdict := range []condition.Verdict{condition.Present, condition.CannotJudge} {
		for _, f := range d.Findings {
			if f.Verdict != verdict {
				continue
			}
			words := fmt.Sprintf("%s (%s)", plain(f.Cause), plain(f.Kind))
			if verdict == condition.CannotJudge {
				p.item("?", words+": cannot be judged. "+f.SettleBy)
				continue
			}
			var evidence []string
			for _, e := range f.Evidence {
				evidence = append(evidence, e.Text)
			}
			p.item("*", words+": "+strings.Join(evidence, " "))
		}
	}
	p.item("-", d.UpkeepReason+" "+strings.Join(d.Trial.Reasons, " "))
}

func writeCautions(p *page, cautions []string) {
	p.heading("Cautions")
	for _, caution := range cautions {
		p.item("!", caution)
	}
}
