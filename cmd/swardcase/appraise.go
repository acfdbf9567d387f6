package main

import (
	"context"
	"encoding/csv"
	"strconv"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/pages"
	"swardcase/api/report"
	"swardcase/api/report/workbook"
	"swardcase/api/service"
	"swardcase/costs"
	"swardcase/model"
)

var appraiseCommand = answer[model.Appraisal]{
	name: "appraise", summary: "Appraise the options for one green",
	detail: `
Reads a case and prints the full options appraisal: the advice and its reasons,
the condition of the green, the present programme and seven options side by
side, the bill of the one advised, and the cautions. CASE.json may be - for
standard input. Every fault of a case is listed at once, with its place and
its remedy, and the exit code is then 2. As csv it has the bill of the option
advised, line by line, with its totals, or with --table cash_flow a row for each
option and year. As xlsx it is a workbook that goes on computing: a change of a
quantity, a rate or the terms moves bills and net present values. As pdf it is
the paper for a committee; an installed Chromium prints it.`,
	ask:     (*service.Service).Appraise,
	text:    appraisalText,
	tables:  []csvTable[model.Appraisal]{{"bill", billCSV}, {"cash_flow", cashFlowCSV}},
	xlsx:    workbook.Write,
	pdf:     appraisalPaper,
	weather: true,
}.command()

// appraisalPaper prints the page of an appraisal.
func appraisalPaper(ctx context.Context, svc *service.Service, document contract.Document, a model.Appraisal) ([]byte, error) {
	shown, err := pages.New(svc)
	if err != nil {
		return nil, err
	}
	return shown.PaperOfAnswer(ctx, a, document)
}

// billCSV is the bill that writeBill prints, line by line.
func billCSV(a model.Appraisal) (string, error) {
	var b strings.Builder
	err := report.BillOf(a, report.Advised(a)).WriteCSV(&b)
	return b.String(), err
}

// cashFlowCSV has one row for each option and year. Amounts are positive for what
// the name of their column says.
func cashFlowCSV(a model.Appraisal) (string, error) {
	kinds := []costs.Kind{costs.Enabling, costs.Capital, costs.Aftercare, costs.Upkeep, costs.Renewal, costs.IncomeLost, costs.Income}
	header := []string{"option", "year", "first_month"}
	for _, kind := range kinds {
		header = append(header, string(kind))
	}
	rows := [][]string{append(header, "net", "discount_factor", "discounted",
		"difference_from_present", "cumulative", "discounted_difference", "cumulative_discounted", "currency")}
	for _, o := range a.Options {
		for i, year := range o.Money.CashFlow.Years {
			rows = append(rows, cashFlowRow(o, kinds, year, o.Money.AgainstPresent.Years[i]))
		}
	}
	var b strings.Builder
	err := csv.NewWriter(&b).WriteAll(rows)
	return b.String(), err
}

func cashFlowRow(o model.OptionAppraisal, kinds []costs.Kind, year costs.CashFlowYear, against costs.ComparisonYear) []string {
	currency := year.Net.Currency()
	row := []string{string(o.Option), strconv.Itoa(year.Year), ""}
	if year.Year > 0 {
		row[2] = o.Money.CashFlow.FirstMonth.AddMonths(12 * (year.Year - 1)).String()
	}
	for _, kind := range kinds {
		amount := costs.Zero(currency)
		for _, entry := range year.Amounts {
			if entry.Kind == kind {
				amount = entry.Amount
			}
		}
		row = append(row, amount.DecimalText())
	}
	return append(row, year.Net.DecimalText(), strconv.FormatFloat(year.DiscountFactor, 'f', -1, 64), year.Discounted.DecimalText(),
		against.Difference.DecimalText(), against.Cumulative.DecimalText(), against.Discounted.DecimalText(), against.CumulativeDiscounted.DecimalText(), currency.Code())
}
