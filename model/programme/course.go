// Package programme plans a course: which green gets which option in which
// year. It knows nothing of turf: what each option of each green would bring,
// cost and close, in every year in which it could start, is handed in.
//
// # The formulation
//
// For each green g one candidate c is taken, an option with a starting year, or
// the green is left as it is. With x(g,c) = 1 for what is taken:
//
//	greatest  Σ v(g,c) x(g,c) − Σ_s mobilisation(s) open(s) − penalty × odd greens
//
// where v is net present value or weighted index-years, or, for the least
// greatest regret, −max over scenarios of (best value of the scenario − value of
// the plan in it). The limits are
//
//	budget       spent to the end of each year ≤ budgets so far + borrowing cap;
//	             without carry-over what is not spent in a year is gone, and a debt
//	             carries interest, which the next year's budget pays
//	play         greens out of play in each month, and in each named set;
//	             others out while the practice green is out
//	season       greens whose works start in one half-year
//	nursery      turf laid up to each month ≤ turf that has grown by then
//	green        latest year, months kept open, options allowed
//
// A season s that is open costs one mobilisation, whatever is done in it. Where
// the greens of one season together reach a quantity, all of them pay less for
// it. An odd green is one whose works are not of the commonest kind. All amounts
// are whole numbers (minor units of money, thousandths of an index-year), so that
// a proven optimum is exact.
//
// The plan is put as a problem of package choice: a group for each green; one
// for each season, shut or open at a level of prices; one for the commonest
// kind; one for each green that may be odd; and, for regret, one mixed group that
// stands for the greatest regret. Compound interest is a minimum over ways in
// which debt may build up, each of them a row; the ones that matter are found as
// they are broken.
package programme

import (
	"errors"
	"fmt"
	"slices"
)

// Course is what is to be planned.
type Course struct {
	// FirstMonth is the calendar month, 1 for January, in which year 1 begins.
	// Months are counted from it, from 0.
	FirstMonth int
	Years      int // 1 to 15
	Greens     []Green
	Budget     Budget
	// MostOut is the most greens out of play at once, by calendar month, January
	// first; nil for no limit.
	MostOut *[12]int
	// MostPerSeason is the most greens whose works start in one season; 0 for no
	// limit. A season is a half of a plan year: season 0 is months 0 to 5.
	MostPerSeason int
	Sets          []Set
	Practice      *Practice
	// Mobilisation is what one season's first works cost beyond their own, by
	// season; empty for none.
	Mobilisation []Charge
	Breaks       []Break
	Nursery      *Nursery
	Alike        *Alike
	Objective    Objective
}

// Green is one green with what could be done.
type Green struct {
	Name string
	// OffCourse greens, such as a practice green, do not count among the greens
	// out of play at once.
	OffCourse bool
	// LatestYear is the last year in which works must have started; 0 for none.
	LatestYear int
	// KeptOpen are the calendar months, January first, in which it may not be out.
	KeptOpen [12]bool
	// Allowed are the options that the club allows; nil for all.
	Allowed    []string
	Candidates []Candidate
}

// Candidate is one option of a green started in one year.
type Candidate struct {
	Option string
	Year   int // in which it starts, from 1
	// Season in which its works start; -1 without works.
	Season int
	// Kind is the construction and turf by which greens are alike; empty without works.
	Kind string
	// Out are the months in which the green is out of play, rising.
	Out []int
	// Worth is what it is worth over the present programme, in minor units, by
	// scenario; without the season's mobilisation.
	Worth []int64
	// IndexGain is weighted index-years gained over the plan, in thousandths.
	IndexGain int64
	// Payments are by plan year, and what is paid after the plan behind the last.
	Payments []int64
	// NurseryTurf that it lays in LaidMonth, in hundredths of a square metre.
	NurseryTurf int64
	LaidMonth   int
	// Breaks is what it buys of the items of Course.Breaks.
	Breaks []BreakUse
}

