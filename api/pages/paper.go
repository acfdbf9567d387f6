package pages

import (
	"fmt"
	"html/template"
	"strings"

	"swardcase/api/pages/chart"
	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/assumption"
)

// paper is everything that the page of an appraisal says, in its order: what a
// committee has to decide first, what a consultant wants to check last.
type paper struct {
	Title   string
	Address string // of this page, below which its others lie
	Stamp   string
	Shared  string // by whom and until when; empty where it is the club's own page
	Made    string

	Answer  answer
	Facts   []fact
	Reasons []string

	Condition conditionPart
	Options   optionsPart
	Money     moneyPart
	Play      playPart
	Works     worksPart
	Cautions  []string
	Appendix  appendixPart
}

// answer is what stands first.
type answer struct {
	Headline string
	// Chance is that of meeting every requirement; empty where nothing is known of
	// it. Requirements says what they are.
	Chance       string
	Requirements []string
	Approve      string
	Best         string
	Changes      []string // what would change it
}

// fact is one figure of the answer: what, how much, and what to keep in mind.
type fact struct{ Words, Value, Note string }

type conditionPart struct {
	// Words give the grade and the worst measure, and only then the index.
	Words    string
	Gauges   figure
	Lines    []string
	Findings []report.Finding
	Upkeep   string
}

type optionsPart struct {
	Rows   []optionRow
	Notes  []string
	Cannot []string
	Misses []string
	Chance *figure
}

// optionRow is one option in the table of options.
type optionRow struct {
	Name, Months, Out, Capital, CapitalRange, Upkeep, Value, ValueRange, Payback, Meets string
	Advised                                                                             bool
}

type moneyPart struct {
	Cash      figure
	CashNote  string
	Capital   *figure
	Heading   string
	Drains    string
	Bill      []report.Line
	Feeding   string
	Worth     []worthRow
	WorthNote string
	Loan      []string
}

type worthRow struct{ Month, Income, StaysAway, Subscriptions, Worth string }

type playPart struct {
	Months   figure
	Calendar figure
	Turns    []string
}

type worksPart struct {
	Words    string
	Cautions []string // what to keep in mind of this option alone
	Timeline *figure
	Plan     template.HTML
	Section  template.HTML
	Note     string // what the drawings are
}

type appendixPart struct {
	Ranges      []rangeRow
	Draws       string
	Tornado     *figure
	BreakEvens  []string
	Assumptions []assumptionRow
	Replaced    int
	All         int
	Figures     []figureLink
}

type rangeRow struct {
	Name, Capital, Value, Payback, Months, Meets, Best string
	Advised                                            bool
}

type assumptionRow struct {
	Code, Meaning, Range, Basis, Source, Reason string
	Overridden                                  bool
	Less                                        bool // moves the answer less than those in the tornado
}

type figureLink struct{ Words, Figure string }

// figure is a chart on a page.
type figure struct {
	chart.Drawing
	Picture template.HTML
	Wide    bool
}

// figureOf puts a drawing on a page. The chart package escapes what is written in
// a drawing.
func figureOf(d chart.Drawing) figure {
	return figure{Drawing: d, Picture: template.HTML(d.SVG)} //nolint:gosec // made by the chart package
}

// paperOf says what a kept appraisal comes to.
func paperOf(k kept, address string) paper {
	a := k.answer
	c := charts{a: a, advised: report.Advised(a), write: moneyWriter(currencyOf(a))}
	return paper{
		Title: titleOf(a), Address: address,
		Stamp:     a.PriceStamp,
		Made:      madeWords(k),
		Answer:    answerOf(a),
		Facts:     factsOf(a, c.advised),
		Reasons:   reasonsOf(a),
		Condition: conditionOf(a, c),
		Options:   optionsOf(a, c),
		Money:     moneyOf(a, c),
		Play:      playOf(c),
		Works:     worksOf(k, c),
		Cautions:  cautionsOf(a),
		Appendix:  appendixOf(a, c),
	}
}

