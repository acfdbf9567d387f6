package costs

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// DecimalAmount is an amount as it is written in a document whose currency
// stands elsewhere: a plain decimal in a string, trailing zeros kept.
type DecimalAmount string

// Decimal reads the amount; see ParseMoney for the form.
func (a DecimalAmount) Decimal() (decimal.Decimal, error) {
	value, _, err := parseAmount(string(a))
	return value, err
}

// Unit is what a rate is for one of.
type Unit string

// The units of a price book.
const (
	Metre       Unit = "m"
	SquareMetre Unit = "m2"
	CubicMetre  Unit = "m3"
	Tonne       Unit = "t"
	Hour        Unit = "h"
	Day         Unit = "day"
	Week        Unit = "week"
	Each        Unit = "each"
	Item        Unit = "item" // a lump sum
	Roll        Unit = "roll"
	Kilogram    Unit = "kg"
	Litre       Unit = "l"
)

func (u Unit) valid() bool {
	switch u {
	case Metre, SquareMetre, CubicMetre, Tonne, Hour, Day, Week, Each, Item, Roll, Kilogram, Litre:
		return true
	}
	return false
}

// TaxClass is how an item is taxed; the rate of a class is in the Terms.
type TaxClass string

// The tax classes, in the order in which a bill lists them. Zero and exempt
// items bear no tax; they are kept apart because a claim for recovery does.
const (
	StandardRated TaxClass = "standard"
	ReducedRated  TaxClass = "reduced"
	ZeroRated     TaxClass = "zero"
	Exempt        TaxClass = "exempt"
)

var taxClasses = []TaxClass{StandardRated, ReducedRated, ZeroRated, Exempt}

// number is the class's place in taxClasses, -1 for an unknown one.
func (c TaxClass) number() int {
	for i, class := range taxClasses {
		if c == class {
			return i
		}
	}
	return -1
}

// Level chooses one of an item's three rates for a whole bill.
type Level string

// The price levels.
const (
	Low    Level = "low"
	Likely Level = "likely"
	High   Level = "high"
)

// PriceBook is a list of rates in one currency at one date.
type PriceBook struct {
	Name      string `json:"name"`
	Currency  string `json:"currency"`   // ISO 4217 code
	PriceDate string `json:"price_date"` // YYYY-MM-DD
	Note      string `json:"note,omitempty"`

	// RegionalIndex and DateIndex multiply every rate and charge of the book.
	RegionalIndex *PriceIndex `json:"regional_index,omitempty"`
	DateIndex     *PriceIndex `json:"date_index,omitempty"`

	Items []PriceItem `json:"items"`
}

// PriceItem is one item of a price book: rates per unit, without tax, for the
// low, likely and high price level.
type PriceItem struct {
	Item        string        `json:"item"` // code: small letters, digits, underscores
	Description string        `json:"description,omitempty"`
	Unit        Unit          `json:"unit"`
	Low         DecimalAmount `json:"low"`
	Likely      DecimalAmount `json:"likely"`
	High        DecimalAmount `json:"high"`
	TaxClass    TaxClass      `json:"tax_class"`
	Source      string        `json:"source,omitempty"`

	// MinimumCharge is the least that a bill charges for the item, whatever the
	// quantity of it; MinimumChargePerVisit the least for each visit of a demand.
	MinimumCharge         DecimalAmount `json:"minimum_charge,omitempty"`
	MinimumChargePerVisit DecimalAmount `json:"minimum_charge_per_visit,omitempty"`
	// QuantityBreaks are the rates of larger quantities, by rising quantity.
	QuantityBreaks []QuantityBreak `json:"quantity_breaks,omitempty"`
}

// Bounds of a price book.
const (
	maxItems      = 500
	maxBookBytes  = 1 << 20
	maxItemLength = 60
	maxTextRunes  = 120
	maxNoteRunes  = 1000
)

//go:embed demo_price_book.json
var demoPriceBook []byte

// DemoPriceBook returns the built-in price book. Every rate in it is invented:
// it is for trying the program out and never for a tender.
func DemoPriceBook() PriceBook {
	book, found := DecodePriceBook(bytes.NewReader(demoPriceBook))
	if len(found) > 0 {
		panic("costs: the built-in price book: " + found[0].Error()) // a test decodes it
	}
	return book
}

