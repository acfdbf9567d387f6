package confidence_test

import (
	"context"
	"fmt"

	"swardcase/model/assumption"
	"swardcase/model/confidence"
)

// A club weighs whether to mend a drain now or to go on as it is. What a dry month
// is worth and what the work costs are uncertain.
func Example() {
	const worthOfMonth, capital = 0, 1 // the order of the inputs
	most := 9000.0
	study := confidence.Study{
		Inputs: []confidence.Input{
			{Name: "worth_of_month", Unit: "GBP", Low: 400, Likely: 900, High: 2000, Shape: confidence.PERT},
			{Name: "capital", Unit: "GBP", Low: 6000, Likely: 7000, High: 11000, Shape: confidence.PERT},
		},
		Options:      []confidence.Option{{Name: "go_on", Feasible: true}, {Name: "mend", Feasible: true}},
		Outcomes:     []confidence.Outcome{{Name: "value", Unit: "GBP"}, {Name: "capital", Unit: "GBP"}},
		RankBy:       "value",
		Requirements: []confidence.Requirement{{Outcome: "capital", AtMost: &most}},
		NewEvaluate: func() confidence.Evaluate {
			return func(draw, out []float64) {
				out[0], out[1] = 0, 0
				out[2] = 8*draw[worthOfMonth] - draw[capital] // eight dry months in its life
				out[3] = draw[capital]
			}
		},
	}
	parameters := confidence.ParametersFrom(assumption.Defaults())

	result, err := study.Run(context.Background(), confidence.Settings{Seed: 1}, parameters)
	if err != nil {
		fmt.Println(err)
		return
	}
	mend := result.Options[1]
	fmt.Printf("mending is best in %.0f %% of %d draws, and keeps to its ceiling in %.0f %%\n",
		100*mend.Best.Probability, result.Draws, 100*mend.MeetsRequirements.Probability)

	answer, err := study.BreakEven(confidence.BreakEvenQuestion{
		Input:  "worth_of_month",
		Figure: confidence.Figure{Option: "mend", Outcome: "value", Less: "go_on"},
	}, parameters)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range answer.Crossings {
		fmt.Printf("the two are equal where a month is worth %.2f %s; above that mending is %s\n", c.From, answer.Unit, c.Above)
	}
	// Output:
	// mending is best in 54 % of 10000 draws, and keeps to its ceiling in 94 %
	// the two are equal where a month is worth 875.00 GBP; above that mending is greater
}
