// Package choice solves problems in which one choice is made in each of many
// groups, so that limits on sums are kept and the value is greatest:
//
//	maximise   Σ v(g,c) x(g,c)
//	so that    Σ_c x(g,c) = 1            for each group g
//	           Σ a(i,g,c) x(g,c) ≤ b(i)  for each row i
//	           x(g,c) is 0 or 1
//
// Everything is a whole number, so that a proof of optimality is exact.
//
// The method is branch and bound. The bound of a node is the linear programme
// in which x may be any share, solved by the dual simplex method; rows join it
// only once they are broken. The bound that prunes is not the simplex method's,
// whose arithmetic is rounded, but the Lagrangian bound at its prices,
//
//	L(y) = Σ_i y(i) b(i) + Σ_g max_c ( v(g,c) − Σ_i y(i) a(i,g,c) ),   y ≥ 0,
//
// worked out in whole numbers: it holds for any prices, however they were come
// by (Fisher 1981, Management Science 27, 1-18). A choice that lies so far below
// the best of its group that taking it would bring the bound down to the best
// selection known is struck out. Nodes are taken up by their bound, the highest
// first, and each is followed down to its end. Nothing is drawn at random and no
// clock is read: the same problem gives the same answer.
package choice

import (
	"errors"
	"fmt"
)

// Problem is what is to be solved.
type Problem struct {
	Groups []Group
	// Rows are kept by every selection that Judge accepts.
	Rows []Row
	// More, where it is given, names further rows that the shares break, of which
	// there are too many to list. Shares are by group and choice.
	More func(shares [][]float64) []Row
	// Judge, where it is given, is what a selection is truly worth, and whether it
	// is allowed. It reads no group that is Derived. A selection that it accepts
	// is worth no more than the groups' values add up to when the derived groups
	// are chosen for the best within the rows. Without it the rows and values are
	// the whole truth.
	Judge func(picks []int) (value int64, allowed bool)
	// Start is a selection to begin from, if there is one at hand.
	Start []int
}

// Group is a group of which one choice is taken. Its choices should stand in an
// order in which neighbours are alike: the search cuts it in two.
type Group struct {
	Values []int64
	// Derived groups follow from the others: Judge works them out.
	Derived bool
	// Mixed groups are derived, and take any mixture of their choices.
	Mixed bool
	// First is how early the search decides the group: the highest first.
	First int
}

// Entry is the amount of a row that one choice takes up.
type Entry struct {
	Group, Choice int
	Amount        int64
}

// Row is a limit on a sum.
type Row struct {
	Entries []Entry
	Limit   int64

	rounded bool // made of another row by rounding
}

// Limits bound the search.
type Limits struct {
	// Nodes is how many nodes are looked at, at the most; 0 for no limit.
	Nodes int
	// Tell, where it is given, is told after each node how far the search has come.
	// It changes nothing of the answer, and should be quick.
	Tell func(Progress)
}

// Progress is how far a search has come.
type Progress struct {
	Nodes int
	// Found says whether a selection is known, which Value is then worth.
	Found bool
	Value int64
	// Bounded says whether anything has been proven, which Bound then is.
	Bounded bool
	Bound   int64
}

// Result is the best selection found and what is known of how good it is.
type Result struct {
	// Picks is the choice of each group; nil where no selection was found. Picks of
	// derived groups have no meaning where the problem has a Judge.
	Picks []int
	Value int64
	// Bound is proven: no selection is worth more. Equal to Value where the search
	// came to its end.
	Bound int64
	// Proven is true where the search came to its end: Picks is the best, or there
	// is none.
	Proven bool
	// Stopped is true where the context ended the search.
	Stopped bool
	Nodes   int
	Pivots  int
	// Rows is how many rows bind the linear programme of the root.
	Rows int
}

// largest is what no value, amount or limit may exceed in size, so that sums of
// products with a price stay within bounds that can be checked in floats.
const largest = 1 << 52

// ErrTooLarge is returned for numbers beyond the reach of exact arithmetic.
var ErrTooLarge = errors.New("choice: a number of the problem is too large")

// check says whether the problem can be worked on.
func (p *Problem) check() error {
	for i, g := range p.Groups {
		if len(g.Values) == 0 {
			return fmt.Errorf("choice: group %d has no choice", i)
		}
		for _, v := range g.Values {
			if v > largest || v < -largest {
				return ErrTooLarge
			}
		}
	}
	for i := range p.Rows {
		if err := p.checkRow(&p.Rows[i]); err != nil {
			return err
		}
	}
	if p.Start != nil && len(p.Start) != len(p.Groups) {
		return errors.New("choice: the selection to start from has another number of groups")
	}
	return nil
}

func (p *Problem) checkRow(r *Row) error {
	if r.Limit > largest || r.Limit < -largest {
		return ErrTooLarge
	}
	for _, e := range r.Entries {
		if e.Group < 0 || e.Group >= len(p.Groups) || e.Choice < 0 || e.Choice >= len(p.Groups[e.Group].Values) {
			return fmt.Errorf("choice: a row names choice %d of group %d, which there is not", e.Choice, e.Group)
		}
		if e.Amount > largest || e.Amount < -largest {
			return ErrTooLarge
		}
	}
	return nil
}

// term is an amount of a choice, by the choice's number among all.
type term struct {
	at     int
	amount int64
}

// line is a row with its choices numbered among all.
type line struct {
	terms []term
	limit int64
	size  int64 // the greatest amount or limit in size, at least 1
	// rounded lines were made of others, which the whole truth is in.
	rounded bool
}

// numbered is the problem with the choices of all groups numbered in one run.
type numbered struct {
	*Problem
	first []int // of each group, and one past the end
	group []int // of each choice
	value []int64
	lines []line
	using [][]term // by choice: the lines and amounts (at is the line)
	most  int64    // the greatest value in size, at least 1
}

func number(p *Problem) *numbered {
	n := &numbered{Problem: p, most: 1}
	for g, group := range p.Groups {
		n.first = append(n.first, len(n.value))
		for _, v := range group.Values {
			n.group = append(n.group, g)
			n.value = append(n.value, v)
			n.most = max(n.most, v, -v)
		}
	}
	n.first = append(n.first, len(n.value))
	n.using = make([][]term, len(n.value))
	for _, r := range p.Rows {
		n.addLine(r)
	}
	return n
}

// addLine numbers a row and returns its line.
func (n *numbered) addLine(r Row) int {
	l := line{rounded: r.rounded, limit: r.Limit, size: max(1, r.Limit, -r.Limit), terms: make([]term, 0, len(r.Entries))}
	for _, e := range r.Entries {
		if e.Amount != 0 {
			at := n.first[e.Group] + e.Choice
			l.terms = append(l.terms, term{at, e.Amount})
			n.using[at] = append(n.using[at], term{len(n.lines), e.Amount})
			l.size = max(l.size, e.Amount, -e.Amount)
		}
	}
	n.lines = append(n.lines, l)
	return len(n.lines) - 1
}

// judge is the worth of a selection and whether it is allowed.
func (n *numbered) judge(picks []int) (int64, bool) {
	if n.Judge != nil {
		return n.Judge(picks)
	}
	var total int64
	sums := make([]int64, len(n.lines))
	for g, c := range picks {
		at := n.first[g] + c
		total += n.value[at]
		for _, t := range n.using[at] {
			sums[t.at] += t.amount
		}
	}
	for i, sum := range sums {
		if sum > n.lines[i].limit { // rounded lines too: a selection that keeps the rows keeps them
			return total, false
		}
	}
	return total, true
}
