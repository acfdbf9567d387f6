package confidence

import "math"

// Result is what many draws say. Draws and Seed are those used, so that the same
// study gives the same result again.
type Result struct {
	Draws int   `json:"draws"`
	Seed  int64 `json:"seed"`
	// NoOption is how often no option was feasible and met every requirement. Its
	// draws and those of every option's Best add up to Draws.
	NoOption ProbabilityWithError `json:"no_option"`
	// TiedDraws is in how many draws the best option had an equal, and won by
	// being listed before it.
	TiedDraws int            `json:"tied_draws"`
	Options   []OptionResult `json:"options"`
}

// OptionResult is what many draws say of one option.
type OptionResult struct {
	Option            string               `json:"option"`
	Feasible          bool                 `json:"feasible"`
	Best              ProbabilityWithError `json:"best"`
	MeetsRequirements ProbabilityWithError `json:"meets_requirements"`
	Requirements      []RequirementResult  `json:"requirements"`
	Outcomes          []QuantileBand       `json:"outcomes"`
}

// RequirementResult is how often one requirement is met.
type RequirementResult struct {
	Requirement
	Met ProbabilityWithError `json:"met"`
}

// ProbabilityWithError is a share of the draws, and how far chance alone may
// have moved it.
type ProbabilityWithError struct {
	// Draws is in how many draws it came about.
	Draws         int     `json:"draws"`
	Probability   float64 `json:"probability"`    // 0 to 1
	StandardError float64 `json:"standard_error"` // 0 to 0.5
}

// probability estimates from k of n draws. The standard error is the standard
// deviation of what k of n says about the true probability, all being equally
// likely before: that of a beta distribution with shapes k + 1 and n − k + 1.
// For many draws it is √(p(1 − p)/n); unlike that, it is not 0 where k is 0 or n,
// since no number of draws proves that a thing cannot happen.
func probability(k, n int) ProbabilityWithError {
	middle := float64(k+1) / float64(n+2)
	return ProbabilityWithError{
		Draws: k, Probability: float64(k) / float64(n),
		StandardError: math.Sqrt(middle * (1 - middle) / float64(n+3)),
	}
}

// QuantileBand is how one outcome of one option spreads over the draws. A
// quantile is nil where it falls among the draws without the outcome, which count
// as lying above every value: a payback that does not come within the horizon
// comes, if ever, later than one that does. Mean, standard deviation and standard
// error are over the draws that have the outcome, and nil where too few do.
type QuantileBand struct {
	Outcome           string               `json:"outcome"`
	Unit              string               `json:"unit"`
	P10               *float64             `json:"p10"`
	P50               *float64             `json:"p50"`
	P80               *float64             `json:"p80"`
	P90               *float64             `json:"p90"`
	Mean              *float64             `json:"mean"`
	StandardDeviation *float64             `json:"standard_deviation"`
	MeanStandardError *float64             `json:"mean_standard_error"`
	Absent            ProbabilityWithError `json:"absent"`
}
