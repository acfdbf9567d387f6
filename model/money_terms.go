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
	// this green is open on its main surface for the whole of that month. It is
	// given outright, or follows from the accounts.
	WorthOfPlayableMonth []costs.Money    `json:"worth_of_playable_month,omitempty"`
	Accounts             *Accounts        `json:"accounts,omitempty"`
	PriceBook            *costs.PriceBook `json:"price_book,omitempty"`
	PriceLevel           costs.Level      `json:"price_level,omitempty"`
	HorizonYears         *int             `json:"horizon_years,omitempty"`
	Basis                Basis            `json:"basis,omitempty"`
	DiscountRatePct      *float64         `json:"discount_rate_pct,omitempty"`
	InflationPct         *float64         `json:"inflation_pct,omitempty"`
	ContingencyPct       *float64         `json:"contingency_pct,omitempty"`
	TaxRecoverablePct    *float64         `json:"tax_recoverable_pct,omitempty"`
	TaxRates             []costs.TaxRate  `json:"tax_rates,omitempty"`
	// RegionalIndex and DateIndex multiply every rate, in place of the book's own.
	RegionalIndex *costs.PriceIndex `json:"regional_index,omitempty"`
	DateIndex     *costs.PriceIndex `json:"date_index,omitempty"`
	// Preliminaries and ProfessionalFees are percentages that a bill of works adds
	// before contingency.
	Preliminaries    []costs.Addition  `json:"preliminaries,omitempty"`
	ProfessionalFees []costs.Addition  `json:"professional_fees,omitempty"`
	TaxRounding      costs.TaxRounding `json:"tax_rounding,omitempty"`
	// PaymentStages is how the works are paid, by month; all before the first month
	// where it is left out.
	PaymentStages []costs.Stage `json:"payment_stages,omitempty"`
	// InflationByClass takes the place of InflationPct.
	InflationByClass *costs.InflationByClass `json:"inflation_by_class,omitempty"`
	// DiscountBands take the place of DiscountRatePct.
	DiscountBands []costs.DiscountBand `json:"discount_bands,omitempty"`
	// ResidualValue says whether works that outlast the horizon count as worth
	// something at its end.
	ResidualValue ResidualRule     `json:"residual_value,omitempty"`
	Loan          *costs.LoanTerms `json:"loan,omitempty"`
}

// ResidualRule says how works that outlast the horizon are accounted for.
type ResidualRule string

// The rules.
const (
	// NoResidual charges renewals for the part of their life within the horizon, and
	// gives the first works no worth at its end.
	NoResidual ResidualRule = "none"
	// StraightLine charges renewals in full, and counts the unexpired part of the
	// last works as worth its share of their cost.
	StraightLine ResidualRule = "straight_line"
)

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
func (m MoneyTerms) complete(set assumption.Set, temporaryGreen bool) (MoneyTerms, costs.Currency, fault.List) {
	var faults fault.List
	currency, known := costs.LookupCurrency(m.Currency)
	if !known {
		faults.Add("/currency", m.Currency, "this currency is not known here", "use an ISO 4217 code such as GBP or EUR")
	}
	faults.Under("", m.completePriceBook(known))
	m.completeWorth(set, currency, temporaryGreen, &faults)
	m.checkFull(&faults)
	m.fillTerms(set, &faults)
	return m, currency, faults
}

// completePriceBook writes in the built-in price book where the case brings none,
// and lists what is wrong with the case's own. Nothing is converted, so that the
// built-in one serves its own currency only.
func (m *MoneyTerms) completePriceBook(currencyKnown bool) fault.List {
	var faults fault.List
	remedy := fmt.Sprintf("give a price book in %s; `swardcase prices --format json` prints the built-in one, whose rates are invented, as a template to fill in; nothing is converted here", m.Currency)
	if m.PriceBook == nil {
		book := demoPriceBook
		m.PriceBook = &book
		if currencyKnown && book.Currency != m.Currency {
			faults.Add("/price_book", nil, fmt.Sprintf("the built-in price book is in %s and not in %s, the currency of the case", book.Currency, m.Currency), remedy)
		}
		return faults
	}
	faults.Under("/price_book", AsFaults(m.PriceBook.Validate()))
	if currencyKnown && m.PriceBook.Currency != m.Currency {
		faults.Add("/price_book/currency", m.PriceBook.Currency, fmt.Sprintf("the price book is not in %s, the currency of the case", m.Currency), remedy)
	}
	return faults
}

// stagesWithin are the stages of payment of works; all at once where there are
// none, or where the last lies beyond so many months.
func (m MoneyTerms) stagesWithin(months int) []costs.Stage {
	if n := len(m.PaymentStages); n > 0 && m.PaymentStages[n-1].MonthsAfterStart <= months {
		return m.PaymentStages
	}
	return []costs.Stage{{MonthsAfterStart: 0, SharePct: 100}}
}

// checkFull judges what only some terms have, as far as the costs package does
// not judge it when it is used.
func (m *MoneyTerms) checkFull(faults *fault.List) {
	if m.ResidualValue == "" {
		m.ResidualValue = NoResidual
	}
	if m.ResidualValue != NoResidual && m.ResidualValue != StraightLine {
		faults.Add("/residual_value", m.ResidualValue, "this is not a rule", "write none or straight_line")
	}
	if m.PaymentStages != nil {
		faults.Under("", AsFaults(below("/payment_stages", costs.CheckStages(m.PaymentStages))))
	}
	if n := len(m.PaymentStages); n > 0 && m.HorizonYears != nil && m.PaymentStages[n-1].MonthsAfterStart > 12**m.HorizonYears {
		faults.Add(fmt.Sprintf("/payment_stages/%d/months_after_start", n-1), m.PaymentStages[n-1].MonthsAfterStart, "this lies beyond the horizon", "pay the works within the horizon")
	}
	if m.DiscountBands != nil && m.DiscountRatePct != nil {
		faults.Add("/discount_rate_pct", *m.DiscountRatePct, "there is a rate and a schedule of rates", "keep discount_bands or this")
	}
	if m.InflationByClass != nil && m.InflationPct != nil && *m.InflationPct != 0 {
		faults.Add("/inflation_pct", *m.InflationPct, "there is one inflation and one for each class", "keep inflation_by_class or this")
	}
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
	general := 0.0 // inflation of prices at large
	if m.Basis == Nominal {
		general = set.Likely("inflation_pct")
	}
	if m.InflationPct == nil {
		inflation := general
		if m.InflationByClass != nil {
			inflation = 0 // the classes have their own
		}
		m.InflationPct = &inflation
	} else if m.Basis == Real && *m.InflationPct != 0 {
		faults.Add("/inflation_pct", *m.InflationPct, "real money has no inflation", "leave inflation_pct out, or set basis to nominal")
	}
	if m.DiscountRatePct == nil && m.DiscountBands == nil {
		rate := set.Likely("discount_rate_real_pct")
		if m.Basis == Nominal {
			if m.InflationByClass == nil {
				general = *m.InflationPct
			}
			rate = ((1+rate/100)*(1+general/100) - 1) * 100
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
