package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// Terms are the percentages that a bill adds to its lines. Preliminaries are
// taken on the lines, professional fees on lines and preliminaries, contingency
// on all of these: the order of an order-of-cost estimate in RICS, New Rules of
// Measurement 1, 2nd edition, part 2 (from memory).
type Terms struct {
	Preliminaries     []Addition  // site set-up, supervision, insurance and the like
	ProfessionalFees  []Addition  // design, supervision on the club's behalf
	ContingencyPct    float64     // 0 to 100
	TaxRates          []TaxRate   // one for each class in use; zero and exempt need none
	TaxRecoverablePct float64     // share of the tax that the club gets back, 0 to 100
	TaxRounding       TaxRounding // empty: ByClassTotal
}

// TaxRate is the rate of one tax class, in per cent.
type TaxRate struct {
	TaxClass TaxClass `json:"tax_class"`
	RatePct  float64  `json:"rate_pct"`
}

// TaxLine is the tax of one class. Taxable is the class's lines plus its shares
// of what is added to them; tax = taxable × rate, rounded as the bill's rule
// says. The recoverable part
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
	preliminaries  []addition
	fees           []addition
	rounding       taxRule
	contingencyPct decimal.Decimal
	recoverablePct decimal.Decimal
	ratePct        [4]decimal.Decimal
	known          [4]bool
}

var (
	one     = decimal.NewFromInt(1)
	hundred = decimal.NewFromInt(100)
)

// resolve checks the terms and turns them into decimals. Fields are relative to
// the money terms of a case.
func (t Terms) resolve() (taxRates, []Problem) {
	var found problems
	var rates taxRates
	rates.preliminaries = resolveAdditions(&found, "/preliminaries", t.Preliminaries)
	rates.fees = resolveAdditions(&found, "/professional_fees", t.ProfessionalFees)
	rates.rounding = t.TaxRounding.rule(&found)
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
