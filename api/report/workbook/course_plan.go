package workbook

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// WriteCoursePlan writes the workbook of a course plan: what is done when, the
// money of each year against the budget, the calendar of greens out of play, the
// condition of the course, and what the plan rests on. Sums and balances are
// formulas; works, shares and budgets are figures, since choosing them anew takes
// the search and not a sheet. The same plan gives the same bytes.
func WriteCoursePlan(w io.Writer, plan model.CoursePlan) error {
	currency, known := costs.LookupCurrency(plan.Currency)
	if !known {
		return fmt.Errorf("workbook: the plan is in %q, which is no currency", plan.Currency)
	}
	file := newFile(currency, planTitle(plan), plan.PriceStamp)
	works := plannedWorksSheet(plan)
	for _, s := range []*sheet{works.sheet, planMoneySheet(plan, works), planCalendarSheet(plan), planConditionSheet(plan), planGroundsSheet(plan)} {
		if err := file.add(s); err != nil {
			return fmt.Errorf("workbook: sheet %s: %w", s.name, err)
		}
	}
	return file.write(w)
}

func planTitle(plan model.CoursePlan) string { return cmp.Or(plan.Title, "Plan of the course") }

// plannedWorks is the first sheet, and where its sum of capital stands; empty
// where nothing is done.
type plannedWorks struct {
	*sheet
	capital string
}

// plannedWorksSheet has a row for each green that is done.
func plannedWorksSheet(plan model.CoursePlan) plannedWorks {
	s := newSheet("Plan", 8, 16, 34, 12, 12, 12, 14, 16, 16, 16, 18, 12)
	s.title(planTitle(plan), plan.Headline)
	s.paragraph("What it makes greatest: " + plan.Objective.Words + ". " + report.PlanProven(plan))
	s.heading(">Year", "Green", "Option", "Starts", "Laid", "Opens", ">Months out of play", ">Works", ">Share of mobilisation", ">Capital", ">Net present value over the present programme", ">Index-years")
	s.freeze()
	first := s.next()
	for _, k := range plan.Works {
		row := s.next()
		s.add(cell{value: k.Year}, text(k.Green), wrapped(capitalised(k.Words)), text(k.StartsOn.String()), text(monthText(k.LaidOn)), text(monthText(k.OpensOn)),
			number(k.MonthsOutOfPlay, decimal1), amount(k.Works), amount(k.MobilisationShare),
			amount(k.Capital).by("ROUND(H%d+I%d,%d)", row, row, k.Capital.Currency().Places()), amount(k.NetPresentValue), number(k.IndexYears, decimal1))
		s.grow(row, 2, k.Words)
	}
	last := len(s.rows)
	if last < first || plan.Totals == nil {
		return plannedWorks{s, ""}
	}
	sum := func(column int, total costs.Money) cell {
		return amount(total).total().by("ROUND(SUM(%s:%s),%d)", at(column, first), at(column, last), total.Currency().Places())
	}
	row := s.add(cell{}, cell{}, strong("All").total(), cell{}, cell{}, cell{}, cell{}, sum(7, plan.Totals.Works), sum(8, plan.Totals.Mobilisation), sum(9, plan.Totals.Capital))
	s.paragraph("Net present value and index-years of a green leave out what greens share; those of the plan stand on the sheet of money by year.")
	return plannedWorks{s, s.from(9, row)}
}

func monthText(month *costs.YearMonth) string {
	if month == nil {
		return ""
	}
	return month.String()
}

