package model

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/confidence"
	"swardcase/model/sward"
	"swardcase/model/water"
)

// drawForm makes the form of the appraised options.
func (a *appraiser) drawForm(options []OptionAppraisal) (*drawForm, error) {
	t := a.purse.timeline
	f := &drawForm{
		inputs: a.drawInputs(), years: t.Years(),
		discounted: t.DiscountFactors(), upkeepAt: t.PriceLevels(costs.Upkeep), aftercare: t.PriceLevels(costs.Aftercare),
		quantityLikely: a.assumptions.Likely("works_quantity_ratio"), worthLikely: a.assumptions.Likely("worth_of_playable_month_ratio"),
	}
	f.priceLevel, f.quantity = f.input(inputPriceLevel), f.input("works_quantity_ratio")
	f.residualAt = t.PriceLevels(costs.Residual)[f.years]
	f.stages = make([]float64, f.years+1)
	capitalAt := t.PriceLevels(costs.Capital)
	for _, stage := range a.Case.Money.stagesWithin(t.Months()) {
		year := 0
		if month := costs.YearZero + stage.MonthsAfterStart; month >= 0 {
			year = month/12 + 1
		}
		f.stages[year] += stage.SharePct / 100 * capitalAt[year]
	}
	f.worth, f.discount = f.input("worth_of_playable_month_ratio"), f.input(inputDiscountRate)
	if err := a.formMoney(f, options); err != nil {
		return nil, err
	}
	return f, a.formPlay(f, options)
}

func (f *drawForm) input(name string) int {
	return slices.IndexFunc(f.inputs, func(in confidence.Input) bool { return in.Name == name })
}

// formMoney gives every option its money at the three price levels. That of the
// case is priced already.
func (a *appraiser) formMoney(f *drawForm, options []OptionAppraisal) error {
	f.options = make([]optionForm, len(options))
	for at, level := range []costs.Level{costs.Low, costs.Likely, costs.High} {
		b := *a
		if level != a.Case.Money.PriceLevel {
			terms := *a.Case.Money
			terms.PriceLevel = level
			b.Case.Money = &terms
			var err error
			if b.purse, err = b.openPurse(); err != nil {
				return err
			}
		}
		f.enabling[at] = b.purse.enabling.Capital.Float()
		for i, out := range options {
			m := *out.Money
			if level != a.Case.Money.PriceLevel {
				if err := b.priceWorks(&m, out); err != nil {
					return err
				}
				if err := b.priceUpkeep(&m, out.Option); err != nil {
					return err
				}
			}
			o := &f.options[i]
			o.works[at], o.upkeep[at] = m.WorksBill.Capital.Float(), m.YearlyUpkeep.Float()
			o.aftercare[0][at], o.aftercare[1][at] = m.AftercareYear1.Float(), m.AftercareYear2.Float()
		}
	}
	for i, out := range options {
		f.options[i].renewalShare = f.input("renewal_share_" + string(out.Option.Route()))
		if out.Timeline == nil {
			continue
		}
		for n := range 2 {
			if month := out.Timeline.opensMonth + 12*n; month < a.purse.timeline.Months() {
				f.options[i].aftercareYear[n] = month/12 + 1
			}
		}
	}
	return nil
}

// formPlay works out the figures of play where all inputs are likely, and how
// they answer to each.
func (a *appraiser) formPlay(f *drawForm, options []OptionAppraisal) error {
	worth, err := a.worthByMonth()
	if err != nil {
		return err
	}
	p := player{income: a.purse.timeline.PriceLevels(costs.Income), renewal: a.purse.timeline.PriceLevels(costs.Renewal)}
	for month := range worth {
		p.worth[month] = worth[month].Float()
	}
	options = slices.Clone(options)
	for i := range options {
		f.options[i].likely = p.row(a, options[i])
		options[i].heldLife = holdLife(options[i])
	}
	for _, names := range drawnGroups() {
		if err := a.respond(f, options, p, names); err != nil {
			return likelyOf(strings.Join(names, " and "), err)
		}
	}
	return nil
}

// holdLife is the age at which the likely forecast has an option fall below the
// requirement and its works done again; far off where it does not. Draws keep to
// it: an age that jumps with each of many inputs cannot be added up.
func holdLife(o OptionAppraisal) int {
	life := o.lifeYears()
	if life == 0 {
		return 0
	}
	if life < int(math.Round(o.Design.WorkingLifeYears.Likely)) {
		return life
	}
	return mostLifeYears
}

