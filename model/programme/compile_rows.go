package programme

import (
	"cmp"
	"slices"

	"swardcase/model/programme/choice"
)

// addRow adds a row that could be broken: one whose amounts come to more than
// its limit.
func (p *problem) addRow(entries []choice.Entry, limit int64) {
	var most int64
	largest := map[int]int64{}
	for _, e := range entries {
		largest[e.Group] = max(largest[e.Group], e.Amount)
	}
	for _, amount := range largest {
		most += amount
	}
	if most > limit {
		p.out.Rows = append(p.out.Rows, choice.Row{Entries: entries, Limit: limit})
	}
}

// putSeasons makes a group for each season in which something costs or saves:
// shut, or open at a level of prices. A green whose works start in a season
// needs it open, at the level that the green counts on; a level needs its
// quantities.
func (p *problem) putSeasons() {
	p.season = make([]int, p.c.seasons())
	for season := range p.season {
		p.season[season] = -1
		if len(p.c.Mobilisation) > 0 || len(p.c.Breaks) > 0 {
			p.putSeason(season)
		}
	}
}

func (p *problem) putSeason(season int) {
	group := choice.Group{Derived: true, First: 1, Values: []int64{0}} // shut
	level := make([]int, len(p.states))                                // the choice of each state, 0 where it is out of reach
	for s, tiers := range p.states {
		if p.reachable(season, tiers) {
			level[s] = len(group.Values)
			group.Values = append(group.Values, p.seasonValue(season))
		}
	}
	at := len(p.out.Groups)
	p.season[season] = at
	p.out.Groups = append(p.out.Groups, group)

	// x ≤ open, for each green and level; choices that no level matters to need
	// the season open at any.
	open := func(s int) (entries []choice.Entry) {
		for state, c := range level {
			if c > 0 && (s == anyState || s == state) {
				entries = append(entries, choice.Entry{Group: at, Choice: c, Amount: -1})
			}
		}
		return entries
	}
	for g := range p.c.Greens {
		users := map[int][]choice.Entry{}
		for c, i := range p.candidate[g] {
			if i != LeftOut && p.c.Greens[g].Candidates[i].Season == season {
				users[p.state[g][c]] = append(users[p.state[g][c]], choice.Entry{Group: g, Choice: c, Amount: 1})
			}
		}
		for s := anyState; s < len(p.states); s++ {
			if len(users[s]) > 0 {
				p.addRow(append(users[s], open(s)...), 0)
			}
		}
	}
	p.putThresholds(season, at, level)
}

// putThresholds: least × open − what is bought ≤ 0, for each level and item.
func (p *problem) putThresholds(season, group int, level []int) {
	for s, tiers := range p.states {
		for item, tier := range tiers {
			if tier < 0 || level[s] == 0 {
				continue
			}
			entries := []choice.Entry{{Group: group, Choice: level[s], Amount: p.c.Breaks[item].AtLeast[tier]}}
			p.each(func(g, at int, k *Candidate) {
				if k.Season == season && p.state[g][at] == s {
					entries = append(entries, choice.Entry{Group: g, Choice: at, Amount: -k.Breaks[item].Quantity})
				}
			})
			p.addRow(entries, 0)
		}
	}
}

// putCounts makes a group for the number of works that start by the end of each
// season. It adds nothing to the problem; the search decides such numbers before
// it decides which greens they are.
func (p *problem) putCounts() {
	var entries []choice.Entry                   // so far
	users := make(map[int]bool, len(p.c.Greens)) // greens that they are of
	for season := range p.c.seasons() {
		p.each(func(g, at int, k *Candidate) {
			if k.Season == season {
				entries = append(entries, choice.Entry{Group: g, Choice: at, Amount: 1})
				users[g] = true
			}
		})
		most := len(users)
		if most == 0 {
			continue
		}
		group := len(p.out.Groups)
		p.out.Groups = append(p.out.Groups, choice.Group{Derived: true, First: 3, Values: make([]int64, most+1)})
		up, down := slices.Clone(entries), slices.Clone(entries)
		for i := range down {
			down[i].Amount = -1
		}
		for n := 1; n <= most; n++ {
			up = append(up, choice.Entry{Group: group, Choice: n, Amount: -int64(n)})
			down = append(down, choice.Entry{Group: group, Choice: n, Amount: int64(n)})
		}
		p.out.Rows = append(p.out.Rows, choice.Row{Entries: up, Limit: 0}, choice.Row{Entries: down, Limit: 0})
	}
}

