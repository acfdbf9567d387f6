package model

import (
	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/condition"
	"swardcase/model/programme"
	"swardcase/model/survey"
)

// CourseCase is a course to be planned: its greens, what they share, and the
// terms of the plan. The contract (schema CourseCase) bounds each field.
type CourseCase struct {
	CaseFormat int    `json:"case_format"`
	Title      string `json:"title,omitempty"`
	Site       Site   `json:"site"`
	// Requirements, choices, scales and assumptions hold for every green that has
	// none of its own; what is available and the terms of money for all.
	Requirements Requirements          `json:"requirements,omitzero"`
	Available    *Available            `json:"available,omitempty"`
	Choices      Choices               `json:"choices,omitzero"`
	Money        *MoneyTerms           `json:"money,omitempty"`
	Scales       *condition.Scales     `json:"scales,omitempty"`
	Assumptions  []assumption.Override `json:"assumptions,omitempty"`
	Greens       []CourseGreen         `json:"greens"`
	Plan         PlanTerms             `json:"plan"`
}

// CourseGreen is one green of a course: what a case has of a green, and what the
// plan is told of it.
type CourseGreen struct {
	Green  Green         `json:"green"`
	Survey survey.Survey `json:"survey"`
	Upkeep Upkeep        `json:"upkeep,omitzero"`
	// Requirements, Choices and WorthOfPlayableMonth take the place of the
	// course's.
	Requirements         *Requirements `json:"requirements,omitempty"`
	Choices              *Choices      `json:"choices,omitempty"`
	WorthOfPlayableMonth []costs.Money `json:"worth_of_playable_month,omitempty"`
	// Weight of the green's index-years; 1 where it is left out.
	Weight *float64 `json:"weight,omitempty"`
	// LatestYear is the plan year in which something must have started.
	LatestYear *int `json:"latest_year,omitempty"`
	// KeptOpenMonths are calendar months, 1 for January, in which the green may not
	// be out of play.
	KeptOpenMonths []int `json:"kept_open_months,omitempty"`
	// AllowedOptions are the options that the club would take; all, if left out.
	AllowedOptions []Option `json:"allowed_options,omitempty"`
	// OffCourse greens, such as a practice green, do not count among the greens
	// out of play at once, nor in the condition of the course.
	OffCourse bool `json:"off_course,omitempty"`
}

// PlanTerms are the terms of a course plan. Greens are named by green.name.
type PlanTerms struct {
	Years int `json:"years"`
	// Objective is net present value where it is left out.
	Objective programme.ObjectiveKind `json:"objective,omitempty"`
	// Scenarios are for the least greatest regret, beside the case as stated.
	Scenarios []PlanScenario `json:"scenarios,omitempty"`
	Budget    PlanBudget     `json:"budget"`
	// AllowedOptions hold for every green that has none of its own.
	AllowedOptions []Option `json:"allowed_options,omitempty"`
	// MostOutOfPlay is the most greens out of play at once: one number, or one for
	// each calendar month, January first.
	MostOutOfPlay []int `json:"most_out_of_play,omitempty"`
	// MostPerSeason is the most greens whose works start in one season: half a
	// plan year.
	MostPerSeason *int           `json:"most_per_season,omitempty"`
	NotTogether   []GreenSet     `json:"not_together,omitempty"`
	PracticeGreen *PracticeGreen `json:"practice_green,omitempty"`
	// Mobilisation of one season, with contingency and the tax that the club does
	// not recover, in place of what the bills have for it.
	Mobilisation *costs.Money `json:"mobilisation,omitempty"`
	// OwnMobilisation keeps each green's own mobilisation: nothing is shared.
	OwnMobilisation bool            `json:"own_mobilisation,omitempty"`
	QuantityBreaks  []QuantityBreak `json:"quantity_breaks,omitempty"`
	NurseryTurf     *CourseNursery  `json:"nursery_turf,omitempty"`
	KeepAlike       *KeepAlike      `json:"keep_alike,omitempty"`
	// MostNodes bounds the search for the plan.
	MostNodes *int `json:"most_nodes,omitempty"`
}

