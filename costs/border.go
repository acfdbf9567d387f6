package costs

import (
	"errors"
	"math"
	"slices"

	"github.com/shopspring/decimal"
)

// This file is the border between the model's floating-point quantities and
// money. Nowhere else does a float become a decimal or a price become a float.

// Places to which floats are rounded at the border.
const (
	quantityPlaces = 3 // a litre, a kilogram, a millimetre of pipe
	percentPlaces  = 4
	sharePlaces    = 4 // a ten-thousandth of a month is under five minutes
)

// largestQuantity is the largest quantity that a bill takes, in any unit.
const largestQuantity = 1e9

// ErrNotFinite is returned for a float that is not a number, infinite, or
// beyond what its border takes.
var ErrNotFinite = errors.New("costs: not a finite number within range")

// Quantity turns a measured quantity into a decimal of 3 places, rounded half
// away from zero from the shortest decimal that prints as the float. The range
// is ±1e9.
func Quantity(x float64) (decimal.Decimal, error) {
	return toDecimal(x, largestQuantity, quantityPlaces)
}

// Percent turns a percentage into a decimal of 4 places, rounded half away from
// zero from the shortest decimal that prints as the float. The range is ±1000.
func Percent(x float64) (decimal.Decimal, error) { return toDecimal(x, 1000, percentPlaces) }

// thousandths turns a quantity into whole thousandths, and into the float that
// is nearest to them, which is what a bill shows.
func thousandths(x float64) (count int64, shown float64, err error) {
	quantity, err := Quantity(x)
	if err != nil {
		return 0, 0, err
	}
	count = quantity.Shift(quantityPlaces).IntPart()
	return count, float64(count) / float64(powersOfTen[quantityPlaces]), nil
}

func toDecimal(x, limit float64, places int32) (decimal.Decimal, error) {
	if math.IsNaN(x) || math.Abs(x) > limit {
		return decimal.Decimal{}, ErrNotFinite
	}
	return decimal.NewFromFloat(x).Round(places), nil
}

// shareParts turns a share between 0 and 1 into ten-thousandths.
func shareParts(x float64) (int64, bool) {
	if !(x >= 0 && x <= 1) {
		return 0, false
	}
	return int64(math.Round(x * float64(powersOfTen[sharePlaces]))), true
}

// fraction turns a percentage into the share that it is, for draws.
func fraction(pct decimal.Decimal) float64 { return pct.Shift(-2).InexactFloat64() }

// Float returns the amount as the nearest float, for draws, charts and
// searches: never for a figure that is printed as money.
func (m Money) Float() float64 { return m.amount.InexactFloat64() }

// ThreePoint holds the low, likely and high value of something that is drawn.
type ThreePoint struct {
	Low    float64
	Likely float64
	High   float64
}

// ThreePoint returns the item's three rates as floats, for draws; ok is false
// where one of them is not an amount.
func (item PriceItem) ThreePoint() (point ThreePoint, ok bool) {
	low, errLow := item.Low.Decimal()
	likely, errLikely := item.Likely.Decimal()
	high, errHigh := item.High.Decimal()
	if errors.Join(errLow, errLikely, errHigh) != nil {
		return ThreePoint{}, false
	}
	return ThreePoint{low.InexactFloat64(), likely.InexactFloat64(), high.InexactFloat64()}, true
}

// ThreePoint returns the three rates at which a bill prices that much of an
// item, quantity breaks and indices included, as floats for draws.
func (p Prices) ThreePoint(item string, quantity float64) (point ThreePoint, ok bool) {
	at := slices.IndexFunc(p.book.Items, func(priced PriceItem) bool { return priced.Item == item })
	count, _, err := thousandths(quantity)
	index, errIndex := p.indices.product()
	if at < 0 || err != nil || errIndex != nil {
		return ThreePoint{}, false
	}
	var rates [3]float64
	for i, level := range []Level{Low, Likely, High} {
		read, err := p.book.Items[at].price(level, p.currency, index)
		if err != nil {
			return ThreePoint{}, false
		}
		rates[i] = read.rateFor(count).Float()
	}
	return ThreePoint{rates[0], rates[1], rates[2]}, true
}
