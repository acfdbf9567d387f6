package model

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"swardcase/costs"
	"swardcase/model/programme"
)

// PlanRule is one limit of a plan in words, with the green or set that it names.
type PlanRule struct {
	Rule programme.RuleKind `json:"rule"`
	Name string             `json:"name,omitempty"`
	Text string             `json:"text"`
}

// RuleCost is what a plan gains when one rule is left out.
type RuleCost struct {
	PlanRule
	// Gain is by what the best plan found is better; AtMost is proven. They are
	// equal where the search came to its end.
	Gain   PlanValue `json:"gain"`
	AtMost PlanValue `json:"at_most"`
	Proven bool      `json:"proven"`
}

// MoreMoney is what more money in every year buys.
type MoreMoney struct {
	PerYear costs.Money `json:"per_year"`
	Gain    PlanValue   `json:"gain"`
	AtMost  PlanValue   `json:"at_most"`
	Proven  bool        `json:"proven"`
	// Capital is how much more the plan then spends in all.
	Capital costs.Money `json:"capital"`
	// Changes are the greens that are then done otherwise.
	Changes []string `json:"changes"`
}

// HandDrawn is a plan that people would draw by hand.
type HandDrawn struct {
	Name  string `json:"name"`
	Words string `json:"words"`
	// Value is what it reaches of the objective; it means little for a plan that
	// breaks rules.
	Value           PlanValue   `json:"value"`
	NetPresentValue costs.Money `json:"net_present_value"`
	IndexYears      float64     `json:"index_years"`
	Capital         costs.Money `json:"capital"`
	Greens          int         `json:"greens"`
	Broken          []string    `json:"broken"`
}

// compareNodes is the share of the search's nodes that each comparison gets.
const compareNodes = 8

// compare sets the plan against others: with more money, with each rule left
// out, and drawn by hand.
func (p *planner) compare(ctx context.Context, plan *CoursePlan, found programme.Solution) error {
	how := programme.Search{Nodes: max(1, p.nodes()/compareNodes), Start: found.Picks}
	if err := p.moreMoney(ctx, plan, found, how); err != nil {
		return err
	}
	for _, rule := range p.costedRules() {
		without, err := programme.Solve(ctx, p.course.Without(rule.rules...), how)
		if err != nil {
			return err
		}
		gain, most := p.gains(without, found)
		plan.RuleCosts = append(plan.RuleCosts, RuleCost{PlanRule: rule.PlanRule, Gain: gain, AtMost: most, Proven: without.Proven && found.Proven})
	}
	for _, drawn := range []struct {
		name, words string
		picks       []int
	}{
		{"worst_first", "The worst green first, each by the option that is worth most, in the first year in which it keeps the rules.", p.worstFirst()},
		{"all_in_one_year", "Every green in the first year, each by the option that is worth most.", p.allInOneYear()},
	} {
		plan.HandDrawn = append(plan.HandDrawn, p.handDrawn(drawn.name, drawn.words, drawn.picks))
	}
	return nil
}

// gains are what another search found and what it proved, over the plan.
func (p *planner) gains(other, found programme.Solution) (gain, most PlanValue) {
	value := max(other.Value, found.Value) // it began with the plan
	if other.Picks == nil {
		value = found.Value
	}
	return *p.planValue(value - found.Value), *p.planValue(max(other.Bound, value) - found.Value)
}

// moreMoneyPerYear is the step of the shadow price, in units of the currency.
const moreMoneyPerYear = 10_000

func (p *planner) moreMoney(ctx context.Context, plan *CoursePlan, found programme.Solution, how programme.Search) error {
	step := int64(moreMoneyPerYear)
	for range p.currency.Places() {
		step *= 10
	}
	more := *p.course
	more.Budget.Yearly = slices.Clone(more.Budget.Yearly)
	for year := range more.Budget.Yearly {
		more.Budget.Yearly[year] += step
	}
	other, err := programme.Solve(ctx, &more, how)
	if err != nil {
		return err
	}
	gain, most := p.gains(other, found)
	out := MoreMoney{PerYear: p.money(step), Gain: gain, AtMost: most, Proven: other.Proven && found.Proven, Changes: []string{}, Capital: costs.Zero(p.currency)}
	if other.Picks != nil && other.Value > found.Value {
		out.Capital = p.money(p.capitalOf(other.Picks) - p.capitalOf(found.Picks))
		for g := range other.Picks {
			if text := p.changeWords(g, found.Picks[g], other.Picks[g]); text != "" {
				out.Changes = append(out.Changes, text)
			}
		}
	}
	plan.MoreMoney = &out
	return nil
}