// cautionsOf are the cautions, but for the stamp that stands at the top.
func cautionsOf(a model.Appraisal) []string {
	var out []string
	for _, caution := range a.Cautions {
		if caution != a.PriceStamp {
			out = append(out, report.Prose(caution))
		}
	}
	return out
}

// reasonsOf are the reasons of the advice, but for what the grade has said.
func reasonsOf(a model.Appraisal) []string {
	var out []string
	for _, reason := range a.Recommendation.Reasons {
		if reason != a.Condition.Condition.Headline {
			out = append(out, report.Prose(reason))
		}
	}
	return out
}

func prose(texts []string) []string {
	out := make([]string, len(texts))
	for i, text := range texts {
		out[i] = report.Prose(text)
	}
	return out
}

// currencyOf is the currency of an appraisal; that of its first bill.
func currencyOf(a model.Appraisal) costs.Currency { return a.EnablingBill.Currency }

func madeWords(k kept) string {
	var words []string
	if surveyed := k.answer.Condition.Survey.SurveyedOn; surveyed != "" {
		words = append(words, "surveyed on "+surveyed)
	}
	if !k.stored.CreatedAt.IsZero() {
		words = append(words, "appraised on "+k.stored.CreatedAt.Format(dayForm))
	}
	words = append(words, "engine version "+k.answer.EngineVersion)
	if book := k.answer.Case.Money.PriceBook; book != nil {
		words = append(words, fmt.Sprintf("prices of %s (%s)", book.PriceDate, book.Name))
	}
	return report.Prose(strings.Join(words, "; ") + ".")
}

func answerOf(a model.Appraisal) answer {
	r := a.Recommendation
	out := answer{
		Headline: report.Prose(r.Headline), Requirements: report.RequirementWords(a.Case),
		Approve: report.Prose(report.ApproveWords(a)), Best: report.BestWords(r), Changes: prose(r.WhatWouldChange),
	}
	if r.MeetsRequirements != nil {
		out.Chance = report.Percent(*r.MeetsRequirements)
	}
	return out
}

// factsOf are the figures of an option that a committee asks for first.
func factsOf(a model.Appraisal, advised model.OptionAppraisal) []fact {
	drawn := drawnOf(a, advised.Option)
	year := model.JudgedYear(*a.Case.Money.HorizonYears)
	months := fact{
		Words: "Open on the main green", Value: fmt.Sprintf("%.1f months a year", advised.Forecast.MonthsPlayableYear5),
		Note: fmt.Sprintf("by year %d", year),
	}
	if drawn != nil {
		if low, high := numbersOf(drawn.MonthsPlayableYear5); low != high {
			months.Note += ", likely " + low + " to " + high
		}
	}
	if advised.Option != model.Yardstick {
		months.Note += fmt.Sprintf("; %.1f if nothing changes", a.Options[0].Forecast.MonthsPlayableYear5)
	}
	capital := fact{Words: "Capital", Value: about(advised.Money.Capital), Note: "with contingency and tax"}
	if drawn != nil && advised.Money.Capital.Sign() > 0 {
		capital.Note = fmt.Sprintf("likely %s; with contingency and tax", between(drawn.Capital.P10, drawn.Capital.P90))
	}
	upkeep := fact{Words: "Upkeep", Value: about(advised.Money.YearlyUpkeep) + " a year"}
	if advised.Option != model.Yardstick {
		upkeep.Note = about(a.Options[0].Money.YearlyUpkeep) + " under the present programme"
	}
	out := []fact{months, capital, upkeep}
	if advised.Option.HasWorks() {
		out = append(out, fact{
			Words: "This green on a temporary", Value: fmt.Sprintf("%.1f months", advised.MonthsOutOfPlay),
			Note: "the course stays open; the new green plays firm, thirsty and at another pace for 12 to 24 months",
		})
	}
	return append(out, valueFact(a, advised, drawn)...)
}

