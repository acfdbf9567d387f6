package costs

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// Demand is a quantity of one item that the works need. The unit is that of
// the price book's item; a Demand that states its own must agree with it, so
// that cubic metres are never priced as tonnes.
type Demand struct {
	Section     string  // heading of the bill under which the line stands
	Item        string  // code in the price book
	Description string  // empty: the price book's
	Quantity    float64 // zero or more, at most 1e9; rounded to 3 places
	Unit        Unit    // empty: not stated
	Visits      int     // in how many visits, at most 1000; 0 counts as one
	Working     string  // how the quantity was reached, in words and numbers
}

// Bill is the cost of the works, line by line. Every line is rounded once, half
// away from zero; every total is the sum of rounded figures:
//
//	net_total = subtotal + preliminaries + professional fees + contingency
//	capital   = net_total + tax − tax_recoverable
type Bill struct {
	PriceBook  string   `json:"price_book"`
	PriceDate  string   `json:"price_date"`
	PriceLevel Level    `json:"price_level"`
	Currency   Currency `json:"currency"`
	// Indices are the multipliers that the rates already contain.
	Indices []BillIndex `json:"indices,omitempty"`

	Sections []BillSection `json:"sections"`
	Subtotal Money         `json:"subtotal"`
	// Preliminaries, ProfessionalFees: see Terms for what each is a percentage of.
	Preliminaries    []BillAddition `json:"preliminaries,omitempty"`
	ProfessionalFees []BillAddition `json:"professional_fees,omitempty"`
	ContingencyPct   float64        `json:"contingency_pct"`
	Contingency      Money          `json:"contingency"`
	// ContingencyShares are given where the tax rounding rule works by the line.
	ContingencyShares []ClassShare `json:"contingency_shares,omitempty"`
	NetTotal          Money        `json:"net_total"`

	TaxLines          []TaxLine `json:"tax_lines"`
	TaxRounding       string    `json:"tax_rounding"`
	Tax               Money     `json:"tax"`
	TaxRecoverablePct float64   `json:"tax_recoverable_pct"`
	TaxRecoverable    Money     `json:"tax_recoverable"`
	Capital           Money     `json:"capital"`
}

// BillSection is a heading of the bill with its lines.
type BillSection struct {
	Section  string     `json:"section"`
	Lines    []BillLine `json:"lines"`
	Subtotal Money      `json:"subtotal"`
}

// BillLine is one priced quantity: amount = quantity × rate, rounded once.
type BillLine struct {
	Item        string   `json:"item"`
	Description string   `json:"description"`
	Quantity    float64  `json:"quantity"`
	Unit        Unit     `json:"unit"`
	Rate        Money    `json:"rate"`
	Amount      Money    `json:"amount"`
	TaxClass    TaxClass `json:"tax_class"`
	Working     string   `json:"working,omitempty"`
	// MinimumCharge marks a line that makes up the difference to a minimum charge.
	MinimumCharge bool `json:"minimum_charge,omitempty"`
	// Tax is given where the tax rounding rule works by the line.
	Tax DecimalAmount `json:"tax,omitempty"`
}

// MakeBill prices the demands. Lines stand in the order of the demands and
// sections in the order in which they first appear; a demand whose quantity
// rounds to zero is left out. Preliminaries, professional fees and contingency
// are percentages, each rounded once; each is shared among the tax classes in
// proportion to what it is a percentage of by the largest remainder (see
// Money.Split) and taxed with them.
//
// Everything wrong is listed at once: fields are relative to the money terms of
// a case, whose price book stands at "/price_book"; a bad demand is at
// "/demands" and its place in the list.
func MakeBill(prices Prices, demands []Demand, terms Terms) (Bill, []Problem) {
	rates, problemsOfTerms := terms.resolve()
	found := problems(problemsOfTerms)
	builder := billBuilder{prices: prices, missing: map[string]bool{}, orders: prices.orders(demands)}
	for i, demand := range demands {
		builder.add(&found, i, demand)
	}
	builder.chargeMinimums(&found, demands)
	builder.useClassesOf(rates)
	for number, used := range builder.classUsed {
		if used && !rates.known[number] {
			found.add("/tax_rates", nil, fmt.Sprintf("no rate is given for the tax class %q, which the bill needs", taxClasses[number]), "give the rate of every class that the price book uses")
		}
	}
	if len(found) > 0 {
		return Bill{}, found
	}
	bill, err := builder.bill(rates)
	if err != nil {
		found.add("", nil, "the bill comes to more than an amount can hold", "look for a quantity or a rate with too many digits")
		return Bill{}, found
	}
	return bill, nil
}

// billBuilder gathers lines into sections and adds up their amounts, in minor
// units, by section, by tax class and in all. The total is kept within what an
// amount can hold, and with it every part of it.
type billBuilder struct {
	prices    Prices
	sections  []BillSection
	subtotals []int64 // of the sections
	byClass   [4]int64
	classUsed [4]bool
	total     int64
	missing   map[string]bool // items already reported
	orders    map[string]*itemOrder
}

