package demo

import "swardcase/model"

// Course is the club's course with the terms of an eight-year plan: £90,000 a
// year, two greens a season, one out of play at a time in summer, and every green
// counted by its condition.
func Course() (model.CourseCase, error) {
	club, err := ClubOfThornmere()
	if err != nil {
		return model.CourseCase{}, err
	}
	var common clubFile
	if err := readJSON("club/club.json", &common); err != nil {
		return model.CourseCase{}, err
	}
	course := model.CourseCase{
		CaseFormat: model.CaseFormat, Title: club.Input.Name, Site: club.Input.Site,
		Requirements: common.Terms.Requirements, Available: common.Terms.Available, Money: common.Terms.Money,
	}
	if err := readJSON("club/plan.json", &course.Plan); err != nil {
		return model.CourseCase{}, err
	}
	for _, g := range club.Greens {
		green := model.CourseGreen{Green: g.Case.Green, Survey: g.Case.Survey, Upkeep: g.Case.Upkeep, Requirements: &g.Case.Requirements}
		if g.Case.Choices.Drains != nil {
			green.Choices = &g.Case.Choices
		}
		course.Greens = append(course.Greens, green)
	}
	return course, nil
}
