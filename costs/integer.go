package costs

import "math/bits"

// powersOfTen[n] is 10^n; 10^18 is the last that an int64 holds.
var powersOfTen = func() (powers [19]int64) {
	powers[0] = 1
	for i := 1; i < len(powers); i++ {
		powers[i] = powers[i-1] * 10
	}
	return powers
}()

// roundedProduct is minor × coefficient ÷ 10^places, rounded once, half away
// from zero, and exact: the product is formed in 128 bits. It is decimal
// multiplication and rounding for the cash flow, where an appraisal makes tens
// of thousands of them. ok is false where the result does not fit an int64.
//
// Preconditions: coefficient ≥ 0 and 0 ≤ places ≤ 18.
func roundedProduct(minor, coefficient int64, places int) (product int64, ok bool) {
	negative := minor < 0
	magnitude := uint64(minor)
	if negative {
		magnitude = -magnitude
	}
	divisor := uint64(powersOfTen[places])
	high, low := bits.Mul64(magnitude, uint64(coefficient))
	if high >= divisor {
		return 0, false
	}
	quotient, remainder := bits.Div64(high, low, divisor)
	if remainder >= divisor-remainder {
		quotient++
	}
	if quotient > 1<<63-1 {
		return 0, false
	}
	if negative {
		return -int64(quotient), true
	}
	return int64(quotient), true
}
