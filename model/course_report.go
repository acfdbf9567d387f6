package model

import (
	"context"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model/programme"
	"swardcase/model/sward"
)

// PlanTotals are what the plan comes to.
type PlanTotals struct {
	// Works is the capital of all works, less what quantity saves; Capital has the
	// mobilisation too.
	Works        costs.Money `json:"works"`
	Saved        costs.Money `json:"saved"`
	Mobilisation costs.Money `json:"mobilisation"`
	Capital      costs.Money `json:"capital"`
	// PaidAfter is the part of the capital that falls due after the plan.
	PaidAfter       costs.Money `json:"paid_after"`
	Interest        costs.Money `json:"interest"`
	NetPresentValue costs.Money `json:"net_present_value"`
	// ExtraUpkeepPerYear is what the upkeep of the greens that are done comes to
	// beyond that of the present programme, once all are; no budget has it.
	ExtraUpkeepPerYear costs.Money `json:"extra_upkeep_per_year"`
	IndexYears         float64     `json:"index_years"`
	OddGreens          int         `json:"odd_greens"`
}

// PlannedWorks is what is done to one green.
type PlannedWorks struct {
	Green    string          `json:"green"`
	Option   Option          `json:"option"`
	Words    string          `json:"words"`
	Year     int             `json:"year"`
	StartsOn costs.YearMonth `json:"starts_on"`
	// LaidOn and OpensOn are left out for an option without works.
	LaidOn          *costs.YearMonth `json:"laid_on,omitempty"`
	OpensOn         *costs.YearMonth `json:"opens_on,omitempty"`
	MonthsOutOfPlay float64          `json:"months_out_of_play"`
	// Works is the capital with enabling works, less Saved; MobilisationShare its
	// part of the season's mobilisation, by the largest remainder.
	Works             costs.Money `json:"works"`
	Saved             costs.Money `json:"saved"`
	MobilisationShare costs.Money `json:"mobilisation_share"`
	Capital           costs.Money `json:"capital"`
	// NetPresentValue is over the present programme, without mobilisation, which
	// is the season's.
	NetPresentValue costs.Money `json:"net_present_value"`
	IndexYears      float64     `json:"index_years"`
	Reasons         []string    `json:"reasons"`
}

// PlanYear is the money of one year.
type PlanYear struct {
	Year         int         `json:"year"`
	Brought      costs.Money `json:"brought"`
	Budget       costs.Money `json:"budget"`
	Interest     costs.Money `json:"interest"`
	Works        costs.Money `json:"works"`
	Mobilisation costs.Money `json:"mobilisation"`
	Spent        costs.Money `json:"spent"`
	Lapsed       costs.Money `json:"lapsed"`
	Balance      costs.Money `json:"balance"`
}

// ConditionYear is the mean of the greens on the course, with the plan and
// without it.
type ConditionYear struct {
	Year                  int     `json:"year"`
	IndexWith             float64 `json:"index_with"`
	IndexWithout          float64 `json:"index_without"`
	MonthsPlayableWith    float64 `json:"months_playable_with"`
	MonthsPlayableWithout float64 `json:"months_playable_without"`
}

// GreenCalendar is when a green is out of play: the first and last month of each
// time.
type GreenCalendar struct {
	Green string       `json:"green"`
	Out   []MonthRange `json:"out"`
}

// MonthRange is a run of months, both ends in it.
type MonthRange struct {
	From costs.YearMonth `json:"from"`
	To   costs.YearMonth `json:"to"`
}

// GreenPlan is what the plan makes of a green that could have had something.
type GreenPlan struct {
	Green  string  `json:"green"`
	Index  float64 `json:"index"`
	Option Option  `json:"option,omitempty"` // left out where it is left as it is
	// Screened is false where no option meets the green's own requirements, so that
	// all that can be done were planned with.
	Screened bool         `json:"screened"`
	Options  []Option     `json:"options"` // that were planned with
	Excluded []OptionLeft `json:"excluded"`
	Mean     PlanMean     `json:"plan_mean"`
}

// PlanMean is a green's mean index over the years of the plan.
type PlanMean struct {
	IndexWith    float64 `json:"index_with"`
	IndexWithout float64 `json:"index_without"`
}

// OptionLeft is an option that was not planned with, and why.
type OptionLeft struct {
	Option Option `json:"option"`
	Reason string `json:"reason"`
}

