package workbook

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"swardcase/costs"
)

// taxAndCapital writes the tax of each class, what of it is recovered, and the
// capital, whose row it gives. Below stands how the additions are shared among
// the classes, where that is not plain.
func (w *billWriter) taxAndCapital(net int) (capital int) {
	start := w.sheet.next()
	classes := w.bill.TaxLines
	capital = start + len(classes) + 1
	var shares *sharing
	if len(classes) > 1 || w.byLine() && len(classes) > 0 {
		shares = w.share(capital + 2)
	}
	var recovered, taxes []string
	for i, line := range classes {
		row := w.sheet.next()
		taxable := at(amountColumn, net)
		if shares != nil {
			taxable = shares.taxable(i)
		}
		w.sheet.add(text("Tax, "+string(line.TaxClass)), amount(line.Taxable).by("%s", taxable), text("taxable"),
			number(line.RatePct, percent).by("%s", w.terms.taxRate(line.TaxClass)), amount(line.Tax).by("%s", w.taxOf(i, row, shares)))
		taxes = append(taxes, at(amountColumn, row))
		recovered = append(recovered, fmt.Sprintf(w.round("%s*%s/100"), at(amountColumn, row), at(rateColumn, start+len(classes))))
	}
	if len(classes) == 0 {
		recovered = []string{"0"}
	}
	row := w.sheet.add(text("Less the tax recovered"), cell{}, cell{}, number(w.bill.TaxRecoverablePct, percent).by("%s", w.terms.recoverable.ref),
		amount(w.bill.TaxRecoverable.Neg()).by("-(%s)", strings.Join(recovered, "+")))
	w.sum("Capital", w.bill.Capital, append(append([]string{at(amountColumn, net)}, taxes...), at(amountColumn, row)))
	if shares != nil {
		w.sheet.add()
		for _, cells := range shares.rows {
			w.sheet.add(cells...)
		}
	}
	return capital
}

// taxOf is the formula of one class's tax.
func (w *billWriter) taxOf(class, row int, shares *sharing) string {
	rate := at(rateColumn, row)
	if !w.byLine() {
		return w.roundTax(fmt.Sprintf("%s*%s/100", at(quantityColumn, row), rate))
	}
	of := []string{fmt.Sprintf("SUMIF(%s,%q,%s)", w.linesOf(classColumn), w.bill.TaxLines[class].TaxClass, w.linesOf(taxColumn))}
	for _, share := range shares.shareRows {
		of = append(of, w.roundTax(fmt.Sprintf("%s*%s/100", at(class+1, share), rate)))
	}
	return w.round(strings.Join(of, "+"))
}

// linesOf is a column of all lines, which subtotals stand between; they have no
// class.
func (w *billWriter) linesOf(column int) string {
	return fmt.Sprintf("$%s$%d:$%s$%d", letters(column), w.first, letters(column), w.last)
}

// sharing is the table of what is taxed in each class: the lines, and the share of
// every addition, by the largest remainder where it does not divide evenly.
// Classes are columns.
type sharing struct {
	w         *billWriter
	top       int // its first row
	rows      [][]cell
	classes   []costs.TaxClass
	values    []decimal.Decimal // taxable so far, by class
	stage     int
	base      []int // the rows that the present stage takes percentages of
	pending   []int // and those that the next will, too
	shareRows []int
}

func (t *sharing) add(cells ...cell) int {
	t.rows = append(t.rows, cells)
	return t.top + len(t.rows) - 1
}

func (t *sharing) next() int { return t.top + len(t.rows) }

// taxable is where the taxable amount of a class stands: in the last row.
func (t *sharing) taxable(class int) string { return at(class+1, t.next()-1) }

// share makes the table, whose first row will be the given one.
func (w *billWriter) share(top int) *sharing {
	t := &sharing{w: w, top: top}
	heading := []cell{strong("Taxed in each class")}
	lines := []cell{text("lines")}
	for i, line := range w.bill.TaxLines {
		t.classes = append(t.classes, line.TaxClass)
		t.values = append(t.values, w.linesIn(line.TaxClass))
		heading = append(heading, strong(string(line.TaxClass)))
		lines = append(lines, t.money(t.values[i]).by("SUMIF(%s,%q,%s)", w.linesOf(classColumn), line.TaxClass, w.linesOf(amountColumn)))
	}
	t.add(heading...)
	t.base = []int{t.add(lines...)}
	for _, added := range w.added {
		if added.stage != t.stage {
			t.base, t.pending, t.stage = append(t.base, t.pending...), nil, added.stage
		}
		row := t.addition(added)
		t.pending, t.shareRows = append(t.pending, row), append(t.shareRows, row)
	}
	t.base = append(t.base, t.pending...)
	taxable := []cell{text("taxable")}
	for i, line := range w.bill.TaxLines {
		taxable = append(taxable, amount(line.Taxable).total().by("%s", t.sumOf(i)))
	}
	t.add(taxable...)
	return t
}

// linesIn sums the lines of a class.
func (w *billWriter) linesIn(class costs.TaxClass) decimal.Decimal {
	sum := decimal.Zero
	for _, section := range w.bill.Sections {
		for _, line := range section.Lines {
			if line.TaxClass == class {
				sum = sum.Add(line.Amount.Amount())
			}
		}
	}
	return sum
}

