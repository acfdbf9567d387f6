package model

import (
	"context"
	"errors"
	"math"
	"slices"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/fault"
	"swardcase/model/programme"
)

// PlanStatus says how a plan ended.
type PlanStatus string

// The ways in which a plan ends.
const (
	PlanProven       PlanStatus = "proven"        // no plan is better
	PlanWithinBound  PlanStatus = "within_bound"  // the search ended by its count of nodes
	PlanStoppedEarly PlanStatus = "stopped_early" // the caller ended it
	PlanInfeasible   PlanStatus = "infeasible"    // no plan keeps every rule
	PlanNotFound     PlanStatus = "not_found"     // none was found, and none is ruled out
)

// CoursePlan is the whole answer for a course.
type CoursePlan struct {
	EngineVersion string          `json:"engine_version"`
	Title         string          `json:"title"`
	Currency      string          `json:"currency"`
	FirstMonth    costs.YearMonth `json:"first_month"`
	Years         int             `json:"years"`
	PriceStamp    string          `json:"price_stamp"`
	Status        PlanStatus      `json:"status"`
	// Headline is the plan in a sentence.
	Headline  string        `json:"headline"`
	Objective PlanObjective `json:"objective"`
	// Conflict are rules that cannot be kept together, where there is no plan;
	// leaving any one of them out leaves one. ConflictSure is false where a search
	// was cut short, so that some of them may not be needed.
	Conflict     []PlanRule      `json:"conflict"`
	ConflictSure bool            `json:"conflict_sure"`
	Totals       *PlanTotals     `json:"totals,omitempty"`
	Works        []PlannedWorks  `json:"works"`
	Cash         []PlanYear      `json:"cash"`
	Condition    []ConditionYear `json:"condition"`
	Calendar     []GreenCalendar `json:"calendar"`
	LeftOut      []LeftOutGreen  `json:"left_out"`
	// MoreMoney is what more money a year would buy; left out without a plan.
	MoreMoney *MoreMoney `json:"more_money,omitempty"`
	RuleCosts []RuleCost `json:"rule_costs"`
	// ComparisonsStoppedEarly says that the caller ended the searches of what more
	// money buys and of what the rules cost.
	ComparisonsStoppedEarly bool         `json:"comparisons_stopped_early"`
	HandDrawn               []HandDrawn  `json:"hand_drawn"`
	Greens                  []GreenPlan  `json:"greens"`
	Cautions                []string     `json:"cautions"`
	Assumptions             []Assumption `json:"assumptions"`
}

// Assumption is a constant that the plan rests on.
type Assumption = assumption.Assumption

// PlanObjective is what the plan makes greatest and how near to the greatest it
// is known to be.
type PlanObjective struct {
	Kind  programme.ObjectiveKind `json:"kind"`
	Words string                  `json:"words"`
	// Value is what the plan reaches, and Bound what no plan exceeds; left out where
	// there is none. Regret is less than nothing.
	Value  *PlanValue `json:"value,omitempty"`
	Bound  *PlanValue `json:"bound,omitempty"`
	GapPct *float64   `json:"gap_pct,omitempty"`
	Nodes  int        `json:"nodes"`
	// Scenarios are those of the least regret, the case as stated first.
	Scenarios []ScenarioPlan `json:"scenarios"`
}

// PlanValue is a value of the objective: an amount, or index-years.
type PlanValue struct {
	Amount     *costs.Money `json:"amount,omitempty"`
	IndexYears *float64     `json:"index_years,omitempty"`
}

// ScenarioPlan is what the plan is worth in a scenario, against the best plan
// for it.
type ScenarioPlan struct {
	Name   string      `json:"name"`
	Best   costs.Money `json:"best"`
	Proven bool        `json:"proven"`
	Plan   costs.Money `json:"plan"`
	Regret costs.Money `json:"regret"`
}

// PlanProgress is how far the search for a plan has come. Values are in units of
// the currency, or in index-years where those are the objective; nil where
// nothing is known yet.
type PlanProgress struct {
	Nodes        int
	Value, Bound *float64
}

// ErrPlanUnwanted is the cause of a context that ends since nobody wants the plan
// any more, not even the best that has been found.
var ErrPlanUnwanted = errors.New("the plan is no longer wanted")

