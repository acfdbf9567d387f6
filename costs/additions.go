package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// Addition is a named percentage that a bill adds to its lines.
type Addition struct {
	Name string  `json:"name"`
	Pct  float64 `json:"pct"` // 0 to 100
	// TaxClass puts the whole of it in one class, as the fee of a designer who
	// sends his own invoice; empty: it is shared among the classes of its base.
	TaxClass TaxClass `json:"tax_class,omitempty"`
}

// BillAddition is an addition on a bill: amount = base × pct, rounded once. The
// shares of the tax classes come from the largest remainder and add up to it.
type BillAddition struct {
	Name   string       `json:"name"`
	Pct    float64      `json:"pct"`
	Base   Money        `json:"base"`
	Amount Money        `json:"amount"`
	Shares []ClassShare `json:"shares"`
}

// ClassShare is the part of an amount that is taxed in one class.
type ClassShare struct {
	TaxClass TaxClass `json:"tax_class"`
	Amount   Money    `json:"amount"`
	// Tax is given where the tax rounding rule works by the line.
	Tax DecimalAmount `json:"tax,omitempty"`
}

// maxAdditions bounds the additions of one kind.
const maxAdditions = 10

// addition is an Addition turned into decimals.
type addition struct {
	name  string
	pct   decimal.Decimal
	class int // -1: shared
}

// resolveAdditions checks a list of additions that stands at the field.
func resolveAdditions(found *problems, field string, list []Addition) []addition {
	if len(list) > maxAdditions {
		found.add(field, len(list), fmt.Sprintf("there are at most %d of these", maxAdditions), "put some of them together")
		return nil
	}
	resolved := make([]addition, 0, len(list))
	for i, given := range list {
		at := fmt.Sprintf("%s/%d", field, i)
		checkText(found, at+"/name", given.Name, maxTextRunes, true)
		pct := checkPercent(found, at+"/pct", given.Pct)
		class := given.TaxClass.number()
		if given.TaxClass != "" && class < 0 {
			found.add(at+"/tax_class", string(given.TaxClass), "this is not a tax class", "use standard, reduced, zero or exempt, or leave it out")
		}
		resolved = append(resolved, addition{given.Name, pct, class})
	}
	return resolved
}

// useClassesOf marks the tax classes of additions that have one of their own,
// where there is anything for them to be a percentage of.
func (b *billBuilder) useClassesOf(rates taxRates) {
	for _, list := range [][]addition{rates.preliminaries, rates.fees} {
		for _, added := range list {
			if added.class >= 0 && added.pct.Sign() > 0 && b.total > 0 {
				b.classUsed[added.class] = true
			}
		}
	}
}

// additions works out preliminaries, professional fees and contingency, and
// returns what is taxable in each class with them.
func (b *billBuilder) additions(adder *adder, bill *Bill, rates taxRates) (taxable [4]Money) {
	for number, amount := range b.byClass {
		taxable[number] = ofMinor(amount, adder.currency)
	}
	running := bill.Subtotal
	add := func(list ...addition) (billed []BillAddition) {
		base, of := taxable, running
		for _, added := range list {
			billedOne := b.addition(adder, added, of, base)
			for _, share := range billedOne.Shares {
				number := share.TaxClass.number()
				taxable[number] = adder.sum(taxable[number], share.Amount)
			}
			running = adder.sum(running, billedOne.Amount)
			billed = append(billed, billedOne)
		}
		return billed
	}
	bill.Preliminaries = add(rates.preliminaries...)
	bill.ProfessionalFees = add(rates.fees...)
	contingency := add(addition{pct: rates.contingencyPct, class: -1})[0]
	bill.Contingency = contingency.Amount
	if rates.rounding.byLine {
		bill.ContingencyShares = contingency.Shares
	}
	bill.NetTotal = running
	return taxable
}

// addition takes one percentage of a base and shares it among the classes.
func (b *billBuilder) addition(adder *adder, added addition, of Money, base [4]Money) BillAddition {
	billed := BillAddition{
		Name: added.name, Pct: added.pct.InexactFloat64(), Base: of, Amount: adder.percent(of, added.pct), Shares: []ClassShare{},
	}
	if adder.err != nil || of.Sign() == 0 { // nothing, and no proportion to split in
		return billed
	}
	weights := make([]decimal.Decimal, len(taxClasses))
	for number := range weights {
		if added.class < 0 {
			weights[number] = base[number].Amount()
		}
	}
	if added.class >= 0 {
		weights[added.class] = one
	}
	for number, share := range adder.split(billed.Amount, weights...) {
		if weights[number].Sign() > 0 {
			billed.Shares = append(billed.Shares, ClassShare{TaxClass: taxClasses[number], Amount: share})
		}
	}
	return billed
}

// capitalPerUnit is what one unit of money on a line of each tax class comes to
// as capital, with additions and irrecoverable tax: the linear form of a bill,
// without its roundings.
func (r taxRates) capitalPerUnit() (perUnit [4]float64) {
	for number := range perUnit {
		var base [4]float64
		base[number] = 1
		for _, list := range [][]addition{r.preliminaries, r.fees} {
			base = addedTo(base, list)
		}
		for class, amount := range base {
			amount *= 1 + fraction(r.contingencyPct)
			tax := amount * fraction(r.ratePct[class])
			perUnit[number] += amount + tax*(1-fraction(r.recoverablePct))
		}
	}
	return perUnit
}

// addedTo adds percentages of a base to its classes, each of the base as it was.
func addedTo(base [4]float64, list []addition) [4]float64 {
	sum := base
	for _, added := range list {
		for class, amount := range base {
			into := class
			if added.class >= 0 {
				into = added.class
			}
			sum[into] += amount * fraction(added.pct)
		}
	}
	return sum
}
