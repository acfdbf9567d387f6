package model

import (
	"fmt"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// Basis says whether prices stand still or rise.
type Basis string

// The bases of money.
const (
	Real    Basis = "real"    // prices of the price date throughout; a real discount rate
	Nominal Basis = "nominal" // prices rise with inflation; a nominal discount rate
)

// MoneyTerms are the terms on which the options are costed and compared.
type MoneyTerms struct {
	Currency string `json:"currency"`
	// WorthOfPlayableMonth is what it is worth to the club, January first, that
	// this green is open on its main surface for the whole of that month.
	WorthOfPlayableMonth []costs.Money    `json:"worth_of_playable_month"`
	PriceBook            *costs.PriceBook `json:"price_book,omitempty"`
	PriceLevel           costs.Level      `json:"price_level,omitempty"`
	HorizonYears         *int             `json:"horizon_years,omitempty"`
	Basis                Basis            `json:"basis,omitempty"`
	DiscountRatePct      *float64         `json:"discount_rate_pct,omitempty"`
	InflationPct         *float64         `json:"inflation_pct,omitempty"`
	ContingencyPct       *float64         `json:"contingency_pct,omitempty"`
	TaxRecoverablePct    *float64         `json:"tax_recoverable_pct,omitempty"`
	TaxRates             []costs.TaxRate  `json:"tax_rates,omitempty"`
}

// demoPriceBook is read once; its items are shared by every case that brings no
// price book, and never changed.
var demoPriceBook = costs.DemoPriceBook()

// ukTaxRates are the United Kingdom's rates of value added tax, from memory;
// another currency has no default.
func ukTaxRates() []costs.TaxRate {
	return []costs.TaxRate{{TaxClass: costs.StandardRated, RatePct: 20}, {TaxClass: costs.ReducedRated, RatePct: 5}}
}

// complete writes the defaults into the terms and lists every fault; pointers
// are relative to the terms.
func (m MoneyTerms) complete(set assumption.Set) (MoneyTerms, costs.Currency, fault.List) {
	var faults fault.List
	currency, known := costs.LookupCurrency(m.Currency)
	if !known {
		faults.Add("/currency", m.Currency, "this currency is not known here", "use an ISO 4217 code such as GBP or EUR")
	}
	if m.PriceBook == nil {
		book := demoPriceBook
		m.PriceBook = &book
	}
	if known && m.PriceBook.Currency != m.Currency {
		faults.Add("/price_book/currency", m.PriceBook.Currency,
			fmt.Sprintf("the price book is not in %s, the currency of the case", m.Currency),
			"give a price book in "+m.Currency+"; nothing is converted here")
	}
	faults.Under("", m.checkWorth(currency))
	m.fillTerms(set, &faults)
	return m, currency, faults
}

func (m MoneyTerms) checkWorth(currency costs.Currency) fault.List {
	var faults fault.List
	if len(m.WorthOfPlayableMonth) != 12 {
		faults.Add("/worth_of_playable_month", len(m.WorthOfPlayableMonth), "twelve amounts are wanted", "give one amount a month, January first")
	}
	for i, worth := range m.WorthOfPlayableMonth {
		at := fault.Pointer("worth_of_playable_month", i)
		if worth.Currency() != currency {
			faults.Add(at+"/currency", worth.Currency(), "not the currency of the case", "write it in "+m.Currency)
		}
		if worth.Sign() < 0 {
			faults.Add(at+"/amount", worth, "an open green cannot be worth less than nothing", "give 0 or more")
		}
	}
	return faults
}

func (m *MoneyTerms) fillTerms(set assumption.Set, faults *fault.List) {
	if m.PriceLevel == "" {
		m.PriceLevel = costs.Likely
	}
	if m.Basis == "" {
		m.Basis = Real
	}
	if m.HorizonYears == nil {
		years := usualHorizonYears(set)
		m.HorizonYears = &years
	}
	if m.InflationPct == nil {
		inflation := 0.0
		if m.Basis == Nominal {
			inflation = set.Likely("inflation_pct")
		}
		m.InflationPct = &inflation
	} else if m.Basis == Real && *m.InflationPct != 0 {
		faults.Add("/inflation_pct", *m.InflationPct, "real money has no inflation", "leave inflation_pct out, or set basis to nominal")
	}
	if m.DiscountRatePct == nil {
		rate := set.Likely("discount_rate_real_pct")
		if m.Basis == Nominal {
			rate = ((1+rate/100)*(1+*m.InflationPct/100) - 1) * 100
		}
		m.DiscountRatePct = &rate
	}
	m.ContingencyPct = orLikely(m.ContingencyPct, set, "contingency_pct")
	m.TaxRecoverablePct = orLikely(m.TaxRecoverablePct, set, "tax_recoverable_pct")
	if m.TaxRates == nil {
		if m.Currency != "GBP" {
			faults.Add("/tax_rates", nil, "no tax rates are known for "+m.Currency, "give the rate of each tax class that the price book uses")
		} else {
			m.TaxRates = ukTaxRates()
		}
	}
}

// orLikely gives the stated value, or the assumption's likely one.
func orLikely(stated *float64, set assumption.Set, name string) *float64 {
	if stated != nil {
		return stated
	}
	value := set.Likely(name)
	return &value
}

// underMoney turns the problems of the money package, whose fields are
// relative to the terms, into faults of the case.
func underMoney(problems []costs.Problem) fault.List {
	var faults fault.List
	for _, p := range problems {
		var value any
		if p.Value != "" {
			value = p.Value
		}
		faults.Add("/money"+p.Field, value, p.Detail, p.Remedy)
	}
	return faults
}