// DecodePriceBook reads a price book from JSON, at most 1 MiB of it, and
// validates it. Fields are relative to the price book.
func DecodePriceBook(r io.Reader) (PriceBook, []Problem) {
	var found problems
	text, err := io.ReadAll(io.LimitReader(r, maxBookBytes+1))
	switch {
	case err != nil:
		found.add("", nil, "the price book cannot be read: "+err.Error(), "check the file")
		return PriceBook{}, found
	case len(text) > maxBookBytes:
		found.add("", nil, "the price book is larger than 1 MiB", "keep only the items that a bill can name")
		return PriceBook{}, found
	}
	var book PriceBook
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&book); err != nil {
		field, detail := decodeProblem(err)
		found.add(field, nil, detail, "write the price book as JSON, with each rate as a string such as \"12.50\"")
		return PriceBook{}, found
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		found.add("", nil, "something follows the price book", "keep one JSON object in the file")
		return PriceBook{}, found
	}
	return book, book.Validate()
}

// decodeProblem puts an error of the JSON decoder into plain words.
func decodeProblem(err error) (field, detail string) {
	var wrongType *json.UnmarshalTypeError
	if errors.As(err, &wrongType) {
		return "/" + strings.ReplaceAll(wrongType.Field, ".", "/"), "a " + wrongType.Value + " stands where text or a list is wanted"
	}
	return "", "this is not a price book: " + shorten(err)
}

// Validate lists everything wrong with the price book. Fields are relative to it.
func (b PriceBook) Validate() []Problem {
	var found problems
	checkText(&found, "/name", b.Name, maxTextRunes, true)
	checkText(&found, "/note", b.Note, maxNoteRunes, false)
	if _, err := time.Parse(time.DateOnly, b.PriceDate); err != nil {
		found.add("/price_date", b.PriceDate, "this is not a date of the calendar", "write the date as YYYY-MM-DD")
	}
	currency, known := LookupCurrency(b.Currency)
	if !known {
		found.add("/currency", b.Currency, "this currency is not known here", "use one of "+currencyCodes())
	}
	found.under("", b.indices().validate())
	if len(b.Items) == 0 || len(b.Items) > maxItems {
		found.add("/items", len(b.Items), fmt.Sprintf("a price book has 1 to %d items", maxItems), "give at least one item and drop those no bill names")
		if len(b.Items) > maxItems {
			return found
		}
	}
	first := make(map[string]int, len(b.Items))
	for i, item := range b.Items {
		at := fmt.Sprintf("/items/%d", i)
		found.under(at, item.validate(currency))
		if earlier, twice := first[item.Item]; twice {
			found.add(at+"/item", item.Item, fmt.Sprintf("this item is already priced at /items/%d", earlier), "keep one of the two")
			continue
		}
		first[item.Item] = i
	}
	return found
}

// indices are the book's own.
func (b PriceBook) indices() Indices { return Indices{Regional: b.RegionalIndex, Date: b.DateIndex} }

func checkText(found *problems, field, text string, most int, required bool) {
	switch {
	case text == "" && required:
		found.add(field, nil, "this is missing", "write a line of text")
	case utf8.RuneCountInString(text) > most:
		found.add(field, text, fmt.Sprintf("this is longer than %d characters", most), "shorten it")
	case strings.IndexFunc(text, unseen) >= 0:
		found.add(field, text, "this holds a character that cannot be seen", "take out control characters and marks that turn the direction of writing")
	}
}

// validate lists what is wrong with one item; fields are relative to the item.
func (item PriceItem) validate(currency Currency) []Problem {
	var found problems
	if !isItemCode(item.Item) {
		found.add("/item", item.Item, "this is not an item code", "use small letters, digits and underscores, a letter first, at most 60 of them")
	}
	checkText(&found, "/description", item.Description, maxTextRunes, false)
	checkText(&found, "/source", item.Source, maxNoteRunes, false)
	if !item.Unit.valid() {
		found.add("/unit", string(item.Unit), "this is not a unit of a price book", "use m, m2, m3, t, h, day, week, each, item, roll, kg or l")
	}
	if item.TaxClass.number() < 0 {
		found.add("/tax_class", string(item.TaxClass), "this is not a tax class", "use standard, reduced, zero or exempt")
	}
	checkLevels(&found, "", item.Low, item.Likely, item.High, currency)
	found.under("", item.validateCharges(currency))
	return found
}

// checkLevels reads the three rates below a field and says what is wrong with
// them.
func checkLevels(found *problems, at string, low, likely, high DecimalAmount, currency Currency) {
	least, okLow := checkRate(found, at+"/low", low, currency)
	middle, okLikely := checkRate(found, at+"/likely", likely, currency)
	most, okHigh := checkRate(found, at+"/high", high, currency)
	if okLow && okLikely && least.GreaterThan(middle) {
		found.add(at+"/low", string(low), "the low rate is above the likely rate of "+string(likely), "give low ≤ likely ≤ high")
	}
	if okLikely && okHigh && middle.GreaterThan(most) {
		found.add(at+"/high", string(high), "the high rate is below the likely rate of "+string(likely), "give low ≤ likely ≤ high")
	}
}

