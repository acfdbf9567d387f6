package workbook

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model"
)

// The columns of a cash flow: the year, its first month, the kinds of entry, and
// what follows from them.
const (
	yearColumn = iota
	monthColumn
	firstKind
	netColumn             = firstKind + 7
	factorColumn          = netColumn + 1
	discountedColumn      = netColumn + 2
	differenceColumn      = netColumn + 3
	cumulativeColumn      = netColumn + 4
	discountedGain        = netColumn + 5
	cumulativeGain        = netColumn + 6
	cashFlowColumns       = cumulativeGain + 1
	incomeLost, incomeNow = firstKind + 5, firstKind + 6
)

// kindsShown are the kinds of entry in the order of their columns.
var kindsShown = []costs.Kind{costs.Enabling, costs.Capital, costs.Aftercare, costs.Upkeep, costs.Renewal, costs.IncomeLost, costs.Income}

// block is where the cash flow of one option stands.
type block struct {
	first int // the row of year 0
	last  int
	// residual is the row of the residual value, 0 where there is none.
	residual int
}

// cashFlowSheet has the cash flow of every option, one below the other, each
// against that of the present programme, which is the first.
func (b *builder) cashFlowSheet() *sheet {
	s := newSheet("Cash flow", append([]float64{13, 10}, slices.Repeat([]float64{14}, cashFlowColumns-2)...)...)
	s.widths[factorColumn] = 10
	s.title("Cash flow of every option", "Year 0 is paid before the first month; year 1 is the twelve months from it. Costs, and income lost, are positive for what their names say; net = income − income lost − costs. "+
		"Discounted = net × factor, rounded once; the net present value is their sum. Capital, enabling works and upkeep follow the bills; aftercare, renewals and income are the appraisal's and stay: appraise anew to change them.")
	s.heading(">Year", "From", ">Enabling works", ">Capital", ">Aftercare", ">Upkeep", ">Renewals", ">Income lost", ">Income", ">Net", ">Factor", ">Discounted",
		">Difference from present", ">Cumulative", ">Discounted difference", ">Cumulative")
	s.freeze()
	var yardstick block
	for i, o := range b.appraisal.Options {
		if i > 0 {
			s.pageBreak()
		}
		here := b.flow(s, o, yardstick, i == 0)
		if i == 0 {
			yardstick = here
		}
	}
	return s
}

// flow writes one option's cash flow. The yardstick is compared with itself.
func (b *builder) flow(s *sheet, o model.OptionAppraisal, yardstick block, isYardstick bool) block {
	s.add(strong(capitalised(o.Words)))
	here := block{first: s.next()}
	here.last = here.first + len(o.Money.CashFlow.Years) - 1
	if isYardstick {
		yardstick = here
	}
	for i, year := range o.Money.CashFlow.Years {
		b.year(s, o, year, o.Money.AgainstPresent.Years[i], here, yardstick)
	}
	b.totals(s, o, here)
	b.residual(s, o, &here, yardstick)
	b.presentValue(s, o, here)
	return here
}

// year writes one year of a cash flow.
func (b *builder) year(s *sheet, o model.OptionAppraisal, year costs.CashFlowYear, against costs.ComparisonYear, here, yardstick block) {
	row := s.next()
	cells := make([]cell, cashFlowColumns)
	cells[yearColumn] = number(float64(year.Year), general)
	if year.Year > 0 {
		cells[monthColumn] = text(o.Money.CashFlow.FirstMonth.AddMonths(12 * (year.Year - 1)).String())
	}
	for i, kind := range kindsShown {
		cells[firstKind+i] = b.entry(o, kind, year)
	}
	round := func(expression string) string { return fmt.Sprintf("ROUND(%s,%d)", expression, b.currency.Places()) }
	cells[netColumn] = amount(year.Net).by("%s", round(fmt.Sprintf("%s-SUM(%s:%s)", at(incomeNow, row), at(firstKind, row), at(incomeLost, row))))
	cells[factorColumn] = number(b.terms.values[year.Year], factor).by("%s", b.terms.factors[year.Year])
	cells[discountedColumn] = amount(year.Discounted).by("%s", round(at(netColumn, row)+"*"+at(factorColumn, row)))
	other := at(netColumn, yardstick.first+year.Year)
	cells[differenceColumn] = amount(against.Difference).by("%s", round(at(netColumn, row)+"-"+other))
	cells[discountedGain] = amount(against.Discounted).by("%s", round(at(differenceColumn, row)+"*"+at(factorColumn, row)))
	cells[cumulativeColumn] = amount(against.Cumulative).by("%s", round(fmt.Sprintf("SUM(%s:%s)", at(differenceColumn, here.first), at(differenceColumn, row))))
	cells[cumulativeGain] = amount(against.CumulativeDiscounted).by("%s", round(fmt.Sprintf("SUM(%s:%s)", at(discountedGain, here.first), at(discountedGain, row))))
	s.add(cells...)
}

// entry is one kind's amount in a year: from the bill where it is what the bill
// comes to, and otherwise as the appraisal has it.
func (b *builder) entry(o model.OptionAppraisal, kind costs.Kind, year costs.CashFlowYear) cell {
	value := costs.Zero(b.currency)
	for _, entry := range year.Amounts {
		if entry.Kind == kind {
			value = entry.Amount
		}
	}
	if value.IsZero() {
		return cell{}
	}
	shown := amount(value)
	source, bill := "", costs.Money{}
	switch kind {
	case costs.Enabling:
		source, bill = b.enabling, b.appraisal.EnablingBill.Capital
	case costs.Capital:
		source, bill = b.works[o.Option], o.Money.WorksBill.Capital
	case costs.Upkeep:
		source, bill = b.upkeep[o.Programme], b.yearOf(o.Programme)
	}
	if source != "" && bill.Equal(value) {
		return shown.by("%s", source)
	}
	return shown
}

