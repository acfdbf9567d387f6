package pages

import (
	"fmt"
	"slices"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// planView is a course plan in words and charts, the answer first.
type planView struct {
	Stamp, Headline, Objective, Proven string
	Facts                              []fact
	Scenarios                          []string
	Conflict                           []string
	ConflictSure                       bool
	Years                              []planYearView
	LeftOut                            []detail
	Cash                               []cashRow
	Owed, Lapses                       bool // whether any year has interest, or money that lapses
	Condition                          []conditionRow
	Charts                             []figure // the calendar and the budget
	Course                             *figure  // condition, with the plan and without
	MoreMoney                          *moreMoneyView
	Rules                              []detail
	StoppedEarly                       bool // the comparisons
	HandDrawn                          []handDrawnView
	Cautions                           []string
}

// planYearView is what is begun in one year of a plan.
type planYearView struct {
	Words string
	Works []plannedView
}

type plannedView struct {
	Green, Words, Months, Capital string
	Reasons                       []string
}

type cashRow struct {
	Year, Brought, Budget, Interest, Works, Mobilisation, Lapsed, Balance string
}

type conditionRow struct{ Year, With, Without, MonthsWith, MonthsWithout string }

type moreMoneyView struct {
	Title, Gain string
	Changes     []string
}

type handDrawnView struct {
	Words, Greens, Capital, Value, IndexYears string
	Broken                                    []string
}

// yearWords names a year of a plan.
func yearWords(plan model.CoursePlan, year int) string {
	return report.Prose(fmt.Sprintf("Year %d, from %s", year, plan.FirstMonth.AddMonths(12*(year-1))))
}

// planViewOf says what a plan comes to.
func planViewOf(plan model.CoursePlan) (planView, error) {
	currency, known := costs.LookupCurrency(plan.Currency)
	if !known {
		return planView{}, fmt.Errorf("show a course plan: its currency %q is not known", plan.Currency)
	}
	out := planView{
		Stamp: plan.PriceStamp, Headline: report.Prose(plan.Headline), Proven: report.Prose(report.PlanProven(plan)),
		Objective: "Of all plans that keep the rules, the one with " + plan.Objective.Words + ".",
		Facts:     planFacts(plan), ConflictSure: plan.ConflictSure, StoppedEarly: plan.ComparisonsStoppedEarly,
		Years: planYears(plan), Cautions: prose(plan.Cautions),
	}
	out.Cautions = slices.DeleteFunc(out.Cautions, func(text string) bool { return text == plan.PriceStamp })
	for _, s := range plan.Objective.Scenarios {
		out.Scenarios = append(out.Scenarios, report.Prose(fmt.Sprintf("%s: worth %s, against %s for the best plan of that scenario: a regret of %s.",
			s.Name, s.Plan.About(), s.Best.About(), s.Regret.About())))
	}
	for _, rule := range plan.Conflict {
		out.Conflict = append(out.Conflict, report.Prose(rule.Text))
	}
	for _, green := range plan.LeftOut {
		out.LeftOut = append(out.LeftOut, detail{green.Green, report.Prose(green.Reason)})
	}
	out.compare(plan)
	out.tables(plan)
	out.draw(plan, currency)
	return out, nil
}

// planFacts are the figures of the answer.
func planFacts(plan model.CoursePlan) []fact {
	t := plan.Totals
	if t == nil {
		return nil
	}
	budget := costs.Zero(t.Capital.Currency())
	for _, year := range plan.Cash {
		if sum, err := budget.Add(year.Budget); err == nil { // of one currency
			budget = sum
		}
	}
	out := []fact{
		{"Greens done", fmt.Sprintf("%d of %d", len(plan.Works), len(plan.Works)+len(plan.LeftOut)), ""},
		{"Capital", exact(t.Capital), "against " + exact(budget) + " of budget; " + exact(t.Mobilisation) + " of it is mobilisation"},
		{"Net present value", about(t.NetPresentValue), "over the present programme"},
		{"Index-years gained", report.Minus(fmt.Sprintf("%.0f", t.IndexYears)), "over the present programme, weighted"},
		{"Upkeep", about(t.ExtraUpkeepPerYear) + " a year", "more than now, once all are done; no budget of the plan has it"},
	}
	if first, last := plan.Works, len(plan.Works)-1; last >= 0 {
		out[0].Note = report.Prose(fmt.Sprintf("the first from %s, the last from %s", first[0].StartsOn, first[last].StartsOn))
	}
	if t.PaidAfter.Sign() > 0 {
		out = append(out, fact{"Paid after the plan", exact(t.PaidAfter), "of the capital"})
	}
	return out
}

func planYears(plan model.CoursePlan) []planYearView {
	var out []planYearView
	year := 0
	for _, k := range plan.Works {
		if k.Year != year {
			year = k.Year
			out = append(out, planYearView{Words: yearWords(plan, year)})
		}
		when := "from " + k.StartsOn.String()
		if k.OpensOn != nil {
			when = fmt.Sprintf("from %s, open again in %s", k.StartsOn, k.OpensOn)
		}
		here := &out[len(out)-1]
		here.Works = append(here.Works, plannedView{
			Green: k.Green, Words: report.Prose(k.Words + ", " + when), Months: fmt.Sprintf("%.1f", k.MonthsOutOfPlay),
			Capital: exact(k.Capital), Reasons: prose(k.Reasons),
		})
	}
	return out
}

func (v *planView) tables(plan model.CoursePlan) {
	for _, y := range plan.Cash {
		v.Owed, v.Lapses = v.Owed || y.Interest.Sign() != 0, v.Lapses || y.Lapsed.Sign() != 0
		v.Cash = append(v.Cash, cashRow{
			yearWords(plan, y.Year), exact(y.Brought), exact(y.Budget), exact(y.Interest), exact(y.Works), exact(y.Mobilisation), exact(y.Lapsed), exact(y.Balance),
		})
	}
	for _, y := range plan.Condition {
		v.Condition = append(v.Condition, conditionRow{
			yearWords(plan, y.Year), fmt.Sprintf("%.0f", y.IndexWith), fmt.Sprintf("%.0f", y.IndexWithout),
			fmt.Sprintf("%.1f", y.MonthsPlayableWith), fmt.Sprintf("%.1f", y.MonthsPlayableWithout),
		})
	}
}

func (v *planView) draw(plan model.CoursePlan, currency costs.Currency) {
	if len(plan.Calendar) > 0 {
		calendar := PlanCalendar(plan)
		calendar.Title = "Months out of play"
		v.Charts = append(v.Charts, figureOf(calendar))
	}
	if len(plan.Cash) > 0 {
		v.Charts = append(v.Charts, figureOf(planBudget(plan, moneyWriter(currency))))
	}
	if len(plan.Condition) > 0 {
		course := figureOf(planCondition(plan))
		v.Course = &course
	}
}

// compare sets the plan against others.
func (v *planView) compare(plan model.CoursePlan) {
	if m := plan.MoreMoney; m != nil {
		v.MoreMoney = &moreMoneyView{
			"What " + m.PerYear.Whole() + " more a year would buy", report.Prose(report.Sentence(report.PlanGain(m.Gain, m.AtMost, m.Proven))), prose(m.Changes),
		}
	}
	for _, rule := range plan.RuleCosts {
		v.Rules = append(v.Rules, detail{report.Sentence(report.Prose(rule.Text)), report.Prose(report.PlanGain(rule.Gain, rule.AtMost, rule.Proven))})
	}
	for _, drawn := range plan.HandDrawn {
		v.HandDrawn = append(v.HandDrawn, handDrawnView{
			report.Prose(drawn.Words), fmt.Sprint(drawn.Greens), about(drawn.Capital), about(drawn.NetPresentValue),
			report.Minus(fmt.Sprintf("%.1f", drawn.IndexYears)), prose(drawn.Broken),
		})
	}
}
