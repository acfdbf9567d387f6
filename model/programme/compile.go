package programme

import (
	"slices"

	"swardcase/model/programme/choice"
)

// problem is a course put as a problem of choices. The first groups are the
// greens in their order; the derived groups behind them follow from those.
type problem struct {
	c     *Course
	tally *tally
	out   choice.Problem
	// candidate of each choice of each green; LeftOut for the last where a green
	// may be left.
	candidate [][]int
	// state is the level of prices of the season in which a choice is made, where
	// the seasons have levels.
	state [][]int
	// states are the levels of prices of every season, each a tier of every break,
	// -1 for none. The first is that without any.
	states [][]int
	season []int // the group of each season; -1 where a season needs none
}

// put turns a course into a problem of choices. The least value that is of
// interest bounds the regret that is represented.
func put(c *Course, least int64) *problem {
	p := &problem{c: c, tally: newTally(c), states: c.priceStates()}
	for g := range c.Greens {
		p.putGreen(g)
	}
	p.putSeasons()
	p.putBudget()
	p.putMonths()
	p.putStarts()
	p.putNursery()
	p.putAlike()
	p.putCounts()
	if c.Objective.Kind == LeastRegret {
		p.putRegret(least)
	}
	picks := make([]int, len(c.Greens))
	p.out.Judge = func(choices []int) (int64, bool) {
		p.tally.add(p.picks(choices, picks))
		if !p.tally.keepsRules(picks) {
			return 0, false
		}
		return p.tally.value(), true
	}
	if c.Budget.RatePPM > 0 && c.Budget.BorrowingCap > 0 && !c.Budget.Unlimited {
		p.out.More = p.interestRows
	}
	return p
}

// priceStates lists every combination of tiers that the breaks can have.
func (c *Course) priceStates() [][]int {
	states := [][]int{{}}
	for _, b := range c.Breaks {
		var longer [][]int
		for tier := -1; tier < len(b.AtLeast); tier++ {
			for _, state := range states {
				longer = append(longer, append(slices.Clone(state), tier))
			}
		}
		states = longer
	}
	return states
}

// picks reads the candidates off the choices of the greens.
func (p *problem) picks(choices, into []int) []int {
	for g := range into {
		into[g] = p.candidate[g][choices[g]]
	}
	return into
}

// choices finds the choice of each green that stands for its candidate.
func (p *problem) choices(picks []int) []int {
	out := make([]int, len(p.out.Groups))
	for g, pick := range picks {
		at := slices.Index(p.candidate[g], pick)
		if at < 0 {
			return nil
		}
		out[g] = at
	}
	return out
}

// putGreen makes the group of a green: its candidates by year, once for each
// level of prices that matters to them, and leaving it as it is behind them.
func (p *problem) putGreen(g int) {
	green := &p.c.Greens[g]
	var group choice.Group
	var candidate, state []int
	for i := range green.Candidates {
		k := &green.Candidates[i]
		if p.tally.barred[g][i] {
			continue
		}
		if !k.buys() {
			group.Values = append(group.Values, p.value(k, nil))
			candidate, state = append(candidate, i), append(state, anyState)
			continue
		}
		for s, tiers := range p.states {
			if p.reachable(k.Season, tiers) {
				group.Values = append(group.Values, p.value(k, tiers))
				candidate, state = append(candidate, i), append(state, s)
			}
		}
	}
	if green.LatestYear == 0 {
		group.Values = append(group.Values, 0)
		candidate, state = append(candidate, LeftOut), append(state, anyState)
	}
	p.out.Groups = append(p.out.Groups, group)
	p.candidate, p.state = append(p.candidate, candidate), append(p.state, state)
}

// anyState marks a choice that no level of prices matters to.
const anyState = -1

// reachable reports whether all greens together could reach the tiers in a
// season, each with what it could buy most of.
func (p *problem) reachable(season int, tiers []int) bool {
	for item, tier := range tiers {
		if tier < 0 {
			continue
		}
		var most int64
		for g := range p.c.Greens {
			var ofGreen int64
			for i := range p.c.Greens[g].Candidates {
				if k := &p.c.Greens[g].Candidates[i]; k.Season == season && !p.tally.barred[g][i] {
					ofGreen = max(ofGreen, k.Breaks[item].Quantity)
				}
			}
			most += ofGreen
		}
		if most < p.c.Breaks[item].AtLeast[tier] {
			return false
		}
	}
	return true
}

// value is what a candidate brings to the objective at a level of prices.
// Regret has no value of its own: its rows hold the values of the scenarios.
func (p *problem) value(k *Candidate, tiers []int) int64 {
	switch p.c.Objective.Kind {
	case IndexYears:
		return k.IndexGain
	case LeastRegret:
		return 0
	}
	return k.worth(p.c.Objective.At, tiers)
}

// worth is the value of a candidate in a scenario at a level of prices.
func (k *Candidate) worth(scenario int, tiers []int) int64 {
	worth := k.Worth[scenario]
	for item, tier := range tiers {
		if tier >= 0 {
			worth += k.Breaks[item].SavingWorth[tier][scenario]
		}
	}
	return worth
}

// payments are by plan year, at a level of prices.
func (k *Candidate) payments(tiers []int) []int64 {
	paid := slices.Clone(k.Payments)
	for item, tier := range tiers {
		if tier >= 0 {
			paid[k.savingYear()] -= k.Breaks[item].Saving[tier]
		}
	}
	return paid
}

// tiersOf are the tiers at which a choice of a green is priced.
func (p *problem) tiersOf(g, at int) []int {
	if s := p.state[g][at]; s != anyState {
		return p.states[s]
	}
	return nil
}

// each calls f for every choice of a green that is a candidate.
func (p *problem) each(f func(g, at int, k *Candidate)) {
	for g := range p.c.Greens {
		for at, i := range p.candidate[g] {
			if i != LeftOut {
				f(g, at, &p.c.Greens[g].Candidates[i])
			}
		}
	}
}

// buys reports whether a candidate buys anything of an item with a break.
func (k *Candidate) buys() bool {
	return k.Season >= 0 && slices.ContainsFunc(k.Breaks, func(use BreakUse) bool { return use.Quantity > 0 })
}
