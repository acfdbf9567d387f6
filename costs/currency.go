package costs

import (
	"fmt"
	"slices"
	"strings"
)

// Currency is one of the currencies that the package knows, as its place in the
// table below. The zero value is no currency. Currencies compare with ==.
type Currency uint8

// currencyFacts is one row of the table.
type currencyFacts struct {
	code    string
	numeric string
	places  int32
	sign    string
}

// currencies is the ISO 4217 list (codes, numeric codes and minor units as in
// the standard's current list, ISO 4217:2015 table A.1), cut down to what a
// golf club is likely to be run in and to at least two of each number of
// places. The sign is given only where it can mean no other currency. The order
// is by code after the first row, which is no currency; it may change from one
// version to the next, since only codes are ever written.
var currencies = [...]currencyFacts{
	{},
	{code: "AED", numeric: "784", places: 2},
	{code: "AUD", numeric: "036", places: 2},
	{code: "BHD", numeric: "048", places: 3},
	{code: "BRL", numeric: "986", places: 2},
	{code: "CAD", numeric: "124", places: 2},
	{code: "CHF", numeric: "756", places: 2},
	{code: "CLF", numeric: "990", places: 4},
	{code: "CLP", numeric: "152", places: 0},
	{code: "CZK", numeric: "203", places: 2},
	{code: "DKK", numeric: "208", places: 2},
	{code: "EUR", numeric: "978", places: 2, sign: "€"},
	{code: "GBP", numeric: "826", places: 2, sign: "£"},
	{code: "HKD", numeric: "344", places: 2},
	{code: "HUF", numeric: "348", places: 2},
	{code: "INR", numeric: "356", places: 2},
	{code: "IQD", numeric: "368", places: 3},
	{code: "ISK", numeric: "352", places: 0},
	{code: "JOD", numeric: "400", places: 3},
	{code: "JPY", numeric: "392", places: 0},
	{code: "KRW", numeric: "410", places: 0},
	{code: "KWD", numeric: "414", places: 3},
	{code: "MRU", numeric: "929", places: 2},
	{code: "MXN", numeric: "484", places: 2},
	{code: "MYR", numeric: "458", places: 2},
	{code: "NOK", numeric: "578", places: 2},
	{code: "NZD", numeric: "554", places: 2},
	{code: "OMR", numeric: "512", places: 3},
	{code: "PLN", numeric: "985", places: 2},
	{code: "SEK", numeric: "752", places: 2},
	{code: "SGD", numeric: "702", places: 2},
	{code: "THB", numeric: "764", places: 2},
	{code: "TND", numeric: "788", places: 3},
	{code: "USD", numeric: "840", places: 2},
	{code: "UYW", numeric: "927", places: 4},
	{code: "VND", numeric: "704", places: 0},
	{code: "ZAR", numeric: "710", places: 2},
}

// facts looks the currency up; a number that is in no row gives no currency.
func (c Currency) facts() *currencyFacts {
	if int(c) >= len(currencies) {
		c = 0
	}
	return &currencies[c]
}

// known reports whether this is a currency at all.
func (c Currency) known() bool { return c.Code() != "" }

// LookupCurrency finds a currency by its three-letter ISO 4217 code.
func LookupCurrency(code string) (Currency, bool) {
	i, found := slices.BinarySearchFunc(currencies[1:], code, func(row currencyFacts, code string) int {
		return strings.Compare(row.code, code)
	})
	if !found {
		return 0, false
	}
	return Currency(i + 1), true
}

// Currencies lists every currency that the package knows, by code.
func Currencies() []Currency {
	list := make([]Currency, 0, len(currencies)-1)
	for i := range currencies[1:] {
		list = append(list, Currency(i+1))
	}
	return list
}

// currencyCodes is the list that a remedy prints.
func currencyCodes() string {
	var codes []string
	for _, c := range Currencies() {
		codes = append(codes, c.Code())
	}
	return strings.Join(codes, ", ")
}

// Code returns the three-letter ISO 4217 code, empty for the zero value.
func (c Currency) Code() string { return c.facts().code }

// Mark stands before an amount for people: the sign, or the code and a space.
func (c Currency) Mark() string {
	if sign := c.facts().sign; sign != "" {
		return sign
	}
	return c.Code() + " "
}

// Numeric returns the ISO 4217 numeric code, three digits with leading zeros.
func (c Currency) Numeric() string { return c.facts().numeric }

// Places returns the number of decimal places of the minor unit, 0 to 4.
func (c Currency) Places() int32 { return c.facts().places }

// String returns the code.
func (c Currency) String() string { return c.Code() }

// MarshalText writes the code; the zero value is an error.
func (c Currency) MarshalText() ([]byte, error) {
	if !c.known() {
		return nil, fmt.Errorf("costs: no currency to write")
	}
	return []byte(c.Code()), nil
}

// UnmarshalText reads a code and refuses one that is not in the table.
func (c *Currency) UnmarshalText(text []byte) error {
	found, ok := LookupCurrency(string(text))
	if !ok {
		return fmt.Errorf("costs: %q is not a currency known here", shorten(string(text)))
	}
	*c = found
	return nil
}
