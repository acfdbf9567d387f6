package choice

// bits is a set of choices, by number.
type bits []uint64

func newBits(n int) bits { return make(bits, (n+63)/64) }

func (b bits) has(i int) bool { return b[i>>6]&(1<<(i&63)) != 0 }

func (b bits) set(i int) { b[i>>6] |= 1 << (i & 63) }

func (b bits) add(other bits) {
	for i := range b {
		b[i] |= other[i]
	}
}

func (b bits) empty() bool {
	for _, word := range b {
		if word != 0 {
			return false
		}
	}
	return true
}