// sumOf is what is in a class so far: the base of the present stage.
func (t *sharing) sumOf(class int) string {
	cells := make([]string, len(t.base))
	for i, row := range t.base {
		cells[i] = at(class+1, row)
	}
	return t.w.round(strings.Join(cells, "+"))
}

func (t *sharing) money(value decimal.Decimal) cell {
	return cell{value: value.InexactFloat64(), look: look{form: money}}
}

// addition writes the shares of one addition and gives their row.
func (t *sharing) addition(added addedRow) int {
	amountCell := at(amountColumn, added.row)
	shares := t.sharesOf(added)
	cells := []cell{text("share of " + strings.ToLower(added.Name))}
	formula := t.plainShares(amountCell)
	switch {
	case added.ownClass:
		formula = func(class int) string {
			if shares[class].IsZero() {
				return "0"
			}
			return amountCell
		}
	case len(t.classes) > 2:
		formula = t.largestRemainder(amountCell, added)
	}
	row := t.next()
	for class := range t.classes {
		cells = append(cells, t.money(shares[class]).by("%s", strings.ReplaceAll(formula(class), "#", fmt.Sprint(row))))
	}
	return t.add(cells...)
}

// sharesOf are the shares as the bill has them; those of contingency are what is
// left of the taxable amounts.
func (t *sharing) sharesOf(added addedRow) []decimal.Decimal {
	shares := make([]decimal.Decimal, len(t.classes))
	for class := range t.classes {
		if added.stage == ofContingency {
			shares[class] = t.w.bill.TaxLines[class].Taxable.Amount().Sub(t.values[class])
		}
		for _, share := range added.Shares {
			if share.TaxClass == t.classes[class] {
				shares[class] = share.Amount.Amount()
			}
		}
	}
	for class := range shares {
		t.values[class] = t.values[class].Add(shares[class])
	}
	return shares
}

// plainShares are the shares in one class or two: the second is what the first
// leaves. A # stands for the row.
func (t *sharing) plainShares(amountCell string) func(int) string {
	return func(class int) string {
		switch {
		case len(t.classes) == 1:
			return amountCell
		case class == 1:
			return fmt.Sprintf(t.w.round("%s-B#"), amountCell)
		}
		first, second := t.sumOf(0), t.sumOf(1)
		return fmt.Sprintf("IF(%s+%s=0,0,%s)", first, second, fmt.Sprintf(t.w.round("%s*%s/(%s+%s)"), amountCell, first, first, second))
	}
}

// largestRemainder writes the steps of the division in whole minor units, which a
// spreadsheet holds exactly: the base, the whole part and the remainder of each
// class. The units left over go to the largest remainders, among equals to the
// first.
func (t *sharing) largestRemainder(amountCell string, added addedRow) func(int) string {
	last := letters(len(t.classes))
	minor := fmt.Sprintf("ROUND(%s*%s,0)", amountCell, unitsOf(t.w.currency))
	total := decimal.Zero
	for _, value := range t.before(added) {
		total = total.Add(value)
	}
	bases, wholes, remainders := []cell{text("  base, in the smallest coin")}, []cell{text("  whole part")}, []cell{text("  remainder")}
	baseRow := t.next()
	wholeRow, remainderRow := baseRow+1, baseRow+2
	for class, value := range t.before(added) {
		places := t.w.currency.Places()
		whole, left := added.Amount.Amount().Shift(places).Mul(value.Shift(places)).QuoRem(total.Shift(places), 0)
		bases = append(bases, number(value.Shift(places).InexactFloat64(), general).by("ROUND(%s*%s,0)", t.sumOf(class), unitsOf(t.w.currency)))
		wholes = append(wholes, number(whole.InexactFloat64(), general).by("IF(SUM(%[1]s)=0,0,INT(%[2]s*%[3]s/SUM(%[1]s)))", rangeOf(baseRow, last), minor, at(class+1, baseRow)))
		remainders = append(remainders, number(left.InexactFloat64(), general).by("%s*%s-%s*SUM(%s)", minor, at(class+1, baseRow), at(class+1, wholeRow), rangeOf(baseRow, last)))
	}
	t.add(bases...)
	t.add(wholes...)
	t.add(remainders...)
	return func(class int) string {
		mine := at(class+1, remainderRow)
		before := "0"
		if class > 0 {
			before = fmt.Sprintf("COUNTIF($B%d:%s,%s)", remainderRow, at(class, remainderRow), mine)
		}
		return fmt.Sprintf("(%s+IF(%s-SUM(%s)>SUMPRODUCT((%s>%s)*1)+%s,1,0))/%s",
			at(class+1, wholeRow), minor, rangeOf(wholeRow, last), rangeOf(remainderRow, last), mine, before, unitsOf(t.w.currency))
	}
}

// before is what was in each class before the stage of an addition.
func (t *sharing) before(added addedRow) []decimal.Decimal {
	values := make([]decimal.Decimal, len(t.classes))
	for class, name := range t.classes {
		values[class] = t.w.linesIn(name)
		for _, earlier := range t.w.added {
			if earlier.stage < added.stage {
				for _, share := range earlier.Shares {
					if share.TaxClass == name {
						values[class] = values[class].Add(share.Amount.Amount())
					}
				}
			}
		}
	}
	return values
}

func rangeOf(row int, last string) string { return fmt.Sprintf("$B$%d:$%s$%d", row, last, row) }

// unitsOf is how many of the smallest coin make one of the currency.
func unitsOf(currency costs.Currency) string {
	return "1" + strings.Repeat("0", int(currency.Places()))
}
