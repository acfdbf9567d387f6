package model

import (
	"fmt"
	"slices"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/programme"
)

// Bounds of a course plan beyond those of the contract.
const (
	usualNodes = 4000
	mostNodes  = 1_000_000
)

// check lists what is wrong with the terms of a plan and with what they name.
// Amounts must be in the course's currency.
func (c *CourseCase) check() fault.List {
	var faults fault.List
	if c.CaseFormat != CaseFormat {
		faults.Add("/case_format", c.CaseFormat, "this engine reads case_format 1", "write 1")
	}
	if c.Money == nil {
		faults.Add("/money", nil, "a course plan needs the terms of money", "give the currency and the worth of a playable month of a green, January first")
		return faults
	}
	currency, known := costs.LookupCurrency(c.Money.Currency)
	if !known {
		faults.Add("/money/currency", c.Money.Currency, "this currency is not known here", "use an ISO 4217 code such as GBP or EUR")
		return faults
	}
	if c.Available == nil {
		faults.Add("/available", nil, "a plan needs a first month", "give available.first_month, the first month in which works could begin")
	}
	c.checkGreens(currency, &faults)
	c.checkTerms(&faults)
	c.checkAmounts(currency, &faults)
	c.checkNames(&faults)
	return faults
}

func (c *CourseCase) checkGreens(currency costs.Currency, faults *fault.List) {
	seen := map[string]int{}
	if n := len(c.Greens); n == 0 || n > programme.MostGreens {
		faults.Add("/greens", n, fmt.Sprintf("a course of %d greens cannot be planned", n), fmt.Sprintf("give 1 to %d greens", programme.MostGreens))
	}
	for i := range c.Greens {
		green := &c.Greens[i]
		at := fault.Pointer("greens", i)
		if first, again := seen[green.Green.Name]; again {
			faults.Add(at+"/green/name", green.Green.Name, fmt.Sprintf("green %d has this name too", first+1), "give every green a name of its own: rules name greens by it")
		}
		seen[green.Green.Name] = i
		if year := green.LatestYear; year != nil && (*year < 1 || *year > c.Plan.Years) {
			faults.Add(at+"/latest_year", *year, "this year is outside the plan", fmt.Sprintf("give a year from 1 to %d", c.Plan.Years))
		}
		for j, month := range green.KeptOpenMonths {
			if month < 1 || month > 12 {
				faults.Add(fmt.Sprintf("%s/kept_open_months/%d", at, j), month, "this is no month", "write 1 for January to 12 for December")
			}
		}
		checkAllowed(at, green.AllowedOptions, faults)
		if w := green.Weight; w != nil && !(*w >= 0 && *w <= 10) {
			faults.Add(at+"/weight", *w, "a weight is 0 to 10", "leave it out for 1")
		}
		if worth := green.WorthOfPlayableMonth; worth != nil {
			checkTwelve(at+"/worth_of_playable_month", worth, currency, faults)
		}
	}
}

func checkAllowed(at string, allowed []Option, faults *fault.List) {
	for i, option := range allowed {
		if !slices.Contains(Options(), option) || option == Yardstick {
			faults.Add(fmt.Sprintf("%s/allowed_options/%d", at, i), option, "this is not an option that a plan can take", fmt.Sprintf("give some of %v; a green that is left carries on with the present programme", Options()[1:]))
		}
	}
}

