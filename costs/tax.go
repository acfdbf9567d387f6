package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// taxRounding names the rule that a bill follows, and is printed on it. There
// are others: tax by the line, or rounded down, differs by a few minor units.
const taxRounding = "for each class once, on the rounded total of its lines and contingency, to the nearest minor unit, half away from zero"

// Terms are the percentages that a bill adds to its lines.
type Terms struct {
	ContingencyPct    float64   // of the subtotal, 0 to 100
	TaxRates          []TaxRate // one for each class in use; zero and exempt need none
	TaxRecoverablePct float64   // share of the tax that the club gets back, 0 to 100
}

// TaxRate is the rate of one tax class, in per cent.
type TaxRate struct {
	TaxClass TaxClass `json:"tax_class"`
	RatePct  float64  `json:"rate_pct"`
}

// TaxLine is the tax of one class. Taxable is the class's lines plus its share
// of the contingency; tax = taxable × rate, rounded once. The recoverable part
// is split off by the largest remainder: it is rounded to the nearest minor
// unit and a half goes to the club.
type TaxLine struct {
	TaxClass       TaxClass `json:"tax_class"`
	RatePct        float64  `json:"rate_pct"`
	Taxable        Money    `json:"taxable"`
	Tax            Money    `json:"tax"`
	TaxRecoverable Money    `json:"tax_recoverable"`
}

// taxRates are Terms turned into decimals, by the class's number.
type taxRates struct {
	contingencyPct decimal.Decimal
	recoverablePct decimal.Decimal
	ratePct        [4]decimal.Decimal
	known          [4]bool
}

var hundred = decimal.NewFromInt(100)

// resolve checks the terms and turns them into decimals. Fields are relative to
// the money terms of a case.
func (t Terms) resolve() (taxRates, []Problem) {
	var found problems
	var rates taxRates
	rates.contingencyPct = checkPercent(&found, "/contingency_pct", t.ContingencyPct)
	rates.recoverablePct = checkPercent(&found, "/tax_recoverable_pct", t.TaxRecoverablePct)
	rates.known[ZeroRated.number()], rates.known[Exempt.number()] = true, true
	var listed [4]bool
	for i, rate := range t.TaxRates {
		at := fmt.Sprintf("/tax_rates/%d", i)
		number := rate.TaxClass.number()
		if number < 0 {
			found.add(at+"/tax_class", string(rate.TaxClass), "this is not a tax class", "use standard, reduced, zero or exempt")
			continue
		}
		if listed[number] {
			found.add(at+"/tax_class", string(rate.TaxClass), "this tax class has two rates", "keep one of them")
			continue
		}
		listed[number] = true
		pct := checkPercent(&found, at+"/rate_pct", rate.RatePct)
		if (rate.TaxClass == ZeroRated || rate.TaxClass == Exempt) && pct.Sign() != 0 {
			found.add(at+"/rate_pct", rate.RatePct, "the class "+string(rate.TaxClass)+" bears no tax", "give 0, or put the items in another class")
		}
		rates.ratePct[number], rates.known[number] = pct, true
	}
	return rates, found
}

// checkPercent turns a percentage between 0 and 100 into a decimal.
func checkPercent(found *problems, field string, x float64) decimal.Decimal {
	pct, err := Percent(x)
	if err != nil || pct.Sign() < 0 || pct.GreaterThan(hundred) {
		found.add(field, x, "this is not a percentage", "give a number from 0 to 100")
		return decimal.Zero
	}
	return pct
}

// taxLines works out the tax of each class that has lines.
func (b *billBuilder) taxLines(adder *adder, contingency Money, rates taxRates) []TaxLine {
	lines := []TaxLine{}
	if b.total == 0 { // nothing to be taxed, and no proportion to split in
		return lines
	}
	weights := make([]decimal.Decimal, len(taxClasses))
	for number, amount := range b.byClass {
		weights[number] = decimal.NewFromInt(amount)
	}
	shares := adder.split(contingency, weights...)
	for number, class := range taxClasses {
		if !b.classUsed[number] {
			continue
		}
		line := TaxLine{TaxClass: class, RatePct: rates.ratePct[number].InexactFloat64()}
		line.Taxable = adder.sum(ofMinor(b.byClass[number], adder.currency), shares[number])
		line.Tax = adder.percent(line.Taxable, rates.ratePct[number])
		line.TaxRecoverable = adder.split(line.Tax, rates.recoverablePct, hundred.Sub(rates.recoverablePct))[0]
		lines = append(lines, line)
	}
	return lines
}
