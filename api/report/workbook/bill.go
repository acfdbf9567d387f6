package workbook

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/api/report"
	"swardcase/costs"
)

// The columns of a bill.
const (
	wordsColumn = iota
	quantityColumn
	unitColumn
	rateColumn
	amountColumn
	classColumn
	taxColumn
	workingColumn
)

func (b *builder) newBillSheet(name, title string) *sheet {
	s := newSheet(name, 46, 13, 9, 15, 16, 11, 13, 70)
	book := b.appraisal.Case.Money.PriceBook
	s.title(title, fmt.Sprintf("%s, prices of %s, %s rates. %s Amount = quantity × rate, rounded once. What has a yellow ground may be changed here, or on the sheets Rates and Terms; the rest follows.",
		book.Name, book.PriceDate, b.appraisal.EnablingBill.PriceLevel, b.appraisal.PriceStamp))
	tax := ">Tax"
	if !taxedByLine(b.appraisal.Case.Money.TaxRounding) {
		tax, s.widths[taxColumn] = "", 2
	}
	s.heading("Item", ">Quantity", "Unit", ">Rate", ">Amount", "Tax class", tax, "How the quantity was found")
	s.freeze()
	return s
}

// billWriter writes one bill below what its sheet has.
type billWriter struct {
	*builder
	sheet *sheet
	bill  costs.Bill
	rule  costs.TaxRounding
	// first and last are the rows of the lines.
	first, last int
	// running are the cells whose sum the next addition is a percentage of.
	running []string
	// added are the additions in the order of the bill, with their rows.
	added []addedRow
}

// The stages of what is added: a percentage is taken of the lines and of what the
// stages before its own have added.
const (
	ofPreliminaries = iota
	ofFees
	ofContingency
)

// addedRow is a percentage that was added, and where it stands.
type addedRow struct {
	costs.BillAddition
	row, stage int
	ownClass   bool
}

// writeBill writes a bill and gives the place of its capital, as other sheets name
// it.
func (b *builder) writeBill(s *sheet, heading string, bill costs.Bill) string {
	w := &billWriter{builder: b, sheet: s, bill: bill, rule: b.appraisal.Case.Money.TaxRounding}
	if heading != "" {
		s.add()
		s.add(strong(heading))
	}
	w.lines()
	w.additions()
	net := w.sum("Net total", bill.NetTotal, w.running)
	capital := w.taxAndCapital(net)
	return s.from(amountColumn, capital)
}

func (w *billWriter) byLine() bool { return taxedByLine(w.rule) }

// taxedByLine reports whether a rule rounds the tax of every line.
func taxedByLine(rule costs.TaxRounding) bool {
	return rule == costs.ByLine || rule == costs.ByLineTenthDown
}

// lines writes the sections and the subtotal.
func (w *billWriter) lines() {
	w.first = w.sheet.next()
	var subtotals []string
	for _, section := range w.bill.Sections {
		w.sheet.add(strong(capitalised(report.Plain(section.Section))))
		first := w.sheet.next()
		for _, line := range section.Lines {
			w.line(line)
		}
		w.last = w.sheet.next() - 1
		row := w.sheet.add(text("  subtotal"), cell{}, cell{}, cell{},
			amount(section.Subtotal).total().by("SUM(%s:%s)", at(amountColumn, first), at(amountColumn, w.last)))
		subtotals = append(subtotals, at(amountColumn, row))
	}
	subtotal := w.sum("Subtotal", w.bill.Subtotal, subtotals)
	w.running = []string{at(amountColumn, subtotal)}
}

func (w *billWriter) line(line costs.BillLine) {
	row := w.sheet.next()
	cells := []cell{
		wrapped(line.Description), number(line.Quantity, quantity).given(), text(string(line.Unit)), w.rates.cell(line),
		amount(line.Amount).by(w.round("%s*%s"), at(quantityColumn, row), at(rateColumn, row)),
		text(string(line.TaxClass)),
		{},
		wrapped(line.Working),
	}
	if w.byLine() && line.Tax != "" {
		cells[taxColumn] = cell{value: floatOf(line.Tax), look: look{form: money}}.
			by("%s", w.roundTax(fmt.Sprintf("%s*%s/100", at(amountColumn, row), w.terms.taxRate(line.TaxClass))))
	}
	w.sheet.add(cells...)
	w.sheet.grow(row, wordsColumn, line.Description)
	w.sheet.grow(row, workingColumn, line.Working)
}

// additions writes preliminaries, fees and contingency.
func (w *billWriter) additions() {
	for i, added := range w.bill.Preliminaries {
		w.addition(added, ofPreliminaries, w.terms.preliminaries(i))
	}
	w.closeStage(ofPreliminaries)
	for i, added := range w.bill.ProfessionalFees {
		w.addition(added, ofFees, w.terms.fees(i))
	}
	w.closeStage(ofFees)
	if w.bill.ContingencyPct > 0 {
		w.addition(costs.BillAddition{Name: "contingency", Pct: w.bill.ContingencyPct, Amount: w.bill.Contingency}, ofContingency, w.terms.contingency)
		w.closeStage(ofContingency)
	}
}

// addition writes one; its percentage stands on the sheet of terms.
func (w *billWriter) addition(added costs.BillAddition, stage int, pct place) {
	row := w.sheet.next()
	w.sheet.add(wrapped(capitalised(added.Name)), cell{}, cell{}, number(added.Pct, percent).by("%s", pct.ref),
		amount(added.Amount).by(w.round("(%s)*%s/100"), strings.Join(w.running, "+"), at(rateColumn, row)))
	w.added = append(w.added, addedRow{added, row, stage, pct.class != ""})
}

// closeStage puts what a stage added into the base of the next.
func (w *billWriter) closeStage(stage int) {
	for _, added := range w.added {
		if added.stage == stage {
			w.running = append(w.running, at(amountColumn, added.row))
		}
	}
}

// sum writes a total of some cells and gives its row.
func (w *billWriter) sum(words string, value costs.Money, of []string) int {
	formula := "0"
	if len(of) > 0 {
		formula = strings.Join(of, "+")
	}
	return w.sheet.add(strong(words), cell{}, cell{}, cell{}, amount(value).total().by(w.round("%s"), formula))
}

// round wraps an expression in the rounding of the currency. Spreadsheets round
// half away from zero, as bills are rounded.
func (w *billWriter) round(expression string) string {
	return fmt.Sprintf("ROUND(%s,%d)", expression, w.currency.Places())
}

// roundTax rounds tax as the rule says. Before it is cut off, what the binary
// numbers of a spreadsheet are short by is mended, far beyond any digit that
// counts.
func (w *billWriter) roundTax(expression string) string {
	places := int(w.currency.Places())
	switch w.rule {
	case costs.ByClassTotalDown:
		return fmt.Sprintf("ROUNDDOWN(ROUND(%s,9),%d)", expression, places)
	case costs.ByLineTenthDown:
		return fmt.Sprintf("ROUNDDOWN(ROUND(%s,9),%d)", expression, min(places+1, 4))
	}
	return fmt.Sprintf("ROUND(%s,%d)", expression, places)
}

// floatOf reads an amount that the bill has written.
func floatOf(text costs.DecimalAmount) float64 {
	value, err := decimal.NewFromString(string(text))
	if err != nil {
		panic("workbook: an amount of a bill: " + err.Error()) // it was written from a decimal
	}
	return value.InexactFloat64()
}