// capitalOf is what a plan spends in all.
func (p *planner) capitalOf(picks []int) int64 {
	var total int64
	for _, y := range p.course.CashByYear(picks) {
		total += y.Spent()
	}
	return total + p.paidAfter(picks)
}

// paidAfter is what of it falls due after the plan.
func (p *planner) paidAfter(picks []int) int64 {
	var total int64
	for g, pick := range picks {
		if pick != programme.LeftOut {
			total += p.course.Greens[g].Candidates[pick].Payments[p.course.Years] - p.course.SavingOf(picks, g, p.course.Years)
		}
	}
	return total
}

// indexYears are the weighted index-years that a plan gains.
func (p *planner) indexYears(picks []int) float64 {
	var gain int64
	for g, pick := range picks {
		if pick != programme.LeftOut {
			gain += p.course.Greens[g].Candidates[pick].IndexGain
		}
	}
	return float64(gain) / indexParts
}

// changeWords say how a green fares otherwise in another plan.
func (p *planner) changeWords(g, before, after int) string {
	name := p.course.Greens[g].Name
	switch {
	case before == after:
		return ""
	case before == programme.LeftOut:
		return fmt.Sprintf("%s: %s, in place of nothing", name, p.candidateWords(g, after))
	case after == programme.LeftOut:
		return fmt.Sprintf("%s: left as it is, in place of %s", name, p.candidateWords(g, before))
	}
	return fmt.Sprintf("%s: %s, in place of %s", name, p.candidateWords(g, after), p.candidateWords(g, before))
}

// candidateWords say what is done to a green, and when.
func (p *planner) candidateWords(g, i int) string {
	k := &p.greens[g].candidates[i]
	return fmt.Sprintf("%s in year %d", k.option.Words, k.Year)
}

// costedRule is a rule, or rules of one kind, whose cost is worth knowing.
type costedRule struct {
	PlanRule
	rules []programme.Rule
}

// costedRules are the rules of the course; those of greens taken by kind.
func (p *planner) costedRules() []costedRule {
	var out []costedRule
	for _, rule := range p.course.Rules() {
		ofGreens := rule.Kind == programme.LatestYearRule || rule.Kind == programme.KeptOpenRule || rule.Kind == programme.AllowedRule
		if at := slices.IndexFunc(out, func(c costedRule) bool { return c.Rule == rule.Kind }); ofGreens && at >= 0 {
			out[at].rules = append(out[at].rules, rule)
			out[at].Name += ", " + p.course.Greens[rule.At].Name
			out[at].Text = kindWords[rule.Kind]
			continue
		}
		out = append(out, costedRule{p.planRule(rule), []programme.Rule{rule}})
	}
	return out
}

// kindWords name the rules of greens taken together.
var kindWords = map[programme.RuleKind]string{
	programme.LatestYearRule: "the latest years of greens",
	programme.KeptOpenRule:   "the months in which greens are kept open",
	programme.AllowedRule:    "the options allowed on greens",
}

// planRule puts a rule in words.
func (p *planner) planRule(rule programme.Rule) PlanRule {
	out := PlanRule{Rule: rule.Kind}
	switch rule.Kind {
	case programme.BudgetRule:
		out.Text = "the budget"
	case programme.MostOutRule:
		out.Text = "the most greens out of play at once"
	case programme.PerSeasonRule:
		out.Text = fmt.Sprintf("works on %s a season at the most", countWords(p.course.MostPerSeason, "green"))
	case programme.SetRule:
		set := &p.course.Sets[rule.At]
		out.Name = set.Name
		out.Text = fmt.Sprintf("%s: no more than %d out of play at once", set.Name, set.Most)
	case programme.PracticeRule:
		out.Name = p.course.Greens[p.course.Practice.Green].Name
		out.Text = fmt.Sprintf("no more than %s out of play while the practice green is", countWords(p.course.Practice.MostOthers, "other green"))
	case programme.NurseryRule:
		out.Text = "the nursery turf that has grown"
	case programme.LatestYearRule:
		out.Name = p.course.Greens[rule.At].Name
		out.Text = fmt.Sprintf("something on the %s green by year %d", out.Name, p.course.Greens[rule.At].LatestYear)
	case programme.KeptOpenRule:
		out.Name = p.course.Greens[rule.At].Name
		out.Text = fmt.Sprintf("the months in which the %s green is kept open", out.Name)
	case programme.AllowedRule:
		out.Name = p.course.Greens[rule.At].Name
		out.Text = fmt.Sprintf("the options allowed on the %s green", out.Name)
	}
	return out
}

