package programme

import (
	"context"

	"swardcase/model/programme/choice"
)

// Solution is the best plan found and how good it is known to be.
type Solution struct {
	// Picks is the candidate of each green, or LeftOut; nil where no plan was found.
	Picks []int
	// Value and Bound are in units of the objective: no plan is worth more than
	// Bound. Regret counts as less than nothing.
	Value, Bound int64
	// Proven is true where the search came to its end: the plan is the best, or
	// there is none.
	Proven bool
	// Stopped is true where the context ended the search.
	Stopped bool
	Nodes   int
	// Best are the best values by scenario, where regret is what counts, and
	// BestProven whether they were proven.
	Best       []int64
	BestProven bool
}

// Progress is how far a search has come, in units of the objective.
type Progress = choice.Progress

// ErrTooLarge is returned for numbers beyond the reach of exact arithmetic.
var ErrTooLarge = choice.ErrTooLarge

// Search is how a plan is looked for.
type Search struct {
	// Nodes is how many nodes are looked at at the most; 0 for no limit. For regret
	// every scenario has as many.
	Nodes int
	// Start is a plan to begin from; nil for none.
	Start []int
	// Tell, where it is given, is told now and then how far the search has come.
	Tell func(Progress)
}

// Solve plans a course. For regret every scenario is planned by itself first.
func Solve(ctx context.Context, c *Course, how Search) (Solution, error) {
	if err := c.check(); err != nil {
		return Solution{}, err
	}
	if c.Objective.Kind == LeastRegret {
		return solveRegret(ctx, c, how)
	}
	return search(ctx, c, how, 0)
}

func search(ctx context.Context, c *Course, how Search, least int64) (Solution, error) {
	p := put(c, least)
	for g := range c.Greens {
		if len(p.out.Groups[g].Values) == 0 { // no candidate is left to a green that must have one
			return Solution{Proven: true}, nil
		}
	}
	if how.Start != nil {
		p.out.Start = p.choices(how.Start)
	}
	found, err := choice.Solve(ctx, p.out, choice.Limits{Nodes: how.Nodes, Tell: how.Tell})
	if err != nil {
		return Solution{}, err
	}
	out := Solution{Value: found.Value, Bound: found.Bound, Proven: found.Proven, Stopped: found.Stopped, Nodes: found.Nodes}
	if found.Picks != nil {
		out.Picks = p.picks(found.Picks, make([]int, len(c.Greens)))
	}
	return out, nil
}

// solveRegret plans for each scenario, and then for the least of the greatest
// regret that a plan has in any of them.
func solveRegret(ctx context.Context, c *Course, how Search) (Solution, error) {
	total := 0
	best, proven := make([]int64, c.Objective.Scenarios), true
	starts := [][]int{how.Start}
	for s := range best {
		alone := *c
		alone.Objective = Objective{Kind: NetPresentValue, Scenarios: c.Objective.Scenarios, At: s}
		found, err := search(ctx, &alone, how, 0)
		if err != nil || found.Picks == nil {
			return found, err
		}
		best[s], proven, total = found.Value, proven && found.Proven, total+found.Nodes
		starts = append(starts, found.Picks)
	}
	of := *c
	of.Objective.Best = best
	var from []int
	var least int64
	t := newTally(&of)
	for _, picks := range starts {
		if picks == nil {
			continue
		}
		t.add(picks)
		if value := t.value(); t.keepsRules(picks) && (from == nil || value > least) {
			from, least = picks, value
		}
	}
	how.Start = from
	found, err := search(ctx, &of, how, min(least, 0))
	found.Nodes += total
	found.Best, found.BestProven = best, proven
	return found, err
}