// drawnGroups lists every input that play answers to by itself, then those that
// are taken together.
func drawnGroups() [][]string {
	var groups [][]string
	for _, name := range slices.Concat(drawnLives, drawnWorks, drawnForecast) {
		groups = append(groups, []string{name})
	}
	return append(groups, drawnTogether...)
}

// respond adds one group with the responses of all options.
func (a *appraiser) respond(f *drawForm, options []OptionAppraisal, p player, names []string) error {
	var g group
	nodes := 1
	for _, name := range names {
		in := f.inputs[f.input(name)]
		if in.Low == in.High {
			return nil
		}
		grid := gridOf(in)
		if len(names) > 2 {
			grid = slices.Compact([]float64{in.Low, in.Likely, in.High})
		}
		g.inputs, g.grids = append(g.inputs, f.input(name)), append(g.grids, grid)
		nodes *= len(grid)
	}
	rows := make([][]float64, nodes*len(options)) // by option, then by node
	g.still = make([]bool, nodes)
	for node := range nodes {
		values := g.valuesAt(node)
		if g.still[node] = f.alone(names, values); g.still[node] {
			continue
		}
		again, err := a.playAt(options, names, values)
		if err != nil {
			return err
		}
		for o := range options {
			rows[o*nodes+node] = p.row(a, again[o])
		}
	}
	for o := range options {
		f.take(o, g, rows[o*nodes:][:nodes])
	}
	f.groups = append(f.groups, g)
	return nil
}

// valuesAt gives the values of a group's inputs at a node.
func (g *group) valuesAt(node int) []float64 {
	values := make([]float64, len(g.grids))
	for i := len(g.grids) - 1; i >= 0; i-- {
		values[i] = g.grids[i][node%len(g.grids[i])]
		node /= len(g.grids[i])
	}
	return values
}

// alone reports whether a node of a group changes nothing beyond what its inputs
// do alone: all of them likely, or in a group of several all but one.
func (f *drawForm) alone(names []string, values []float64) bool {
	moved := 0
	for i, name := range names {
		if values[i] != f.inputs[f.input(name)].Likely {
			moved++
		}
	}
	return moved == 0 || len(names) > 1 && moved == 1
}

// take keeps the response of one option, unless it is nothing. A still node has
// no row.
func (f *drawForm) take(option int, g group, rows [][]float64) {
	o := &f.options[option]
	r := response{group: len(f.groups), width: playIncome + f.years}
	changes := make([][]float64, len(rows))
	something := false
	for node, row := range rows {
		changes[node] = make([]float64, len(o.likely))
		if row == nil {
			continue
		}
		expected := slices.Clone(o.likely)
		if len(g.inputs) > 1 {
			f.singly(o, g, g.valuesAt(node), expected)
		}
		for i := range row {
			change := row[i] - expected[i]
			if math.Abs(change) < 1e-9 {
				continue // a difference of roundings
			}
			changes[node][i], something = change, true
			if i >= r.width {
				r.width = len(o.likely)
			}
		}
	}
	if !something {
		return
	}
	for _, change := range changes {
		r.rows = append(r.rows, change[:r.width]...)
	}
	o.responses = append(o.responses, r)
}

// singly adds what each input of a group does alone.
func (f *drawForm) singly(o *optionForm, g group, values, play []float64) {
	draw := make([]float64, len(f.inputs))
	for i, input := range g.inputs {
		draw[input] = values[i]
	}
	for i := range o.responses {
		single := &f.groups[o.responses[i].group]
		if len(single.inputs) == 1 && slices.Contains(g.inputs, single.inputs[0]) {
			o.responses[i].add(single.corners(draw, nil), play)
		}
	}
}

// gridParts is into how many parts each side of an input's range is cut for its
// responses: more where a week more may miss a season.
const (
	gridParts      = 2
	gridPartsWorks = 4
)

