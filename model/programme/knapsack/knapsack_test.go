package knapsack

import (
	"math"
	"testing"

	"swardcase/model/programme/choice"
)

// Every published problem is solved to proven optimality, and the optimum is
// the published one.
func TestPublishedOptima(t *testing.T) {
	solved := 0
	for _, file := range []string{"multidimensional", "multiple_choice"} {
		list, err := Read("../../../testdata/knapsack/" + file + ".json")
		if err != nil {
			t.Fatal(err)
		}
		for _, in := range list {
			got, err := choice.Solve(t.Context(), in.Problem(), choice.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if want := int64(math.Round(in.Optimum * Scale)); !got.Proven || got.Value != want || got.Bound != want {
				t.Errorf("%s (%s): value %d, bound %d, proven %v; published %d", in.ID, in.Source, got.Value, got.Bound, got.Proven, want)
			}
			solved++
		}
	}
	if solved != 24 {
		t.Errorf("%d problems were solved, not 24", solved)
	}
}

// A search that is cut short still gives a bound that holds.
func TestBoundsOfASearchCutShortHold(t *testing.T) {
	list, err := Read("../../../testdata/knapsack/multiple_choice.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range list {
		want := int64(math.Round(in.Optimum * Scale))
		for _, nodes := range []int{1, 2, 5, 20, 100} {
			got, err := choice.Solve(t.Context(), in.Problem(), choice.Limits{Nodes: nodes})
			if err != nil {
				t.Fatal(err)
			}
			if got.Bound < want || got.Picks != nil && got.Value > want {
				t.Errorf("%s after %d nodes: value %d, bound %d; published %d", in.ID, nodes, got.Value, got.Bound, want)
			}
			if got.Nodes > nodes {
				t.Errorf("%s: %d nodes were looked at, more than %d", in.ID, got.Nodes, nodes)
			}
		}
	}
}