// valueFact says what the option comes to in money, which is never read alone: an
// option that does not pay may still be worth its price.
func valueFact(a model.Appraisal, advised model.OptionAppraisal, drawn *model.OptionConfidence) []fact {
	if advised.Option == model.Yardstick {
		return nil
	}
	against := advised.Money.AgainstPresent
	f := fact{Words: "In money, against the present programme", Value: about(against.NetPresentValue)}
	f.Note = fmt.Sprintf("over %d years", *a.Case.Money.HorizonYears)
	if drawn != nil {
		f.Note += ", likely " + between(drawn.NetPresentValue.P10, drawn.NetPresentValue.P90)
	}
	each := advised.Money.CostPerMonthGained
	switch {
	case against.Payback.Years != nil:
		f.Note += "; " + lowered(strings.TrimSuffix(against.Payback.Detail, "."))
	case each != nil && against.NetPresentValue.Sign() < 0:
		f.Value = fmt.Sprintf("%s a playable month", about(*each))
		f.Note = fmt.Sprintf("doesn’t pay in money; buys %.1f months a year. Net present value %s, %s", advised.Money.MonthsGainedYear5, about(against.NetPresentValue), f.Note)
	}
	return []fact{f}
}

func drawnOf(a model.Appraisal, option model.Option) *model.OptionConfidence {
	if a.Confidence == nil {
		return nil
	}
	for i := range a.Confidence.Options {
		if a.Confidence.Options[i].Option == option {
			return &a.Confidence.Options[i]
		}
	}
	return nil
}

func conditionOf(a model.Appraisal, c charts) conditionPart {
	r := a.Condition
	out := conditionPart{
		Words: report.Prose(report.GradeWords(r)), Gauges: figureOf(c.gauges()),
		Findings: report.Findings(r.Condition.Diagnosis), Upkeep: report.Prose(report.UpkeepWords(r.Condition.Diagnosis)),
	}
	if words := report.PartsWords(r.Condition); words != "" {
		out.Lines = append(out.Lines, report.Sentence("scores apart: "+words))
	}
	for _, words := range report.MissingWords(r.Condition) {
		out.Lines = append(out.Lines, report.Sentence(words))
	}
	if words := report.ZonesWords(r.Condition); words != "" {
		out.Lines = append(out.Lines, "Parts of the green, worst first: "+words+".")
	}
	out.Lines = append(out.Lines, report.Sentence(report.LostDaysHeading(r.LostDays)+": "+report.LostDaysWords(r.LostDays)))
	for i := range out.Findings {
		out.Findings[i].Name = report.Prose(out.Findings[i].Name)
		out.Findings[i].Words = report.Prose(out.Findings[i].Words)
	}
	return out
}

func optionsOf(a model.Appraisal, c charts) optionsPart {
	out := optionsPart{
		Notes:  []string{report.MonthsNote(a), report.ValueNote(a), report.DisturbedHeading + ": " + report.DisturbedWords(a)},
		Cannot: prose(report.CannotWords(a)), Misses: prose(report.ShortfallWords(a)),
	}
	for _, o := range a.Options {
		row := optionRow{
			Name: report.Prose(report.OptionName(o.Option)), Months: fmt.Sprintf("%.1f", o.Forecast.MonthsPlayableYear5), Out: fmt.Sprintf("%.1f", o.MonthsOutOfPlay),
			Capital: about(o.Money.Capital), Upkeep: about(o.Money.YearlyUpkeep), Value: about(o.Money.AgainstPresent.NetPresentValue),
			Payback: "no", Meets: report.Verdict(o), Advised: o.Option == a.Recommendation.Option,
		}
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			row.Payback = fmt.Sprintf("%.1f years", *years)
		}
		if o.Option == model.Yardstick {
			row.Payback = "–"
		}
		if drawn := drawnOf(a, o.Option); drawn != nil && o.Option != model.Yardstick {
			if o.Money.Capital.Sign() > 0 {
				row.CapitalRange = between(drawn.Capital.P10, drawn.Capital.P90)
			}
			row.ValueRange = between(drawn.NetPresentValue.P10, drawn.NetPresentValue.P90)
		}
		out.Rows = append(out.Rows, row)
	}
	if a.Confidence != nil {
		f := figureOf(c.chances())
		out.Chance = &f
	}
	return out
}