// Budget is the money for capital, by year.
type Budget struct {
	// Unlimited takes the limit away; the rest still says what was set aside.
	Unlimited bool
	Yearly    []int64
	CarryOver bool
	// BorrowingCap is the most debt at the end of any year.
	BorrowingCap int64
	// RatePPM is the yearly interest on a debt, in millionths.
	RatePPM int64
}

// Set is greens of which no more than Most may be out of play at once.
type Set struct {
	Name   string
	Greens []int
	Most   int
}

// Practice says how many other greens may be out while the practice green is.
type Practice struct {
	Green      int
	MostOthers int
}

// Charge is a cost of a season: the money, and what it takes off the value, by
// scenario.
type Charge struct {
	Cash  int64
	Worth []int64
}

// Break is an item that is cheaper for all greens of a season when they buy
// enough of it together.
type Break struct {
	Item string
	// AtLeast are the quantities of its tiers, rising, in thousandths of a unit.
	AtLeast []int64
}

// BreakUse is what a candidate buys of the item of a break.
type BreakUse struct {
	Quantity int64 // thousandths of a unit
	// Saving and SavingWorth are by tier: money, and value by scenario.
	Saving      []int64
	SavingWorth [][]int64
}

// Nursery is the turf of the club's own nursery, in hundredths of a square
// metre: what is there at the start and what grows a year.
type Nursery struct {
	Stock, GrownPerYear int64
}

// Alike is the penalty for each odd green, in units of the objective.
type Alike struct {
	Penalty int64
}

// ObjectiveKind is what a plan is to make greatest.
type ObjectiveKind string

// The objectives.
const (
	NetPresentValue ObjectiveKind = "net_present_value"
	IndexYears      ObjectiveKind = "index_years"
	LeastRegret     ObjectiveKind = "least_regret"
)

// Objective is what a plan is to make greatest.
type Objective struct {
	Kind      ObjectiveKind
	Scenarios int // how many values each candidate has
	// At is the scenario whose net present value counts.
	At int
	// Best is the best value in each scenario, for regret: Solve works it out.
	Best []int64
}

// Bounds of a course.
const (
	MostYears      = 15
	MostGreens     = 60
	MostCandidates = 200 // of a green
	MostScenarios  = 8
	MostBreaks     = 2
	MostTiers      = 2
	MostSets       = 20
	mostAmount     = 1 << 44 // of any figure, so that sums stay exact
	monthsAfter    = 60      // works of the last year close a green for no longer
)

// seasonsPerYear: a season is a half of a plan year.
const seasonsPerYear = 2

func (c *Course) seasons() int { return seasonsPerYear * c.Years }

// SeasonOf is the season in which a month lies.
func SeasonOf(month int) int { return month / (12 / seasonsPerYear) }

// calendar is the calendar month, 0 for January, of a month of the plan.
func (c *Course) calendar(month int) int { return (c.FirstMonth - 1 + month) % 12 }

// kinds are the kinds of works in the order in which they are met.
func (c *Course) kinds() []string {
	var kinds []string
	for g := range c.Greens {
		for i := range c.Greens[g].Candidates {
			if kind := c.Greens[g].Candidates[i].Kind; kind != "" && !slices.Contains(kinds, kind) {
				kinds = append(kinds, kind)
			}
		}
	}
	return kinds
}

