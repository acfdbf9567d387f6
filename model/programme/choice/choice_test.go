package choice

import (
	"context"
	"errors"
	"testing"

	"pgregory.net/rapid"
)

// drawProblem draws a problem small enough to list every selection of.
func drawProblem(t *rapid.T) Problem {
	var p Problem
	for range rapid.IntRange(1, 5).Draw(t, "groups") {
		p.Groups = append(p.Groups, Group{Values: rapid.SliceOfN(rapid.Int64Range(-50, 1000), 1, 5).Draw(t, "values")})
	}
	for range rapid.IntRange(0, 5).Draw(t, "rows") {
		row := Row{Limit: rapid.Int64Range(-5, 60).Draw(t, "limit")}
		for g, group := range p.Groups {
			for c := range group.Values {
				row.Entries = append(row.Entries, Entry{g, c, rapid.Int64Range(-10, 40).Draw(t, "amount")})
			}
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// listed is the best value of all selections, by listing them.
func listed(p Problem) (best int64, found bool) {
	n := number(&p)
	picks := make([]int, len(p.Groups))
	for {
		if value, allowed := n.judge(picks); allowed && (!found || value > best) {
			best, found = value, true
		}
		g := 0
		for ; g < len(picks); g++ {
			if picks[g]++; picks[g] < len(p.Groups[g].Values) {
				break
			}
			picks[g] = 0
		}
		if g == len(picks) {
			return best, found
		}
	}
}

func TestSolveAgainstAListOfAllSelections(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		want, feasible := listed(p)
		got, err := Solve(context.Background(), p, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if !got.Proven || (got.Picks != nil) != feasible {
			t.Fatalf("proven %v, found %v; a selection is allowed: %v", got.Proven, got.Picks != nil, feasible)
		}
		if feasible && (got.Value != want || got.Bound != want) {
			t.Fatalf("value %d, bound %d; the list has %d", got.Value, got.Bound, want)
		}
		if feasible {
			if value, allowed := number(&p).judge(got.Picks); !allowed || value != got.Value {
				t.Fatalf("the picks are worth %d (allowed %v), not the %d that is said", value, allowed, got.Value)
			}
		}
	})
}

// Any prices at or above nought give a bound that holds.
func TestAnyPricesBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		want, feasible := listed(p)
		if !feasible {
			t.Skip("nothing to bound")
		}
		n := number(&p)
		var prices []price
		for line := range n.lines {
			prices = append(prices, price{line, rapid.Float64Range(0, 100).Draw(t, "price")})
		}
		whole, ok := newBounder(n).bound(prices, newBits(len(n.value)))
		if !ok || whole < want {
			t.Fatalf("bound %d (sure %v); the list has %d", whole, ok, want)
		}
	})
}

func TestTheSameProblemGivesTheSamePicks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		a, _ := Solve(context.Background(), p, Limits{})
		b, _ := Solve(context.Background(), p, Limits{})
		if a.Nodes != b.Nodes || a.Pivots != b.Pivots || len(a.Picks) != len(b.Picks) {
			t.Fatalf("%+v and then %+v", a, b)
		}
		for g := range a.Picks {
			if a.Picks[g] != b.Picks[g] {
				t.Fatalf("%+v and then %+v", a, b)
			}
		}
	})
}

func TestACancelledSearchSaysSo(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	got, err := Solve(ctx, Problem{Groups: []Group{{Values: []int64{1, 2}}}}, Limits{})
	if err != nil || !got.Stopped {
		t.Errorf("%+v, %v; want a search that was stopped", got, err)
	}
}

func TestWhatCannotBeWorkedOn(t *testing.T) {
	two := []Group{{Values: []int64{0, 1}}}
	for name, p := range map[string]Problem{
		"a group without a choice":       {Groups: []Group{{}}},
		"a row of a group there is not":  {Groups: two, Rows: []Row{{Entries: []Entry{{1, 0, 1}}}}},
		"a row of a choice there is not": {Groups: two, Rows: []Row{{Entries: []Entry{{0, 2, 1}}}}},
		"a start of another length":      {Groups: two, Start: []int{0, 1}},
	} {
		if _, err := Solve(t.Context(), p, Limits{}); err == nil {
			t.Errorf("%s was not refused", name)
		}
	}
	huge := Problem{Groups: []Group{{Values: []int64{largest + 1}}}}
	if _, err := Solve(t.Context(), huge, Limits{}); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a value beyond reach gave %v", err)
	}
	large := Problem{Groups: []Group{{Values: []int64{largest, 0}}, {Values: []int64{largest, 0}}}, Rows: []Row{{Entries: []Entry{{0, 0, largest}, {1, 0, 1}}, Limit: largest}}}
	got, err := Solve(t.Context(), large, Limits{})
	if err != nil || !got.Proven || got.Value != largest {
		t.Errorf("values at the edge: %+v, %v; want %d proven", got, err, int64(largest))
	}
}

// What is told while the search goes on holds of the answer, and only gets closer
// to it; and to be told changes nothing.
func TestWhatIsToldClosesInOnTheAnswer(t *testing.T) {
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		quiet, err := Solve(context.Background(), p, Limits{})
		if err != nil {
			t.Fatal(err)
		}
		var last Progress
		got, err := Solve(context.Background(), p, Limits{Tell: func(now Progress) {
			told++
			switch {
			case now.Nodes <= last.Nodes, last.Found && (!now.Found || now.Value < last.Value), last.Bounded && (!now.Bounded || now.Bound > last.Bound):
				t.Fatalf("%+v after %+v", now, last)
			case now.Found && now.Value > quiet.Value, now.Bounded && quiet.Picks != nil && now.Bound < quiet.Value:
				t.Fatalf("%+v, and the answer is %d", now, quiet.Value)
			}
			last = now
		}})
		if err != nil || got.Nodes != quiet.Nodes || got.Value != quiet.Value || got.Pivots != quiet.Pivots || last.Nodes > got.Nodes {
			t.Fatalf("told, it gave %+v, and untold %+v: %v", got, quiet, err)
		}
	})
	if told == 0 {
		t.Error("nothing was ever told")
	}
}