func (c *CourseCase) checkTerms(faults *fault.List) {
	p := &c.Plan
	checkAllowed("/plan", p.AllowedOptions, faults)
	if p.Years < 1 || p.Years > programme.MostYears {
		faults.Add("/plan/years", p.Years, "a plan runs for 1 to 15 years", "give a number of years in that range")
	}
	kinds := []programme.ObjectiveKind{programme.NetPresentValue, programme.IndexYears, programme.LeastRegret}
	if p.Objective != "" && !slices.Contains(kinds, p.Objective) {
		faults.Add("/plan/objective", p.Objective, "this is not an objective", "write net_present_value, index_years or least_regret")
	}
	if p.Objective == programme.LeastRegret && len(p.Scenarios) == 0 {
		faults.Add("/plan/scenarios", nil, "regret needs a scenario beside the case as stated", "name at least one, with its price_level or worth_ratio")
	}
	if p.Objective != programme.LeastRegret && len(p.Scenarios) > 0 {
		faults.Add("/plan/scenarios", len(p.Scenarios), "scenarios count for least_regret only", "leave them out, or set objective to least_regret")
	}
	if len(p.Scenarios) > programme.MostScenarios-1 {
		faults.Add("/plan/scenarios", len(p.Scenarios), "too many scenarios", fmt.Sprintf("give at most %d", programme.MostScenarios-1))
	}
	for i, s := range p.Scenarios {
		if r := s.WorthRatio; r != nil && !(*r >= 0 && *r <= 10) {
			faults.Add(fault.Pointer("plan", "scenarios", i, "worth_ratio"), *r, "a ratio is 0 to 10", "write 1.2 for a fifth more")
		}
	}
	if n := len(p.MostOutOfPlay); n != 0 && n != 1 && n != 12 {
		faults.Add("/plan/most_out_of_play", n, "neither one number nor twelve", "give one number for every month, or twelve, January first")
	}
	if p.MostNodes != nil && (*p.MostNodes < 1 || *p.MostNodes > mostNodes) {
		faults.Add("/plan/most_nodes", *p.MostNodes, "this bounds no search", fmt.Sprintf("give 1 to %d", mostNodes))
	}
	for i, b := range p.QuantityBreaks {
		for j, tier := range b.Tiers {
			at := fault.Pointer("plan", "quantity_breaks", i, "tiers", j)
			if j > 0 && tier.AtLeast <= b.Tiers[j-1].AtLeast {
				faults.Add(at+"/at_least", tier.AtLeast, "the quantity does not rise", "list the tiers by rising quantity")
			}
			if !(tier.LessPct > 0 && tier.LessPct < 100) {
				faults.Add(at+"/less_pct", tier.LessPct, "not a percentage that leaves a price", "give more than 0 and less than 100")
			}
		}
	}
	if k := p.KeepAlike; k != nil {
		switch index := p.Objective == programme.IndexYears; {
		case index && k.PenaltyIndexYears == nil:
			faults.Add("/plan/keep_alike/penalty_index_years", nil, "the objective is index-years, and so is the penalty", "give how many index-years an odd green counts for")
		case !index && k.PenaltyPerOddGreen == nil:
			faults.Add("/plan/keep_alike/penalty_per_odd_green", nil, "the objective is money, and so is the penalty", "give what an odd green counts for")
		}
	}
}

func (c *CourseCase) checkAmounts(currency costs.Currency, faults *fault.List) {
	b := &c.Plan.Budget
	switch {
	case b.PerYear != nil && b.Yearly != nil:
		faults.Add("/plan/budget/yearly", len(b.Yearly), "it is given beside per_year", "keep one of the two")
	case b.PerYear == nil && b.Yearly == nil:
		faults.Add("/plan/budget/per_year", nil, "there is no budget", "give per_year, or yearly with an amount for each year")
	case b.Yearly != nil && len(b.Yearly) != c.Plan.Years:
		faults.Add("/plan/budget/yearly", len(b.Yearly), fmt.Sprintf("the plan has %d years", c.Plan.Years), "give one amount a year")
	}
	check := func(pointer string, amount *costs.Money) {
		if amount != nil {
			checkAmount("/plan"+pointer, *amount, currency, faults)
		}
	}
	check("/budget/per_year", b.PerYear)
	for i := range b.Yearly {
		check(fmt.Sprintf("/budget/yearly/%d", i), &b.Yearly[i])
	}
	check("/budget/borrowing_cap", b.BorrowingCap)
	check("/mobilisation", c.Plan.Mobilisation)
	if k := c.Plan.KeepAlike; k != nil {
		check("/keep_alike/penalty_per_odd_green", k.PenaltyPerOddGreen)
	}
	if r := b.InterestPct; r != nil && !(*r >= 0 && *r <= 100) {
		faults.Add("/plan/budget/interest_pct", *r, "not a rate of interest", "give 0 to 100")
	}
}

// checkNames holds the greens that the terms name to those that there are.
func (c *CourseCase) checkNames(faults *fault.List) {
	check := func(pointer, name string) {
		if c.greenNamed(name) < 0 {
			faults.Add(pointer, name, "no green of the course has this name", "write it as in green.name")
		}
	}
	for i, set := range c.Plan.NotTogether {
		for j, name := range set.Greens {
			check(fault.Pointer("plan", "not_together", i, "greens", j), name)
		}
	}
	if p := c.Plan.PracticeGreen; p != nil {
		check("/plan/practice_green/green", p.Green)
	}
}

// greenNamed is the place of a green; -1 where there is none of that name.
func (c *CourseCase) greenNamed(name string) int {
	return slices.IndexFunc(c.Greens, func(g CourseGreen) bool { return g.Green.Name == name })
}