// money is an amount of minor units; those of a plan fit.
func (p *planner) money(minor int64) costs.Money {
	m, err := moneyOf(minor, p.currency)
	if err != nil {
		return costs.Zero(p.currency)
	}
	return m
}

// isIndex reports whether the objective is counted in index-years.
func (p *planner) isIndex() bool { return p.course.Objective.Kind == programme.IndexYears }

func (p *planner) planValue(value int64) *PlanValue {
	if p.isIndex() {
		years := float64(value) / indexParts
		return &PlanValue{IndexYears: &years}
	}
	amount := p.money(value)
	return &PlanValue{Amount: &amount}
}

// report tells what was found.
func (p *planner) report(ctx context.Context, found programme.Solution) (CoursePlan, error) {
	first := p.greens[0].appraiser
	plan := CoursePlan{
		EngineVersion: EngineVersion, Title: p.c.Title, Currency: p.currency.Code(), FirstMonth: first.Case.Available.FirstMonth,
		Years: p.c.Plan.Years, PriceStamp: first.priceStamp(), Assumptions: first.assumptions.All(),
		Conflict: []PlanRule{}, Works: []PlannedWorks{}, Cash: []PlanYear{}, Condition: []ConditionYear{}, Calendar: []GreenCalendar{},
		LeftOut: []LeftOutGreen{}, RuleCosts: []RuleCost{}, HandDrawn: []HandDrawn{}, Greens: []GreenPlan{}, ConflictSure: true,
	}
	plan.Status = statusOf(found)
	plan.Objective = p.objective(found)
	var err error
	if found.Picks == nil {
		if plan.Status == PlanInfeasible {
			plan.Conflict, plan.ConflictSure, err = p.conflict(ctx)
		}
	} else {
		err = p.reportPlan(ctx, &plan, found)
	}
	if err != nil {
		return CoursePlan{}, err
	}
	p.reportGreens(&plan, found.Picks)
	plan.Headline = p.headline(&plan)
	plan.Cautions = p.cautions(&plan)
	plan.ComparisonsStoppedEarly = ctx.Err() != nil
	return plan, nil
}

func statusOf(found programme.Solution) PlanStatus {
	switch {
	case found.Stopped:
		return PlanStoppedEarly
	case found.Picks == nil && found.Proven:
		return PlanInfeasible
	case found.Picks == nil:
		return PlanNotFound
	case found.Proven && (found.Best == nil || found.BestProven):
		return PlanProven
	}
	return PlanWithinBound
}

// objectiveWords name the objectives.
var objectiveWords = map[programme.ObjectiveKind]string{
	programme.NetPresentValue: "the highest net present value over the present programme",
	programme.IndexYears:      "the most weighted index-years gained over the present programme",
	programme.LeastRegret:     "the least greatest regret over the scenarios",
}

func (p *planner) objective(found programme.Solution) PlanObjective {
	o := PlanObjective{Kind: p.course.Objective.Kind, Words: objectiveWords[p.course.Objective.Kind], Nodes: found.Nodes, Scenarios: []ScenarioPlan{}}
	if found.Picks == nil {
		return o
	}
	o.Value, o.Bound = p.planValue(found.Value), p.planValue(found.Bound)
	if size := max(found.Value, -found.Value); size > 0 {
		gap := roundTo(100*float64(found.Bound-found.Value)/float64(size), 10_000)
		o.GapPct = &gap
	}
	for s, best := range found.Best {
		name := "as stated"
		if s > 0 {
			name = p.c.Plan.Scenarios[s-1].Name
		}
		alone := *p.course
		alone.Objective = programme.Objective{Kind: programme.NetPresentValue, Scenarios: p.course.Objective.Scenarios, At: s}
		value := alone.Worth(found.Picks)
		o.Scenarios = append(o.Scenarios, ScenarioPlan{Name: name, Best: p.money(best), Proven: found.BestProven, Plan: p.money(value), Regret: p.money(best - value)})
	}
	return o
}

// reportPlan fills in what only a plan has.
func (p *planner) reportPlan(ctx context.Context, plan *CoursePlan, found programme.Solution) error {
	picks := found.Picks
	if err := p.reportWorks(plan, picks); err != nil {
		return err
	}
	p.reportCash(plan, picks)
	totals := p.totals(plan, picks)
	plan.Totals = &totals
	plan.Condition = p.condition(picks)
	for g, pick := range picks {
		if pick != programme.LeftOut && len(p.course.Greens[g].Candidates[pick].Out) > 0 {
			plan.Calendar = append(plan.Calendar, p.calendar(g, pick))
		}
	}
	p.explain(plan, picks)
	return p.compare(ctx, plan, found)
}