// gridOf cuts both sides of an input's range into equal parts; a stepped one
// takes every step of its range, up to a number.
func gridOf(in confidence.Input) []float64 {
	const mostSteps = 40
	if steps := math.Round((in.High - in.Low) / in.Step); in.Step > 0 && steps <= mostSteps {
		grid := make([]float64, int(steps)+1)
		for i := range grid {
			grid[i] = in.Low + float64(i)*in.Step
		}
		return grid
	}
	parts := gridParts
	if slices.Contains(drawnWorks, in.Name) {
		parts = gridPartsWorks
	}
	var grid []float64
	for i := range parts {
		grid = append(grid, in.Low+(in.Likely-in.Low)*float64(i)/float64(parts))
	}
	grid = append(grid, in.Likely)
	for i := range parts {
		grid = append(grid, in.Likely+(in.High-in.Likely)*float64(i+1)/float64(parts))
	}
	return slices.Compact(grid)
}

// player turns a forecast into a row of figures of play.
type player struct {
	worth           [12]float64 // by calendar month
	income, renewal []float64   // price levels by year
}

func (p player) row(a *appraiser, out OptionAppraisal) []float64 {
	years := out.Forecast.Years
	row := make([]float64, playIncome+2*len(years))
	row[playMonths], row[playIndex], row[playMonthsOut] = out.Forecast.MonthsPlayableYear5, out.Expected.Index, out.MonthsOutOfPlay
	if left := a.residualOf(out); left != nil {
		which := playUnexpired
		if left.month != costs.YearZero {
			which = playUnexpiredAgain
		}
		row[which] = left.unexpired(12 * len(years))
	}
	first := a.Case.Available.FirstMonth
	for i, year := range years {
		for month, open := range year.PlayableDays {
			calendar := monthIn(first, month)
			row[playIncome+i] += p.worth[calendar] * open / monthDays[calendar] * p.income[i+1]
		}
	}
	for _, again := range a.renewalsOf(out) {
		row[playIncome+len(years)+again.month/12] += again.inside * p.renewal[again.month/12+1]
	}
	return row
}

// playAt is the options with play worked out anew, some assumptions having
// other likely values. Designs and bills stay.
func (a *appraiser) playAt(options []OptionAppraisal, names []string, values []float64) ([]OptionAppraisal, error) {
	overrides := make([]assumption.Override, len(names))
	for i, name := range names {
		overrides[i] = assumption.Override{Name: name, Likely: values[i]}
	}
	set, bad := a.assumptions.With(overrides)
	if len(bad) > 0 {
		return nil, bad
	}
	b := *a
	b.assumptions = set
	if slices.ContainsFunc(names, func(name string) bool { return slices.Contains(drawnForecast, name) }) {
		if err := b.openForecasts(sameCurve{a.play.curve}); err != nil {
			return nil, err
		}
	}
	out := slices.Clone(options)
	for i := range out {
		if err := b.playAgain(&out[i], names); err != nil {
			return nil, fmt.Errorf("%s: %w", out[i].Option, err)
		}
	}
	return out, nil
}

// playAgain forecasts one option anew, if any of the assumptions has to do with
// it.
func (a *appraiser) playAgain(o *OptionAppraisal, names []string) error {
	again := false
	for _, name := range names {
		switch {
		case slices.Contains(drawnForecast, name):
			o.ages, again = nil, true
		case slices.Contains(drawnWorks, name):
			if o.Timeline == nil || name != "works_weeks_ratio" && name != "growth_days_to_play_"+string(o.Option.Surface()) {
				continue
			}
			timeline, err := a.timelineOf(*o)
			var refused *sward.Refusal
			switch {
			case errors.As(err, &refused):
				continue // no start within a year: rare, and as good as the likely one
			case err != nil:
				return err
			}
			o.Timeline, o.MonthsOutOfPlay, again = timeline, timeline.Opening.MonthsOutOfPlay, true
		case o.Design != nil && name == "life_"+string(o.Option.Route())+"_years":
			design := *o.Design
			design.WorkingLifeYears.Likely = a.assumptions.Likely(name)
			o.Design, o.ages, again = &design, nil, true // slits clog within their life
		}
	}
	if !again {
		return nil
	}
	var err error
	if o.Forecast, err = a.forecast(*o); err != nil {
		return err
	}
	o.Expected = a.expectedCondition(*o)
	return nil
}

// sameCurve gives back one curve, whatever is asked for.
type sameCurve struct{ curve *water.Curve }

func (k sameCurve) Keep(string, func() (*water.Curve, error)) (*water.Curve, error) {
	return k.curve, nil
}
