package model

import "swardcase/model/programme"

// ResolveCourse writes every default into a course, as Resolve does into a case:
// what is resolved needs nothing else to be planned, and resolving it again
// changes nothing. The error is a fault.List of all that can be told without
// planning.
func ResolveCourse(c CourseCase) (CourseCase, error) {
	if err := c.check().Err(); err != nil {
		return CourseCase{}, err
	}
	cases := make([]Case, len(c.Greens))
	var faults error
	for g := range c.Greens {
		a, err := newAppraiser(c.caseOf(g), nil)
		if err != nil {
			faults = joinFaults(faults, c.underGreen(err, g))
			continue
		}
		cases[g] = a.Case
	}
	if faults != nil {
		return CourseCase{}, faults
	}
	return c.withDefaults(cases), nil
}

// withDefaults takes from the resolved cases of its greens what a course has of
// each, and from the first what it has of all.
func (c CourseCase) withDefaults(cases []Case) CourseCase {
	first := cases[0]
	out := c
	out.Site, out.Available, out.Scales, out.Assumptions = first.Site, first.Available, first.Scales, first.Assumptions
	money := *first.Money
	if len(c.Greens[0].WorthOfPlayableMonth) > 0 { // the first's own, and not the course's
		money.WorthOfPlayableMonth, money.Accounts = c.Money.WorthOfPlayableMonth, c.Money.Accounts
	}
	out.Money = &money
	out.Greens = make([]CourseGreen, len(cases))
	for g, resolved := range cases {
		green := c.Greens[g]
		green.Green, green.Survey, green.Upkeep, green.Choices = resolved.Green, resolved.Survey, resolved.Upkeep, &resolved.Choices
		green.Weight = new(valueOr(green.Weight, 1))
		out.Greens[g] = green
	}
	terms := &out.Plan
	if terms.Objective == "" {
		terms.Objective = programme.NetPresentValue
	}
	if terms.MostNodes == nil {
		terms.MostNodes = new(usualNodes)
	}
	return out
}