// seasonValue is what opening a season takes off the objective.
func (p *problem) seasonValue(season int) int64 {
	if p.c.Objective.Kind != NetPresentValue || len(p.c.Mobilisation) == 0 {
		return 0
	}
	return -p.c.Mobilisation[season].Worth[p.c.Objective.At]
}

// spending is what is spent in each year, as entries.
func (p *problem) spending() [][]choice.Entry {
	spent := make([][]choice.Entry, p.c.Years)
	p.each(func(g, at int, k *Candidate) {
		for year, paid := range k.payments(p.tiersOf(g, at))[:p.c.Years] {
			if paid > 0 {
				spent[year] = append(spent[year], choice.Entry{Group: g, Choice: at, Amount: paid})
			}
		}
	})
	p.eachCharge(func(season, group, at int, charge *Charge) {
		year := season / seasonsPerYear
		spent[year] = append(spent[year], choice.Entry{Group: group, Choice: at, Amount: charge.Cash})
	})
	return spent
}

// eachCharge calls f for every choice by which a season is open, with what its
// mobilisation costs.
func (p *problem) eachCharge(f func(season, group, at int, charge *Charge)) {
	for season := range p.c.Mobilisation {
		group := p.season[season]
		for at := 1; at < len(p.out.Groups[group].Values); at++ {
			f(season, group, at, &p.c.Mobilisation[season])
		}
	}
}

// putBudget: what is spent in every run of years that ends at each year stays
// within its budgets and the debt allowed. With carry-over only the runs from
// the first year bind, since what is saved never hurts; without borrowing and
// carry-over only the single years.
func (p *problem) putBudget() {
	b := &p.c.Budget
	if b.Unlimited {
		return
	}
	spent := p.spending()
	for end := range p.c.Years {
		limit := b.BorrowingCap
		var entries []choice.Entry
		for start := end; start >= 0; start-- {
			limit += b.Yearly[start]
			entries = append(entries, spent[start]...)
			if b.CarryOver && start > 0 {
				continue
			}
			p.addRow(joined(entries), limit)
			if !b.CarryOver && b.BorrowingCap == 0 {
				break
			}
		}
	}
}

// joined adds up the amounts of equal choices, in the order of the choices.
func joined(entries []choice.Entry) []choice.Entry {
	sorted := slices.Clone(entries)
	slices.SortStableFunc(sorted, func(a, b choice.Entry) int {
		return cmp.Or(cmp.Compare(a.Group, b.Group), cmp.Compare(a.Choice, b.Choice))
	})
	out := sorted[:0]
	for _, e := range sorted {
		if n := len(out); n > 0 && out[n-1].Group == e.Group && out[n-1].Choice == e.Choice {
			out[n-1].Amount += e.Amount
		} else {
			out = append(out, e)
		}
	}
	return out
}

// putMonths limits the greens out of play in each month: on the course, in each
// set, and beside the practice green.
func (p *problem) putMonths() {
	months := 12*p.c.Years + monthsAfter
	out := make([][]choice.Entry, months)
	p.each(func(g, at int, k *Candidate) {
		for _, month := range k.Out {
			out[month] = append(out[month], choice.Entry{Group: g, Choice: at, Amount: 1})
		}
	})
	var before []choice.Entry
	beforeLimit := 0
	for month, entries := range out {
		if len(entries) == 0 || slices.Equal(entries, before) && p.tally.limit[month] >= beforeLimit {
			continue // as an earlier month's
		}
		before, beforeLimit = entries, p.tally.limit[month]
		if p.tally.limit[month] < noLimit {
			p.addRow(of(entries, func(g int) bool { return !p.c.Greens[g].OffCourse }), int64(p.tally.limit[month]))
		}
		for _, set := range p.c.Sets {
			p.addRow(of(entries, func(g int) bool { return slices.Contains(set.Greens, g) }), int64(set.Most))
		}
		if p.c.Practice != nil {
			p.putPractice(entries)
		}
	}
}

// of are the entries of some greens.
func of(entries []choice.Entry, is func(g int) bool) []choice.Entry {
	var out []choice.Entry
	for _, e := range entries {
		if is(e.Group) {
			out = append(out, e)
		}
	}
	return out
}

