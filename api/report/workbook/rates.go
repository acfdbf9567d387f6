package workbook

import (
	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model"
)

// ratesSheet has the rate of every item that a bill names, once: bills take it
// from here.
type ratesSheet struct {
	*sheet
	items map[string]costs.PriceItem
	at    map[rateOf]string
}

// rateOf tells rates of one item apart that a quantity break has made differ.
type rateOf struct{ item, rate string }

func newRatesSheet(a model.Appraisal) *ratesSheet {
	r := &ratesSheet{sheet: newSheet("Rates", 44, 30, 9, 12, 12, 12, 15, 11, 50), items: map[string]costs.PriceItem{}, at: map[rateOf]string{}}
	book := a.Case.Money.PriceBook
	for _, item := range book.Items {
		r.items[item.Item] = item
	}
	below := "The rate used is that of the price level, with the indices of the terms and the break of the quantity that was bought. Change it here, and every bill follows."
	if a.PriceStamp != "" {
		below = a.PriceStamp + " " + below
	}
	r.title("Rates: "+book.Name+", prices of "+book.PriceDate, below)
	r.heading("Item", "Code", "Unit", ">Low", ">Likely", ">High", ">Rate used", "Tax class", "Source")
	r.freeze()
	return r
}

// cell is the rate of a line. A line that makes up the difference to a minimum
// charge has a rate of its own.
func (r *ratesSheet) cell(line costs.BillLine) cell {
	if line.MinimumCharge {
		return amount(line.Rate).given()
	}
	key := rateOf{line.Item, line.Rate.String()}
	ref, known := r.at[key]
	if !known {
		item := r.items[line.Item]
		row := r.add(wrapped(item.Description), text(line.Item), text(string(line.Unit)),
			r.level(item.Low), r.level(item.Likely), r.level(item.High), amount(line.Rate).given(), text(string(line.TaxClass)), wrapped(item.Source))
		r.grow(row, 0, item.Description)
		r.grow(row, 8, item.Source)
		ref = r.from(6, row)
		r.at[key] = ref
	}
	return amount(line.Rate).by("%s", ref)
}

// level is one point of the book's own rate.
func (r *ratesSheet) level(text costs.DecimalAmount) cell {
	value, err := decimal.NewFromString(string(text))
	if err != nil {
		return cell{} // an item that the book does not have
	}
	return cell{value: value.InexactFloat64(), look: look{form: money}}
}