// conflict puts the rules that cannot be kept together in words.
func (p *planner) conflict(ctx context.Context) ([]PlanRule, bool, error) {
	rules, sure, err := programme.Conflict(ctx, p.course, p.nodes())
	out := []PlanRule{}
	for _, rule := range rules {
		out = append(out, p.planRule(rule))
	}
	return out, sure, err
}

// worthOf is what a candidate counts for by itself.
func (p *planner) worthOf(g, i int) int64 {
	k := &p.course.Greens[g].Candidates[i]
	if p.isIndex() {
		return k.IndexGain
	}
	return k.Worth[0]
}

// bestIn is a green's candidate of a year that is worth most by itself; false
// where it has none.
func (p *planner) bestIn(g, year int) (best int, found bool) {
	for i := range p.course.Greens[g].Candidates {
		if p.course.Greens[g].Candidates[i].Year == year && !p.course.Barred(g, i) && (!found || p.worthOf(g, i) > p.worthOf(g, best)) {
			best, found = i, true
		}
	}
	return best, found
}

// leftAlone is a plan in which nothing is done.
func (p *planner) leftAlone() []int { return slices.Repeat([]int{programme.LeftOut}, len(p.greens)) }

// worstFirst is how a committee would go about it: the worst green first, by its
// best option, as early as the rules allow with what has been placed already.
// Rules that ask for something to be done are not looked at while it is drawn.
func (p *planner) worstFirst() []int {
	order := make([]int, len(p.greens))
	for g := range order {
		order[g] = g
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(p.greens[a].appraiser.report.Condition.Index, p.greens[b].appraiser.report.Condition.Index)
	})
	picks := p.leftAlone()
	for _, g := range order {
		for year := 1; year <= p.course.Years && picks[g] == programme.LeftOut; year++ {
			best, found := p.bestIn(g, year)
			if !found || p.worthOf(g, best) <= 0 {
				continue
			}
			picks[g] = best
			if len(p.broken(picks)) > 0 {
				picks[g] = programme.LeftOut
			}
		}
	}
	return picks
}

// broken are the rules that a plan breaks, those left out that ask for
// something on a green that nothing is done to.
func (p *planner) broken(picks []int) []programme.Violation {
	return slices.DeleteFunc(p.course.Violations(picks), func(v programme.Violation) bool {
		return v.Rule.Kind == programme.LatestYearRule && picks[v.Rule.At] == programme.LeftOut
	})
}

func (p *planner) allInOneYear() []int {
	picks := p.leftAlone()
	for g := range picks {
		if best, found := p.bestIn(g, 1); found && p.worthOf(g, best) > 0 {
			picks[g] = best
		}
	}
	return picks
}

func (p *planner) handDrawn(name, words string, picks []int) HandDrawn {
	out := HandDrawn{
		Name: name, Words: words, Value: *p.planValue(p.course.Worth(picks)), NetPresentValue: p.money(p.netPresentValue(picks)),
		Capital: p.money(p.capitalOf(picks)), IndexYears: p.indexYears(picks), Broken: []string{},
	}
	for _, pick := range picks {
		if pick != programme.LeftOut {
			out.Greens++
		}
	}
	seen := map[programme.Rule]bool{}
	for _, v := range p.course.Violations(picks) {
		if !seen[v.Rule] {
			seen[v.Rule] = true
			out.Broken = append(out.Broken, p.violationWords(v))
		}
	}
	return out
}

// violationWords say which rule is broken, when and by how much.
func (p *planner) violationWords(v programme.Violation) string {
	rule := p.planRule(v.Rule).Text
	if v.Rule.Kind == programme.BudgetRule {
		return fmt.Sprintf("%s: %s is missing at the end of year %d", rule, p.money(v.By).About(), v.Year)
	}
	detail := v.Detail
	if v.Month >= 0 {
		detail += fmt.Sprintf(" in %s", p.greens[0].appraiser.Case.Available.FirstMonth.AddMonths(v.Month))
	}
	return rule + ": " + detail
}
