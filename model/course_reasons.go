package model

import (
	"fmt"
	"slices"

	"swardcase/model/programme"
)

// LeftOutGreen is a green that is left as it is, and why.
type LeftOutGreen struct {
	Green  string `json:"green"`
	Reason string `json:"reason"`
}

// explain says why each green is done when and how it is, and why the others
// are left: by changing the plan in that one place and looking what becomes of
// it. It is a reason for this plan, not for every plan.
func (p *planner) explain(plan *CoursePlan, picks []int) {
	value := p.course.Worth(picks)
	rank := p.ranks()
	for i := range plan.Works {
		g := p.c.greenNamed(plan.Works[i].Green)
		plan.Works[i].Reasons = append(plan.Works[i].Reasons, fmt.Sprintf("Condition index %.0f: %s.", p.greens[g].appraiser.report.Condition.Index, rank[g]))
		plan.Works[i].Reasons = append(plan.Works[i].Reasons, p.whyThisOption(g, picks, value)...)
		plan.Works[i].Reasons = append(plan.Works[i].Reasons, p.whyNotEarlier(g, picks, value)...)
	}
	for g, pick := range picks {
		if pick == programme.LeftOut {
			plan.LeftOut = append(plan.LeftOut, LeftOutGreen{p.course.Greens[g].Name, p.whyLeftOut(g, picks, value)})
		}
	}
}

// ranks say where each green stands by its condition.
func (p *planner) ranks() []string {
	out := make([]string, len(p.greens))
	for g := range p.greens {
		worse := 0
		for other := range p.greens {
			if p.greens[other].appraiser.report.Condition.Index < p.greens[g].appraiser.report.Condition.Index {
				worse++
			}
		}
		out[g] = fmt.Sprintf("%d of the %d greens are worse", worse, len(p.greens))
		switch worse {
		case 0:
			out[g] = fmt.Sprintf("the worst of %d", len(p.greens))
		case 1:
			out[g] = fmt.Sprintf("one of the %d greens is worse", len(p.greens))
		}
	}
	return out
}

// changed is the plan with one green done otherwise.
func changed(picks []int, g, to int) []int {
	out := slices.Clone(picks)
	out[g] = to
	return out
}

// lessWords say what a change costs or breaks.
func (p *planner) lessWords(picks []int, value int64) string {
	if broken := p.course.Violations(picks); len(broken) > 0 {
		return "it would break " + p.violationWords(broken[0])
	}
	if less := value - p.course.Worth(picks); less > 0 {
		return fmt.Sprintf("it would be worth %s less", p.valueWords(less))
	}
	return "it would be worth no more"
}

// valueWords write a value of the objective for people.
func (p *planner) valueWords(value int64) string {
	if p.isIndex() {
		return fmt.Sprintf("%.1f index-years", float64(value)/indexParts)
	}
	return p.money(value).About()
}

// whyThisOption names the next best option of the same year.
func (p *planner) whyThisOption(g int, picks []int, value int64) []string {
	chosen := &p.course.Greens[g].Candidates[picks[g]]
	next := -1
	for i := range p.course.Greens[g].Candidates {
		k := &p.course.Greens[g].Candidates[i]
		if i != picks[g] && k.Year == chosen.Year && !p.course.Barred(g, i) && (next < 0 || p.worthOf(g, i) > p.worthOf(g, next)) {
			next = i
		}
	}
	if next < 0 {
		return []string{"No other option can be planned for it."}
	}
	return []string{fmt.Sprintf("Not %s: %s.", p.greens[g].candidates[next].option.Words, p.lessWords(changed(picks, g, next), value))}
}

// whyNotEarlier says what stands against the same option a year earlier.
func (p *planner) whyNotEarlier(g int, picks []int, value int64) []string {
	chosen := &p.course.Greens[g].Candidates[picks[g]]
	for i := range p.course.Greens[g].Candidates {
		if k := &p.course.Greens[g].Candidates[i]; k.Option == chosen.Option && k.Year == chosen.Year-1 {
			return []string{fmt.Sprintf("Not in year %d: %s.", k.Year, p.lessWords(changed(picks, g, i), value))}
		}
	}
	return nil
}

