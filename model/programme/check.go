package programme

import (
	"fmt"
	"slices"
)

// Violation is a rule that a plan breaks, and where.
type Violation struct {
	Rule Rule
	// Month or Year says when, where the rule is of a time; -1 and 0 otherwise.
	Month, Year int
	// By is the money that is missing, where the rule is the budget.
	By     int64
	Detail string
}

// Violations holds a plan to every rule of the course, rule by rule and without
// the sums that the search works with, so that neither can hide a fault of the
// other. A plan that a search gives back has none.
func (c *Course) Violations(picks []int) []Violation {
	var found []Violation
	add := func(kind RuleKind, at, month, year int, format string, values ...any) {
		found = append(found, Violation{Rule: Rule{kind, at}, Month: month, Year: year, Detail: fmt.Sprintf(format, values...)})
	}
	for g, pick := range picks {
		c.violationsOfGreen(g, pick, add)
	}
	for month := range 12*c.Years + monthsAfter {
		c.violationsOfMonth(picks, month, add)
	}
	if c.MostPerSeason > 0 {
		for season := range c.seasons() {
			if starts := c.count(picks, func(_ int, k *Candidate) bool { return k.Season == season }); starts > c.MostPerSeason {
				add(PerSeasonRule, 0, -1, season/seasonsPerYear+1, "works on %d greens start in one season, of %d at the most", starts, c.MostPerSeason)
			}
		}
	}
	return append(found, c.violationsOfBudget(picks)...)
}

type violationAdder func(kind RuleKind, at, month, year int, format string, values ...any)

// count counts the greens whose candidate is as asked.
func (c *Course) count(picks []int, is func(g int, k *Candidate) bool) int {
	count := 0
	for g, pick := range picks {
		if pick != LeftOut && is(g, &c.Greens[g].Candidates[pick]) {
			count++
		}
	}
	return count
}

// isOut reports whether a candidate closes its green in a month.
func (k *Candidate) isOut(month int) bool {
	return slices.Contains(k.Out, month)
}

func (c *Course) violationsOfGreen(g, pick int, add violationAdder) {
	green := c.Greens[g]
	if pick == LeftOut {
		if green.LatestYear > 0 {
			add(LatestYearRule, g, -1, green.LatestYear, "it is left as it is")
		}
		return
	}
	k := &green.Candidates[pick]
	if green.LatestYear > 0 && k.Year > green.LatestYear {
		add(LatestYearRule, g, -1, k.Year, "it starts in year %d, after year %d", k.Year, green.LatestYear)
	}
	for _, month := range k.Out {
		if green.KeptOpen[c.calendar(month)] {
			add(KeptOpenRule, g, month, 0, "it is out of play in a month in which it is kept open")
			break
		}
	}
	if green.Allowed != nil && !slices.Contains(green.Allowed, k.Option) {
		add(AllowedRule, g, -1, 0, "the option is not among those allowed")
	}
}

func (c *Course) violationsOfMonth(picks []int, month int, add violationAdder) {
	if c.MostOut != nil {
		out := c.count(picks, func(g int, k *Candidate) bool { return !c.Greens[g].OffCourse && k.isOut(month) })
		if most := c.MostOut[c.calendar(month)]; out > most {
			add(MostOutRule, 0, month, 0, "%d greens are out of play at once, of %d at the most", out, most)
		}
	}
	for i, set := range c.Sets {
		out := 0
		for _, g := range set.Greens {
			if picks[g] != LeftOut && c.Greens[g].Candidates[picks[g]].isOut(month) {
				out++
			}
		}
		if out > set.Most {
			add(SetRule, i, month, 0, "%d of them are out of play at once, of %d at the most", out, set.Most)
		}
	}
	if p := c.Practice; p != nil && picks[p.Green] != LeftOut && c.Greens[p.Green].Candidates[picks[p.Green]].isOut(month) {
		if others := c.count(picks, func(g int, k *Candidate) bool { return g != p.Green && k.isOut(month) }); others > p.MostOthers {
			add(PracticeRule, 0, month, 0, "%d others are out of play while the practice green is, of %d at the most", others, p.MostOthers)
		}
	}
	if n := c.Nursery; n != nil {
		var laid int64
		lays := c.count(picks, func(_ int, k *Candidate) bool {
			if k.NurseryTurf > 0 && k.LaidMonth <= month {
				laid += k.NurseryTurf
			}
			return k.NurseryTurf > 0 && k.LaidMonth == month
		})
		if grown := 12*n.Stock + int64(month)*n.GrownPerYear; lays > 0 && 12*laid > grown {
			add(NurseryRule, 0, month, 0, "%.0f m² of nursery turf are laid by then, and %.0f m² have grown", float64(laid)/100, float64(grown)/1200)
		}
	}
}

func (c *Course) violationsOfBudget(picks []int) (found []Violation) {
	if c.Budget.Unlimited {
		return nil
	}
	for _, year := range c.CashByYear(picks) {
		if missing := -year.Balance - c.Budget.BorrowingCap; missing > 0 {
			found = append(found, Violation{Rule: Rule{Kind: BudgetRule}, Month: -1, Year: year.Year, By: missing, Detail: "more is spent than there is"})
		}
	}
	return found
}

