package main

import (
	"fmt"
	"slices"

	"swardcase/model/programme"
)

// The courses are written down here from their own words, and in another way
// than the search does it: balances are variables and debt bears interest in
// them; a saving by quantity is a variable of its own beside the works; months
// are written out one by one, and nothing is left out because it could not bind.

// pound keeps the numbers of the solver within a few digits.
const pound = 100.0

// moneyUnit is what a unit of the written objective is worth to the course.
func moneyUnit(c *programme.Course) float64 {
	if c.Objective.Kind == programme.IndexYears {
		return 1
	}
	return pound
}

type writer struct {
	*program
	c *programme.Course
}

func courseProgram(c *programme.Course) *program {
	w := writer{&program{}, c}
	w.greens()
	w.seasons()
	w.breaks()
	w.budget()
	w.months()
	w.nursery()
	w.alike()
	w.objectiveRow()
	return w.program
}

func (w writer) x(g, k int) string { return fmt.Sprintf("x%d_%d", g, k) }

func (w writer) each(f func(g, k int, of *programme.Candidate)) {
	for g := range w.c.Greens {
		for k := range w.c.Greens[g].Candidates {
			f(g, k, &w.c.Greens[g].Candidates[k])
		}
	}
}

// greens: at most one candidate each, and exactly one where something must have
// started by a year; what a green's own rules keep out is nought.
func (w writer) greens() {
	for g, green := range w.c.Greens {
		var all, early []part
		for k, of := range green.Candidates {
			w.binaries = append(w.binaries, w.x(g, k))
			all = append(all, part{1, w.x(g, k)})
			if of.Year <= green.LatestYear {
				early = append(early, part{1, w.x(g, k)})
			}
			closed := slices.ContainsFunc(of.Out, func(month int) bool { return green.KeptOpen[(w.c.FirstMonth-1+month)%12] })
			if closed || green.Allowed != nil && !slices.Contains(green.Allowed, of.Option) {
				w.add("=", 0, part{1, w.x(g, k)})
			}
		}
		w.add("<=", 1, all...)
		if green.LatestYear > 0 {
			if len(early) == 0 {
				early = []part{{0, all[0].name}}
			}
			w.add("=", 1, early...)
		}
	}
}

func (w writer) open(season int) string { return fmt.Sprintf("open%d", season) }

func (w writer) seasons() {
	for season := range 2 * w.c.Years {
		w.binaries = append(w.binaries, w.open(season))
		starts := []part{}
		w.each(func(g, k int, of *programme.Candidate) {
			if of.Season == season {
				starts = append(starts, part{1, w.x(g, k)})
				w.add("<=", 0, part{1, w.x(g, k)}, part{-1, w.open(season)})
			}
		})
		if w.c.MostPerSeason > 0 && len(starts) > 0 {
			w.add("<=", float64(w.c.MostPerSeason), starts...)
		}
	}
}

func (w writer) saved(g, k, item, tier int) string {
	return fmt.Sprintf("s%d_%d_%d_%d", g, k, item, tier)
}

// breaks: a season is in one tier of an item at the most, and in it only with
// its quantity; what a candidate saves by a tier needs both.
func (w writer) breaks() {
	for item, b := range w.c.Breaks {
		for season := range 2 * w.c.Years {
			var one, bought []part
			w.each(func(g, k int, of *programme.Candidate) {
				if of.Season == season && of.Breaks[item].Quantity > 0 {
					bought = append(bought, part{-float64(of.Breaks[item].Quantity) / 1000, w.x(g, k)})
				}
			})
			for tier, least := range b.AtLeast {
				name := fmt.Sprintf("tier%d_%d_%d", item, season, tier)
				w.binaries = append(w.binaries, name)
				one = append(one, part{1, name})
				w.add("<=", 0, append([]part{{float64(least) / 1000, name}}, bought...)...)
				w.each(func(g, k int, of *programme.Candidate) {
					if of.Season == season {
						w.binaries = append(w.binaries, w.saved(g, k, item, tier))
						w.add("<=", 0, part{1, w.saved(g, k, item, tier)}, part{-1, name})
						w.add("<=", 0, part{1, w.saved(g, k, item, tier)}, part{-1, w.x(g, k)})
					}
				})
			}
			w.add("<=", 1, one...)
		}
	}
}

// largest is the place of the largest payment, the first of equals.
func largest(payments []int64) int {
	at := 0
	for i, paid := range payments {
		if paid > payments[at] {
			at = i
		}
	}
	return at
}

// budget: fund + budget − spent − debt × (1 + rate) = next fund − next debt, with
// what is left given up where nothing is carried over.
func (w writer) budget() {
	b := &w.c.Budget
	rate := 1 + float64(b.RatePPM)/1e6
	for year := range w.c.Years {
		fund, debt := fmt.Sprintf("fund%d", year), fmt.Sprintf("debt%d", year)
		w.bounds = append(w.bounds, fmt.Sprintf("%s <= %s", debt, number(float64(b.BorrowingCap)/pound)))
		parts := []part{{1, fund}, {-1, debt}}
		if year > 0 {
			parts = append(parts, part{rate, fmt.Sprintf("debt%d", year-1)})
			if b.CarryOver {
				parts = append(parts, part{-1, fmt.Sprintf("fund%d", year-1)})
			}
		}
		w.each(func(g, k int, of *programme.Candidate) {
			if of.Payments[year] > 0 {
				parts = append(parts, part{float64(of.Payments[year]) / pound, w.x(g, k)})
			}
			for item := range w.c.Breaks {
				for tier, saving := range of.Breaks[item].Saving {
					if of.Season >= 0 && saving > 0 && largest(of.Payments) == year {
						parts = append(parts, part{-float64(saving) / pound, w.saved(g, k, item, tier)})
					}
				}
			}
		})
		for season := 2 * year; season < 2*year+2 && len(w.c.Mobilisation) > 0; season++ {
			parts = append(parts, part{float64(w.c.Mobilisation[season].Cash) / pound, w.open(season)})
		}
		w.add("=", float64(b.Yearly[year])/pound, parts...)
	}
}

