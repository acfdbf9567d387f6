// Package knapsack reads published knapsack problems, whose optimum is known,
// and puts them as choices: it is for tests and comparisons, and nothing that
// the program does depends on it.
//
// The problems are copies of ones of the OR-Library (Beasley 1990, Journal of
// the Operational Research Society 41, 1069-1072), of Hiremath and Hill and of
// Khan and others; each names its source. A course plan is such a problem with
// more kinds of limits.
package knapsack

import (
	"encoding/json"
	"fmt"
	"math"
	"os"

	"swardcase/model/programme/choice"
)

// Instance is one published problem.
type Instance struct {
	ID     string `json:"id"`
	Family string `json:"family"`
	Source string `json:"source"`
	// Profits and Weights are of a problem in which each item is taken or left;
	// weights by limit and item.
	Profits []float64 `json:"profits"`
	Weights [][]int64 `json:"weights"`
	// Classes are of a problem in which one item of each class is taken.
	Classes [][]Item `json:"classes"`
	// Capacity is of each limit.
	Capacity []int64 `json:"capacity"`
	// Optimum is the published one, and Verified who else has proved it.
	Optimum  float64 `json:"published_optimum"`
	Verified string  `json:"verified"`
}

// Item is one of a class.
type Item struct {
	Value int64   `json:"value"`
	Use   []int64 `json:"use"`
}

// Read reads the problems of a file.
func Read(path string) ([]Instance, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var list []Instance
	if err := json.Unmarshal(text, &list); err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	return list, nil
}

// Scale is what values are multiplied by to be whole: the published ones have
// at most one decimal.
const Scale = 10

// Problem puts the instance as choices, its values times Scale.
func (in Instance) Problem() choice.Problem {
	p := choice.Problem{Rows: make([]choice.Row, len(in.Capacity))}
	for i, limit := range in.Capacity {
		p.Rows[i].Limit = limit
	}
	for _, profit := range in.Profits {
		p.Groups = append(p.Groups, choice.Group{Values: []int64{0, int64(math.Round(profit * Scale))}})
	}
	for i, weights := range in.Weights {
		for item, weight := range weights {
			p.Rows[i].Entries = append(p.Rows[i].Entries, choice.Entry{Group: item, Choice: 1, Amount: weight})
		}
	}
	for class, items := range in.Classes {
		group := choice.Group{Values: make([]int64, len(items))}
		for c, item := range items {
			group.Values[c] = item.Value * Scale
			for i, use := range item.Use {
				p.Rows[i].Entries = append(p.Rows[i].Entries, choice.Entry{Group: class, Choice: c, Amount: use})
			}
		}
		p.Groups = append(p.Groups, group)
	}
	return p
}