// byStart lists the greens that are done, by when they start and then in the
// order of the course.
func (p *planner) byStart(picks []int) []int {
	var order []int
	for g, pick := range picks {
		if pick != programme.LeftOut {
			order = append(order, g)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return p.greens[a].candidates[picks[a]].startsOn.MonthsSince(p.greens[b].candidates[picks[b]].startsOn)
	})
	return order
}

func (p *planner) reportWorks(plan *CoursePlan, picks []int) error {
	shares, err := p.mobilisationShares(picks)
	if err != nil {
		return err
	}
	for _, g := range p.byStart(picks) {
		k := &p.greens[g].candidates[picks[g]]
		var paid, saved int64
		for i, payment := range k.Payments {
			paid += payment
			saved += p.course.SavingOf(picks, g, i)
		}
		w := PlannedWorks{
			Green: p.course.Greens[g].Name, Option: k.option.Option, Words: k.option.Words, Year: k.Year, StartsOn: k.startsOn,
			MonthsOutOfPlay: k.option.MonthsOutOfPlay, Works: p.money(paid - saved), Saved: p.money(saved), MobilisationShare: p.money(shares[g]),
			Capital: p.money(paid - saved + shares[g]), NetPresentValue: p.money(p.course.WorthOf(picks, g)),
			IndexYears: float64(k.IndexGain) / indexParts, Reasons: []string{},
		}
		if timeline := k.option.Timeline; timeline != nil {
			w.LaidOn, w.OpensOn = monthOf(timeline.Opening.LaidOn, k.Year), monthOf(timeline.Opening.OpensOn, k.Year)
		}
		plan.Works = append(plan.Works, w)
	}
	return nil
}

// monthOf is the month of a day of the first year, in a later year of the plan.
func monthOf(day sward.Date, year int) *costs.YearMonth {
	month := costs.YearMonth{Year: day.Year, Month: day.Month}.AddMonths(12 * (year - 1))
	return &month
}

// mobilisationShares splits each season's mobilisation among its greens by what
// their works cost, by the largest remainder.
func (p *planner) mobilisationShares(picks []int) ([]int64, error) {
	shares := make([]int64, len(picks))
	for season, charge := range p.course.Mobilisation {
		var greens []int
		var weights []decimal.Decimal
		for g, pick := range picks {
			if pick != programme.LeftOut && p.course.Greens[g].Candidates[pick].Season == season {
				greens = append(greens, g)
				weights = append(weights, decimal.New(max(1, minorOf(p.greens[g].candidates[pick].capital)), 0))
			}
		}
		if len(greens) == 0 {
			continue
		}
		parts, err := p.money(charge.Cash).Split(weights)
		if err != nil {
			return nil, err
		}
		for i, g := range greens {
			shares[g] = minorOf(parts[i])
		}
	}
	return shares, nil
}

func (p *planner) reportCash(plan *CoursePlan, picks []int) {
	for _, y := range p.course.CashByYear(picks) {
		plan.Cash = append(plan.Cash, PlanYear{
			Year: y.Year, Brought: p.money(y.Brought), Budget: p.money(y.Budget), Interest: p.money(y.Interest), Works: p.money(y.Works),
			Mobilisation: p.money(y.Mobilisation), Spent: p.money(y.Spent()), Lapsed: p.money(y.Lapsed), Balance: p.money(y.Balance),
		})
	}
}

// totals adds the plan up from its works and its years.
func (p *planner) totals(plan *CoursePlan, picks []int) PlanTotals {
	var works, saved, mobilisation, interest int64
	for _, w := range plan.Works {
		works += minorOf(w.Works)
		saved += minorOf(w.Saved)
		mobilisation += minorOf(w.MobilisationShare)
	}
	for _, y := range plan.Cash {
		interest += minorOf(y.Interest)
	}
	var upkeep int64
	for g, pick := range picks {
		if pick != programme.LeftOut {
			upkeep += minorOf(p.greens[g].candidates[pick].option.Money.YearlyUpkeep) - minorOf(p.greens[g].options[0].Money.YearlyUpkeep)
		}
	}
	return PlanTotals{
		Works: p.money(works), Saved: p.money(saved), Mobilisation: p.money(mobilisation), Capital: p.money(works + mobilisation),
		PaidAfter: p.money(p.paidAfter(picks)), Interest: p.money(interest), NetPresentValue: p.money(p.netPresentValue(picks)),
		ExtraUpkeepPerYear: p.money(upkeep), IndexYears: p.indexYears(picks), OddGreens: p.course.Odd(picks),
	}
}