// PlanCourse plans a course. When its context ends, it gives the best plan that
// it has found, unless the cause is ErrPlanUnwanted. The error is a fault.List
// where the case has faults. Tell, where it is given, is told now and then how
// far the search has come.
func PlanCourse(ctx context.Context, c CourseCase, keeper CurveKeeper, tell func(PlanProgress)) (CoursePlan, error) {
	if err := c.check().Err(); err != nil {
		return CoursePlan{}, err
	}
	p, err := newPlanner(ctx, &c, keeper)
	if err != nil {
		return CoursePlan{}, err
	}
	told := p.telling(tell)
	found, err := programme.Solve(ctx, p.course, programme.Search{Nodes: p.nodes(), Tell: told})
	if err != nil {
		return CoursePlan{}, planTooLarge(err)
	}
	if context.Cause(ctx) == ErrPlanUnwanted {
		return CoursePlan{}, ErrPlanUnwanted
	}
	if told != nil {
		told(programme.Progress{
			Nodes: found.Nodes, Found: found.Picks != nil, Value: found.Value,
			Bounded: found.Picks != nil || !found.Proven, Bound: found.Bound,
		})
	}
	p.course.Objective.Best = found.Best
	return p.report(ctx, found)
}

// telling puts the progress of the search in the units of the plan.
func (p *planner) telling(tell func(PlanProgress)) func(programme.Progress) {
	if tell == nil {
		return nil
	}
	unit := math.Pow10(int(p.currency.Places()))
	if p.isIndex() {
		unit = indexParts
	}
	return func(now programme.Progress) {
		out := PlanProgress{Nodes: now.Nodes}
		if value := float64(now.Value) / unit; now.Found {
			out.Value = &value
		}
		if bound := float64(now.Bound) / unit; now.Bounded {
			out.Bound = &bound
		}
		tell(out)
	}
}

// planTooLarge turns numbers beyond exact arithmetic into a fault.
func planTooLarge(err error) error {
	if errors.Is(err, programme.ErrTooLarge) {
		return fault.List{fault.New("/plan", nil, "the amounts of the plan are too large to be added up exactly", "look for a budget or a worth with too many digits")}
	}
	return err
}

// planner holds what a plan is made from.
type planner struct {
	c        *CourseCase
	greens   []*plannedGreen
	course   *programme.Course
	currency costs.Currency
	// mobilisation is what one season's costs, at the first year's prices.
	mobilisation costs.Money
}

func (p *planner) nodes() int {
	if n := p.c.Plan.MostNodes; n != nil {
		return *n
	}
	return usualNodes
}

// newPlanner appraises the greens and puts the course together. Faults of all
// greens are listed at once.
func newPlanner(ctx context.Context, c *CourseCase, keeper CurveKeeper) (*planner, error) {
	p := &planner{c: c}
	var faults error
	for g := range c.Greens {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		green, err := c.appraiseGreen(g, keeper)
		faults = joinFaults(faults, err)
		p.greens = append(p.greens, green)
	}
	if faults != nil {
		return nil, faults
	}
	for g, green := range p.greens {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := green.findCandidates(c); err != nil {
			return nil, c.underGreen(err, g)
		}
		for s := range c.Plan.Scenarios {
			if err := green.addScenario(c, g, &c.Plan.Scenarios[s], keeper); err != nil {
				return nil, c.underGreen(err, g)
			}
		}
	}
	p.currency = p.greens[0].appraiser.currency
	return p, p.putCourse()
}

// addScenario appraises the green as a scenario has it, and adds what each
// candidate is worth then.
func (p *plannedGreen) addScenario(c *CourseCase, g int, s *PlanScenario, keeper CurveKeeper) error {
	green := c.caseOf(g)
	money := *green.Money
	if s.PriceLevel != "" {
		money.PriceLevel = s.PriceLevel
	}
	money.WorthOfPlayableMonth, money.Accounts = nil, nil
	for _, worth := range p.appraiser.Case.Money.WorthOfPlayableMonth {
		scaled, err := times(worth, valueOr(s.WorthRatio, 1))
		if err != nil {
			return tooLarge(err)
		}
		money.WorthOfPlayableMonth = append(money.WorthOfPlayableMonth, scaled)
	}
	green.Money = &money
	other, err := newPlannedGreen(p.of, green, c.Plan.Years, keeper)
	if err != nil {
		return err
	}
	other.planned = p.planned // whatever the scenario makes of them
	if err := other.findCandidates(c); err != nil {
		return err
	}
	for i := range p.candidates {
		k, theirs := &p.candidates[i], &other.candidates[i]
		k.Worth = append(k.Worth, theirs.Worth[0])
		for b := range k.Breaks {
			for tier := range k.Breaks[b].SavingWorth {
				k.Breaks[b].SavingWorth[tier] = append(k.Breaks[b].SavingWorth[tier], theirs.Breaks[b].SavingWorth[tier][0])
			}
		}
	}
	return nil
}

