package choice

import (
	"cmp"
	"math"
	"slices"
)

// A row Σ a x ≤ b of whole numbers says more of whole x than of shares. Divided
// by a whole number d, with b = d q + r and a = d p + s (0 ≤ r, s < d), it gives
//
//	Σ ( (d−r) p + max(0, s−r) ) x ≤ (d−r) q
//
// for every whole x at or above nought: mixed-integer rounding (Nemhauser and
// Wolsey 1990, Mathematical Programming 46, 379-390). Money that is left over in
// a year because no works are that cheap is what it takes away from the bound.

// Bounds on the rounding of rows.
const (
	roundingRounds  = 30
	roundingsPerRow = 3
	leastBreak      = 1e-3 // of a row's size, for a rounding to be worth its place
)

// roundRoot sharpens the linear programme of the root by rounded rows, as long
// as they lower its bound, and takes out again those that do not bind.
func (s *search) roundRoot(top *node) bool {
	for range roundingRounds {
		before := s.root.objective
		rows := s.roundings(s.root)
		if len(rows) == 0 || s.ctx.Err() != nil {
			return true
		}
		for _, row := range rows {
			s.root.join(s.n.addLine(row))
		}
		if !s.settle(s.root, top) {
			return false
		}
		s.root.leaveSlack()
		s.root.rebuild()
		s.root.optimise()
		if before-s.root.objective < 1e-6*math.Abs(before) {
			return true
		}
	}
	return true
}

// roundings are the rounded rows that the shares break the most, for each line
// that binds.
func (s *search) roundings(t *tableau) []Row {
	n := s.n
	var out []Row
	for line := range n.lines {
		if l := &n.lines[line]; !l.rounded && l.limit > 0 && s.binds(t, line) && !s.hasMixed(l) {
			out = append(out, s.roundingsOf(t, l)...)
		}
	}
	return out
}

// binds reports whether a line has joined and nothing of it is left.
func (s *search) binds(t *tableau, line int) bool {
	if !t.isJoined(line) {
		return false
	}
	i := t.row[len(s.n.value)+line]
	return i < 0 || t.level[i] < 1e-6
}

func (s *search) hasMixed(l *line) bool {
	return slices.ContainsFunc(l.terms, func(t term) bool { return s.n.Groups[s.n.group[t.at]].Mixed })
}

// rounding is a rounded row and how far the shares break it.
type rounding struct {
	times, divisor int64
	breaks         float64
}

func (s *search) roundingsOf(t *tableau, l *line) []Row {
	var found []rounding
	tried := map[[2]int64]bool{}
	for _, term := range l.terms {
		share := t.share(term.at)
		if term.amount <= 0 || share < 1e-6 || share > 1-1e-6 {
			continue
		}
		for _, times := range []int64{1, 2, 3, 4, 5, 6, 8} {
			key := [2]int64{times, term.amount}
			if tried[key] || l.size > largest/(8*times) {
				continue
			}
			tried[key] = true
			r := rounding{times: times, divisor: term.amount}
			if r.breaks = r.broken(t, l); r.breaks > leastBreak {
				found = append(found, r)
			}
		}
	}
	slices.SortStableFunc(found, func(a, b rounding) int { return cmp.Compare(b.breaks, a.breaks) })
	var rows []Row
	for _, r := range found[:min(len(found), roundingsPerRow)] {
		rows = append(rows, r.row(s.n, l))
	}
	return rows
}

// parts divides a number, times the row's multiple, by the divisor: the quotient
// and what is left, which is not below nought.
func (r rounding) parts(x int64) (quotient, left int64) {
	x *= r.times
	quotient, left = x/r.divisor, x%r.divisor
	if left < 0 {
		quotient, left = quotient-1, left+r.divisor
	}
	return quotient, left
}

func (r rounding) amount(x, limitLeft int64) float64 {
	quotient, left := r.parts(x)
	return float64(quotient) + float64(max(0, left-limitLeft))/float64(r.divisor-limitLeft)
}

// broken is by how much the shares exceed the rounded row, against the size of
// its amounts; nothing where it could not be held in whole numbers.
func (r rounding) broken(t *tableau, l *line) float64 {
	quotient, limitLeft := r.parts(l.limit)
	if limitLeft == 0 {
		return 0
	}
	sum, norm := 0.0, 0.0
	for _, term := range l.terms {
		if share := t.share(term.at); share > 0 {
			amount := r.amount(term.amount, limitLeft)
			sum += amount * share
			norm += amount * amount
		}
	}
	if scale := float64(r.divisor - limitLeft); (math.Abs(float64(quotient))+float64(l.size/r.divisor+1)*float64(r.times)+1)*scale > largest {
		return 0
	}
	return (sum - float64(quotient)) / math.Sqrt(norm+1)
}

// row is the rounded row in whole numbers.
func (r rounding) row(n *numbered, l *line) Row {
	quotient, limitLeft := r.parts(l.limit)
	scale := r.divisor - limitLeft
	row := Row{Limit: scale * quotient, rounded: true}
	for _, term := range l.terms {
		q, left := r.parts(term.amount)
		if amount := scale*q + max(0, left-limitLeft); amount != 0 {
			g := n.group[term.at]
			row.Entries = append(row.Entries, Entry{Group: g, Choice: term.at - n.first[g], Amount: amount})
		}
	}
	return row
}