// PlanScenario is how things may turn out: at which prices, and what a playable
// month is then worth against what is stated.
type PlanScenario struct {
	Name       string      `json:"name"`
	PriceLevel costs.Level `json:"price_level,omitempty"`
	WorthRatio *float64    `json:"worth_ratio,omitempty"`
}

// PlanBudget is the money for capital.
type PlanBudget struct {
	// PerYear is for every year; Yearly, in its place, for each.
	PerYear   *costs.Money  `json:"per_year,omitempty"`
	Yearly    []costs.Money `json:"yearly,omitempty"`
	CarryOver bool          `json:"carry_over"`
	// BorrowingCap is the most debt at the end of any year; InterestPct is what a
	// debt bears a year, to be paid out of the next budget.
	BorrowingCap *costs.Money `json:"borrowing_cap,omitempty"`
	InterestPct  *float64     `json:"interest_pct,omitempty"`
}

// GreenSet is greens of which no more than Most, one if it is left out, may be
// out of play at once.
type GreenSet struct {
	Name   string   `json:"name"`
	Greens []string `json:"greens"`
	Most   *int     `json:"most,omitempty"`
}

// PracticeGreen says how many other greens may be out of play while it is.
type PracticeGreen struct {
	Green         string `json:"green"`
	MostOthersOut int    `json:"most_others_out"`
}

// QuantityBreak makes an item of the price book cheaper for all greens of a
// season that together need enough of it.
type QuantityBreak struct {
	Item  string      `json:"item"`
	Tiers []BreakTier `json:"tiers"`
}

// BreakTier is a quantity, in the item's unit, and what is taken off its rate.
type BreakTier struct {
	AtLeast float64 `json:"at_least"`
	LessPct float64 `json:"less_pct"`
}

// CourseNursery is the club's own turf, for the whole course, in the first
// month, and what grows a year.
type CourseNursery struct {
	ReadyM2        float64 `json:"ready_m2"`
	GrownM2PerYear float64 `json:"grown_m2_per_year"`
}

// KeepAlike is what each green counts for whose works are not of the commonest
// construction and turf: money, or index-years where those are the objective.
type KeepAlike struct {
	PenaltyPerOddGreen *costs.Money `json:"penalty_per_odd_green,omitempty"`
	PenaltyIndexYears  *float64     `json:"penalty_index_years,omitempty"`
}

// caseOf is the case of one green of the course.
func (c *CourseCase) caseOf(g int) Case {
	green := &c.Greens[g]
	none := 0
	out := Case{
		CaseFormat: c.CaseFormat, Title: c.Title, Site: c.Site, Green: green.Green, Survey: green.Survey, Upkeep: green.Upkeep,
		Requirements: c.Requirements, Available: c.Available, Choices: c.Choices, Money: c.Money,
		Confidence: &ConfidenceSettings{Draws: &none}, Scales: c.Scales, Assumptions: c.Assumptions,
	}
	if green.Requirements != nil {
		out.Requirements = *green.Requirements
	}
	if green.Choices != nil {
		out.Choices = *green.Choices
	}
	if len(green.WorthOfPlayableMonth) > 0 && c.Money != nil {
		money := *c.Money
		money.WorthOfPlayableMonth, money.Accounts = green.WorthOfPlayableMonth, nil
		out.Money = &money
	}
	return out
}

// CourseOf puts greens that have cases of their own, such as the resolved ones
// of stored appraisals, on one course. Site, money, scales and assumptions are
// the first's; the caller makes sure that the others agree.
func CourseOf(cases []Case, plan PlanTerms) CourseCase {
	course := CourseCase{CaseFormat: CaseFormat, Plan: plan}
	for i, c := range cases {
		if i == 0 {
			course.Title, course.Site, course.Available, course.Money = c.Title, c.Site, c.Available, c.Money
			course.Scales, course.Assumptions = c.Scales, c.Assumptions
		}
		green := CourseGreen{Green: c.Green, Survey: c.Survey, Upkeep: c.Upkeep, Requirements: &c.Requirements, Choices: &c.Choices}
		if c.Money != nil && i > 0 && c.Money.Accounts == nil {
			green.WorthOfPlayableMonth = c.Money.WorthOfPlayableMonth
		}
		course.Greens = append(course.Greens, green)
	}
	return course
}
