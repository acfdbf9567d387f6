package main

import (
	"fmt"
	"strings"

	"swardcase/costs"
	"swardcase/model"
)

// appraisalText prints a whole appraisal, the answer first.
func appraisalText(a model.Appraisal) string {
	var p page
	p.title(titleOf(a.Case.Title, a.Case.Green.Name))
	p.paragraph(a.PriceStamp)
	writeRecommendation(&p, a)
	writeCondition(&p, a.Condition)
	writeOptions(&p, a)
	writeConfidence(&p, a)
	writeYears(&p, a)
	writeBill(&p, a)
	writeAccounts(&p, a)
	writeCautions(&p, a.Cautions)
	return p.String()
}

func writeRecommendation(p *page, a model.Appraisal) {
	r := a.Recommendation
	p.heading("Advice")
	p.paragraph(r.Headline)
	writeChances(p, r)
	p.line("")
	p.line("Because:")
	for _, reason := range r.Reasons {
		p.item("-", reason)
	}
	if len(r.WhatWouldChange) > 0 {
		p.line("What would change it:")
		for _, change := range r.WhatWouldChange {
			p.item("-", change)
		}
	}
}

// shortened cuts a name to so many characters.
func shortened(text string, most int) string {
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return text
}

// discountText says at which rate, or rates, the future is discounted.
func discountText(m model.MoneyTerms) string {
	if m.DiscountRatePct != nil {
		return rounded(*m.DiscountRatePct) + " %"
	}
	var rates []string
	for i, band := range m.DiscountBands {
		switch {
		case i == 0:
			rates = append(rates, rounded(band.RatePct)+" %")
		case m.HorizonYears == nil || band.FromYear <= *m.HorizonYears:
			rates = append(rates, fmt.Sprintf("%s %% from year %d", rounded(band.RatePct), band.FromYear))
		}
	}
	return strings.Join(rates, ", ")
}

// optionName names an option in a table.
func optionName(o model.Option) string { return strings.ReplaceAll(plain(o), "/", ", ") }

// writeYears sets the advised option's months playable beside the present
// programme's.
func writeYears(p *page, a model.Appraisal) {
	advised := advisedOption(a)
	if advised.Option == model.Yardstick {
		return
	}
	p.heading("Months playable by year")
	years := []int{1, 2, 3, 5, 8, 10, 15, 20, 25, 30, 40}
	row := func(name string, of func(int) string) {
		line := left(name, 36)
		for _, year := range years {
			if year <= len(advised.Forecast.Years) {
				line += right(of(year), 6)
			}
		}
		p.line("%s", line)
	}
	row("year", func(year int) string { return fmt.Sprint(year) })
	row("present programme", func(year int) string {
		return fmt.Sprintf("%.1f", a.Options[0].Forecast.Years[year-1].MonthsPlayable)
	})
	row(optionName(advised.Option), func(year int) string {
		return fmt.Sprintf("%.1f", advised.Forecast.Years[year-1].MonthsPlayable)
	})
	if t := advised.Timeline; t != nil {
		p.paragraph(fmt.Sprintf("Works start on %s and take %.0f weeks; the surface is sown or laid on %s and the green opens on %s, after %.1f months on a temporary.",
			t.Opening.WorksStart, t.WorksWeeks, t.Opening.LaidOn, t.Opening.OpensOn, advised.MonthsOutOfPlay))
	}
}

func advisedOption(a model.Appraisal) model.OptionAppraisal {
	for _, o := range a.Options {
		if o.Option == a.Recommendation.Option {
			return o
		}
	}
	return a.Options[0]
}

// upkeepAlone is the year of upkeep of an option without works; nil where it has
// some.
func upkeepAlone(a model.Appraisal, o model.OptionAppraisal) *model.YearlyProgramme {
	if o.Design == nil {
		for i := range a.Programmes {
			if a.Programmes[i].Name == o.Programme {
				return &a.Programmes[i]
			}
		}
	}
	return nil
}

// billOf is the bill of an option's works; an option without works has its year
// of upkeep instead.
func billOf(a model.Appraisal, o model.OptionAppraisal) costs.Bill {
	if upkeep := upkeepAlone(a, o); upkeep != nil {
		return upkeep.Bill
	}
	return o.Money.WorksBill
}

// writeBill prints the advised option's bill by section; an option without
// works has its year of upkeep instead.
func writeBill(p *page, a model.Appraisal) {
	advised := advisedOption(a)
	bill := billOf(a, advised)
	heading, upkeep := "Bill of "+advised.Words, upkeepAlone(a, advised)
	if upkeep != nil {
		heading = "A year of " + advised.Words
	}
	p.heading(heading)
	if advised.Drains.Reason != "" {
		p.paragraph("Drains: " + advised.Drains.Reason)
	}
	var names, amounts []string
	sum := func(name string, amount costs.Money) {
		names, amounts = append(names, name), append(amounts, amount.Format())
	}
	for _, section := range bill.Sections {
		sum(plain(section.Section), section.Subtotal)
	}
	for _, list := range [][]costs.BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			sum(fmt.Sprintf("%s, %s %%", shortened(added.Name, 34), rounded(added.Pct)), added.Amount)
		}
	}
	if bill.Contingency.Sign() > 0 {
		sum(fmt.Sprintf("contingency, %s %%", rounded(bill.ContingencyPct)), bill.Contingency)
	}
	sum("tax", bill.Tax)
	sum(fmt.Sprintf("less tax recovered, %s %% of it", rounded(bill.TaxRecoverablePct)), bill.TaxRecoverable.Neg())
	total := "total"
	if advised.Design != nil {
		total = "capital of the works"
	}
	sum(total, bill.Capital)
	if a.EnablingBill.Capital.Sign() > 0 && advised.Design != nil {
		sum("enabling works, under every option", a.EnablingBill.Capital)
		sum("capital in all", advised.Money.Capital)
	}
	widest := max(16, longest(amounts)+2)
	for i, name := range names {
		p.line("%s%s", left(name, 44), right(amounts[i], widest))
	}
	if upkeep != nil {
		p.paragraph("Feeding and watering, whose savings are not credited: " + feedingWords(upkeep.ProgrammeYear))
	}
}
