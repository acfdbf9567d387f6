package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// PriceIndex brings every rate and charge of a price book to another region or
// another date: each is multiplied once. The reason is for whoever has to defend
// the multiplier, and is printed on the bill.
type PriceIndex struct {
	Multiplier float64 `json:"multiplier"` // 0.1 to 10, rounded to 4 places
	Reason     string  `json:"reason"`
}

// Indices are the multipliers for region and date. A price book may have its
// own; one that a case gives stands in place of the book's of the same kind, so
// that a case never has to know by what the book's rates were raised already.
type Indices struct {
	Regional *PriceIndex
	Date     *PriceIndex
}

// IndexKind says what a multiplier allows for.
type IndexKind string

// The kinds of index.
const (
	RegionalIndex IndexKind = "regional"
	DateIndex     IndexKind = "date"
)

// BillIndex is a multiplier that the rates of a bill already contain.
type BillIndex struct {
	Kind       IndexKind `json:"kind"`
	Multiplier float64   `json:"multiplier"`
	Reason     string    `json:"reason"`
}

// indexScalePlaces are the places of a multiplier.
const indexScalePlaces = 4

// validate lists what is wrong with the indices; fields are "/regional_index"
// and "/date_index", as the price book and the money terms of a case name them.
func (x Indices) validate() []Problem {
	var found problems
	for _, index := range x.given() {
		at := "/" + string(index.Kind) + "_index"
		if !(index.Multiplier >= 0.1 && index.Multiplier <= 10) {
			found.add(at+"/multiplier", index.Multiplier, "this is no multiplier of prices", "give a number from 0.1 to 10, where 1 changes nothing")
		}
		checkText(&found, at+"/reason", index.Reason, maxNoteRunes, true)
	}
	return found
}

// given lists the indices that there are, the regional one first.
func (x Indices) given() []BillIndex {
	var list []BillIndex
	if x.Regional != nil {
		list = append(list, BillIndex{RegionalIndex, x.Regional.Multiplier, x.Regional.Reason})
	}
	if x.Date != nil {
		list = append(list, BillIndex{DateIndex, x.Date.Multiplier, x.Date.Reason})
	}
	return list
}

// over puts these indices in the place of the book's.
func (x Indices) over(book PriceBook) Indices {
	if x.Regional == nil {
		x.Regional = book.RegionalIndex
	}
	if x.Date == nil {
		x.Date = book.DateIndex
	}
	return x
}

// product is what every rate is multiplied by. The indices must be valid.
func (x Indices) product() (decimal.Decimal, error) {
	product := decimal.NewFromInt(1)
	for _, index := range x.given() {
		multiplier, err := toDecimal(index.Multiplier, 10, indexScalePlaces)
		if err != nil {
			return decimal.Decimal{}, fmt.Errorf("%s index: %w", index.Kind, err)
		}
		product = product.Mul(multiplier)
	}
	return product, nil
}
