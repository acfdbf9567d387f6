package report

import (
	"fmt"

	"swardcase/costs"
	"swardcase/model"
)

// UpkeepAlone is the year of upkeep of an option without works; nil where it has
// some.
func UpkeepAlone(a model.Appraisal, o model.OptionAppraisal) *model.YearlyProgramme {
	if o.Design == nil {
		for i := range a.Programmes {
			if a.Programmes[i].Name == o.Programme {
				return &a.Programmes[i]
			}
		}
	}
	return nil
}

// BillOf is the bill of an option's works; an option without works has its year
// of upkeep instead.
func BillOf(a model.Appraisal, o model.OptionAppraisal) costs.Bill {
	if upkeep := UpkeepAlone(a, o); upkeep != nil {
		return upkeep.Bill
	}
	return o.Money.WorksBill
}

// BillHeading says of what BillOf is the bill.
func BillHeading(a model.Appraisal, o model.OptionAppraisal) string {
	if UpkeepAlone(a, o) != nil {
		return "A year of " + o.Words
	}
	return "Bill of " + o.Words
}

// longestAddition is how much of the name of a percentage is shown.
const longestAddition = 34

// BillLines sums BillOf up by section, down to the capital in all.
func BillLines(a model.Appraisal, o model.OptionAppraisal) []Line {
	bill := BillOf(a, o)
	var lines []Line
	add := func(words string, amount costs.Money) { lines = append(lines, Line{Words: words, Amount: amount}) }
	sum := func(words string, amount costs.Money) { lines = append(lines, Line{words, amount, true}) }
	for _, section := range bill.Sections {
		add(Plain(section.Section), section.Subtotal)
	}
	for _, list := range [][]costs.BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			add(fmt.Sprintf("%s, %s %%", Shortened(added.Name, longestAddition), Rounded(added.Pct)), added.Amount)
		}
	}
	if bill.Contingency.Sign() > 0 {
		add(fmt.Sprintf("contingency, %s %%", Rounded(bill.ContingencyPct)), bill.Contingency)
	}
	add("tax", bill.Tax)
	add(fmt.Sprintf("less tax recovered, %s %% of it", Rounded(bill.TaxRecoverablePct)), bill.TaxRecoverable.Neg())
	if o.Design == nil {
		sum("total", bill.Capital)
		return lines
	}
	sum("capital of the works", bill.Capital)
	if a.EnablingBill.Capital.Sign() > 0 {
		add("enabling works, under every option", a.EnablingBill.Capital)
		sum("capital in all", o.Money.Capital)
	}
	return lines
}
