package choice

import (
	"cmp"
	"slices"
)

// take keeps a selection where it is allowed and worth more than what is known.
func (s *search) take(picks []int) bool {
	if picks == nil {
		return false
	}
	value, allowed := s.n.judge(picks)
	if !allowed || value <= s.known {
		return false
	}
	s.known, s.picks = value, slices.Clone(picks)
	return true
}

// greedy begins with the choice of each group that takes up least, and then
// makes the exchanges that gain most for what they take up, as long as the
// selection stays allowed. It is nil where the beginning is not allowed.
func (s *search) greedy() []int {
	n := s.n
	load := make([]float64, len(n.value)) // the shares of the limits that a choice takes up
	for at, using := range n.using {
		for _, t := range using {
			if l := n.lines[t.at]; l.limit > 0 {
				load[at] += float64(t.amount) / float64(l.limit)
			} else if t.amount > 0 {
				load[at] += float64(t.amount) / float64(l.size)
			}
		}
	}
	picks := make([]int, len(n.Groups))
	for g, group := range n.Groups {
		if group.Derived || group.Mixed {
			continue
		}
		for c := range group.Values {
			a, b := n.first[g]+c, n.first[g]+picks[g]
			if load[a] < load[b] || load[a] == load[b] && n.value[a] > n.value[b] {
				picks[g] = c
			}
		}
	}
	value, allowed := n.judge(picks)
	if !allowed {
		return nil
	}
	type exchange struct {
		group, choice int
		rate          float64
	}
	var exchanges []exchange
	for g, group := range n.Groups {
		if group.Derived || group.Mixed {
			continue
		}
		from := n.first[g] + picks[g]
		for c := range group.Values {
			at := n.first[g] + c
			if gain := float64(n.value[at] - n.value[from]); gain > 0 {
				exchanges = append(exchanges, exchange{g, c, gain / max(1e-9, load[at]-load[from])})
			}
		}
	}
	slices.SortStableFunc(exchanges, func(a, b exchange) int { return cmp.Compare(b.rate, a.rate) })
	for _, e := range exchanges {
		before := picks[e.group]
		picks[e.group] = e.choice
		if now, allowed := n.judge(picks); allowed && now > value {
			value = now
		} else {
			picks[e.group] = before
		}
	}
	return picks
}

// improve makes single exchanges as long as they gain anything.
func (s *search) improve() {
	if s.picks == nil {
		return
	}
	picks := slices.Clone(s.picks)
	for improved := true; improved; {
		improved = false
		for g, group := range s.n.Groups {
			if group.Derived || group.Mixed {
				continue
			}
			if s.ctx.Err() != nil {
				return
			}
			for c := range group.Values {
				before := picks[g]
				if c == before || s.n.value[s.n.first[g]+c] < s.n.value[s.n.first[g]+before] && s.n.Judge == nil {
					continue
				}
				picks[g] = c
				if s.take(picks) {
					improved = true
				} else {
					picks[g] = before
				}
			}
		}
	}
}

// mostPairs bounds the pairs of exchanges that are looked at in one go.
const mostPairs = 100_000

// improvePairs makes exchanges in two groups at once, among the choices that the
// root has not struck out, the most promising of each group first: what one
// green gives up another can use.
func (s *search) improvePairs() {
	n := s.n
	if s.picks == nil {
		return
	}
	var groups []int
	open := make([][]int, len(n.Groups))
	for g, group := range n.Groups {
		if group.Derived || group.Mixed {
			continue
		}
		for c := range group.Values {
			if !s.root.shut.has(n.first[g] + c) {
				open[g] = append(open[g], c)
			}
		}
		slices.SortStableFunc(open[g], func(a, b int) int {
			return cmp.Compare(s.bounder.left[n.first[g]+b], s.bounder.left[n.first[g]+a])
		})
		open[g] = open[g][:min(len(open[g]), pairChoices)]
		if len(open[g]) > 1 {
			groups = append(groups, g)
		}
	}
	left := mostPairs
	for improved := true; improved && s.ctx.Err() == nil; {
		improved = false
		for i, g := range groups {
			for _, h := range groups[:i] {
				if left -= len(open[g]) * len(open[h]); left < 0 {
					return
				}
				if s.exchangePair(g, h, open) {
					improved = true
				}
			}
		}
	}
}

// pairChoices is how many choices of a group are looked at in pairs.
const pairChoices = 12

func (s *search) exchangePair(g, h int, open [][]int) (improved bool) {
	picks := slices.Clone(s.picks)
	for _, a := range open[g] {
		for _, b := range open[h] {
			picks[g], picks[h] = a, b
			improved = s.take(picks) || improved
		}
	}
	return improved
}

// tryRounded reads a selection off the shares: in each group the choice with
// the largest. It reports whether the shares were undivided, so that the
// selection is the best of its node, and allowed.
func (s *search) tryRounded(t *tableau) bool {
	n := s.n
	picks, whole := make([]int, len(n.Groups)), true
	for g, group := range n.Groups {
		best := -1.0
		for c := range group.Values {
			if share := t.share(n.first[g] + c); share > best && !t.shut.has(n.first[g]+c) {
				picks[g], best = c, share
			}
		}
		if best < 1-shareWithin && !group.Mixed {
			whole = false
		}
	}
	if s.take(picks) {
		s.improve()
	}
	return whole
}
