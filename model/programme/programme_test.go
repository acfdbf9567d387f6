package programme_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/programme"
	"swardcase/model/programme/seeded"
)

// listed is the best plan of a small course, by listing every plan. What a plan
// is worth and whether it keeps the rules is worked out by Worth and Violations,
// which the search does not use.
func listed(c *programme.Course) (best int64, found bool) {
	picks := make([]int, len(c.Greens))
	for g := range picks {
		picks[g] = programme.LeftOut
	}
	for {
		if len(c.Violations(picks)) == 0 {
			if value := c.Worth(picks); !found || value > best {
				best, found = value, true
			}
		}
		g := 0
		for ; g < len(picks); g++ {
			if picks[g]++; picks[g] < len(c.Greens[g].Candidates) {
				break
			}
			picks[g] = programme.LeftOut
		}
		if g == len(picks) {
			return best, found
		}
	}
}

// drawSmall draws a course with few enough plans to list.
func drawSmall(t *rapid.T) *programme.Course {
	size := seeded.Size{
		Greens: rapid.IntRange(1, 4).Draw(t, "greens"), Options: rapid.IntRange(1, 4).Draw(t, "options"),
		Years: rapid.IntRange(1, 3).Draw(t, "years"), Scenarios: rapid.IntRange(1, 3).Draw(t, "scenarios"),
		Rules: rapid.Bool().Draw(t, "rules"), Breaks: rapid.Bool().Draw(t, "breaks"),
		Alike: rapid.Bool().Draw(t, "alike"), Borrowing: rapid.Bool().Draw(t, "borrowing"),
	}
	if size.Greens == 4 {
		size.Options, size.Years = min(size.Options, 3), min(size.Years, 2)
	}
	c := seeded.Course(size, rapid.Uint64().Draw(t, "seed"))
	c.Objective.Kind = rapid.SampledFrom([]programme.ObjectiveKind{programme.NetPresentValue, programme.IndexYears, programme.LeastRegret}).Draw(t, "objective")
	if c.Objective.Kind == programme.IndexYears && c.Alike != nil {
		c.Alike.Penalty /= 100
	}
	if len(c.Breaks) > 0 { // within the reach of a few greens
		c.Breaks[0].AtLeast = []int64{150_000, 260_000}
	}
	return c
}

func TestSolveAgainstAListOfAllPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawSmall(t)
		got, err := programme.Solve(context.Background(), c, programme.Search{})
		if err != nil {
			t.Fatal(err)
		}
		of := *c
		of.Objective.Best = got.Best
		if c.Objective.Kind == programme.LeastRegret && got.Picks != nil {
			for s, best := range got.Best {
				alone := *c
				alone.Objective = programme.Objective{Kind: programme.NetPresentValue, Scenarios: c.Objective.Scenarios, At: s}
				if want, _ := listed(&alone); want != best {
					t.Fatalf("the best of scenario %d is %d; the list has %d", s, best, want)
				}
			}
		}
		if c.Objective.Kind == programme.LeastRegret && got.Picks == nil {
			of.Objective.Best = make([]int64, c.Objective.Scenarios)
		}
		want, feasible := listed(&of)
		if !got.Proven || (got.Picks != nil) != feasible {
			t.Fatalf("proven %v, plan %v; there is a plan: %v", got.Proven, got.Picks, feasible)
		}
		if !feasible {
			return
		}
		if got.Value != want || got.Bound != want {
			t.Fatalf("value %d, bound %d; the list has %d", got.Value, got.Bound, want)
		}
		if broken := of.Violations(got.Picks); len(broken) > 0 || of.Worth(got.Picks) != got.Value {
			t.Fatalf("the plan breaks %v, and is worth %d, not %d", broken, of.Worth(got.Picks), got.Value)
		}
	})
}

// middling draws a course of the size of a short loop.
func middling(t *rapid.T) *programme.Course {
	c := seeded.Course(seeded.Size{
		Greens: rapid.IntRange(4, 6).Draw(t, "greens"), Options: rapid.IntRange(2, 5).Draw(t, "options"), Years: rapid.IntRange(2, 3).Draw(t, "years"),
		Rules: rapid.Bool().Draw(t, "rules"), Breaks: rapid.Bool().Draw(t, "breaks"), Alike: rapid.Bool().Draw(t, "alike"), Borrowing: rapid.Bool().Draw(t, "borrowing"),
	}, rapid.Uint64().Draw(t, "seed"))
	c.Objective.Kind = rapid.SampledFrom([]programme.ObjectiveKind{programme.NetPresentValue, programme.IndexYears}).Draw(t, "objective")
	return c
}

