package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// TaxRounding names how the tax of a bill is rounded. The figures differ by a
// few minor units, and an invoice need not follow the estimate's rule.
//
// HMRC, VAT Traders' Records manual, VATREC12010, on Notice 700 section 17.5: a
// trader who works from net values may round the tax on an invoice down to a
// whole penny, and may round the tax on a line to the nearest penny or down to
// a tenth of one, but not down to whole pence. Retailers may not only round
// down. Which rule a contractor may use is a question for an accountant.
type TaxRounding string

// The rules.
const (
	ByClassTotal     TaxRounding = "class_total"
	ByClassTotalDown TaxRounding = "class_total_down"
	ByLine           TaxRounding = "line"
	ByLineTenthDown  TaxRounding = "line_tenth_down"
)

// taxRule is a TaxRounding spelt out.
type taxRule struct {
	name       TaxRounding
	text       string // printed on the bill
	byLine     bool
	linePlaces int32 // beyond the minor unit
	lineDown   bool
	totalDown  bool
}

var taxRules = [...]taxRule{
	{name: ByClassTotal, text: "for each class once, on the rounded total of its lines and contingency, to the nearest minor unit, half away from zero"},
	{name: ByClassTotalDown, totalDown: true, text: "for each class once, on the rounded total of its lines and additions, down to a whole minor unit"},
	{name: ByLine, byLine: true, text: "for each line and each class's share of an addition once, to the nearest minor unit, half away from zero; a class is their sum"},
	{name: ByLineTenthDown, byLine: true, linePlaces: 1, lineDown: true, text: "for each line and each class's share of an addition once, down to a tenth of the minor unit; a class is their sum to the nearest minor unit, half away from zero"},
}

// rule finds the rule by name; none given is the first.
func (r TaxRounding) rule(found *problems) taxRule {
	if r == "" {
		return taxRules[0]
	}
	for _, rule := range taxRules {
		if rule.name == r {
			return rule
		}
	}
	found.add("/tax_rounding", string(r), "this is not a rule of rounding tax", fmt.Sprintf("use %s, %s, %s or %s", ByClassTotal, ByClassTotalDown, ByLine, ByLineTenthDown))
	return taxRules[0]
}

// of is the tax on one line or share, at the rule's places.
func (r taxRule) of(amount Money, pct decimal.Decimal) decimal.Decimal {
	places := min(amount.currency.Places()+r.linePlaces, finestPlaces)
	tax := amount.amount.Mul(pct.Shift(-2))
	if r.lineDown {
		return tax.RoundDown(places)
	}
	return tax.Round(places)
}

// finestPlaces are the most places that an amount is written with.
const finestPlaces = 4

// taxLines works out the tax of each class that has lines or additions.
func (b *billBuilder) taxLines(adder *adder, bill *Bill, taxable [4]Money, rates taxRates) []TaxLine {
	lines := []TaxLine{}
	if b.total == 0 { // nothing to be taxed
		return lines
	}
	var byLine [4]decimal.Decimal
	if rates.rounding.byLine {
		byLine = bill.taxEachLine(rates)
	}
	for number, class := range taxClasses {
		if !b.classUsed[number] {
			continue
		}
		line := TaxLine{TaxClass: class, RatePct: rates.ratePct[number].InexactFloat64(), Taxable: taxable[number]}
		switch {
		case rates.rounding.byLine:
			line.Tax = adder.keep(NewMoney(byLine[number], adder.currency))
		case rates.rounding.totalDown:
			exact := line.Taxable.amount.Mul(rates.ratePct[number].Shift(-2))
			line.Tax = adder.keep(NewMoney(exact.RoundDown(adder.currency.Places()), adder.currency))
		default:
			line.Tax = adder.percent(line.Taxable, rates.ratePct[number])
		}
		line.TaxRecoverable = adder.split(line.Tax, rates.recoverablePct, hundred.Sub(rates.recoverablePct))[0]
		lines = append(lines, line)
	}
	return lines
}

// taxEachLine writes the tax beside every line and share, and returns the sum
// of each class.
func (bill *Bill) taxEachLine(rates taxRates) (sums [4]decimal.Decimal) {
	tax := func(class TaxClass, amount Money) DecimalAmount {
		number := class.number()
		each := rates.rounding.of(amount, rates.ratePct[number])
		sums[number] = sums[number].Add(each)
		return DecimalAmount(each.StringFixed(min(amount.currency.Places()+rates.rounding.linePlaces, finestPlaces)))
	}
	for _, section := range bill.Sections {
		for i := range section.Lines {
			line := &section.Lines[i]
			line.Tax = tax(line.TaxClass, line.Amount)
		}
	}
	shares := [][]ClassShare{bill.ContingencyShares}
	for _, list := range [][]BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			shares = append(shares, added.Shares)
		}
	}
	for _, list := range shares {
		for i := range list {
			list[i].Tax = tax(list[i].TaxClass, list[i].Amount)
		}
	}
	return sums
}