// add prices one demand, or says what is wrong with it.
func (b *billBuilder) add(found *problems, i int, demand Demand) {
	fault := func(member string, value any, detail, remedy string) {
		found.add(fmt.Sprintf("/demands/%d/%s", i, member), value, detail, remedy)
	}
	quantity, shown, err := thousandths(demand.Quantity)
	if err != nil || quantity < 0 {
		fault("quantity", demand.Quantity, "the quantity of "+demand.Item+" is negative or no sensible number", "give zero or more, at most 1e9")
		return
	}
	if quantity == 0 {
		return
	}
	priced, ok := b.prices.byItem[demand.Item]
	if !ok {
		b.miss(found, demand)
		return
	}
	if demand.Unit != "" && demand.Unit != priced.unit {
		fault("unit", string(demand.Unit), "the price book prices "+demand.Item+" by the "+string(priced.unit), "price the item by the "+string(demand.Unit))
		return
	}
	if demand.Visits < 0 || demand.Visits > maxVisits {
		fault("visits", demand.Visits, "this is not a number of visits", fmt.Sprintf("give 0 to %d", maxVisits))
		return
	}
	currency := b.prices.currency
	rate, order := priced.rate, b.orders[demand.Item]
	if order != nil {
		rate = priced.rateFor(order.quantity)
	}
	amount, ok := roundedProduct(rate.minor(), quantity, quantityPlaces)
	if !ok || !within(amount, currency) || !within(b.total+amount, currency) {
		fault("quantity", demand.Quantity, "with "+demand.Item+" the bill has more than 12 digits", "check the quantity and the rate")
		return
	}
	description := demand.Description
	if description == "" {
		description = priced.description
	}
	b.record(demand.Section, amount, BillLine{
		Item: demand.Item, Description: description, Quantity: shown, Unit: priced.unit,
		Rate: rate, Amount: ofMinor(amount, currency), TaxClass: priced.taxClass, Working: demand.Working,
	})
	b.chargeVisits(i, found, demand, priced, amount)
}

// miss reports an item that the book does not price, once.
func (b *billBuilder) miss(found *problems, demand Demand) {
	if b.missing[demand.Item] {
		return
	}
	b.missing[demand.Item] = true
	remedy := "add " + demand.Item
	if demand.Unit != "" {
		remedy += ", priced per " + string(demand.Unit)
	}
	found.add("/price_book/items", demand.Item, "the price book does not price this item, which is needed for "+strings.ReplaceAll(demand.Section, "_", " "), remedy)
}

// record writes a line and adds its amount wherever it counts.
func (b *billBuilder) record(sectionName string, amount int64, line BillLine) {
	number := line.TaxClass.number()
	b.byClass[number] += amount
	b.classUsed[number] = true
	b.total += amount
	if order := b.orders[line.Item]; order != nil {
		order.charged += amount
		order.section = sectionName
	}
	section, subtotal := b.section(sectionName)
	section.Lines = append(section.Lines, line)
	*subtotal += amount
}

// section finds or opens a section, and its running subtotal.
func (b *billBuilder) section(name string) (section *BillSection, subtotal *int64) {
	for i := range b.sections {
		if b.sections[i].Section == name {
			return &b.sections[i], &b.subtotals[i]
		}
	}
	b.sections = append(b.sections, BillSection{Section: name, Lines: make([]BillLine, 0, 8)})
	b.subtotals = append(b.subtotals, 0)
	at := len(b.sections) - 1
	return &b.sections[at], &b.subtotals[at]
}

// bill totals the sections and works out contingency and tax.
func (b *billBuilder) bill(rates taxRates) (Bill, error) {
	currency := b.prices.currency
	bill := Bill{
		PriceBook: b.prices.book.Name, PriceDate: b.prices.book.PriceDate, PriceLevel: b.prices.level, Currency: currency,
		Indices: b.prices.indices.given(), Sections: b.sections, TaxRounding: rates.rounding.text, TaxLines: []TaxLine{},
		ContingencyPct: rates.contingencyPct.InexactFloat64(), TaxRecoverablePct: rates.recoverablePct.InexactFloat64(),
	}
	if len(bill.Sections) == 0 {
		bill.Sections = []BillSection{}
	}
	adder := adder{currency: currency}
	bill.Subtotal = Zero(currency)
	for i, subtotal := range b.subtotals {
		bill.Sections[i].Subtotal = ofMinor(subtotal, currency)
		bill.Subtotal = adder.sum(bill.Subtotal, bill.Sections[i].Subtotal)
	}
	shares := b.additions(&adder, &bill, rates)
	bill.Tax, bill.TaxRecoverable = Zero(currency), Zero(currency)
	if adder.err == nil {
		bill.TaxLines = b.taxLines(&adder, &bill, shares, rates)
	}
	for _, line := range bill.TaxLines {
		bill.Tax = adder.sum(bill.Tax, line.Tax)
		bill.TaxRecoverable = adder.sum(bill.TaxRecoverable, line.TaxRecoverable)
	}
	bill.Capital = adder.sum(bill.NetTotal, bill.Tax, bill.TaxRecoverable.Neg())
	return bill, adder.err
}

// adder does arithmetic in one currency and keeps the first error, so that a
// column of sums reads as one. After an error its results mean nothing.
type adder struct {
	currency Currency
	err      error
}

func (a *adder) keep(m Money, err error) Money {
	if err != nil {
		a.err = err
		return Zero(a.currency)
	}
	return m
}

func (a *adder) sum(amounts ...Money) Money { return a.keep(Sum(a.currency, amounts...)) }

// percent takes a percentage of an amount, rounded once.
func (a *adder) percent(of Money, pct decimal.Decimal) Money {
	return a.keep(of.Mul(pct.Shift(-2)))
}

// split divides an amount in proportion to the weights.
func (a *adder) split(whole Money, weights ...decimal.Decimal) []Money {
	parts, err := whole.Split(weights)
	if err != nil {
		a.err = err
		return slices.Repeat([]Money{Zero(a.currency)}, len(weights))
	}
	return parts
}
