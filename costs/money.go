// Package costs does the money: amounts, the price book, the bill, the cash
// flow and the measures that are read from it. It knows nothing of turf.
//
// Amounts are decimals from the price book to the last total. A line is rounded
// once, half away from zero, to the minor unit of its currency; totals are sums
// of rounded lines; where a rounded total has to be divided, the parts come
// from the largest remainder, so that they add up to it again.
package costs

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// integerDigits is the most digits an amount may have before the point. With
// the four places of the finest currency an amount has at most 16 digits and so
// fits an int64 of minor units, on which the cash flow relies.
const integerDigits = 12

// exponentLimit is the largest exponent, up or down, that the decimal library
// may read. Rates of a discount schedule carry some twenty places; nothing here
// needs more, and a short text such as 1e9999 must not cost megabytes.
const exponentLimit = 40

// The guard is a setting of the whole decimal library, hence of the process:
// this package is the only one that reads decimals from outside.
func init() { decimal.MaxDecodeExponent = exponentLimit }

// Errors of arithmetic on amounts.
var (
	// ErrMixedCurrencies is returned when two amounts in different currencies
	// meet: there is no rate of exchange here.
	ErrMixedCurrencies = errors.New("costs: amounts in different currencies")
	// ErrTooLarge is returned when a result has more than 12 digits before
	// the point, or an operand could not be multiplied in reasonable space.
	ErrTooLarge = errors.New("costs: amount of more than 12 digits before the point")
)

// Money is an amount in one currency, always held at the currency's own number
// of places and never beyond 12 digits before the point. It is a value and
// never changes. The zero value is no money at all (it has no currency, and
// cannot be written); use Zero for nothing in some currency.
type Money struct {
	amount   decimal.Decimal // exponent is always -currency.Places()
	currency Currency
}

// NewMoney rounds an amount half away from zero to the currency's places.
func NewMoney(amount decimal.Decimal, currency Currency) (Money, error) {
	if !currency.known() {
		return Money{}, errors.New("costs: an amount needs a currency")
	}
	if tooWide(amount) {
		return Money{}, ErrTooLarge
	}
	return fixed(amount.Round(currency.Places()), currency)
}

// Limits on the decimals that arithmetic takes from a caller: some 600 digits,
// 400 of them after the point. Nothing the package makes is near either.
const (
	bitLimit   = 2000
	placeLimit = 400
)

// tooWide reports whether a decimal has so large an exponent or so many digits
// that arithmetic on it would be slow.
func tooWide(d decimal.Decimal) bool {
	exponent := d.Exponent()
	return exponent > exponentLimit || exponent < -placeLimit || d.Coefficient().BitLen() > bitLimit
}

// fixed sets the scale of an amount that is already rounded.
func fixed(amount decimal.Decimal, currency Currency) (Money, error) {
	// Shifting up to whole minor units and down again leaves the exponent at
	// exactly -places, which String and minor units rely on.
	minor := amount.Shift(currency.Places()).BigInt()
	if !minor.IsInt64() || !within(minor.Int64(), currency) {
		return Money{}, ErrTooLarge
	}
	return ofMinor(minor.Int64(), currency), nil
}

// minorLimit is the first number of minor units that is too large.
func minorLimit(currency Currency) int64 { return powersOfTen[integerDigits+currency.Places()] }

func within(minor int64, currency Currency) bool {
	limit := minorLimit(currency)
	return -limit < minor && minor < limit
}

// ofMinor makes an amount from minor units known to be within the limit.
func ofMinor(minor int64, currency Currency) Money {
	return Money{amount: decimal.New(minor, -currency.Places()), currency: currency}
}

// minor returns the amount in minor units, exactly.
func (m Money) minor() int64 { return m.amount.CoefficientInt64() }

// Zero is nothing, in the given currency.
func Zero(currency Currency) Money { return ofMinor(0, currency) }

// ParseMoney reads a plain decimal such as "12345.60": no exponent, no sign but
// a minus, no needless leading zero, and no more places than the currency has.
func ParseMoney(amount string, currency Currency) (Money, error) {
	if !currency.known() {
		return Money{}, errors.New("costs: an amount needs a currency")
	}
	value, places, err := parseAmount(amount)
	if err != nil {
		return Money{}, err
	}
	if places > currency.Places() {
		return Money{}, fmt.Errorf("costs: %q has %d decimal places; %s has %d", amount, places, currency, currency.Places())
	}
	return fixed(value, currency)
}

// parseAmount checks the text against the form of an amount before the decimal
// library sees it, since reading a very long string of digits takes seconds.
func parseAmount(text string) (value decimal.Decimal, places int32, err error) {
	if !isAmount(text) {
		return decimal.Decimal{}, 0, fmt.Errorf("costs: %q is not a plain decimal of at most %d digits before the point and 4 after it", shorten(text), integerDigits)
	}
	value, err = decimal.NewFromString(text)
	if err != nil {
		return decimal.Decimal{}, 0, fmt.Errorf("costs: read amount: %w", err)
	}
	return value, -value.Exponent(), nil
}

// isAmount reports whether the text has the form of the contract's amounts:
// -?(0|[1-9][0-9]{0,11})(\.[0-9]{1,4})?
func isAmount(text string) bool {
	whole, fraction, point := strings.Cut(strings.TrimPrefix(text, "-"), ".")
	if len(whole) == 0 || len(whole) > integerDigits || !allDigits(whole) {
		return false
	}
	if whole[0] == '0' && len(whole) > 1 {
		return false
	}
	return !point || (len(fraction) >= 1 && len(fraction) <= 4 && allDigits(fraction))
}

func allDigits(text string) bool {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return false
		}
	}
	return true
}

