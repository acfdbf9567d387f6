package programme

import "slices"

// tally adds a plan up and says whether it keeps every rule. It is made once for
// a course and used for many plans.
type tally struct {
	c        *Course
	spent    []int64 // by plan year, and what is paid afterwards
	out      []int   // greens out by month, those off the course left out
	starts   []int   // works by season
	sets     [][]int // greens out by set and month
	turf     []int64 // nursery turf laid by month
	bought   [][]int64
	kinds    []int    // works by kind
	kindOf   [][]int  // of each candidate; -1 for none
	member   [][]int  // the sets of each green
	saveYear [][]int  // of each candidate
	values   []int64  // by scenario
	limit    []int    // greens out by month
	barred   [][]bool // candidates that a rule of the green itself keeps out
	others   []int    // greens out besides the practice green, by month
	practice []bool   // whether the practice green is out, by month
	index    int64
	odd      int
}

const noLimit = 1 << 30

func newTally(c *Course) *tally {
	months := 12*c.Years + monthsAfter
	t := &tally{
		c: c, spent: make([]int64, c.Years+1), out: make([]int, months), starts: make([]int, c.seasons()),
		turf: make([]int64, months+1), values: make([]int64, c.Objective.Scenarios), kinds: make([]int, len(c.kinds())),
		member: make([][]int, len(c.Greens)), limit: make([]int, months), others: make([]int, months), practice: make([]bool, months),
	}
	for i, set := range c.Sets {
		t.sets = append(t.sets, make([]int, months))
		for _, g := range set.Greens {
			t.member[g] = append(t.member[g], i)
		}
	}
	for month := range t.limit {
		t.limit[month] = noLimit
		if c.MostOut != nil {
			t.limit[month] = c.MostOut[c.calendar(month)]
		}
	}
	for range c.Breaks {
		t.bought = append(t.bought, make([]int64, c.seasons()))
	}
	kinds := c.kinds()
	for g := range c.Greens {
		green := &c.Greens[g]
		kindOf := make([]int, len(green.Candidates))
		for i := range kindOf {
			kindOf[i] = slices.Index(kinds, green.Candidates[i].Kind)
		}
		t.kindOf = append(t.kindOf, kindOf)
		saves, barred := make([]int, len(green.Candidates)), make([]bool, len(green.Candidates))
		for i := range green.Candidates {
			saves[i], barred[i] = green.Candidates[i].savingYear(), c.barred(green, &green.Candidates[i])
		}
		t.saveYear, t.barred = append(t.saveYear, saves), append(t.barred, barred)
	}
	return t
}

// barred reports whether a rule of the green itself keeps a candidate out.
func (c *Course) barred(green *Green, k *Candidate) bool {
	if green.LatestYear > 0 && k.Year > green.LatestYear {
		return true
	}
	for _, month := range k.Out {
		if green.KeptOpen[c.calendar(month)] {
			return true
		}
	}
	return green.Allowed != nil && !slices.Contains(green.Allowed, k.Option)
}

// Barred reports whether a rule of the green itself keeps a candidate out.
func (c *Course) Barred(g, candidate int) bool {
	return c.barred(&c.Greens[g], &c.Greens[g].Candidates[candidate])
}

// LeftOut stands for a green that is left as it is.
const LeftOut = -1

// add takes up a plan: the candidate of each green, or LeftOut.
func (t *tally) add(picks []int) {
	clear(t.spent)
	clear(t.out)
	clear(t.starts)
	clear(t.turf)
	clear(t.values)
	clear(t.others)
	clear(t.practice)
	clear(t.kinds)
	for i := range t.sets {
		clear(t.sets[i])
	}
	for i := range t.bought {
		clear(t.bought[i])
	}
	t.index, t.odd = 0, 0
	for g, pick := range picks {
		if pick != LeftOut {
			t.addCandidate(g, &t.c.Greens[g].Candidates[pick])
			if kind := t.kindOf[g][pick]; kind >= 0 {
				t.kinds[kind]++
			}
		}
	}
	t.addSavings(picks)
	for season, works := range t.starts {
		if works > 0 && len(t.c.Mobilisation) > 0 {
			charge := &t.c.Mobilisation[season]
			t.spent[season/seasonsPerYear] += charge.Cash
			for s := range t.values {
				t.values[s] -= charge.Worth[s]
			}
		}
	}
	most, works := 0, 0
	for _, count := range t.kinds {
		most, works = max(most, count), works+count
	}
	t.odd = works - most
}