// putPractice: others + (all − most) × practice ≤ all.
func (p *problem) putPractice(entries []choice.Entry) {
	practice := p.c.Practice
	others := of(entries, func(g int) bool { return g != practice.Green })
	var all int64
	for i, e := range others {
		if i == 0 || others[i-1].Group != e.Group {
			all++
		}
	}
	if all <= int64(practice.MostOthers) {
		return
	}
	row := others
	for _, e := range of(entries, func(g int) bool { return g == practice.Green }) {
		row = append(row, choice.Entry{Group: e.Group, Choice: e.Choice, Amount: all - int64(practice.MostOthers)})
	}
	p.addRow(row, all)
}

func (p *problem) putStarts() {
	if p.c.MostPerSeason == 0 {
		return
	}
	for season := range p.c.seasons() {
		var entries []choice.Entry
		p.each(func(g, at int, k *Candidate) {
			if k.Season == season {
				entries = append(entries, choice.Entry{Group: g, Choice: at, Amount: 1})
			}
		})
		p.addRow(entries, int64(p.c.MostPerSeason))
	}
}

// putNursery: twelve times the turf laid up to a month ≤ twelve times the stock +
// the months × a year's growth.
func (p *problem) putNursery() {
	n := p.c.Nursery
	if n == nil {
		return
	}
	var months []int
	p.each(func(_, _ int, k *Candidate) {
		if k.NurseryTurf > 0 && !slices.Contains(months, k.LaidMonth) {
			months = append(months, k.LaidMonth)
		}
	})
	slices.Sort(months)
	for _, month := range months {
		var entries []choice.Entry
		p.each(func(g, at int, k *Candidate) {
			if k.NurseryTurf > 0 && k.LaidMonth <= month {
				entries = append(entries, choice.Entry{Group: g, Choice: at, Amount: 12 * k.NurseryTurf})
			}
		})
		p.addRow(entries, 12*n.Stock+n.GrownPerYear*int64(month))
	}
}

// putAlike makes a group for the commonest kind, and one for each green that may
// be odd: a green whose works are of another kind is.
func (p *problem) putAlike() {
	kinds := p.c.kinds()
	if p.c.Alike == nil || p.c.Alike.Penalty == 0 || len(kinds) < 2 {
		return
	}
	common := len(p.out.Groups)
	p.out.Groups = append(p.out.Groups, choice.Group{Derived: true, First: 2, Values: make([]int64, len(kinds))})
	for g := range p.c.Greens {
		byKind := make([][]choice.Entry, len(kinds))
		for at, i := range p.candidate[g] {
			if i != LeftOut {
				if kind := p.tally.kindOf[g][i]; kind >= 0 {
					byKind[kind] = append(byKind[kind], choice.Entry{Group: g, Choice: at, Amount: 1})
				}
			}
		}
		odd := len(p.out.Groups)
		p.out.Groups = append(p.out.Groups, choice.Group{Derived: true, Values: []int64{0, -p.c.Alike.Penalty}})
		for kind, entries := range byKind {
			if len(entries) > 0 {
				p.addRow(append(entries, choice.Entry{Group: common, Choice: kind, Amount: -1}, choice.Entry{Group: odd, Choice: 1, Amount: -1}), 0)
			}
		}
	}
}

// putRegret makes the mixed group of the greatest regret, from nought to the
// one that is known to be within reach, and a row for each scenario: regret is
// no less than its best value less the plan's.
func (p *problem) putRegret(least int64) {
	regret := len(p.out.Groups)
	p.out.Groups = append(p.out.Groups, choice.Group{Derived: true, Mixed: true, Values: []int64{least, 0}})
	for s, best := range p.c.Objective.Best {
		entries := []choice.Entry{{Group: regret, Choice: 0, Amount: least}}
		p.each(func(g, at int, k *Candidate) {
			if worth := k.worth(s, p.tiersOf(g, at)); worth != 0 {
				entries = append(entries, choice.Entry{Group: g, Choice: at, Amount: -worth})
			}
		})
		p.eachCharge(func(_, group, at int, charge *Charge) {
			entries = append(entries, choice.Entry{Group: group, Choice: at, Amount: charge.Worth[s]})
		})
		p.out.Rows = append(p.out.Rows, choice.Row{Entries: entries, Limit: -best})
	}
}
