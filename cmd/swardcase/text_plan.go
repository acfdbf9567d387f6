package main

import (
	"fmt"
	"strings"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// planText prints a course plan, the answer first.
func planText(plan model.CoursePlan) string {
	var p page
	title := plan.Title
	if title == "" {
		title = "The course"
	}
	p.title(fmt.Sprintf("%s: a plan of %d years", title, plan.Years))
	p.paragraph(plan.PriceStamp)
	writePlanAnswer(&p, plan)
	writePlannedWorks(&p, plan)
	writePlanCalendar(&p, plan)
	writePlanCash(&p, plan)
	writePlanCondition(&p, plan)
	writePlanComparisons(&p, plan)
	writeCautions(&p, plan.Cautions)
	return p.String()
}

func writePlanAnswer(p *page, plan model.CoursePlan) {
	p.heading("The plan")
	p.paragraph(plan.Headline)
	p.paragraph("Of all plans that keep the rules, the one with " + plan.Objective.Words + ".")
	p.paragraph(report.PlanProven(plan))
	if t := plan.Totals; t != nil {
		p.line("")
		p.line("%s%s", left("capital of the works", 40), right(t.Works.Format(), 18))
		if t.Saved.Sign() > 0 {
			p.line("%s%s", left("  after what is saved by quantity", 40), right(t.Saved.Format(), 18))
		}
		p.line("%s%s", left("mobilisation, once a season", 40), right(t.Mobilisation.Format(), 18))
		p.line("%s%s", left("capital in all", 40), right(t.Capital.Format(), 18))
		p.line("%s%s", left("net present value over the present", 40), right(t.NetPresentValue.Format(), 18))
		p.line("%s%s", left("index-years gained, weighted", 40), right(fmt.Sprintf("%.1f", t.IndexYears), 18))
	}
	for _, s := range plan.Objective.Scenarios {
		p.item("-", fmt.Sprintf("%s: worth %s, against %s for the best plan of that scenario: a regret of %s.", s.Name, s.Plan.About(), s.Best.About(), s.Regret.About()))
	}
	if len(plan.Conflict) == 0 {
		return
	}
	p.line("These cannot be kept together; leave out any one of them, and there is a plan:")
	for _, rule := range plan.Conflict {
		p.item("-", rule.Text)
	}
	if !plan.ConflictSure {
		p.paragraph("The search for them was cut short: some may not be needed.")
	}
}

// writePlannedWorks lists the works year by year, with why.
func writePlannedWorks(p *page, plan model.CoursePlan) {
	year := 0
	for _, k := range plan.Works {
		if k.Year != year {
			year = k.Year
			p.heading(fmt.Sprintf("Year %d, from %s", year, plan.FirstMonth.AddMonths(12*(year-1))))
		}
		when := "from " + k.StartsOn.String()
		if k.OpensOn != nil {
			when = fmt.Sprintf("works from %s, open again in %s", k.StartsOn, k.OpensOn)
		}
		p.paragraph(fmt.Sprintf("%s: %s", k.Green, k.Words))
		capital := k.Capital.Format() + " of capital"
		if k.MobilisationShare.Sign() > 0 {
			capital += fmt.Sprintf(", of it %s of the season's mobilisation", k.MobilisationShare.Format())
		}
		p.hanging("  ", when+"; "+capital)
		p.hanging("  ", strings.Join(k.Reasons, " "))
	}
	if len(plan.LeftOut) == 0 {
		return
	}
	p.heading("Left as they are")
	for _, green := range plan.LeftOut {
		p.item("-", green.Green+": "+green.Reason)
	}
}

// writePlanCalendar draws the months out of play, a letter a month.
func writePlanCalendar(p *page, plan model.CoursePlan) {
	if len(plan.Calendar) == 0 {
		return
	}
	p.heading("Months out of play")
	last := 0
	for _, green := range plan.Calendar {
		for _, run := range green.Out {
			last = max(last, run.To.MonthsSince(plan.FirstMonth))
		}
	}
	const name = 14
	perLine := (textWidth - name) / 13 * 12
	for from := 0; from <= last; from += perLine {
		to := min(last+1, from+perLine)
		head := left("", name)
		for month := from; month < to; month += 12 {
			head += left(plan.FirstMonth.AddMonths(month).String(), 13)
		}
		p.line("%s", head)
		for _, green := range plan.Calendar {
			line, out := left(shortened(green.Green, name-1), name), false
			for month := from; month < to; month++ {
				mark := "."
				for _, run := range green.Out {
					if at := plan.FirstMonth.AddMonths(month); at.MonthsSince(run.From) >= 0 && run.To.MonthsSince(at) >= 0 {
						mark, out = "#", true
					}
				}
				if month > from && (month-from)%12 == 0 {
					line += " "
				}
				line += mark
			}
			if out {
				p.line("%s", line)
			}
		}
	}
	p.line("# this green on a temporary, for some of the month at least")
}

// shortened cuts a name to a width.
func shortened(text string, width int) string {
	if runes := []rune(text); len(runes) > width {
		return string(runes[:width])
	}
	return text
}

func writePlanCash(p *page, plan model.CoursePlan) {
	if len(plan.Cash) == 0 {
		return
	}
	p.heading("Money against the budget")
	interest, lapsed := false, false
	for _, y := range plan.Cash {
		interest, lapsed = interest || y.Interest.Sign() != 0, lapsed || y.Lapsed.Sign() != 0
	}
	widths := []int{11, 11, 11, 11, 11}
	for _, is := range []bool{interest, lapsed} {
		if is {
			widths = append(widths, 9)
		}
	}
	p.moneyTable(widths, func(write func(costs.Money) string) []tableRow {
		head := []string{"brought", "budget", "works", "mobilised", "left"}
		if interest {
			head = append(head, "interest")
		}
		if lapsed {
			head = append(head, "lapsed")
		}
		rows := []tableRow{{name: "year", figures: head}}
		for _, y := range plan.Cash {
			figures := []string{write(y.Brought), write(y.Budget), write(y.Works), write(y.Mobilisation), write(y.Balance)}
			if interest {
				figures = append(figures, write(y.Interest))
			}
			if lapsed {
				figures = append(figures, write(y.Lapsed))
			}
			rows = append(rows, tableRow{name: fmt.Sprintf("%d, from %s", y.Year, plan.FirstMonth.AddMonths(12*(y.Year-1))), figures: figures})
		}
		return rows
	})
}

func writePlanCondition(p *page, plan model.CoursePlan) {
	if len(plan.Condition) == 0 {
		return
	}
	p.heading("Condition of the course")
	row := func(name string, of func(model.ConditionYear) string) {
		line := left(name, 24)
		for _, y := range plan.Condition {
			line += right(of(y), 5)
		}
		p.line("%s", line)
	}
	row("year", func(y model.ConditionYear) string { return fmt.Sprint(y.Year) })
	row("index with the plan", func(y model.ConditionYear) string { return fmt.Sprintf("%.0f", y.IndexWith) })
	row("index without", func(y model.ConditionYear) string { return fmt.Sprintf("%.0f", y.IndexWithout) })
	row("months playable with", func(y model.ConditionYear) string { return fmt.Sprintf("%.1f", y.MonthsPlayableWith) })
	row("months playable without", func(y model.ConditionYear) string { return fmt.Sprintf("%.1f", y.MonthsPlayableWithout) })
}

// writePlanComparisons sets the plan against others.
func writePlanComparisons(p *page, plan model.CoursePlan) {
	if m := plan.MoreMoney; m != nil {
		p.heading(fmt.Sprintf("What %s more a year would buy", m.PerYear.Whole()))
		p.paragraph(report.PlanGain(m.Gain, m.AtMost, m.Proven))
		for _, change := range m.Changes {
			p.item("-", change)
		}
	}
	if len(plan.RuleCosts) > 0 {
		p.heading("What each rule costs")
		for _, rule := range plan.RuleCosts {
			p.item("-", rule.Text+": "+report.PlanGain(rule.Gain, rule.AtMost, rule.Proven))
		}
	}
	if plan.ComparisonsStoppedEarly {
		p.paragraph("These comparisons were stopped early.")
	}
	if len(plan.HandDrawn) == 0 {
		return
	}
	p.heading("Plans drawn by hand")
	for _, drawn := range plan.HandDrawn {
		p.paragraph(drawn.Words)
		p.hanging("  ", fmt.Sprintf("%d greens, %s of capital, %s of net present value, %.1f index-years.",
			drawn.Greens, drawn.Capital.About(), drawn.NetPresentValue.About(), drawn.IndexYears))
		for _, broken := range drawn.Broken {
			p.hanging("  ! ", "breaks "+broken)
		}
	}
}
