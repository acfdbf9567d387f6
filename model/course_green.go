package model

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/programme"
)

// plannedGreen is one green of a course, appraised for every year in which
// something could start.
type plannedGreen struct {
	of         *CourseGreen
	appraiser  *appraiser
	options    []OptionAppraisal
	works      []worksMoney // of the options
	planned    []int        // the options that the plan may take
	candidates []plannedCandidate
	// without is the condition of each plan year under the present programme.
	without []ExpectedCondition
	// screened is true where the options are those that meet the green's own
	// requirements; where none does, all that can be done are planned with.
	screened bool
}

// plannedCandidate is one option in one year, with what the report says of it.
type plannedCandidate struct {
	programme.Candidate
	option   *OptionAppraisal
	capital  costs.Money         // with enabling works, without mobilisation
	with     []ExpectedCondition // by plan year, the present programme before it starts
	startsOn costs.YearMonth
}

// appraiseGreen appraises one green of a course. Its faults stand where the
// course has what they complain of.
func (c *CourseCase) appraiseGreen(g int, keeper CurveKeeper) (*plannedGreen, error) {
	out, err := newPlannedGreen(&c.Greens[g], c.caseOf(g), c.Plan.Years, keeper)
	if err != nil {
		return nil, c.underGreen(err, g)
	}
	out.planned, out.screened = planable(out.options)
	return out, nil
}

// newPlannedGreen appraises a green as a case has it.
func newPlannedGreen(of *CourseGreen, green Case, years int, keeper CurveKeeper) (*plannedGreen, error) {
	a, err := newAppraiser(green, nil)
	if err != nil {
		return nil, err
	}
	a.ahead = years
	out := &plannedGreen{of: of, appraiser: a}
	out.options, err = a.options(keeper)
	return out, err
}

// underGreen gives the faults of a green's case their place in the course.
func (c *CourseCase) underGreen(err error, g int) error {
	var list fault.List
	if !errors.As(err, &list) {
		return err
	}
	own := map[string]bool{"green": true, "survey": true, "upkeep": true}
	own["requirements"], own["choices"] = c.Greens[g].Requirements != nil, c.Greens[g].Choices != nil
	out := make(fault.List, len(list))
	for i, f := range list {
		head, rest, _ := strings.Cut(strings.TrimPrefix(f.Pointer, "/"), "/")
		switch {
		case own[head]:
			f.Pointer = fault.Pointer("greens", g) + f.Pointer
		case head == "money" && strings.HasPrefix(rest, "worth_of_playable_month") && len(c.Greens[g].WorthOfPlayableMonth) > 0:
			f.Pointer = fault.Pointer("greens", g) + "/" + rest
		}
		out[i] = f
	}
	return out
}

// cannot are the reasons for which an option cannot be planned: those of the
// appraisal, but for a nursery that is too small, which the plan sees to itself.
func cannot(o OptionAppraisal) []Reason {
	return slices.DeleteFunc(slices.Clone(o.Infeasible), func(r Reason) bool { return r.Code == "nursery_turf_too_small" })
}

// planable are the options that a plan may take: those that meet the green's own
// requirements, if any does.
func planable(options []OptionAppraisal) (planned []int, screened bool) {
	var meet, possible []int
	for i, o := range options {
		if o.Option == Yardstick || len(cannot(o)) > 0 {
			continue
		}
		possible = append(possible, i)
		if len(o.Shortfalls) == 0 {
			meet = append(meet, i)
		}
	}
	if len(meet) > 0 {
		return meet, true
	}
	return possible, false
}

