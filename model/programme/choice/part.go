package choice

import (
	"cmp"
	"slices"
)

// shareWithin is how near to nought or one a share must be to count as it.
const shareWithin = 1e-7

// joinBroken joins the lines that the shares break to the tableau and reports
// whether there were any.
func (s *search) joinBroken(t *tableau) bool {
	n := s.n
	sums := make([]float64, len(n.lines))
	for i, v := range t.basic {
		if v < len(n.value) && t.level[i] != 0 {
			for _, term := range n.using[v] {
				sums[term.at] += float64(term.amount) * t.level[i]
			}
		}
	}
	var broken []int
	for line, sum := range sums {
		if !t.isJoined(line) && (sum-float64(n.lines[line].limit))/float64(n.lines[line].size) > 1e-7 {
			broken = append(broken, line)
		}
	}
	if len(broken) == 0 && n.More != nil {
		for _, row := range n.More(s.shares(t)) {
			if n.checkRow(&row) == nil {
				broken = append(broken, n.addLine(row))
			}
		}
	}
	for _, line := range broken {
		t.join(line)
	}
	return len(broken) > 0
}

func (t *tableau) isJoined(line int) bool { return line < len(t.joined) && t.joined[line] }

// shares are the shares of a tableau by group and choice.
func (s *search) shares(t *tableau) [][]float64 {
	out := make([][]float64, len(s.n.Groups))
	for g, group := range s.n.Groups {
		out[g] = make([]float64, len(group.Values))
		for c := range out[g] {
			out[g][c] = t.share(s.n.first[g] + c)
		}
	}
	return out
}

// Bounds on the trial of ways to part a node.
const (
	tried       = 4  // ways of each rank
	trialPivots = 12 // of either half
	// leastLowered is the share of what is to be gained below which a half counts
	// for nothing: where all ways do, the highest rank decides.
	leastLowered = 0.02
)

// way is a group to part a node by, and the half to keep first.
type way struct {
	group      int
	kept, rest bits
	most       float64 // the largest share: the less, the more evenly it is divided
	low        float64 // the share of the lower half
	keepsLow   bool
	rank       int
}

// parting picks the group to decide next and the choices of it to keep first. A
// group is cut in two at the mean of its shares. Of the groups that are divided
// the most evenly, in each rank, both halves are tried for some pivots, and the
// one whose halves lower the bound the most is taken: strong branching
// (Applegate, Bixby, Chvatal and Cook 1995). Where no group is divided, but a
// selection of undivided ones was not good enough to end the node, a group with
// more than one open choice is taken. It returns -1 where nothing is left to
// decide.
func (s *search) parting(t *tableau) (group int, kept bits) {
	ways := s.ways(t)
	if len(ways) == 0 {
		return s.undecided(t)
	}
	if len(ways) == 1 { // nothing to choose between: no trial
		return ways[0].group, ways[0].kept
	}
	best, score := 0, -1.0
	for i := range ways {
		if now := s.promise(t, &ways[i]); now > score*(1+1e-9) {
			best, score = i, now
		}
	}
	return ways[best].group, ways[best].kept
}

// trusted is how often parting by a group is tried before its mean is trusted.
const trusted = 4

// record is what the halves of a group lowered the bound by when they were
// tried: first the half with the lower choices.
type record struct {
	lowered [2]float64 // in all
	trials  float64
}

// promise is how much parting by a way promises: the product of what its halves
// lower the bound by. A group that has been tried often is not tried again: its
// mean stands in (Achterberg, Koch and Martin 2005, Operations Research Letters
// 33, 42-54).
func (s *search) promise(t *tableau, w *way) float64 {
	r := &s.records[w.group]
	if r.trials >= trusted {
		share := 4 * w.low * (1 - w.low) // the less evenly it is divided, the less it moves
		return share * share * r.lowered[0] * r.lowered[1] / (r.trials * r.trials)
	}
	low, high := s.lowered(t, w.rest), s.lowered(t, w.kept) // what is left when the other is shut
	if !w.keepsLow {
		low, high = high, low
	}
	r.lowered[0] += low
	r.lowered[1] += high
	r.trials++
	return low * high
}

// lowered is by how much the bound falls, so far as a few pivots show, when the
// choices are shut that are not kept.
func (s *search) lowered(t *tableau, shut bits) float64 {
	trial := t.clone()
	trial.shutAll(shut)
	how, _ := trial.optimiseWithin(trialPivots)
	s.pivots += trial.pivots
	spare := t.objective - float64(max(s.known, s.least))/float64(s.n.most)
	least := max(leastLowered*spare, 1e-9)
	if how == infeasible {
		return max(spare, least)
	}
	return max(least, min(spare, t.objective-trial.objective))
}

// ways lists the divided groups that are worth trying.
func (s *search) ways(t *tableau) []way {
	n := s.n
	var all []way
	for g, of := range n.Groups {
		if of.Mixed {
			continue
		}
		most := 0.0
		for at := n.first[g]; at < n.first[g+1]; at++ {
			most = max(most, t.share(at))
		}
		if most < 1-shareWithin {
			all = append(all, way{group: g, most: most, rank: of.First})
		}
	}
	slices.SortStableFunc(all, func(a, b way) int { return cmp.Or(cmp.Compare(b.rank, a.rank), cmp.Compare(a.most, b.most)) })
	var out []way
	taken := 0
	for i := range all {
		if i > 0 && all[i].rank != all[i-1].rank {
			taken = 0
		}
		if taken++; taken <= tried && s.cut(t, &all[i]) {
			out = append(out, all[i])
		}
	}
	return out
}

// cut divides the open choices of a group at the mean of its shares, the half
// with more of them first; false where one half would be empty, as with the
// shares of a tableau that is not optimal.
func (s *search) cut(t *tableau, w *way) bool {
	n := s.n
	mean := 0.0
	for c := range n.Groups[w.group].Values {
		mean += float64(c) * t.share(n.first[w.group]+c)
	}
	low, high := newBits(len(n.value)), newBits(len(n.value))
	lowShare := 0.0
	for c := range n.Groups[w.group].Values {
		at := n.first[w.group] + c
		switch {
		case t.shut.has(at):
		case float64(c) <= mean:
			low.set(at)
			lowShare += t.share(at)
		default:
			high.set(at)
		}
	}
	w.kept, w.rest, w.low, w.keepsLow = low, high, lowShare, true
	if lowShare < 0.5 {
		w.kept, w.rest, w.keepsLow = high, low, false
	}
	return !low.empty() && !high.empty()
}

// undecided picks a group with more than one open choice and keeps the one with
// the largest share.
func (s *search) undecided(t *tableau) (group int, kept bits) {
	n := s.n
	for g, of := range n.Groups {
		if of.Mixed {
			continue
		}
		open, used := 0, -1
		for at := n.first[g]; at < n.first[g+1]; at++ {
			if t.shut.has(at) {
				continue
			}
			open++
			if used < 0 || t.share(at) > t.share(used) {
				used = at
			}
		}
		if open > 1 {
			kept = newBits(len(n.value))
			kept.set(used)
			return g, kept
		}
	}
	return -1, nil
}