// checkRate reads one rate and says what is wrong with it.
func checkRate(found *problems, field string, rate DecimalAmount, currency Currency) (decimal.Decimal, bool) {
	value, places, err := parseAmount(string(rate))
	switch {
	case rate == "":
		found.add(field, nil, "the rate is missing", "give the rate per unit as a string such as \"12.50\"")
	case err != nil:
		found.add(field, string(rate), "this is not a plain decimal", "write at most 12 digits before the point and 4 after it, without an exponent")
	case currency.known() && places > currency.Places():
		found.add(field, string(rate), fmt.Sprintf("%s has %d decimal places", currency.Code(), currency.Places()), "round the rate, or price a larger unit")
	case value.Sign() < 0:
		found.add(field, string(rate), "a rate cannot be negative", "give zero or more")
	default:
		return value, true
	}
	return decimal.Decimal{}, false
}

// isItemCode reports whether the text has the form [a-z][a-z0-9_]*, at most 60.
func isItemCode(text string) bool {
	if text == "" || len(text) > maxItemLength || text[0] < 'a' || text[0] > 'z' {
		return false
	}
	return strings.Trim(text, "abcdefghijklmnopqrstuvwxyz0123456789_") == ""
}

// Prices is a price book read at one price level, ready for many bills. It is
// safe for use by several goroutines at once.
type Prices struct {
	book     PriceBook
	currency Currency
	level    Level
	indices  Indices
	byItem   map[string]price
}

// price is one item at one level.
type price struct {
	description string
	unit        Unit
	rate        Money
	taxClass    TaxClass

	minimum, minimumPerVisit Money // nothing where the item has none
	breaks                   []priceBreak
}

// At validates the book and reads it at a price level, with its own indices.
// Fields are relative to the price book, but for a bad level, whose field is
// "/price_level".
func (b PriceBook) At(level Level) (Prices, []Problem) { return b.IndexedAt(level, Indices{}) }

// IndexedAt is At with the indices of a case in the place of the book's. Their
// fields are relative to the money terms of the case, beside "/price_level".
func (b PriceBook) IndexedAt(level Level, own Indices) (Prices, []Problem) {
	found := problems(b.Validate())
	if level != Low && level != Likely && level != High {
		found.add("/price_level", string(level), "this is not a price level", "use low, likely or high")
	}
	found.under("", own.validate())
	if len(found) > 0 {
		return Prices{}, found
	}
	currency, _ := LookupCurrency(b.Currency)
	prices := Prices{book: b, currency: currency, level: level, indices: own.over(b), byItem: make(map[string]price, len(b.Items))}
	index, err := prices.indices.product()
	if err != nil {
		found.add("", nil, err.Error(), "give a multiplier from 0.1 to 10")
		return Prices{}, found
	}
	for i, item := range b.Items {
		read, err := item.price(level, currency, index)
		if err != nil {
			found.add(fmt.Sprintf("/items/%d/%s", i, level), string(item.at(level)), err.Error(), "round the rate to the currency's places, and look at the indices")
			continue
		}
		prices.byItem[item.Item] = read
	}
	if len(found) > 0 {
		return Prices{}, found
	}
	return prices, nil
}

// at returns the rate of one level as written.
func (item PriceItem) at(level Level) DecimalAmount {
	switch level {
	case Low:
		return item.Low
	case High:
		return item.High
	default:
		return item.Likely
	}
}

// Currency returns the currency of every rate.
func (p Prices) Currency() Currency { return p.currency }

// Level returns the price level at which the book was read.
func (p Prices) Level() Level { return p.level }

// Rate returns the rate and unit of an item; ok is false where the book does
// not price it.
func (p Prices) Rate(item string) (rate Money, unit Unit, ok bool) {
	found, ok := p.byItem[item]
	return found.rate, found.unit, ok
}

// RateFor returns the rate at which a bill prices that much of an item in all,
// quantity breaks and indices included.
func (p Prices) RateFor(item string, quantity float64) (rate Money, unit Unit, ok bool) {
	found, ok := p.byItem[item]
	count, _, err := thousandths(quantity)
	if !ok || err != nil {
		return Money{}, "", false
	}
	return found.rateFor(count), found.unit, true
}
