// Package workbook writes an appraisal as a spreadsheet that goes on computing:
// bills with their quantities and rates, the cash flow of every option and its
// net present value, the terms, the assumptions and the survey. What is worked
// out stands there as a formula, rounded as the appraisal rounds, with the
// appraisal's own figure as the value that is kept beside it: programs that do
// not calculate show the same.
package workbook

import (
	"fmt"
	"io"

	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
)

// MediaType is that of the file (ISO/IEC 29500).
const MediaType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

// Write writes the workbook of an appraisal. The same appraisal gives the same
// bytes.
func Write(w io.Writer, a model.Appraisal) error {
	b, err := newBuilder(a)
	if err != nil {
		return err
	}
	upkeep := b.upkeepSheet()
	bills := b.billSheets()
	flow := b.cashFlowSheet()
	summary := b.summarySheet()
	sheets := append([]*sheet{summary}, bills...)
	sheets = append(sheets, upkeep, flow, b.rates.sheet, b.terms.sheet, assumptionsSheet(a), surveySheet(a))
	file := newFile(b.currency, report.Title(a.Case.Title, a.Case.Green.Name), a.PriceStamp)
	for _, s := range sheets {
		if err := file.add(s); err != nil {
			return fmt.Errorf("workbook: sheet %s: %w", s.name, err)
		}
	}
	return file.write(w)
}

// builder holds what the sheets share: the figures that formulas of one sheet take
// from another.
type builder struct {
	appraisal model.Appraisal
	currency  costs.Currency
	terms     *termsSheet
	rates     *ratesSheet
	// enabling and works are where the capital of the bills stands, and upkeep that
	// of a year of each programme by name; empty where there is no such bill.
	enabling string
	works    map[model.Option]string
	upkeep   map[string]string
	// value is where the net present value of an option against the present
	// programme stands.
	value map[model.Option]string
}

func newBuilder(a model.Appraisal) (*builder, error) {
	b := &builder{
		appraisal: a, currency: a.EnablingBill.Currency,
		works: map[model.Option]string{}, upkeep: map[string]string{}, value: map[model.Option]string{},
	}
	var err error
	if b.terms, err = newTermsSheet(a); err != nil {
		return nil, err
	}
	b.rates = newRatesSheet(a)
	return b, nil
}

// billSheets has a sheet for the works of each option that has any.
func (b *builder) billSheets() []*sheet {
	var sheets []*sheet
	for _, o := range b.appraisal.Options {
		if o.Design == nil {
			continue
		}
		s := b.newBillSheet("Bill "+report.ShortName(o.Option), "Bill of "+o.Words)
		b.works[o.Option] = b.writeBill(s, "", o.Money.WorksBill)
		sheets = append(sheets, s)
	}
	return sheets
}

// upkeepSheet has the enabling works and a year of each programme.
func (b *builder) upkeepSheet() *sheet {
	s := b.newBillSheet("Enabling and upkeep", "Enabling works, and a year of each programme")
	if len(b.appraisal.EnablingBill.Sections) > 0 {
		b.enabling = b.writeBill(s, "Enabling works, under every option", b.appraisal.EnablingBill)
	}
	for _, programme := range b.appraisal.Programmes {
		b.upkeep[programme.Name] = b.writeBill(s, "A year of the "+report.Plain(programme.Name)+" programme", programme.Bill)
	}
	return s
}