// CashYear is the money of one year of a plan, in minor units.
type CashYear struct {
	Year int
	// Brought is what is carried into the year: a debt where it is negative.
	Brought, Budget, Interest int64
	Works, Mobilisation       int64 // savings by quantity are taken off the works
	// Lapsed is what is left over and not carried on.
	Lapsed, Balance int64
}

// Spent is the works and their mobilisation.
func (y CashYear) Spent() int64 { return y.Works + y.Mobilisation }

// CashByYear follows the money of a plan through its years.
func (c *Course) CashByYear(picks []int) []CashYear {
	years := make([]CashYear, c.Years)
	var balance int64
	for i := range years {
		y := CashYear{Year: i + 1, Brought: balance}
		if len(c.Budget.Yearly) > 0 {
			y.Budget = c.Budget.Yearly[i]
		}
		if balance < 0 {
			y.Interest = interestOn(-balance, c.Budget.RatePPM)
		}
		for g, pick := range picks {
			if pick != LeftOut {
				y.Works += c.Greens[g].Candidates[pick].Payments[i] - c.SavingOf(picks, g, i)
			}
		}
		for season := i * seasonsPerYear; season < (i+1)*seasonsPerYear && len(c.Mobilisation) > 0; season++ {
			if c.count(picks, func(_ int, k *Candidate) bool { return k.Season == season }) > 0 {
				y.Mobilisation += c.Mobilisation[season].Cash
			}
		}
		balance += y.Budget - y.Interest - y.Spent()
		if balance > 0 && !c.Budget.CarryOver {
			y.Lapsed, balance = balance, 0
		}
		y.Balance = balance
		years[i] = y
	}
	return years
}

// SavingOf is what the works of a green save in a payment, because the greens of
// its season buy enough together.
func (c *Course) SavingOf(picks []int, g, payment int) int64 {
	k := &c.Greens[g].Candidates[picks[g]]
	if k.Season < 0 || k.savingYear() != payment {
		return 0
	}
	var saving int64
	for item, tier := range c.TiersOf(picks, k.Season) {
		if tier >= 0 {
			saving += k.Breaks[item].Saving[tier]
		}
	}
	return saving
}

// Worth is what a plan is worth to the objective, added up without the sums that
// the search works with.
func (c *Course) Worth(picks []int) int64 {
	worth := c.worthIn(picks, c.Objective.At)
	switch c.Objective.Kind {
	case IndexYears:
		worth = 0
		for g, pick := range picks {
			if pick != LeftOut {
				worth += c.Greens[g].Candidates[pick].IndexGain
			}
		}
	case LeastRegret:
		for s, best := range c.Objective.Best {
			if value := c.worthIn(picks, s) - best; s == 0 || value < worth {
				worth = value
			}
		}
	}
	if c.Alike != nil {
		worth -= int64(c.Odd(picks)) * c.Alike.Penalty
	}
	return worth
}

// WorthOf is the net present value of one green's works, with what it saves, in
// the case as stated.
func (c *Course) WorthOf(picks []int, g int) int64 { return c.worthOf(picks, g, 0) }

func (c *Course) worthOf(picks []int, g, scenario int) int64 {
	k := &c.Greens[g].Candidates[picks[g]]
	worth := k.Worth[scenario]
	for item, tier := range c.TiersOf(picks, k.Season) {
		if tier >= 0 {
			worth += k.Breaks[item].SavingWorth[tier][scenario]
		}
	}
	return worth
}

// worthIn is the net present value of a plan in a scenario.
func (c *Course) worthIn(picks []int, scenario int) int64 {
	var worth int64
	for g, pick := range picks {
		if pick != LeftOut {
			worth += c.worthOf(picks, g, scenario)
		}
	}
	for season, charge := range c.Mobilisation {
		if c.count(picks, func(_ int, k *Candidate) bool { return k.Season == season }) > 0 {
			worth -= charge.Worth[scenario]
		}
	}
	return worth
}

// TiersOf are the tiers that a season reaches, by break; -1 for none. There are
// none without a season.
func (c *Course) TiersOf(picks []int, season int) []int {
	if season < 0 {
		return nil
	}
	tiers := make([]int, len(c.Breaks))
	for item, b := range c.Breaks {
		var bought int64
		c.count(picks, func(_ int, k *Candidate) bool {
			if k.Season == season {
				bought += k.Breaks[item].Quantity
			}
			return false
		})
		tiers[item] = -1
		for tier, least := range b.AtLeast {
			if bought >= least {
				tiers[item] = tier
			}
		}
	}
	return tiers
}

// Odd is how many works of a plan are not of its commonest kind.
func (c *Course) Odd(picks []int) int {
	works, most := 0, 0
	for g, pick := range picks {
		if pick == LeftOut || c.Greens[g].Candidates[pick].Kind == "" {
			continue
		}
		works++
		kind := c.Greens[g].Candidates[pick].Kind
		most = max(most, c.count(picks, func(_ int, k *Candidate) bool { return k.Kind == kind }))
	}
	return works - most
}