// putCourse hands the appraised greens and the terms to the programme.
func (p *planner) putCourse() error {
	c, terms := p.c, &p.c.Plan
	first := p.greens[0].appraiser.Case.Available.FirstMonth
	course := &programme.Course{
		FirstMonth: int(first.Month), Years: terms.Years,
		Objective: programme.Objective{Kind: terms.Objective, Scenarios: 1 + len(terms.Scenarios)},
	}
	if course.Objective.Kind == "" {
		course.Objective.Kind = programme.NetPresentValue
	}
	p.course = course
	for g := range c.Greens {
		course.Greens = append(course.Greens, p.putGreen(g))
	}
	p.putRules()
	p.putNursery()
	var err error
	if course.Mobilisation, p.mobilisation, err = c.charges(p.greens); err != nil {
		return err
	}
	for season := range course.Mobilisation { // the same in every scenario
		charge := &course.Mobilisation[season]
		charge.Worth = slices.Repeat(charge.Worth, course.Objective.Scenarios)
	}
	for i, b := range terms.QuantityBreaks {
		if !slices.ContainsFunc(p.greens[0].appraiser.Case.Money.PriceBook.Items, func(item costs.PriceItem) bool { return item.Item == b.Item }) {
			return fault.List{fault.New(fault.Pointer("plan", "quantity_breaks", i, "item"), b.Item, "the price book has no such item", "write the code of an item as `swardcase prices` prints it")}
		}
		item := programme.Break{Item: b.Item}
		for _, tier := range b.Tiers {
			item.AtLeast = append(item.AtLeast, int64(roundTo(tier.AtLeast, breakParts)*breakParts))
		}
		course.Breaks = append(course.Breaks, item)
	}
	return nil
}

func (p *planner) putGreen(g int) programme.Green {
	of, green := &p.c.Greens[g], p.greens[g]
	out := programme.Green{Name: of.Green.Name, OffCourse: of.OffCourse}
	if of.LatestYear != nil {
		out.LatestYear = *of.LatestYear
	}
	for _, month := range of.KeptOpenMonths {
		out.KeptOpen[month-1] = true
	}
	allowed := of.AllowedOptions
	if allowed == nil {
		allowed = p.c.Plan.AllowedOptions
	}
	if allowed != nil {
		out.Allowed = []string{}
		for _, option := range allowed {
			out.Allowed = append(out.Allowed, string(option))
		}
	}
	for i := range green.candidates {
		out.Candidates = append(out.Candidates, green.candidates[i].Candidate)
	}
	return out
}

// putRules turns the terms into rules.
func (p *planner) putRules() {
	terms, course := &p.c.Plan, p.course
	b := &course.Budget
	b.CarryOver = terms.Budget.CarryOver
	for year := range terms.Years {
		amount := terms.Budget.PerYear
		if amount == nil {
			amount = &terms.Budget.Yearly[year]
		}
		b.Yearly = append(b.Yearly, minorOf(*amount))
	}
	if terms.Budget.BorrowingCap != nil {
		b.BorrowingCap = minorOf(*terms.Budget.BorrowingCap)
	}
	b.RatePPM = int64(math.Round(valueOr(terms.Budget.InterestPct, 0) * 10_000))
	switch len(terms.MostOutOfPlay) {
	case 1:
		course.MostOut = &[12]int{}
		for month := range course.MostOut {
			course.MostOut[month] = terms.MostOutOfPlay[0]
		}
	case 12:
		course.MostOut = (*[12]int)(slices.Clone(terms.MostOutOfPlay))
	}
	if terms.MostPerSeason != nil {
		course.MostPerSeason = *terms.MostPerSeason
	}
	for _, set := range terms.NotTogether {
		out := programme.Set{Name: set.Name, Most: 1}
		if set.Most != nil {
			out.Most = *set.Most
		}
		for _, name := range set.Greens {
			if g := p.c.greenNamed(name); !slices.Contains(out.Greens, g) {
				out.Greens = append(out.Greens, g)
			}
		}
		course.Sets = append(course.Sets, out)
	}
	if practice := terms.PracticeGreen; practice != nil {
		course.Practice = &programme.Practice{Green: p.c.greenNamed(practice.Green), MostOthers: practice.MostOthersOut}
	}
	if alike := terms.KeepAlike; alike != nil {
		course.Alike = &programme.Alike{}
		if course.Objective.Kind == programme.IndexYears {
			course.Alike.Penalty = int64(roundTo(*alike.PenaltyIndexYears, indexParts) * indexParts)
		} else {
			course.Alike.Penalty = minorOf(*alike.PenaltyPerOddGreen)
		}
	}
}

// putNursery gives the course its nursery turf: what the terms say of it, or
// what is available. Where neither says anything there is none.
func (p *planner) putNursery() {
	ready, grown := math.Inf(1), valueOr(p.greens[0].appraiser.Case.Available.NurseryTurfSurplusM2PerYear, 0)
	for _, green := range p.greens { // surveys of different dates: the latest leaves the least time to grow
		ready = min(ready, green.appraiser.nurseryTurfM2())
	}
	if n := p.c.Plan.NurseryTurf; n != nil {
		ready, grown = n.ReadyM2, n.GrownM2PerYear
	}
	p.course.Nursery = &programme.Nursery{Stock: int64(ready * 100), GrownPerYear: int64(grown * 100)}
}