// check finds what makes a course no course. The model that hands it in keeps to
// it, so that one error is enough.
func (c *Course) check() error {
	switch {
	case c.Years < 1 || c.Years > MostYears:
		return fmt.Errorf("programme: a plan of %d years", c.Years)
	case c.FirstMonth < 1 || c.FirstMonth > 12:
		return fmt.Errorf("programme: month %d", c.FirstMonth)
	case len(c.Greens) == 0 || len(c.Greens) > MostGreens:
		return fmt.Errorf("programme: a course of %d greens", len(c.Greens))
	case !c.Budget.Unlimited && len(c.Budget.Yearly) != c.Years:
		return errors.New("programme: a budget is wanted for each year")
	case len(c.Mobilisation) != 0 && len(c.Mobilisation) != c.seasons():
		return errors.New("programme: mobilisation is wanted for each season")
	case c.Objective.Scenarios < 1 || c.Objective.Scenarios > MostScenarios:
		return fmt.Errorf("programme: %d scenarios", c.Objective.Scenarios)
	case c.Objective.At < 0 || c.Objective.At >= c.Objective.Scenarios:
		return fmt.Errorf("programme: scenario %d", c.Objective.At)
	case len(c.Breaks) > MostBreaks || len(c.Sets) > MostSets:
		return errors.New("programme: too many breaks or sets")
	}
	for _, b := range c.Breaks {
		if len(b.AtLeast) == 0 || len(b.AtLeast) > MostTiers || !slices.IsSorted(b.AtLeast) {
			return errors.New("programme: the tiers of a break")
		}
	}
	if c.Budget.RatePPM < 0 || c.Budget.RatePPM > 1_000_000 {
		return errors.New("programme: a rate of interest")
	}
	for _, amount := range slices.Concat(c.Budget.Yearly, []int64{c.Budget.BorrowingCap}) {
		if amount < 0 || amount > mostAmount {
			return errors.New("programme: an amount of the budget")
		}
	}
	for g := range c.Greens {
		for i := range c.Greens[g].Candidates {
			if err := c.checkCandidate(&c.Greens[g].Candidates[i]); err != nil {
				return fmt.Errorf("programme: green %d, candidate %d: %w", g, i, err)
			}
		}
	}
	return c.checkPlaces()
}

// checkPlaces holds the greens that rules name to the list of greens.
func (c *Course) checkPlaces() error {
	named := []int{}
	for _, set := range c.Sets {
		named = append(named, set.Greens...)
	}
	if c.Practice != nil {
		named = append(named, c.Practice.Green)
	}
	for _, g := range named {
		if g < 0 || g >= len(c.Greens) {
			return fmt.Errorf("programme: a rule names green %d", g)
		}
	}
	return nil
}

func (c *Course) checkCandidate(k *Candidate) error {
	switch {
	case k.Year < 1 || k.Year > c.Years:
		return fmt.Errorf("year %d", k.Year)
	case k.Season < -1 || k.Season >= c.seasons():
		return fmt.Errorf("season %d", k.Season)
	case len(k.Worth) != c.Objective.Scenarios || len(k.Payments) != c.Years+1:
		return errors.New("its worth or payments are not complete")
	case !slices.IsSorted(k.Out) || len(k.Out) > 0 && (k.Out[0] < 0 || k.Out[len(k.Out)-1] >= 12*c.Years+monthsAfter):
		return errors.New("its months out of play")
	case len(k.Breaks) != len(c.Breaks):
		return errors.New("it does not say what it buys of each break")
	case k.NurseryTurf < 0 || k.NurseryTurf > mostAmount || k.LaidMonth < 0 || k.LaidMonth > 12*c.Years+monthsAfter:
		return errors.New("its nursery turf")
	}
	amounts := slices.Concat(k.Worth, []int64{k.IndexGain})
	for _, paid := range k.Payments {
		if paid < 0 || paid > mostAmount {
			return errors.New("a payment")
		}
	}
	for i, use := range k.Breaks {
		if len(use.Saving) != len(c.Breaks[i].AtLeast) || len(use.SavingWorth) != len(use.Saving) || use.Quantity < 0 || use.Quantity > mostAmount {
			return errors.New("what it buys of a break")
		}
		for tier, saving := range use.Saving {
			if saving < 0 || saving > k.Payments[k.savingYear()] || len(use.SavingWorth[tier]) != c.Objective.Scenarios {
				return errors.New("what it saves by a break")
			}
			amounts = append(amounts, use.SavingWorth[tier]...)
		}
	}
	for _, amount := range amounts {
		if amount > mostAmount || amount < -mostAmount {
			return errors.New("a value")
		}
	}
	return nil
}

// savingYear is the place among the payments of the largest, the first of
// equals: what a break saves comes off it.
func (k *Candidate) savingYear() int {
	at := 0
	for year, paid := range k.Payments {
		if paid > k.Payments[at] {
			at = year
		}
	}
	return at
}
