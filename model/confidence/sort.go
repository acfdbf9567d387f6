package confidence

import (
	"math"
	"slices"
)

// radixBits is how many bits one pass of the sort looks at.
const radixBits = 11

// sortFloats sorts numbers, none of them NaN, with scratch of the same length. It
// goes by digits of the bits, lowest first, and takes a third of the time of a
// sort by comparison (BenchmarkSort): sorting is most of what a summary costs.
// Few numbers are left to the standard library.
func sortFloats(values, scratch []float64) {
	if len(values) < 1<<radixBits {
		slices.Sort(values)
		return
	}
	from, to := values, scratch[:len(values)]
	for shift := 0; shift < 64; shift += radixBits {
		if radixPass(from, to, shift) {
			from, to = to, from
		}
	}
	if &from[0] != &values[0] {
		copy(values, from)
	}
}

// radixPass puts numbers in the order of one digit, keeping the order of equals.
// It is false, and does nothing, where all have the same digit.
func radixPass(from, to []float64, shift int) bool {
	var starts [1 << radixBits]int32
	for _, x := range from {
		starts[digit(x, shift)]++
	}
	if int(starts[digit(from[0], shift)]) == len(from) {
		return false
	}
	var total int32
	for i, count := range starts {
		starts[i] = total
		total += count
	}
	for _, x := range from {
		d := digit(x, shift)
		to[starts[d]] = x
		starts[d]++
	}
	return true
}

// digit is part of a number's bits, turned so that whole numbers made of them
// stand in the order of the floats: all bits of a negative number, and the sign of
// a positive one.
func digit(x float64, shift int) uint64 {
	bits := math.Float64bits(x)
	bits ^= uint64(int64(bits)>>63) | 1<<63
	return bits >> shift & (1<<radixBits - 1)
}