func appendixOf(a model.Appraisal, c charts) appendixPart {
	var out appendixPart
	wanted, most := map[string]bool{}, map[string]bool{} // inputs of the draws, and those that move the answer most
	if drawn := a.Confidence; drawn != nil {
		out.Draws = report.Prose(report.DrawsWords(*drawn))
		for _, o := range drawn.Options {
			out.Ranges = append(out.Ranges, rangeRow{
				Name: report.Prose(report.OptionName(o.Option)), Capital: between(o.Capital.P10, o.Capital.P90),
				Value: between(o.NetPresentValue.P10, o.NetPresentValue.P90), Payback: yearsBetween(o.PaybackYears),
				Months: numbersBetween(o.MonthsPlayableYear5), Meets: report.Percent(o.MeetsRequirements), Best: report.Percent(o.Best),
				Advised: o.Option == a.Recommendation.Option,
			})
		}
		if len(drawn.Tornado.Bars) > 0 {
			f := figureOf(c.tornado(drawn.Tornado))
			out.Tornado = &f
		}
		for _, b := range drawn.BreakEvens {
			out.BreakEvens = append(out.BreakEvens, report.Prose(b.Text))
		}
		for _, in := range drawn.Inputs {
			wanted[in.Name] = true
		}
		for _, bar := range drawn.Tornado.Bars[:min(report.MostBars, len(drawn.Tornado.Bars))] {
			most[bar.Input] = true
		}
	}
	out.All = len(a.Assumptions)
	for _, row := range a.Assumptions {
		if row.Overridden {
			out.Replaced++
		}
		if wanted[row.Name] || row.Overridden && out.Replaced <= mostReplaced {
			shown := assumptionRowOf(row)
			shown.Less = !most[row.Name] && !row.Overridden
			out.Assumptions = append(out.Assumptions, shown)
		}
	}
	for _, figure := range []struct{ name, words string }{
		{"capital", "capital"},
		{"yearly_upkeep", "a year’s upkeep"},
		{"net_present_value", "net present value"},
		{"months_playable_year_5", "months playable"},
		{"index_year_5", "condition index"},
		{"equal_annual_cost", "equal annual cost"},
		{"payback_years", "payback"},
	} {
		out.Figures = append(out.Figures, figureLink{figure.words, "options." + string(c.advised.Option) + "." + figure.name})
	}
	return out
}

// mostReplaced bounds the assumptions that a case replaces and this page shows;
// all of them stand on their own page.
const mostReplaced = 20

func assumptionRowOf(row assumption.Assumption) assumptionRow {
	return assumptionRow{
		Code: row.Name, Meaning: report.Prose(row.Meaning),
		Range: rangeWords(row),
		Basis: row.Basis.Words(), Source: row.Source, Overridden: row.Overridden, Reason: row.Reason,
	}
}

// rangeWords writes the likely value with its range and unit; a share has none.
func rangeWords(row assumption.Assumption) string {
	words := fmt.Sprintf("%.4g (%.4g to %.4g)", row.Likely, row.Low, row.High)
	if row.Unit != "1" {
		words += " " + row.Unit
	}
	return report.Minus(words)
}

func yearsBetween(b model.NumberBand) string {
	switch {
	case b.P10 == nil:
		return "no"
	case b.P90 == nil:
		return fmt.Sprintf("from %.1f years, or never", *b.P10)
	}
	return fmt.Sprintf("%.1f to %.1f years", *b.P10, *b.P90)
}

// numbersOf writes the ends of a band; both are empty where it has none.
func numbersOf(b model.NumberBand) (low, high string) {
	if b.P10 == nil || b.P90 == nil {
		return "", ""
	}
	return fmt.Sprintf("%.1f", *b.P10), fmt.Sprintf("%.1f", *b.P90)
}

func numbersBetween(b model.NumberBand) string {
	switch low, high := numbersOf(b); {
	case low == "":
		return "–"
	case low == high:
		return low
	default:
		return low + " to " + high
	}
}
