package pages

import (
	"fmt"
	"slices"
	"strings"

	"swardcase/api/pages/chart"
	"swardcase/costs"
	"swardcase/model"
)

// PlanCalendar draws the months in which the greens of a course plan are out of
// play.
func PlanCalendar(plan model.CoursePlan) chart.Drawing {
	drawn := chart.Timeline{
		ID: "plan", Title: strings.TrimSpace(plan.Title + ": greens out of play"),
		Summary:   fmt.Sprintf("The months in which each green of the plan is on a temporary. %s", plan.Headline),
		FirstYear: plan.FirstMonth.Year, FirstMonth: int(plan.FirstMonth.Month),
	}
	for _, k := range plan.Works {
		row := chart.TimelineRow{Words: k.Green + ": " + k.Words, After: k.StartsOn.String(), Works: k.StartsOn.String()}
		if k.OpensOn != nil {
			row.Start = float64(k.StartsOn.MonthsSince(plan.FirstMonth))
			row.Laid, row.End = float64(k.LaidOn.MonthsSince(plan.FirstMonth)), float64(k.OpensOn.MonthsSince(plan.FirstMonth))
			row.Laid = min(row.Laid+0.5, row.End) // somewhere in its month
			row.Wait, row.Opens = "from "+k.LaidOn.String(), k.OpensOn.String()
			row.After = row.After + " to " + k.OpensOn.String()
		}
		drawn.Rows = append(drawn.Rows, row)
	}
	return drawn.Draw()
}

// budgetPart is a part of what there was to spend in a year.
type budgetPart struct {
	words string
	of    func(model.PlanYear) costs.Money
	spent bool
}

// planBudget draws, for each year, what there was to spend and what became of it.
func planBudget(plan model.CoursePlan, write func(value, step float64) string) chart.Drawing {
	out := chart.Stacks{
		ID: "budget", Title: "Spent against the budget, year by year", Axis: "capital, and what is carried over", Write: write,
		Summary: "Each bar is what there was to spend: the budget of the year and what the year before left. What is carried over begins the next bar.",
	}
	parts := []budgetPart{
		{"works", func(y model.PlanYear) costs.Money { return y.Works }, true},
		{"mobilisation", func(y model.PlanYear) costs.Money { return y.Mobilisation }, true},
		{"interest", func(y model.PlanYear) costs.Money { return y.Interest }, true},
		{"carried over", func(y model.PlanYear) costs.Money { return y.Balance }, false},
		{"lapsed", func(y model.PlanYear) costs.Money { return y.Lapsed }, false},
	}
	parts = slices.DeleteFunc(parts, func(part budgetPart) bool {
		return !slices.ContainsFunc(plan.Cash, func(y model.PlanYear) bool { return part.of(y).Sign() > 0 })
	})
	for _, part := range parts {
		out.Parts = append(out.Parts, part.words)
	}
	for _, year := range plan.Cash {
		bar, spent := chart.StackBar{Words: yearWords(plan, year.Year)}, 0.0
		for _, part := range parts {
			value := max(0, part.of(year).Float())
			bar.Values = append(bar.Values, value)
			if part.spent {
				spent += value
			}
		}
		if year.Balance.Sign() < 0 {
			out.RangeWords = "owed at the end of the year: spent beyond what there was"
			bar.Low, bar.High = max(0, year.Brought.Float()+year.Budget.Float()), spent
		}
		out.Bars = append(out.Bars, bar)
	}
	return out.Draw()
}

// planCondition draws the mean condition of the course with the plan and without.
func planCondition(plan model.CoursePlan) chart.Drawing {
	with := chart.Series{Words: "with the plan", Label: "with the plan"}
	without := chart.Series{Words: "without it", Label: "without it"}
	for _, year := range plan.Condition {
		with.Values, without.Values = append(with.Values, year.IndexWith), append(without.Values, year.IndexWithout)
	}
	last := plan.Condition[len(plan.Condition)-1]
	return chart.Lines{
		ID: "course-condition", Title: "Condition of the course, year by year", FirstYear: 1, FadeAfter: fadeAfterYear,
		Axis: "mean condition index of the greens on the course", Series: []chart.Series{with, without},
		Summary: fmt.Sprintf("In year %d the mean index is %.0f with the plan and %.0f without it; 0 is worst and 100 best.", last.Year, last.IndexWith, last.IndexWithout),
		Write:   chart.Number,
	}.Draw()
}