// yearOf is the price of a year of a programme.
func (b *builder) yearOf(name string) costs.Money {
	for _, programme := range b.appraisal.Programmes {
		if programme.Name == name {
			return programme.Bill.Capital
		}
	}
	return costs.Money{}
}

// totals sums the columns.
func (b *builder) totals(s *sheet, o model.OptionAppraisal, here block) {
	cells := make([]cell, cashFlowColumns)
	cells[yearColumn] = strong("Total")
	sum := func(column int, value costs.Money) {
		cells[column] = amount(value).total().by("ROUND(SUM(%s:%s),%d)", at(column, here.first), at(column, here.last), b.currency.Places())
	}
	for i, kind := range kindsShown {
		value := costs.Zero(b.currency)
		for _, total := range o.Money.CashFlow.Totals {
			if total.Kind == kind {
				value = total.Amount
			}
		}
		sum(firstKind+i, value)
	}
	last := o.Money.AgainstPresent.Years[len(o.Money.AgainstPresent.Years)-1]
	sum(netColumn, o.Money.CashFlow.Net)
	sum(discountedColumn, sumOfDiscounted(o.Money.CashFlow))
	sum(differenceColumn, last.Cumulative)
	sum(discountedGain, last.CumulativeDiscounted)
	s.add(cells...)
}

// sumOfDiscounted is the net present value without the residual value.
func sumOfDiscounted(flow costs.CashFlow) costs.Money {
	if flow.Residual == nil {
		return flow.NetPresentValue
	}
	less, err := flow.NetPresentValue.Sub(flow.Residual.Discounted)
	if err != nil {
		panic("workbook: the amounts of a cash flow: " + err.Error()) // they are of one currency
	}
	return less
}

// residual writes what the works are still worth at the horizon, where the terms
// count that.
func (b *builder) residual(s *sheet, o model.OptionAppraisal, here *block, yardstick block) {
	own, against := o.Money.CashFlow.Residual, o.Money.AgainstPresent.Residual
	if own == nil && against == nil {
		return
	}
	row := s.next()
	cells := make([]cell, cashFlowColumns)
	cells[yearColumn] = text("Residual value")
	cells[factorColumn] = number(b.terms.values[len(b.terms.values)-1], factor).by("%s", b.terms.factors[len(b.terms.factors)-1])
	zero := costs.Zero(b.currency)
	worth, discounted := zero, zero
	if own != nil {
		worth, discounted = own.Amount, own.Discounted
	}
	cells[netColumn] = amount(worth)
	round := func(expression string) string { return fmt.Sprintf("ROUND(%s,%d)", expression, b.currency.Places()) }
	cells[discountedColumn] = amount(discounted).by("%s", round(at(netColumn, row)+"*"+at(factorColumn, row)))
	if against != nil {
		theirs := "0"
		if yardstick.residual > 0 {
			theirs = at(netColumn, yardstick.residual)
		}
		cells[differenceColumn] = amount(against.Amount).by("%s", round(at(netColumn, row)+"-"+theirs))
		cells[discountedGain] = amount(against.Discounted).by("%s", round(at(differenceColumn, row)+"*"+at(factorColumn, row)))
	}
	s.add(cells...)
	here.residual = row
}

// presentValue writes the net present values, and, where there is one rate, what
// the spreadsheet's own function makes of the same flow, which rounds nothing.
func (b *builder) presentValue(s *sheet, o model.OptionAppraisal, here block) {
	sum := func(column int) string {
		of := []string{at(column, here.last+1)}
		if here.residual > 0 {
			of = append(of, at(column, here.residual))
		}
		return fmt.Sprintf("ROUND(%s,%d)", strings.Join(of, "+"), b.currency.Places())
	}
	cells := make([]cell, cashFlowColumns)
	cells[yearColumn] = strong("Net present value")
	cells[discountedColumn] = amount(o.Money.CashFlow.NetPresentValue).total().by("%s", sum(discountedColumn))
	cells[discountedGain] = amount(o.Money.AgainstPresent.NetPresentValue).total().by("%s", sum(discountedGain))
	row := s.add(cells...)
	b.value[o.Option] = s.from(discountedGain, row)
	if b.terms.rate == "" || here.residual > 0 {
		return
	}
	check := make([]cell, cashFlowColumns)
	check[yearColumn] = text("The same by the function NPV, without roundings")
	for column, flows := range map[int][]decimal.Decimal{netColumn: netsOf(o), differenceColumn: differencesOf(o)} {
		check[column+2] = cell{value: b.exact(flows), look: look{form: money}}.by("%s+NPV(%s/100,%s:%s)",
			at(column, here.first), b.terms.rate, at(column, here.first+1), at(column, here.last))
	}
	s.add(check...)
}

func netsOf(o model.OptionAppraisal) []decimal.Decimal {
	var flows []decimal.Decimal
	for _, year := range o.Money.CashFlow.Years {
		flows = append(flows, year.Net.Amount())
	}
	return flows
}

func differencesOf(o model.OptionAppraisal) []decimal.Decimal {
	var flows []decimal.Decimal
	for _, year := range o.Money.AgainstPresent.Years {
		flows = append(flows, year.Difference.Amount())
	}
	return flows
}

// exact is the present value of flows without roundings.
func (b *builder) exact(flows []decimal.Decimal) float64 {
	sum := 0.0
	for year, flow := range flows {
		sum += flow.InexactFloat64() * b.terms.values[year]
	}
	return sum
}