// findCandidates works out every option in every year, in the order of the
// years. Values of further scenarios are added by their own appraisals.
func (p *plannedGreen) findCandidates(c *CourseCase) error {
	for i := range p.options {
		works, err := p.appraiser.worksMoneyOf(&p.options[i], c)
		if err != nil {
			return fmt.Errorf("capital of %s: %w", p.options[i].Option, err)
		}
		p.works = append(p.works, works)
	}
	for year := range c.Plan.Years {
		a, err := p.appraiser.yearsOn(year)
		if err != nil {
			return err
		}
		yardstick, err := a.startedLater(p.options[0])
		if err != nil {
			return err
		}
		p.without = append(p.without, a.conditionIn(yardstick.Forecast.Years[0]))
		for _, option := range p.planned {
			k, err := p.candidate(c, a, option, yardstick, year)
			if err != nil {
				return err
			}
			p.candidates = append(p.candidates, k)
		}
	}
	for i := range p.candidates {
		p.followCandidate(&p.candidates[i], c.Plan.Years)
	}
	return nil
}

// candidate is one option that starts in a year.
func (p *plannedGreen) candidate(c *CourseCase, a *appraiser, at int, yardstick OptionAppraisal, year int) (plannedCandidate, error) {
	option := &p.options[at]
	later, err := a.startedLater(*option)
	if err != nil {
		return plannedCandidate{}, err
	}
	k := plannedCandidate{option: option}
	k.Option, k.Year, k.Season = string(option.Option), year+1, -1
	for _, forecast := range later.Forecast.Years {
		k.with = append(k.with, a.conditionIn(forecast))
	}
	first := p.appraiser.Case.Available.FirstMonth
	k.startsOn = first.AddMonths(12 * year)
	if option.Timeline != nil {
		k.placeWorks(option, first, year)
	}
	compared, err := a.purse.timeline.Compare(later.Money.CashFlow, yardstick.Money.CashFlow)
	if err != nil {
		return k, err
	}
	if err := p.works[at].fill(&k, a, compared.NetPresentValue, year, c.Plan.Years); err != nil {
		return k, fmt.Errorf("capital of %s: %w", option.Option, err)
	}
	return k, nil
}

// placeWorks puts the works in the months of the plan.
func (k *plannedCandidate) placeWorks(option *OptionAppraisal, first costs.YearMonth, year int) {
	k.startsOn = option.Timeline.StartMonth.AddMonths(12 * year)
	k.Season = programme.SeasonOf(k.startsOn.MonthsSince(first))
	k.Kind = k.Option
	for month, days := range option.Timeline.outOfPlay {
		if days > 0.5 {
			k.Out = append(k.Out, 12*year+month)
		}
	}
	laid := option.Timeline.Opening.LaidOn
	k.LaidMonth = costs.YearMonth{Year: laid.Year, Month: laid.Month}.MonthsSince(first) + 12*year
	if option.Option.Surface() == NurseryTurf {
		k.NurseryTurf = int64(option.Design.Covering.OrderedM2*100 + 0.5)
	}
}

// followCandidate lays the condition of a candidate on the years of the plan and
// adds up what it gains.
func (p *plannedGreen) followCandidate(k *plannedCandidate, years int) {
	with := slices.Clone(p.without[:min(years, k.Year-1)])
	for i := 0; len(with) < years && i < len(k.with); i++ {
		with = append(with, k.with[i])
	}
	for len(with) < years { // a horizon shorter than the plan
		with = append(with, with[len(with)-1])
	}
	k.with = with
	gained := 0.0
	for year := range with {
		gained += with[year].Index - p.without[year].Index
	}
	weight := valueOr(p.of.Weight, 1)
	k.IndexGain = int64(roundTo(weight*gained, indexParts) * indexParts)
}

// indexParts are the parts of an index-year that a plan counts in.
const indexParts = 1000

// minorOf is an amount in minor units of its currency.
func minorOf(m costs.Money) int64 { return m.Amount().Shift(m.Currency().Places()).IntPart() }

// moneyOf is an amount of minor units.
func moneyOf(minor int64, currency costs.Currency) (costs.Money, error) {
	return costs.NewMoney(decimal.New(minor, -currency.Places()), currency)
}
