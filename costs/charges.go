package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// QuantityBreak is the rate of an item from some quantity on. It holds for the
// whole quantity that a bill needs of the item, in all its sections together,
// and not only for the part above the break: so hauliers and quarries quote.
type QuantityBreak struct {
	FromQuantity float64       `json:"from_quantity"` // in the item's unit, above zero; rounded to 3 places
	Low          DecimalAmount `json:"low"`
	Likely       DecimalAmount `json:"likely"`
	High         DecimalAmount `json:"high"`
}

// Bounds of the charges of one item.
const (
	maxBreaks = 10
	maxVisits = 1000
)

// at returns the rate of one level as written.
func (b QuantityBreak) at(level Level) DecimalAmount {
	return PriceItem{Low: b.Low, Likely: b.Likely, High: b.High}.at(level)
}

// validateCharges lists what is wrong with an item's minimum charges and
// quantity breaks; fields are relative to the item.
func (item PriceItem) validateCharges(currency Currency) []Problem {
	var found problems
	if item.MinimumCharge != "" {
		checkRate(&found, "/minimum_charge", item.MinimumCharge, currency)
	}
	if item.MinimumChargePerVisit != "" {
		checkRate(&found, "/minimum_charge_per_visit", item.MinimumChargePerVisit, currency)
	}
	if len(item.QuantityBreaks) > maxBreaks {
		found.add("/quantity_breaks", len(item.QuantityBreaks), fmt.Sprintf("an item has at most %d quantity breaks", maxBreaks), "keep those that a green can reach")
		return found
	}
	before := int64(0)
	for i, quantityBreak := range item.QuantityBreaks {
		at := fmt.Sprintf("/quantity_breaks/%d", i)
		from, _, err := thousandths(quantityBreak.FromQuantity)
		if err != nil || from <= before {
			found.add(at+"/from_quantity", quantityBreak.FromQuantity, "the break does not start above zero and above the one before it", "list the breaks by rising quantity, at most 1e9")
		} else {
			before = from
		}
		checkLevels(&found, at, quantityBreak.Low, quantityBreak.Likely, quantityBreak.High, currency)
	}
	return found
}

// priceBreak is a quantity break at one level.
type priceBreak struct {
	from int64 // thousandths of the unit
	rate Money
}

// rateFor is the rate at which a quantity of the item is priced, in thousandths
// of its unit.
func (p price) rateFor(quantity int64) Money {
	rate := p.rate
	for _, quantityBreak := range p.breaks {
		if quantity >= quantityBreak.from {
			rate = quantityBreak.rate
		}
	}
	return rate
}

// price reads an item of a valid book at one level, every amount multiplied by
// the index and rounded once.
func (item PriceItem) price(level Level, currency Currency, index decimal.Decimal) (price, error) {
	read := price{description: item.Description, unit: item.Unit, taxClass: item.TaxClass}
	var err error
	if read.rate, err = indexed(item.at(level), currency, index); err != nil {
		return price{}, err
	}
	if read.minimum, err = indexed(item.MinimumCharge, currency, index); err != nil {
		return price{}, err
	}
	if read.minimumPerVisit, err = indexed(item.MinimumChargePerVisit, currency, index); err != nil {
		return price{}, err
	}
	for _, quantityBreak := range item.QuantityBreaks {
		rate, err := indexed(quantityBreak.at(level), currency, index)
		if err != nil {
			return price{}, err
		}
		from, _, err := thousandths(quantityBreak.FromQuantity)
		if err != nil {
			return price{}, err
		}
		read.breaks = append(read.breaks, priceBreak{from, rate})
	}
	return read, nil
}

// indexed reads an amount and multiplies it, rounding once; an amount that is
// not there is nothing.
func indexed(amount DecimalAmount, currency Currency, index decimal.Decimal) (Money, error) {
	if amount == "" {
		return Zero(currency), nil
	}
	read, err := ParseMoney(string(amount), currency)
	if err != nil || index.Equal(one) {
		return read, err
	}
	return read.Mul(index)
}

// itemOrder is what one bill orders of an item that has a minimum charge or
// quantity breaks.
type itemOrder struct {
	quantity int64  // thousandths of the unit, over the whole bill
	charged  int64  // minor units, so far
	section  string // of the last line
}

// orders adds up, for every item with charges of its own, what the whole bill
// needs of it.
func (p Prices) orders(demands []Demand) map[string]*itemOrder {
	var orders map[string]*itemOrder
	for _, demand := range demands {
		priced, ok := p.byItem[demand.Item]
		if !ok || (len(priced.breaks) == 0 && priced.minimum.Sign() == 0) {
			continue
		}
		if orders == nil {
			orders = map[string]*itemOrder{}
		}
		order := orders[demand.Item]
		if order == nil {
			order = &itemOrder{}
			orders[demand.Item] = order
		}
		if quantity, _, err := thousandths(demand.Quantity); err == nil && quantity > 0 {
			order.quantity = min(order.quantity+quantity, mostThousandths)
		}
	}
	return orders
}

// mostThousandths is the largest sum of quantities that is kept; no break lies
// beyond it.
const mostThousandths = int64(largestQuantity) * 1000

// chargeVisits raises a line to the minimum charge of its visits, which are
// taken to be alike: visits × minimum, where the line comes to less.
func (b *billBuilder) chargeVisits(i int, found *problems, demand Demand, priced price, amount int64) {
	if priced.minimumPerVisit.Sign() == 0 {
		return
	}
	visits := max(1, demand.Visits)
	least, ok := roundedProduct(priced.minimumPerVisit.minor(), int64(visits), 0)
	if !ok || !within(least, b.prices.currency) {
		found.add(fmt.Sprintf("/demands/%d/visits", i), demand.Visits, "the minimum charge of these visits has more than 12 digits", "check the visits and the charge")
		return
	}
	if least > amount {
		working := fmt.Sprintf("%d × a minimum charge of %s a visit, less %s", visits, priced.minimumPerVisit.Format(), ofMinor(amount, b.prices.currency).Format())
		b.topUp(found, demand.Section, demand.Item, priced, least-amount, working)
	}
}

// chargeMinimums raises each item that has a minimum charge to it, in the order
// in which the demands first name them. Once raised it is not under it any more.
func (b *billBuilder) chargeMinimums(found *problems, demands []Demand) {
	for _, demand := range demands {
		order := b.orders[demand.Item]
		if order == nil {
			continue
		}
		priced := b.prices.byItem[demand.Item]
		if least := priced.minimum.minor(); order.quantity > 0 && least > order.charged {
			working := fmt.Sprintf("minimum charge of %s, less %s", priced.minimum.Format(), ofMinor(order.charged, b.prices.currency).Format())
			b.topUp(found, order.section, demand.Item, priced, least-order.charged, working)
		}
	}
}

// topUp enters a line that makes up the difference to a minimum charge, so that
// quantity × rate is still the amount of every line.
func (b *billBuilder) topUp(found *problems, section, item string, priced price, difference int64, working string) {
	if !within(b.total+difference, b.prices.currency) {
		found.add("/price_book/items", item, "with its minimum charge the bill has more than 12 digits", "check the minimum charge")
		return
	}
	amount := ofMinor(difference, b.prices.currency)
	b.record(section, difference, BillLine{
		Item: item, Description: priced.description + " (to the minimum charge)", Quantity: 1, Unit: Item,
		Rate: amount, Amount: amount, TaxClass: priced.taxClass, Working: working, MinimumCharge: true,
	})
}
