package programme

import (
	"context"
	"slices"
)

// RuleKind is a kind of limit that a plan has to keep.
type RuleKind string

// The kinds of rules.
const (
	BudgetRule     RuleKind = "budget"
	MostOutRule    RuleKind = "most_out_of_play"
	PerSeasonRule  RuleKind = "most_per_season"
	SetRule        RuleKind = "not_together"
	PracticeRule   RuleKind = "practice_green"
	NurseryRule    RuleKind = "nursery_turf"
	LatestYearRule RuleKind = "latest_year"
	KeptOpenRule   RuleKind = "kept_open"
	AllowedRule    RuleKind = "options_allowed"
)

// Rule is one limit: of the course, or of the set or green at At.
type Rule struct {
	Kind RuleKind
	At   int
}

// Rules lists the rules of a course, in a fixed order.
func (c *Course) Rules() []Rule {
	var rules []Rule
	add := func(kind RuleKind, at int, is bool) {
		if is {
			rules = append(rules, Rule{kind, at})
		}
	}
	add(BudgetRule, 0, !c.Budget.Unlimited)
	add(MostOutRule, 0, c.MostOut != nil)
	add(PerSeasonRule, 0, c.MostPerSeason > 0)
	for i := range c.Sets {
		add(SetRule, i, true)
	}
	add(PracticeRule, 0, c.Practice != nil)
	add(NurseryRule, 0, c.Nursery != nil)
	for g := range c.Greens {
		add(LatestYearRule, g, c.Greens[g].LatestYear > 0)
		add(KeptOpenRule, g, c.Greens[g].KeptOpen != [12]bool{})
		add(AllowedRule, g, c.Greens[g].Allowed != nil)
	}
	return rules
}

// Without is the course without some of its rules.
func (c *Course) Without(rules ...Rule) *Course {
	out := *c
	out.Greens, out.Sets = slices.Clone(c.Greens), slices.Clone(c.Sets)
	for _, rule := range rules {
		switch rule.Kind {
		case BudgetRule:
			out.Budget.Unlimited = true
		case MostOutRule:
			out.MostOut = nil
		case PerSeasonRule:
			out.MostPerSeason = 0
		case SetRule:
			out.Sets[rule.At].Most = len(c.Greens) // the places of the others stay
		case PracticeRule:
			out.Practice = nil
		case NurseryRule:
			out.Nursery = nil
		case LatestYearRule:
			out.Greens[rule.At].LatestYear = 0
		case KeptOpenRule:
			out.Greens[rule.At].KeptOpen = [12]bool{}
		case AllowedRule:
			out.Greens[rule.At].Allowed = nil
		}
	}
	return &out
}

// Conflict is rules of a course without a plan that cannot be kept together,
// though any one of them left out leaves a plan: an irreducible set, found by
// leaving the rules out one after the other (Chinneck and Dravnieks 1991, ORSA
// Journal on Computing 3, 157-168). It is nil where a plan was found after all;
// sure is false where a search was cut short, so that a rule may have been kept
// that need not have been.
func Conflict(ctx context.Context, c *Course, nodes int) (rules []Rule, sure bool, err error) {
	sure = true
	feasible := func(course *Course) (bool, error) {
		found, err := Solve(ctx, course.anyPlan(), Search{Nodes: nodes})
		if found.Picks == nil && !found.Proven {
			sure = false
			return true, err // not shown to be impossible: the rule stays
		}
		return found.Picks != nil, err
	}
	if possible, err := feasible(c); possible || err != nil {
		return nil, sure, err
	}
	var left []Rule
	for _, rule := range c.Rules() {
		without := append(slices.Clone(left), rule)
		possible, err := feasible(c.Without(without...))
		if err != nil {
			return nil, false, err
		}
		if possible {
			rules = append(rules, rule)
		} else {
			left = without
		}
	}
	return rules, sure, nil
}

// anyPlan is the course with every plan worth the same: the search ends with the
// first that keeps the rules.
func (c *Course) anyPlan() *Course {
	out := *c
	out.Objective, out.Alike, out.Greens = Objective{Kind: NetPresentValue, Scenarios: 1}, nil, slices.Clone(c.Greens)
	for g := range out.Greens {
		out.Greens[g].Candidates = slices.Clone(out.Greens[g].Candidates)
		for i := range out.Greens[g].Candidates {
			k := &out.Greens[g].Candidates[i]
			k.Worth, k.IndexGain = []int64{0}, 0
			k.Breaks = slices.Clone(k.Breaks)
			for b := range k.Breaks {
				worth := make([][]int64, len(k.Breaks[b].Saving))
				for tier := range worth {
					worth[tier] = []int64{0}
				}
				k.Breaks[b].SavingWorth = worth
			}
		}
	}
	out.Mobilisation = slices.Clone(c.Mobilisation)
	for season := range out.Mobilisation {
		out.Mobilisation[season].Worth = []int64{0}
	}
	return &out
}