// planMoneySheet has the money of each year against the budget. A budget may be
// changed: the balances follow, but the choice of works does not.
func planMoneySheet(plan model.CoursePlan, works plannedWorks) *sheet {
	s := newSheet("Money by year", 30, 17, 17, 17, 17, 17, 17, 17, 17)
	s.title("Money by year, against the budget", "Carried from the year before, plus the budget, less interest, what is spent and what lapses, is carried on. "+
		"A budget may be changed here, and the balances follow; the choice of works, interest and what lapses do not: plan anew for those.")
	s.heading("Year", ">Brought from before", ">Budget", ">Interest", ">Works", ">Mobilisation", ">Spent", ">Lapsed", ">Carried on")
	s.freeze()
	first := s.next()
	for i, y := range plan.Cash {
		row, places := s.next(), y.Spent.Currency().Places()
		brought := amount(y.Brought)
		if i > 0 {
			brought = brought.by("I%d", row-1)
		}
		s.add(cell{value: fmt.Sprintf("year %d, from %s", y.Year, plan.FirstMonth.AddMonths(12*(y.Year-1))), look: look{form: label}}, brought, amount(y.Budget).given(), amount(y.Interest),
			amount(y.Works), amount(y.Mobilisation), amount(y.Spent).by("ROUND(E%d+F%d,%d)", row, row, places), amount(y.Lapsed),
			amount(y.Balance).by("ROUND(B%d+C%d-D%d-G%d-H%d,%d)", row, row, row, row, row, places))
	}
	last := len(s.rows)
	if t := plan.Totals; t != nil && last >= first {
		spent, err := t.Capital.Sub(t.PaidAfter)
		if err != nil {
			return s // one currency throughout, so that this does not happen
		}
		places := spent.Currency().Places()
		row := s.add(strong("All").total(), cell{}, cell{}, amount(t.Interest).total().by("ROUND(SUM(D%d:D%d),%d)", first, last, places), cell{}, cell{},
			amount(spent).total().by("ROUND(SUM(G%d:G%d),%d)", first, last, places))
		s.add()
		after := s.add(text("Falls due after the plan"), cell{}, cell{}, cell{}, cell{}, cell{}, amount(t.PaidAfter))
		capital := amount(t.Capital).bold()
		if works.capital != "" {
			capital = capital.by("%s", works.capital)
		}
		s.add(strong("Capital of the plan"), cell{}, cell{}, cell{}, cell{}, cell{}, capital)
		s.add(text("Of it not accounted for"), cell{}, cell{}, cell{}, cell{}, cell{},
			amount(costs.Zero(spent.Currency())).by("ROUND(G%d-G%d-G%d,%d)", after+1, row, after, places))
		s.add()
		s.add(text("Net present value"), cell{}, cell{}, cell{}, cell{}, cell{}, amount(t.NetPresentValue))
		s.add(text("More upkeep a year, once all are done"), cell{}, cell{}, cell{}, cell{}, cell{}, amount(t.ExtraUpkeepPerYear))
	}
	return s
}

// planCalendarSheet has a row for each month of the plan and a column for each
// green that is out of play at some time.
func planCalendarSheet(plan model.CoursePlan) *sheet {
	months := 12 * plan.Years
	widths, names := []float64{12}, []string{"Month"}
	for _, green := range plan.Calendar {
		widths, names = append(widths, 10), append(names, ">"+green.Green)
		for _, out := range green.Out {
			months = max(months, out.To.MonthsSince(plan.FirstMonth)+1)
		}
	}
	s := newSheet("Calendar", append(widths, 14)...)
	s.title("Greens out of play, by month", "")
	s.add(text("1 where the main green is out of play for more than half a day of the month."))
	s.heading(append(names, ">Greens out")...)
	s.freeze()
	for i := range months {
		row, count := []cell{text(plan.FirstMonth.AddMonths(i).String())}, 0
		for _, green := range plan.Calendar {
			out := cell{}
			if isOut(green, plan.FirstMonth.AddMonths(i)) {
				out.value = 1
				count++
			}
			row = append(row, out)
		}
		sum := cell{value: count}.bold()
		if last := len(plan.Calendar); last > 0 {
			sum = sum.by("SUM(%s:%s)", at(1, s.next()), at(last, s.next()))
		}
		s.add(append(row, sum)...)
	}
	return s
}

// isOut reports whether the green is out of play in a month.
func isOut(green model.GreenCalendar, month costs.YearMonth) bool {
	return slices.ContainsFunc(green.Out, func(out model.MonthRange) bool {
		return month.MonthsSince(out.From) >= 0 && out.To.MonthsSince(month) >= 0
	})
}

// planConditionSheet has the mean of the greens on the course, year by year.
func planConditionSheet(plan model.CoursePlan) *sheet {
	s := newSheet("Condition", 12, 18, 18, 18, 24, 24)
	s.landscape = false
	s.title("Condition of the course, by year", "Mean of the greens on the course. Index: 0 is worst and 100 best. Months playable: open on the main green.")
	s.heading(">Year", ">Index with the plan", ">Index without", ">Gained", ">Months playable with the plan", ">Months playable without")
	s.freeze()
	for _, y := range plan.Condition {
		row := s.next()
		s.add(cell{value: y.Year}, number(y.IndexWith, general), number(y.IndexWithout, general), number(y.IndexWith-y.IndexWithout, decimal1).by("B%d-C%d", row, row),
			number(y.MonthsPlayableWith, general), number(y.MonthsPlayableWithout, general))
	}
	return s
}

// planGroundsSheet says why, what was left out, and what to take care of.
func planGroundsSheet(plan model.CoursePlan) *sheet {
	s := newSheet("Grounds", 24, 100)
	s.title("Why, and what to take care of", "")
	list := func(name string, words []string) {
		for _, text := range words {
			row := s.add(strong(name), wrapped(text))
			s.grow(row, 1, text)
			name = ""
		}
	}
	for _, k := range plan.Works {
		list(k.Green, []string{strings.Join(k.Reasons, " ")})
	}
	for _, green := range plan.LeftOut {
		list(green.Green+", left as it is", []string{green.Reason})
	}
	list("Take care", plan.Cautions)
	return s
}
