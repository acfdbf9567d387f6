package model

import "swardcase/model/assumption"

// mostHorizonYears is the longest horizon that the contract allows.
const mostHorizonYears = 40

// horizonYears is how far ahead the options are forecast: the horizon of the
// terms of money, or the usual one where the case has none.
func (r Resolved) horizonYears() int {
	if r.Case.Money != nil {
		return *r.Case.Money.HorizonYears
	}
	return usualHorizonYears(r.assumptions)
}

func usualHorizonYears(set assumption.Set) int {
	return min(mostHorizonYears, max(1, int(set.Likely("horizon_years"))))
}

// JudgedYear is the year in which the options are held to the requirements: the
// fifth, or the last of a shorter horizon.
func JudgedYear(horizonYears int) int { return min(expectedYear, horizonYears) }

func (r Resolved) judgedYear() int { return JudgedYear(r.horizonYears()) }
