package model

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"swardcase/costs"
	"swardcase/model/condition"
	"swardcase/model/confidence"
)

// AdviceKind says how the advice was reached.
type AdviceKind string

// The kinds of advice.
const (
	// ProgrammeFirst: upkeep has not been fairly tried and nothing structural
	// stands in its way, so it is tried before money is spent on works.
	ProgrammeFirst AdviceKind = "programme_first"
	// BestOption: the highest net present value of the options that can be done
	// and meet every requirement.
	BestOption AdviceKind = "best_option"
	// CarryOn: the present programme itself is the best that passes.
	CarryOn AdviceKind = "carry_on"
	// Nearest: no option meets the requirements; this one comes nearest.
	Nearest AdviceKind = "nearest"
	// NothingFeasible: no option can be done at all but carrying on.
	NothingFeasible AdviceKind = "nothing_feasible"
)

// Recommendation is the advice, with its reasons and what would change it.
type Recommendation struct {
	Kind     AdviceKind `json:"kind"`
	Option   Option     `json:"option"`
	Headline string     `json:"headline"`
	// LookAgain is when to judge a programme that is tried first.
	LookAgain *costs.YearMonth `json:"look_again"`
	Reasons   []string         `json:"reasons"`
	// WhatWouldChange is at most three sentences.
	WhatWouldChange []string `json:"what_would_change"`
	// RunnerUp is the next best that passes, if any.
	RunnerUp Option `json:"runner_up,omitempty"`
	// ApproveCapital and ApproveCapitalP90 are the capital to put before a meeting,
	// from and to: in four draws of five, and in nine of ten, the advised option
	// costs no more. Without draws the first is the cost at the price book's high
	// rates, and the second null.
	ApproveCapital    costs.Money  `json:"approve_capital"`
	ApproveCapitalP90 *costs.Money `json:"approve_capital_p90"`
	// MeetsRequirements is the chance that the advised option meets every
	// requirement; null without draws, or without requirements.
	MeetsRequirements *confidence.ProbabilityWithError `json:"meets_requirements"`
	// Best is how often it is worth most of the options that qualify. It says how
	// the options compare, and nothing of how well any of them will turn out.
	Best *confidence.ProbabilityWithError `json:"best"`
	// CloseCall is true where another option is best too often for the choice
	// between them to be clear.
	CloseCall bool `json:"close_call"`
}

// trialSeasons is how long a fair trial runs before it is judged: two to three
// seasons. Common practice, no source.
const trialSeasons = 3

// choice is what the rules pick, before it is put in words.
type choice struct {
	Recommendation
	chosen  int
	passing []int // by value, the highest first
}

// choose applies the rules in their order: what cannot be done is out; what
// misses a requirement is out; of the rest the highest net present value wins;
// if none is left, the nearest is shown. Before all that, upkeep that has not
// been fairly tried is tried first, where nothing structural stands in its way.
func (a *appraiser) choose(options []OptionAppraisal) choice {
	passing := indicesWhere(options, func(o OptionAppraisal) bool { return o.Passes })
	slices.SortFunc(passing, func(i, j int) int { return -compareValue(options[i], options[j]) })
	yardstick := find(options, Yardstick)
	sound := options[yardstick].Passes && a.report.Condition.Grade == condition.Sound

	c := choice{passing: passing}
	switch {
	case a.report.Condition.Diagnosis.UpkeepCanMend && !sound:
		c.chosen, c.Kind = find(options, Option(IntensifiedAeration)), ProgrammeFirst
	case len(passing) > 0:
		c.chosen, c.Kind = passing[0], BestOption
		if c.chosen == yardstick {
			c.Kind = CarryOn
		}
	default:
		c.chosen, c.Kind = nearest(options)
	}
	c.Option = options[c.chosen].Option
	if i := slices.IndexFunc(passing, func(i int) bool { return i != c.chosen }); i >= 0 {
		c.RunnerUp = options[passing[i]].Option
	}
	if c.Kind == ProgrammeFirst {
		again := a.Case.Available.FirstMonth.AddMonths(12 * trialSeasons)
		c.LookAgain = &again
	}
	return c
}

// recommend puts a choice in words, with what the draws say of it.
func (a *appraiser) recommend(c choice, options []OptionAppraisal, drawn *Confidence) Recommendation {
	r, o := c.Recommendation, options[c.chosen]
	if drawn != nil {
		a.readDraws(&r, drawn)
	} else {
		r.ApproveCapital = a.capitalAtHighRates(o)
	}
	r.Headline = a.headline(r, o)
	r.Reasons = a.adviceReasons(r, o, options)
	if s := a.outOfReach(); s != "" {
		r.Reasons = append(r.Reasons, s)
	}
	if r.CloseCall {
		r.Reasons = append([]string{closeCallReason(drawn, r)}, r.Reasons...)
	}
	r.WhatWouldChange = a.whatWouldChange(r, o, options, c.passing, drawn)
	if ceiling := a.Case.Requirements.CapitalCeiling; ceiling != nil && r.ApproveCapital.Amount().GreaterThan(ceiling.Amount()) && o.Passes {
		r.Reasons = append(r.Reasons, fmt.Sprintf(
			"The likely cost keeps under the ceiling of %s; the %s that a prudent approval would be does not.", ceiling.About(), r.ApproveCapital.About()))
	}
	return r
}

// readDraws takes from the draws what the advice rests on.
func (a *appraiser) readDraws(r *Recommendation, drawn *Confidence) {
	of := drawn.of(r.Option)
	r.Best = &of.Best
	if len(of.Requirements) > 0 {
		r.MeetsRequirements = &of.MeetsRequirements
	}
	r.ApproveCapital, r.ApproveCapitalP90 = of.Capital.P80, &of.Capital.P90
	qualify := drawn.Draws - drawn.NoOption.Draws
	chosenByValue := r.Kind == BestOption || r.Kind == CarryOn
	r.CloseCall = chosenByValue && r.RunnerUp != "" && float64(of.Best.Draws) < a.assumptions.Likely("close_call_best_share")*float64(qualify)
}