// months: greens out of play in each month.
func (w writer) months() {
	last := 0
	w.each(func(_, _ int, of *programme.Candidate) {
		for _, month := range of.Out {
			last = max(last, month)
		}
	})
	for month := range last + 1 {
		out := func(is func(g int) bool) (parts []part) {
			w.each(func(g, k int, of *programme.Candidate) {
				if is(g) && slices.Contains(of.Out, month) {
					parts = append(parts, part{1, w.x(g, k)})
				}
			})
			return parts
		}
		if parts := out(func(g int) bool { return !w.c.Greens[g].OffCourse }); w.c.MostOut != nil && len(parts) > 0 {
			w.add("<=", float64(w.c.MostOut[(w.c.FirstMonth-1+month)%12]), parts...)
		}
		for _, set := range w.c.Sets {
			if parts := out(func(g int) bool { return slices.Contains(set.Greens, g) }); len(parts) > 0 {
				w.add("<=", float64(set.Most), parts...)
			}
		}
		if p := w.c.Practice; p != nil {
			parts := out(func(g int) bool { return g != p.Green })
			for _, practice := range out(func(g int) bool { return g == p.Green }) {
				parts = append(parts, part{float64(len(w.c.Greens) - p.MostOthers), practice.name})
			}
			if len(parts) > 0 {
				w.add("<=", float64(len(w.c.Greens)), parts...)
			}
		}
	}
}

func (w writer) nursery() {
	if w.c.Nursery == nil {
		return
	}
	for month := range 12*w.c.Years + 24 {
		var parts []part
		laid := false
		w.each(func(g, k int, of *programme.Candidate) {
			if of.NurseryTurf > 0 && of.LaidMonth <= month {
				parts = append(parts, part{float64(of.NurseryTurf), w.x(g, k)})
				laid = laid || of.LaidMonth == month
			}
		})
		if laid {
			w.add("<=", float64(w.c.Nursery.Stock)+float64(w.c.Nursery.GrownPerYear)*float64(month)/12, parts...)
		}
	}
}

// alike: one kind is the common one, and works of another are odd.
func (w writer) alike() {
	if w.c.Alike == nil {
		return
	}
	byKind := map[string][]part{}
	var kinds []string
	w.each(func(g, k int, of *programme.Candidate) {
		if of.Kind != "" {
			if byKind[of.Kind] == nil {
				kinds = append(kinds, of.Kind)
			}
			byKind[of.Kind] = append(byKind[of.Kind], part{1, w.x(g, k)})
		}
	})
	if len(kinds) == 0 {
		return
	}
	// odd ≥ works − works of the kind that is common
	var one []part
	for i, kind := range kinds {
		name := fmt.Sprintf("common%d", i)
		w.binaries = append(w.binaries, name)
		one = append(one, part{1, name})
		parts := []part{{-1, "odd"}, {float64(len(w.c.Greens)), name}}
		for _, other := range kinds {
			if other != kind {
				parts = append(parts, byKind[other]...)
			}
		}
		w.add("<=", float64(len(w.c.Greens)), parts...)
	}
	w.add("=", 1, one...)
}

// worth is the net present value in a scenario.
func (w writer) worth(scenario int) (parts []part) {
	w.each(func(g, k int, of *programme.Candidate) {
		parts = append(parts, part{float64(of.Worth[scenario]) / pound, w.x(g, k)})
		for item := range w.c.Breaks {
			for tier := range of.Breaks[item].SavingWorth {
				if of.Season >= 0 {
					parts = append(parts, part{float64(of.Breaks[item].SavingWorth[tier][scenario]) / pound, w.saved(g, k, item, tier)})
				}
			}
		}
	})
	for season, charge := range w.c.Mobilisation {
		parts = append(parts, part{-float64(charge.Worth[scenario]) / pound, w.open(season)})
	}
	return parts
}

func (w writer) objectiveRow() {
	switch w.c.Objective.Kind {
	case programme.IndexYears:
		w.each(func(g, k int, of *programme.Candidate) {
			w.objective = append(w.objective, part{float64(of.IndexGain), w.x(g, k)})
		})
	case programme.LeastRegret:
		w.free = append(w.free, "least")
		w.objective = []part{{1, "least"}}
		for s, best := range w.c.Objective.Best {
			parts := []part{{1, "least"}}
			for _, p := range w.worth(s) {
				parts = append(parts, part{-p.times, p.name})
			}
			w.add("<=", -float64(best)/pound, parts...)
		}
	default:
		w.objective = w.worth(w.c.Objective.At)
	}
	if w.c.Alike != nil {
		w.objective = append(w.objective, part{-float64(w.c.Alike.Penalty) / moneyUnit(w.c), "odd"})
	}
}
