package workbook

import (
	"fmt"
	"slices"

	"swardcase/costs"
	"swardcase/model"
)

// termsSheet has the terms of money that several sheets share, and the discount
// factor of every year.
type termsSheet struct {
	*sheet
	contingency, recoverable place
	taxRates                 map[costs.TaxClass]place
	added                    [2][]place // preliminaries and fees
	rate                     string     // the one discount rate; empty where it changes with the years
	factors                  []string   // by year
	values                   []float64  // of the factors
}

// place is where a figure stands, as other sheets name it. class is the tax class
// of an addition that has one of its own.
type place struct {
	ref   string
	class costs.TaxClass
}

func newTermsSheet(a model.Appraisal) (*termsSheet, error) {
	t := &termsSheet{sheet: newSheet("Terms", 50, 16, 16, 60), taxRates: map[costs.TaxClass]place{}}
	t.landscape = false
	m := *a.Case.Money
	t.title("Terms", "What has a yellow ground may be changed: bills and cash flows follow.")
	t.heading("Term", ">Value", "", "Note")
	t.freeze()
	t.add(text("Currency"), text(m.Currency))
	t.add(text("Price level"), text(string(m.PriceLevel)), cell{}, wrapped("all rates at this point of their range: see the sheet Rates"))
	t.add(text("Basis"), text(string(m.Basis)), cell{}, wrapped("real: prices of the price date throughout; nominal: prices rise with inflation"))
	t.add(text("Horizon"), number(float64(*m.HorizonYears), general), text("years"))
	t.contingency = t.percentage("Contingency", *m.ContingencyPct, "on the works and what is added to them", "")
	t.recoverable = t.percentage("Tax that the club recovers", *m.TaxRecoverablePct, "of all tax", "")
	for _, rate := range taxRatesOf(m) {
		t.taxRates[rate.TaxClass] = t.percentage("Tax, "+string(rate.TaxClass), rate.RatePct, "", "")
	}
	for i, list := range [][]costs.Addition{m.Preliminaries, m.ProfessionalFees} {
		note := []string{"preliminaries, on the lines of a bill", "professional fees, on lines and preliminaries"}[i]
		for _, added := range list {
			t.added[i] = append(t.added[i], t.percentage(capitalised(added.Name), added.Pct, note, added.TaxClass))
		}
	}
	return t, t.discounting(m)
}

// taxRatesOf are the rates of all four classes; those that bear no tax need not be
// in the terms.
func taxRatesOf(m model.MoneyTerms) []costs.TaxRate {
	rates := slices.Clone(m.TaxRates)
	for _, class := range []costs.TaxClass{costs.StandardRated, costs.ReducedRated, costs.ZeroRated, costs.Exempt} {
		if !slices.ContainsFunc(m.TaxRates, func(rate costs.TaxRate) bool { return rate.TaxClass == class }) {
			rates = append(rates, costs.TaxRate{TaxClass: class})
		}
	}
	return rates
}

func (t *termsSheet) percentage(words string, pct float64, note string, class costs.TaxClass) place {
	row := t.add(wrapped(words), number(pct, percent).given(), cell{}, wrapped(note))
	return place{t.from(1, row), class}
}

func (t *termsSheet) taxRate(class costs.TaxClass) string { return t.taxRates[class].ref }

func (t *termsSheet) preliminaries(i int) place { return t.added[0][i] }

func (t *termsSheet) fees(i int) place { return t.added[1][i] }

// discounting writes the rate of each year and the factor that follows: a year is
// discounted at its end, and year 0 not at all.
func (t *termsSheet) discounting(m model.MoneyTerms) error {
	years := *m.HorizonYears
	bands := m.DiscountBands
	if m.DiscountRatePct != nil {
		bands = []costs.DiscountBand{{FromYear: 1, RatePct: *m.DiscountRatePct}}
	}
	schedule, bad := costs.DecliningDiscounting(bands, years)
	if len(bad) > 0 {
		return fmt.Errorf("workbook: the discounting of a resolved case: %w", bad[0])
	}
	t.add()
	t.heading("Discounting: year", ">Rate a year", ">Factor", "Factor = that of the year before ÷ (1 + rate)")
	for year := 0; year <= years; year++ {
		exact, err := schedule.Factor(year)
		if err != nil {
			return err
		}
		row := t.next()
		rate, value := cell{}, number(exact.InexactFloat64(), factor)
		if year > 0 {
			rate = t.rateOf(bands, year, row)
			value = value.by("C%d/(1+B%d/100)", row-1, row)
		}
		t.add(number(float64(year), general), rate, value)
		t.factors, t.values = append(t.factors, t.from(2, row)), append(t.values, exact.InexactFloat64())
	}
	if len(bands) == 1 {
		t.rate = t.from(1, len(t.rows)-years+1)
	}
	return nil
}

// rateOf is the rate of a year: given where a band begins, else that of the year
// before.
func (t *termsSheet) rateOf(bands []costs.DiscountBand, year, row int) cell {
	rate := cell{}
	for _, band := range bands {
		switch {
		case band.FromYear == year:
			rate = number(band.RatePct, percent).given()
		case band.FromYear < year:
			rate = number(band.RatePct, percent).by("B%d", row-1)
		}
	}
	return rate
}