// closeCallReason says between which options it is close.
func closeCallReason(drawn *Confidence, r Recommendation) string {
	rivals := slices.Clone(drawn.Options)
	slices.SortStableFunc(rivals, func(a, b OptionConfidence) int { return cmp.Compare(b.Best.Draws, a.Best.Draws) })
	var texts []string
	for _, rival := range rivals {
		if rival.Option != r.Option && rival.Best.Probability >= 0.1 && len(texts) < 2 {
			texts = append(texts, fmt.Sprintf("%s in %.0f %%", rival.Option.Words(), 100*rival.Best.Probability))
		}
	}
	if len(texts) == 0 {
		texts = []string{"others in the rest"}
	}
	return fmt.Sprintf("A close call: it is worth most in %.0f %% of the draws, %s.", 100*r.Best.Probability, joinWords(texts))
}

func indicesWhere(options []OptionAppraisal, is func(OptionAppraisal) bool) []int {
	var out []int
	for i, o := range options {
		if is(o) {
			out = append(out, i)
		}
	}
	return out
}

// find returns the place of an option in a list that holds it.
func find(options []OptionAppraisal, option Option) int {
	return slices.IndexFunc(options, func(o OptionAppraisal) bool { return o.Option == option })
}

// compareValue orders by net present value against the present programme; of
// equals, the one that stands earlier in the tables counts as worth more, so
// that no order of working decides.
func compareValue(a, b OptionAppraisal) int {
	return cmp.Or(
		a.Money.AgainstPresent.NetPresentValue.Amount().Cmp(b.Money.AgainstPresent.NetPresentValue.Amount()),
		cmp.Compare(slices.Index(Options(), b.Option), slices.Index(Options(), a.Option)),
	)
}

// alikeShortfall is how near two options' shortfalls must be, as a share of the
// requirement, to count as equally near: a hundredth, three days of ten months.
const alikeShortfall = 0.01

// nearest is the option that misses the requirements by least, all told as
// shares of each, the present programme included; of those that are as near as
// makes no difference, the one worth most.
func nearest(options []OptionAppraisal) (int, AdviceKind) {
	least := math.Inf(1)
	for _, o := range options {
		if len(o.Infeasible) == 0 {
			least = min(least, missed(o))
		}
	}
	best, feasible := find(options, Yardstick), 0
	found := false
	for i, o := range options {
		if len(o.Infeasible) > 0 {
			continue
		}
		if o.Option != Yardstick {
			feasible++
		}
		if missed(o) <= least+alikeShortfall && (!found || compareValue(o, options[best]) > 0) {
			best, found = i, true
		}
	}
	if feasible == 0 {
		return find(options, Yardstick), NothingFeasible
	}
	return best, Nearest
}

// outOfReach says when no work on the green could meet the months required,
// since days are lost that it does not lose itself.
func (a *appraiser) outOfReach() string {
	required := a.Case.Requirements.LeastMonthsPlayable
	if ceiling := a.report.LostDays.mostMonthsPlayable(); required != nil && *required > ceiling {
		return fmt.Sprintf("No work on this green can bring the %g months required: days lost to the rest of the course, frost, policy and works leave %.1f at the most.", *required, ceiling)
	}
	return ""
}

func missed(o OptionAppraisal) float64 {
	total := 0.0
	for _, s := range o.Shortfalls {
		total += s.Relative
	}
	return total
}

// capitalAtHighRates reprices the works at high rates. The demands are those of
// the likely bill, so that only the rates differ.
func (a *appraiser) capitalAtHighRates(o OptionAppraisal) costs.Money {
	high, bad := a.Case.Money.PriceBook.IndexedAt(costs.High, a.Case.Money.indices())
	if len(bad) > 0 || o.Design == nil {
		return o.Money.Capital
	}
	works := scaled(layeredDemands(o.Design.Quantities), a.assumptions.Likely("works_quantity_ratio"))
	bill, bad := costs.MakeBill(high, append(enablingDemands(a.enabling), works...), a.purse.works)
	if len(bad) > 0 || bill.Capital.Amount().LessThan(o.Money.Capital.Amount()) {
		return o.Money.Capital
	}
	return bill.Capital
}

func (a *appraiser) headline(r Recommendation, o OptionAppraisal) string {
	months := fmt.Sprintf("%.1f months a year open on the main green by year %d", o.Forecast.MonthsPlayableYear5, a.judgedYear())
	switch r.Kind {
	case ProgrammeFirst:
		return fmt.Sprintf("Try %s first and look again in %s; it is expected to bring %s.", o.Words, r.LookAgain, months)
	case CarryOn:
		if a.Case.Requirements == (Requirements{}) {
			return "Carry on with the present programme: nothing else is worth more in money. No requirement is stated; say how many months playable the club needs, and the answer may change."
		}
		return "Carry on with the present programme: it meets the requirements, and nothing else is worth more."
	case Nearest:
		return fmt.Sprintf("No option meets every requirement. The nearest is %s: %s.", o.Words, strings.Join(shortfallTexts(o), "; "))
	case NothingFeasible:
		return "None of the options can be done as things stand: see the reason beside each."
	}
	return fmt.Sprintf("Take %s: %s, for %s of capital.", o.Words, months, o.Money.Capital.About())
}

func shortfallTexts(o OptionAppraisal) []string {
	texts := make([]string, len(o.Shortfalls))
	for i, s := range o.Shortfalls {
		texts[i] = s.Text
	}
	return texts
}
