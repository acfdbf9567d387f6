package costs

import (
	"errors"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
)

// Split divides an amount in proportion to the weights so that the parts add
// up to it exactly, by the method of the largest remainder: every part is first
// rounded towards zero to a whole minor unit, then the minor units left over go
// one each to the parts that lost the largest fraction. Among equal fractions
// the first in the list is served first. A negative amount is divided as its
// opposite and the sign put back.
//
// The weights must be at least one, none negative, and not all zero.
func (m Money) Split(weights []decimal.Decimal) ([]Money, error) {
	total, err := sumOfWeights(weights)
	if err != nil {
		return nil, err
	}
	whole := decimal.NewFromInt(m.minor()).Abs()
	left := whole.IntPart()
	parts := make([]int64, len(weights))
	remainders := make([]decimal.Decimal, len(weights))
	for i, weight := range weights {
		// The quotient has no places and is exact with its remainder, so the
		// remainders compare as the fractions do.
		quotient, remainder := whole.Mul(weight).QuoRem(total, 0)
		parts[i], remainders[i] = quotient.IntPart(), remainder
		left -= parts[i]
	}
	for _, i := range byRemainder(remainders)[:left] {
		parts[i]++
	}
	out := make([]Money, len(parts))
	for i, part := range parts {
		if m.Sign() < 0 {
			part = -part
		}
		out[i] = ofMinor(part, m.currency)
	}
	return out, nil
}

// sumOfWeights checks the weights and adds them.
func sumOfWeights(weights []decimal.Decimal) (decimal.Decimal, error) {
	total := decimal.Zero
	for i, weight := range weights {
		if weight.Sign() < 0 || tooWide(weight) {
			return decimal.Decimal{}, fmt.Errorf("costs: weight %d of a split is negative or too large", i)
		}
		total = total.Add(weight)
	}
	if total.Sign() == 0 {
		return decimal.Decimal{}, errors.New("costs: a split needs at least one weight above zero")
	}
	return total, nil
}

// byRemainder orders the indices by falling remainder, the earlier first among
// equals.
func byRemainder(remainders []decimal.Decimal) []int {
	order := make([]int, len(remainders))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return remainders[b].Cmp(remainders[a]) })
	return order
}