// Amount returns the amount as a decimal.
func (m Money) Amount() decimal.Decimal { return m.amount }

// Currency returns the currency.
func (m Money) Currency() Currency { return m.currency }

// Sign is -1, 0 or +1.
func (m Money) Sign() int { return m.amount.Sign() }

// IsZero reports whether the amount is nothing. It is also true of the zero value.
func (m Money) IsZero() bool { return m.amount.IsZero() }

// Equal reports whether two amounts and their currencies are the same.
func (m Money) Equal(other Money) bool {
	return m.currency == other.currency && m.amount.Equal(other.amount)
}

// Cmp compares two amounts of one currency: -1, 0 or +1.
func (m Money) Cmp(other Money) (int, error) {
	if m.currency != other.currency {
		return 0, ErrMixedCurrencies
	}
	return m.amount.Cmp(other.amount), nil
}

// Neg returns the amount with the other sign.
func (m Money) Neg() Money { return Money{amount: m.amount.Neg(), currency: m.currency} }

// Add returns the sum of two amounts of one currency.
func (m Money) Add(other Money) (Money, error) {
	if m.currency != other.currency {
		return Money{}, ErrMixedCurrencies
	}
	sum := m.minor() + other.minor() // each within 10^16: no overflow
	if !within(sum, m.currency) {
		return Money{}, ErrTooLarge
	}
	return ofMinor(sum, m.currency), nil
}

// Sub returns the difference of two amounts of one currency.
func (m Money) Sub(other Money) (Money, error) { return m.Add(other.Neg()) }

// Mul multiplies by a number and rounds once, half away from zero, to the
// currency's places.
func (m Money) Mul(factor decimal.Decimal) (Money, error) {
	if tooWide(factor) {
		return Money{}, ErrTooLarge
	}
	return NewMoney(m.amount.Mul(factor), m.currency)
}

// ErrDivideByZero is returned for a division by nothing.
var ErrDivideByZero = errors.New("costs: amount divided by zero")

// Div divides by a number, as a cost by the months it buys, and rounds once,
// half away from zero, to the currency's places.
func (m Money) Div(by decimal.Decimal) (Money, error) {
	switch {
	case by.Sign() == 0:
		return Money{}, ErrDivideByZero
	case tooWide(by):
		return Money{}, ErrTooLarge
	}
	return NewMoney(m.amount.DivRound(by, m.currency.Places()), m.currency)
}

// Sum adds amounts that must all be in the given currency.
func Sum(currency Currency, amounts ...Money) (Money, error) {
	total := Zero(currency)
	for _, amount := range amounts {
		var err error
		if total, err = total.Add(amount); err != nil {
			return Money{}, err
		}
	}
	return total, nil
}

// DecimalText is the amount alone with all the places of its currency, such as
// 1250.00: for tables and columns that name the currency elsewhere.
func (m Money) DecimalText() string {
	digits := strconv.FormatInt(m.minor(), 10)
	places := int(m.currency.Places())
	if places == 0 {
		return digits
	}
	sign := ""
	if digits[0] == '-' {
		sign, digits = "-", digits[1:]
	}
	if short := places + 1 - len(digits); short > 0 {
		digits = strings.Repeat("0", short) + digits
	}
	return sign + digits[:len(digits)-places] + "." + digits[len(digits)-places:]
}

// String writes the amount and its currency, for logs and tests: "12345.60 GBP".
func (m Money) String() string { return m.DecimalText() + " " + m.currency.Code() }

// Format writes the amount for people, with thousands separated by commas and
// the sign of the currency where it has one of its own: "£12,345.60",
// "-€5.00", "USD 1,000.00".
func (m Money) Format() string {
	text, negative := strings.CutPrefix(m.DecimalText(), "-")
	whole, fraction, point := strings.Cut(text, ".")
	var b strings.Builder
	if negative {
		b.WriteByte('-')
	}
	b.WriteString(m.currency.Mark())
	for i := range len(whole) {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteByte(whole[i])
	}
	if point {
		b.WriteString("." + fraction)
	}
	return b.String()
}

// MarshalJSON writes {"amount":"12345.60","currency":"GBP"}, trailing zeros
// kept. The zero value has no currency and is an error.
func (m Money) MarshalJSON() ([]byte, error) {
	if !m.currency.known() {
		return nil, errors.New("costs: an amount without a currency cannot be written")
	}
	text := make([]byte, 0, 48)
	text = append(text, `{"amount":"`...)
	text = append(text, m.DecimalText()...)
	text = append(text, `","currency":"`...)
	text = append(text, m.currency.Code()...)
	return append(text, `"}`...), nil
}

// UnmarshalJSON reads exactly what MarshalJSON writes, spaces and the order of
// the members apart. It refuses null, a JSON number, an exponent, a member it
// does not know, and more digits or places than an amount may have.
func (m *Money) UnmarshalJSON(text []byte) error {
	var wire map[string]*string // a map, since the names of a struct's fields match in any case
	if err := json.Unmarshal(text, &wire); err != nil {
		return fmt.Errorf(`costs: money is written {"amount":"12345.60","currency":"GBP"}: %w`, err)
	}
	amount, code := wire["amount"], wire["currency"]
	if amount == nil || code == nil || len(wire) != 2 {
		return errors.New(`costs: money has an amount and a currency and nothing else, as in {"amount":"12345.60","currency":"GBP"}`)
	}
	currency, ok := LookupCurrency(*code)
	if !ok {
		return fmt.Errorf("costs: %q is not a currency known here", shorten(*code))
	}
	read, err := ParseMoney(*amount, currency)
	if err != nil {
		return err
	}
	*m = read
	return nil
}
