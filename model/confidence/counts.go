package confidence

// counts are numbers of draws.
type counts struct {
	none, tied int
	best       []int // by option
	meetsAll   []int // by option
	meets      []int // by option, then by requirement
}

func newCounts(options, requirements int) counts {
	return counts{best: make([]int, options), meetsAll: make([]int, options), meets: make([]int, options*requirements)}
}

// count adds one draw.
func (c *counts) count(choose *chooser, out []float64) {
	option, tied := choose.best(out)
	if option < 0 {
		c.none++
	} else {
		c.best[option]++
	}
	if tied {
		c.tied++
	}
	for o := range c.meetsAll {
		all := true
		for r := range choose.limits {
			if choose.meets(o, r, out) {
				c.meets[o*len(choose.limits)+r]++
			} else {
				all = false
			}
		}
		if all {
			c.meetsAll[o]++
		}
	}
}

func (c *counts) add(other counts) {
	c.none += other.none
	c.tied += other.tied
	for _, pair := range [][2][]int{{c.best, other.best}, {c.meetsAll, other.meetsAll}, {c.meets, other.meets}} {
		for i, n := range pair[1] {
			pair[0][i] += n
		}
	}
}
