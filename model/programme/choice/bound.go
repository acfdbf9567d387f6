package choice

import (
	"math"
	"slices"
)

// price is what one unit of a line is worth.
type price struct {
	line int
	each float64
}

// bounder works out Lagrangian bounds in whole numbers. Prices are rounded to
// whole multiples of a unit, 2^-shift; any prices at or above nought give a
// bound, so that the rounding costs nothing but a hair of its height.
type bounder struct {
	n     *numbered
	left  []int64 // of each choice: its value less what it uses, in units
	best  []int64 // of each group, of the choices that are open
	shift int
	total int64 // the bound, in units
}

func newBounder(n *numbered) *bounder {
	return &bounder{n: n, left: make([]int64, len(n.value)), best: make([]int64, len(n.Groups))}
}

// bound is what no selection of open choices exceeds; ok is false where the
// numbers are too large to be sure, or a group has no open choice (whole is then
// the least there is).
func (b *bounder) bound(prices []price, shut bits) (whole int64, ok bool) {
	n := b.n
	size := float64(n.most) * float64(len(n.Groups)+1)
	for _, p := range prices {
		size += p.each * float64(n.lines[p.line].size) * float64(len(n.Groups)+1)
	}
	if !(size < 1<<60) {
		return math.MaxInt64, false
	}
	b.shift = min(30, 61-int(math.Ceil(math.Log2(size+1))))
	unit := math.Ldexp(1, b.shift)
	for at, v := range n.value {
		b.left[at] = v << b.shift
	}
	b.total = 0
	for _, p := range prices {
		each := int64(math.Round(p.each * unit))
		if each <= 0 {
			continue
		}
		l := &n.lines[p.line]
		b.total += each * l.limit
		for _, t := range l.terms {
			b.left[t.at] -= each * t.amount
		}
	}
	for g := range n.Groups {
		best := int64(math.MinInt64)
		for at := n.first[g]; at < n.first[g+1]; at++ {
			if b.left[at] > best && !shut.has(at) {
				best = b.left[at]
			}
		}
		if best == math.MinInt64 {
			return math.MinInt64, true
		}
		b.best[g] = best
		b.total += best
	}
	return b.total >> b.shift, true
}

// hopeless lists the open choices with which no selection is worth more than
// what is known already.
func (b *bounder) hopeless(known int64, shut bits) (found bits) {
	spare := b.total - (known+1)<<b.shift // a selection worth more loses no more than this
	for at, left := range b.left {
		if b.best[b.n.group[at]]-left > spare && !shut.has(at) && !b.n.Groups[b.n.group[at]].Mixed {
			if found == nil {
				found = newBits(len(b.left))
			}
			found.set(at)
		}
	}
	return found
}

// emptied bounds a node whose linear programme has no solution: prices that
// grow in one direction until the bound falls to what is known.
func (b *bounder) emptied(prices, direction []price, known int64, shut bits) bool {
	for _, times := range []float64{1, 16, 256, 4096, 1 << 16, 1 << 20} {
		if whole, ok := b.bound(merged(prices, direction, times), shut); ok && whole <= known {
			return true
		}
	}
	return false
}

func merged(prices, direction []price, times float64) []price {
	out := slices.Clone(prices)
	for _, d := range direction {
		at := slices.IndexFunc(out, func(p price) bool { return p.line == d.line })
		if at < 0 {
			out = append(out, price{d.line, d.each * times})
		} else {
			out[at].each += d.each * times
		}
	}
	return out
}
