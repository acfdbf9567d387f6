package pages

import (
	"fmt"
	"html/template"
	"strings"
	"time"

	"swardcase/api/report"
	"swardcase/model"
)

// moneyOf is what the options cost and bring.
func moneyOf(a model.Appraisal, c charts) moneyPart {
	out := moneyPart{
		Cash: figureOf(c.cash()), CashNote: report.Prose(report.ValueNote(a)),
		Heading: report.BillHeading(a, c.advised), Drains: report.Prose(c.advised.Drains.Reason),
		Bill: report.BillLines(a, c.advised), WorthNote: report.WorthWords(a), Loan: prose(report.LoanWords(a)),
	}
	if d, some := c.capital(); some {
		f := figureOf(d)
		out.Capital = &f
	}
	if upkeep := report.UpkeepAlone(a, c.advised); upkeep != nil {
		out.Feeding = report.Prose("Feeding and watering, whose savings are not credited: " + report.FeedingWords(upkeep.ProgrammeYear))
	}
	for _, m := range a.Worth {
		out.Worth = append(out.Worth, worthRow{
			time.Month(m.Month).String(), about(m.VisitorIncome), about(m.FromVisitors), about(m.FromSubscriptions), about(m.Worth),
		})
	}
	return out
}

// playOf is what the options do for play.
func playOf(c charts) playPart {
	out := playPart{Months: figureOf(c.months()), Calendar: figureOf(c.calendar())}
	for _, year := range c.advised.Forecast.Years {
		for _, reason := range year.Reasons {
			if len(out.Turns) < mostTurns {
				out.Turns = append(out.Turns, fmt.Sprintf("Year %d: %s.", year.Year, strings.TrimSuffix(reason, ".")))
			}
		}
	}
	return out
}

// mostTurns is how many turns of a forecast the page tells.
const mostTurns = 8

// worksOf is what would be built, and when.
func worksOf(k kept, c charts) worksPart {
	out := worksPart{Words: report.Prose(report.WorksWords(c.advised)), Cautions: prose(c.advised.Cautions)}
	if d, some := c.timeline(); some {
		f := figureOf(d)
		out.Timeline, out.Words = &f, "" // the chart says it
	}
	if k.design == nil {
		return out
	}
	drawn := c.advised.Option
	if !drawn.HasWorks() {
		drawn = model.UsualRebuild
		out.Note = "No works are advised; the drawings are of the rebuild that the figures of the other options rest on. "
	}
	layout := ""
	if drawn.Route() == model.PartialRenovation {
		layout = model.SlitLayout
	}
	plan, err := k.design.DrawPlan(layout)
	if err == nil {
		out.Plan = template.HTML(plan) //nolint:gosec // made by model/outline, which escapes what it prints
	}
	section, err := k.design.DrawSection(drawn)
	if err == nil {
		out.Section = template.HTML(section) //nolint:gosec // made by model/layered, which escapes what it prints
	}
	if out.Plan != "" || out.Section != "" {
		out.Note += "Drawn to price and to discuss: not for tender, and no contract drawing."
	}
	if k.design.EngineVersion != k.answer.EngineVersion {
		out.Note += fmt.Sprintf(" They are drawn by engine version %s; the figures are of version %s.", k.design.EngineVersion, k.answer.EngineVersion)
	}
	return out
}