// whyLeftOut looks for the best that could be added to the plan as it is, or
// says what stands against the best that the green could have.
func (p *planner) whyLeftOut(g int, picks []int, value int64) string {
	best, fitting := -1, -1
	var gain int64
	for i := range p.course.Greens[g].Candidates {
		if p.course.Barred(g, i) {
			continue
		}
		if best < 0 || p.worthOf(g, i) > p.worthOf(g, best) {
			best = i
		}
		with := changed(picks, g, i)
		if more := p.course.Worth(with) - value; (fitting < 0 || more > gain) && len(p.course.Violations(with)) == 0 {
			fitting, gain = i, more
		}
	}
	switch {
	case best < 0:
		return "No option can be planned for it: see the reason beside each."
	case p.worthOf(g, best) <= 0:
		return fmt.Sprintf("Nothing on it is worth more than the present programme; the nearest is %s, %s short.", p.candidateWords(g, best), p.valueWords(-p.worthOf(g, best)))
	case fitting >= 0 && gain <= 0:
		return fmt.Sprintf("What the rules leave room for gains nothing within the plan: %s would make it worth %s less.", p.candidateWords(g, fitting), p.valueWords(-gain))
	case fitting >= 0:
		return fmt.Sprintf("There is room for %s, worth %s more: the search ended before it found that.", p.candidateWords(g, fitting), p.valueWords(gain))
	}
	return fmt.Sprintf("The best for it is %s, worth %s by itself; added to the plan, %s.", p.candidateWords(g, best), p.valueWords(p.worthOf(g, best)), p.lessWords(changed(picks, g, best), value))
}

// cautions of a plan: what it rests on and what it does not see.
func (p *planner) cautions(plan *CoursePlan) []string {
	list := []string{
		p.greens[0].appraiser.priceStamp(),
		"The plan rests on the survey and the forecast of every green as they stand today, and on likely prices: survey and plan anew before each year's works are ordered, and approve the capital of each green by its own appraisal.",
		"Works that start later are appraised for the green as it is expected to be by then; the further off, the less sure. What is fixed is the first year; the later ones are the best use of the budget as it looks today.",
		"Enabling works are paid for with the works of their green; those of greens that are left as they are stand outside the plan's budget, as does upkeep.",
		"A proven plan is the best by the figures and the rules that were given. It does not know of tenders, weather in the works, or a fixture that falls in them.",
		"Find buried cables and pipes before anything is dug; get the consents for drains, spoil and water; leave machines and chemicals to those licensed for them; and hold to local rules, which come before this plan.",
	}
	if p.course.Budget.RatePPM > 0 && p.course.Budget.BorrowingCap > 0 {
		list = append(list, "Interest on a debt is paid out of the next budget; it is not in the net present value, whose discount rate stands for the cost of money. Lending is at the lender's terms, which are not known here.")
	}
	if p.isIndex() {
		list = append(list, "Index-years count the years of the plan alone: works near its end have little time to gain any, and close a green meanwhile. Plan for more years, and look at the first ones.")
	}
	if plan.Totals != nil && plan.Totals.ExtraUpkeepPerYear.Sign() > 0 {
		list = append(list, fmt.Sprintf("The upkeep of the greens that are done costs %s a year more than now, once all are: no budget of the plan has it, and the objective of index-years does not count it.", plan.Totals.ExtraUpkeepPerYear.About()))
	}
	for _, w := range p.greens {
		if !w.screened && len(w.candidates) > 0 {
			list = append(list, fmt.Sprintf("No option meets the requirements of the %s green: it was planned with all that can be done.", w.of.Green.Name))
		}
	}
	return list
}