func solved(t *rapid.T, c *programme.Course) programme.Solution {
	got, err := programme.Solve(context.Background(), c, programme.Search{Nodes: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if got.Picks != nil {
		if broken := c.Violations(got.Picks); len(broken) > 0 || c.Worth(got.Picks) != got.Value {
			t.Fatalf("the plan breaks %v, and is worth %d, not %d", broken, c.Worth(got.Picks), got.Value)
		}
	}
	return got
}

// More money never makes the best plan worse, and the bound of the one is no
// less than the value of the other even where a search was cut short.
func TestMoreBudgetNeverLowersTheValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := middling(t)
		less := solved(t, c)
		more := *c
		more.Budget.Yearly = slices.Clone(c.Budget.Yearly)
		for year := range more.Budget.Yearly {
			more.Budget.Yearly[year] += rapid.Int64Range(0, 5_000_000).Draw(t, "more")
		}
		got := solved(t, &more)
		if less.Picks == nil {
			return
		}
		if got.Picks == nil && got.Proven || got.Bound < less.Value || less.Proven && got.Proven && got.Value < less.Value {
			t.Fatalf("value %d, bound %d; with less money %d", got.Value, got.Bound, less.Value)
		}
	})
}

// The order in which the greens are listed changes nothing in the value.
func TestTheOrderOfGreensDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := middling(t)
		c.Sets, c.Practice = nil, nil // they name greens by their place
		got := solved(t, c)
		turned := *c
		turned.Greens = slices.Clone(c.Greens)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 1))
		order.Shuffle(len(turned.Greens), func(i, j int) { turned.Greens[i], turned.Greens[j] = turned.Greens[j], turned.Greens[i] })
		again := solved(t, &turned)
		if got.Proven && again.Proven && (got.Value != again.Value || (got.Picks == nil) != (again.Picks == nil)) {
			t.Fatalf("value %d, and %d in another order", got.Value, again.Value)
		}
	})
}

func TestTheSameCourseGivesTheSamePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := middling(t)
		a, b := solved(t, c), solved(t, c)
		if !slices.Equal(a.Picks, b.Picks) || a.Nodes != b.Nodes || a.Bound != b.Bound {
			t.Fatalf("%+v and then %+v", a, b)
		}
	})
}

// What is left of a conflict, leaving out any one rule, has a plan; the conflict
// itself has none.
func TestConflictsAreIrreducible(t *testing.T) {
	conflicts := 0
	rapid.Check(t, func(t *rapid.T) {
		c := seeded.Course(seeded.Size{Greens: 5, Options: 3, Years: 3, Rules: true}, rapid.Uint64().Draw(t, "seed"))
		for g := range c.Greens { // too much is asked
			c.Greens[g].LatestYear = rapid.IntRange(0, 2).Draw(t, "latest")
		}
		found := solved(t, c)
		rules, sure, err := programme.Conflict(context.Background(), c, 20_000)
		if err != nil || !sure {
			t.Fatalf("%v, sure %v", err, sure)
		}
		if (found.Picks == nil) != (len(rules) > 0) {
			t.Fatalf("a plan: %v; a conflict: %v", found.Picks, rules)
		}
		if len(rules) == 0 {
			return
		}
		conflicts++
		alone := func(keep []programme.Rule) *programme.Course {
			var without []programme.Rule
			for _, rule := range c.Rules() {
				if !slices.Contains(keep, rule) {
					without = append(without, rule)
				}
			}
			return c.Without(without...)
		}
		if got := solved(t, alone(rules)); got.Picks != nil {
			t.Fatalf("the conflict %v has a plan", rules)
		}
		for i := range rules {
			if got := solved(t, alone(slices.Delete(slices.Clone(rules), i, i+1))); got.Picks == nil {
				t.Fatalf("the conflict %v is one without %v", rules, rules[i])
			}
		}
	})
	if conflicts == 0 {
		t.Error("no course had a conflict")
	}
}

// A search whose floats once went astray, so that it never ended, ends.
func TestASearchDoesNotLoseItsWay(t *testing.T) {
	c := seeded.Course(seeded.Size{Greens: 8, Options: 4, Years: 4, Scenarios: 2, Rules: true, Breaks: true}, 46)
	c.Objective.Kind = programme.IndexYears
	got, err := programme.Solve(t.Context(), c, programme.Search{Nodes: 5000})
	if err != nil || !got.Proven || c.Worth(got.Picks) != got.Value {
		t.Errorf("%+v, %v", got, err)
	}
}
