package workbook

import (
	"fmt"

	"swardcase/api/report"
	"swardcase/model"
)

// summarySheet says in words and one table what the appraisal comes to. Capital,
// upkeep and net present values are those of the other sheets.
func (b *builder) summarySheet() *sheet {
	a := b.appraisal
	s := newSheet("Summary", 50, 13, 13, 17, 17, 19, 13, 19, 11)
	s.title(report.Title(a.Case.Title, a.Case.Green.Name), a.PriceStamp)
	s.add(strong("Advice"))
	s.paragraph(a.Recommendation.Headline)
	for _, words := range []string{b.chance(), report.ApproveWords(a)} {
		if words != "" {
			s.paragraph(words)
		}
	}
	b.list(s, "Because", a.Recommendation.Reasons)
	b.list(s, "What would change it", a.Recommendation.WhatWouldChange)
	b.optionsTable(s)
	b.conditionTable(s)
	b.list(s, "Cautions", a.Cautions)
	s.add()
	s.paragraph(fmt.Sprintf("Made by engine version %s. Figures with a formula follow what is changed on the sheets of bills, Rates and Terms; the advice, the months and the chances do not: appraise anew for those.", a.EngineVersion))
	return s
}

// chance says how often the advised option meets every requirement.
func (b *builder) chance() string {
	meets := b.appraisal.Recommendation.MeetsRequirements
	if meets == nil {
		return ""
	}
	return "Chance that it meets every requirement: " + report.Percent(*meets) + "."
}

func (b *builder) list(s *sheet, heading string, entries []string) {
	if len(entries) == 0 {
		return
	}
	s.add()
	s.add(strong(heading))
	for _, entry := range entries {
		s.paragraph("• " + entry)
	}
}

// optionsTable sets the options side by side.
func (b *builder) optionsTable(s *sheet) {
	a := b.appraisal
	s.add()
	s.add(strong("Options side by side"))
	s.heading("Option", fmt.Sprintf(">Months playable, year %d", model.JudgedYear(*a.Case.Money.HorizonYears)), ">Months out of play", ">Capital", ">Upkeep a year",
		">Worth over present", ">Pays back, years", ">Equal annual cost", "Meets all")
	for _, o := range a.Options {
		name := wrapped(capitalised(o.Words))
		if o.Option == a.Recommendation.Option {
			name = wrapped("▸ " + capitalised(o.Words)).bold()
		}
		payback := cell{value: "-", look: look{form: label, right: true}}
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			payback = number(*years, decimal1)
		}
		row := s.add(name, number(o.Forecast.MonthsPlayableYear5, decimal1), number(o.MonthsOutOfPlay, decimal1),
			b.capital(o), b.upkeepOf(o), amount(o.Money.AgainstPresent.NetPresentValue).by("%s", b.value[o.Option]),
			payback, amount(o.Money.EqualAnnualCost), text(report.Verdict(o)))
		s.grow(row, 0, "▸ "+o.Words)
	}
	s.paragraph(report.MonthsNote(a) + " " + report.ValueNote(a))
	for _, words := range append(report.CannotWords(a), report.ShortfallWords(a)...) {
		s.paragraph("• " + words)
	}
}

// capital is that of an option's works and of the enabling works.
func (b *builder) capital(o model.OptionAppraisal) cell {
	shown := amount(o.Money.Capital)
	switch works := b.works[o.Option]; {
	case works != "" && b.enabling != "":
		return shown.by("%s+%s", works, b.enabling)
	case works != "":
		return shown.by("%s", works)
	case b.enabling != "":
		return shown.by("%s", b.enabling)
	}
	return shown
}

// upkeepOf is a year's upkeep: that of the bill, unless the club states what its
// own costs.
func (b *builder) upkeepOf(o model.OptionAppraisal) cell {
	shown := amount(o.Money.YearlyUpkeep)
	if b.yearOf(o.Programme).Equal(o.Money.YearlyUpkeep) {
		return shown.by("%s", b.upkeep[o.Programme])
	}
	return shown
}

// conditionTable has the measures with their intervals and scores.
func (b *builder) conditionTable(s *sheet) {
	judged := b.appraisal.Condition.Condition
	s.add()
	s.add(strong("Condition: " + string(judged.Grade)))
	s.paragraph(judged.Headline)
	s.heading("Measure", ">Value", "Unit", ">Low", ">High", ">Score of 100")
	for _, m := range report.Measures(b.appraisal.Condition) {
		low, high := cell{}, cell{}
		if m.Interval != nil {
			low, high = number(m.Interval.Low, decimal1), number(m.Interval.High, decimal1)
		}
		s.add(text(capitalised(m.Name)), number(m.Value, decimal1), text(m.Unit), low, high, number(m.Score, decimal1))
	}
	s.add(strong("All measures: index"), cell{}, cell{}, cell{}, cell{}, number(judged.Index, decimal1).bold())
}
