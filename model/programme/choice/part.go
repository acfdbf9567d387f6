package choice

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

// parting picks the group to decide next and the choices of it to keep first.
// It is the group of the highest rank that is divided, and of those the one
// divided most evenly; it is cut in two at the mean of its shares. Where no group
// is divided, but a selection of undivided ones was not good enough to end the
// node, a group with more than one open choice is taken. It returns -1 where
// nothing is left to decide.
func (s *search) parting(t *tableau) (group int, kept bits) {
	n := s.n
	group, rank, least := -1, 0, 2.0
	for g, of := range n.Groups {
		if of.Mixed {
			continue
		}
		most := 0.0
		for at := n.first[g]; at < n.first[g+1]; at++ {
			most = max(most, t.share(at))
		}
		if most >= 1-shareWithin {
			continue
		}
		if group < 0 || of.First > rank || of.First == rank && most < least {
			group, rank, least = g, of.First, most
		}
	}
	if group < 0 {
		return s.undecided(t)
	}
	mean := 0.0
	for c := range n.Groups[group].Values {
		mean += float64(c) * t.share(n.first[group]+c)
	}
	low, high := newBits(len(n.value)), newBits(len(n.value))
	lowShare := 0.0
	for c := range n.Groups[group].Values {
		at := n.first[group] + c
		switch {
		case t.shut.has(at):
		case float64(c) <= mean:
			low.set(at)
			lowShare += t.share(at)
		default:
			high.set(at)
		}
	}
	if lowShare < 0.5 {
		low, high = high, low
	}
	if low.empty() || high.empty() { // shares of a tableau that is not optimal
		return s.undecided(t)
	}
	return group, low
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