// netPresentValue is that of a plan as stated, whatever the objective, without
// the penalty of odd greens, which nobody pays.
func (p *planner) netPresentValue(picks []int) int64 {
	alone := *p.course
	alone.Objective, alone.Alike = programme.Objective{Kind: programme.NetPresentValue, Scenarios: p.course.Objective.Scenarios}, nil
	return alone.Worth(picks)
}

// condition is the mean of the greens on the course, year by year.
func (p *planner) condition(picks []int) []ConditionYear {
	years := make([]ConditionYear, p.course.Years)
	for year := range years {
		y := &years[year]
		y.Year = year + 1
		count := 0.0
		for g, green := range p.greens {
			if green.of.OffCourse {
				continue
			}
			with, without := green.without[year], green.without[year]
			if picks[g] != programme.LeftOut {
				with = green.candidates[picks[g]].with[year]
			}
			count++
			y.IndexWith += with.Index
			y.IndexWithout += without.Index
			y.MonthsPlayableWith += valueOr(with.MonthsPlayable, 0)
			y.MonthsPlayableWithout += valueOr(without.MonthsPlayable, 0)
		}
		for _, figure := range []*float64{&y.IndexWith, &y.IndexWithout, &y.MonthsPlayableWith, &y.MonthsPlayableWithout} {
			*figure = roundTo(*figure/max(1, count), 100)
		}
	}
	return years
}

func (p *planner) calendar(g, pick int) GreenCalendar {
	first := p.greens[g].appraiser.Case.Available.FirstMonth
	out := GreenCalendar{Green: p.course.Greens[g].Name}
	for _, month := range p.course.Greens[g].Candidates[pick].Out {
		at := first.AddMonths(month)
		if n := len(out.Out); n > 0 && at.MonthsSince(out.Out[n-1].To) == 1 {
			out.Out[n-1].To = at
		} else {
			out.Out = append(out.Out, MonthRange{at, at})
		}
	}
	return out
}

func (p *planner) reportGreens(plan *CoursePlan, picks []int) {
	for g, green := range p.greens {
		out := GreenPlan{Green: p.course.Greens[g].Name, Index: green.appraiser.report.Condition.Index, Screened: green.screened, Options: []Option{}, Excluded: []OptionLeft{}}
		for i := range green.options {
			o := &green.options[i]
			switch {
			case o.Option == Yardstick:
			case slices.Contains(green.planned, i):
				out.Options = append(out.Options, o.Option)
			default:
				out.Excluded = append(out.Excluded, OptionLeft{o.Option, whyExcluded(o)})
			}
		}
		with := green.without
		if picks != nil && picks[g] != programme.LeftOut {
			k := &green.candidates[picks[g]]
			out.Option, with = k.option.Option, k.with
		}
		for year := range p.course.Years {
			out.Mean.IndexWith += with[year].Index / float64(p.course.Years)
			out.Mean.IndexWithout += green.without[year].Index / float64(p.course.Years)
		}
		out.Mean.IndexWith, out.Mean.IndexWithout = roundTo(out.Mean.IndexWith, 100), roundTo(out.Mean.IndexWithout, 100)
		plan.Greens = append(plan.Greens, out)
	}
}

func whyExcluded(o *OptionAppraisal) string {
	if reasons := cannot(*o); len(reasons) > 0 {
		return reasons[0].Text
	}
	if len(o.Shortfalls) > 0 {
		return capital(o.Shortfalls[0].Text) + "."
	}
	return "It is not planned with."
}

func (p *planner) headline(plan *CoursePlan) string {
	switch plan.Status {
	case PlanInfeasible:
		return "No plan keeps every rule."
	case PlanNotFound:
		return "The search ended before it found a plan, and has not shown that there is none: give it more nodes."
	}
	if plan.Totals == nil {
		return "The search was stopped before it found a plan."
	}
	if len(plan.Works) == 0 {
		return "Nothing that could be done is worth more than leaving every green as it is, by the objective that is stated."
	}
	text := fmt.Sprintf("Do %s in %d years for %s of capital", countWords(len(plan.Works), "green"), plan.Years, plan.Totals.Capital.About())
	if n := len(plan.LeftOut); n > 0 {
		text += fmt.Sprintf(", and leave %d as they are", n)
	}
	return text + "."
}

func countWords(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