func (t *tally) addCandidate(g int, k *Candidate) {
	for s, worth := range k.Worth {
		t.values[s] += worth
	}
	t.index += k.IndexGain
	for year, paid := range k.Payments {
		t.spent[year] += paid
	}
	for _, month := range k.Out {
		if !t.c.Greens[g].OffCourse {
			t.out[month]++
		}
		for _, set := range t.member[g] {
			t.sets[set][month]++
		}
		if t.c.Practice != nil && t.c.Practice.Green == g {
			t.practice[month] = true
		} else {
			t.others[month]++
		}
	}
	if k.Season >= 0 {
		t.starts[k.Season]++
		for i := range k.Breaks {
			t.bought[i][k.Season] += k.Breaks[i].Quantity
		}
	}
	t.turf[k.LaidMonth] += k.NurseryTurf
}

// tier is the tier of a break that a season reaches; -1 for none.
func (t *tally) tier(item, season int) int {
	reached := -1
	for tier, least := range t.c.Breaks[item].AtLeast {
		if t.bought[item][season] >= least {
			reached = tier
		}
	}
	return reached
}

func (t *tally) addSavings(picks []int) {
	if len(t.c.Breaks) == 0 {
		return
	}
	for g, pick := range picks {
		if pick == LeftOut {
			continue
		}
		k := &t.c.Greens[g].Candidates[pick]
		if k.Season < 0 {
			continue
		}
		for item := range k.Breaks {
			tier := t.tier(item, k.Season)
			if tier < 0 {
				continue
			}
			t.spent[t.saveYear[g][pick]] -= k.Breaks[item].Saving[tier]
			for s, worth := range k.Breaks[item].SavingWorth[tier] {
				t.values[s] += worth
			}
		}
	}
}

// value is what the plan that was added is worth to the objective.
func (t *tally) value() int64 {
	o := t.c.Objective
	var value int64
	switch o.Kind {
	case IndexYears:
		value = t.index
	case LeastRegret:
		value = t.values[0] - o.Best[0]
		for s := range o.Best {
			value = min(value, t.values[s]-o.Best[s])
		}
	default:
		value = t.values[o.At]
	}
	if t.c.Alike != nil {
		value -= int64(t.odd) * t.c.Alike.Penalty
	}
	return value
}

// keepsRules reports whether the plan that was added keeps every rule.
func (t *tally) keepsRules(picks []int) bool {
	for g, pick := range picks {
		if pick == LeftOut && t.c.Greens[g].LatestYear > 0 || pick != LeftOut && t.barred[g][pick] {
			return false
		}
	}
	for month, out := range t.out {
		if out > t.limit[month] {
			return false
		}
	}
	for i, set := range t.sets {
		for _, out := range set {
			if out > t.c.Sets[i].Most {
				return false
			}
		}
	}
	if t.c.Practice != nil {
		for month, out := range t.practice {
			if out && t.others[month] > t.c.Practice.MostOthers {
				return false
			}
		}
	}
	if t.c.MostPerSeason > 0 {
		for _, works := range t.starts {
			if works > t.c.MostPerSeason {
				return false
			}
		}
	}
	return t.turfSuffices() && t.staysInBudget()
}

func (t *tally) turfSuffices() bool {
	if t.c.Nursery == nil {
		return true
	}
	var laid int64
	for month, turf := range t.turf {
		laid += turf
		if turf > 0 && 12*laid > 12*t.c.Nursery.Stock+t.c.Nursery.GrownPerYear*int64(month) {
			return false
		}
	}
	return true
}

func (t *tally) staysInBudget() bool {
	if t.c.Budget.Unlimited {
		return true
	}
	var balance int64
	for year := range t.c.Years {
		balance, _ = t.c.Budget.yearOn(balance, year, t.spent[year])
		if balance < -t.c.Budget.BorrowingCap {
			return false
		}
	}
	return true
}

// yearOn is the balance at the end of a year from that at its beginning: a debt
// bears interest, rounded half away from zero to a minor unit, and what is left
// is gone unless it is carried over.
func (b *Budget) yearOn(balance int64, year int, spent int64) (after, interest int64) {
	if balance < 0 {
		interest = interestOn(-balance, b.RatePPM)
	}
	after = balance - interest + b.Yearly[year] - spent
	if after > 0 && !b.CarryOver {
		after = 0
	}
	return after, interest
}

// interestOn is debt × rate, with the debt taken apart so that no product is too
// large: it is below 2^50 and the rate below 2^20.
func interestOn(debt, ratePPM int64) int64 {
	const million = 1_000_000
	return debt/million*ratePPM + (debt%million*ratePPM+million/2)/million
}
