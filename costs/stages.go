package costs

import (
	"fmt"

	"github.com/shopspring/decimal"
)

// Stage is a part of a sum that is paid in stages.
type Stage struct {
	// MonthsAfterStart counts from the month in which payment starts; with
	// YearZero as the start, 0 is before the first month and 1 the first month.
	MonthsAfterStart int     `json:"months_after_start"`
	SharePct         float64 `json:"share_pct"`
}

// maxStages bounds the stages of one sum.
const maxStages = 60

// shareTolerancePct is how far from 100 the shares of all stages may be, for
// thirds and sevenths written to a few places.
var shareTolerancePct = decimal.New(1, -2)

// CheckStages lists what is wrong with stages of payment; fields are the place
// in the list.
func CheckStages(stages []Stage) []Problem {
	_, found := stageShares(stages)
	return found
}

// stageShares turns the shares into the weights of a split.
func stageShares(stages []Stage) ([]decimal.Decimal, []Problem) {
	var found problems
	if len(stages) == 0 || len(stages) > maxStages {
		found.add("", len(stages), fmt.Sprintf("a sum is paid in 1 to %d stages", maxStages), "give at least one stage, and put small ones together")
		return nil, found
	}
	total := decimal.Zero
	shares := make([]decimal.Decimal, len(stages))
	for i, stage := range stages {
		at := fmt.Sprintf("/%d", i)
		if stage.MonthsAfterStart < 0 || stage.MonthsAfterStart >= 12*maxHorizonYears {
			found.add(at+"/months_after_start", stage.MonthsAfterStart, "the stage is before the start or beyond any horizon", "count the months from the start of payment, 0 or more")
		}
		if i > 0 && stage.MonthsAfterStart <= stages[i-1].MonthsAfterStart {
			found.add(at+"/months_after_start", stage.MonthsAfterStart, "the stage does not follow the one before it", "list the stages by month, one for each")
		}
		shares[i] = checkPercent(&found, at+"/share_pct", stage.SharePct)
		total = total.Add(shares[i])
	}
	if len(found) == 0 && total.Sub(hundred).Abs().GreaterThan(shareTolerancePct) {
		found.add("", total, "the shares of the stages do not come to 100 %", "give shares that add up to 100")
	}
	return shares, found
}

// AddStaged enters one amount in stages. It is divided among them by the
// largest remainder (see Money.Split), so that at the price level of the first
// month they add up to it exactly; each stage is then raised to the price level
// of its year like any other entry.
func (l *Ledger) AddStaged(start int, kind Kind, amount Money, stages []Stage) {
	if _, ok := l.yearOf(start); !ok { // with a start inside, no sum of months overflows
		l.refuse(start, kind, amount, fmt.Sprintf("the month is outside the horizon of %d months", l.timeline.Months()))
		return
	}
	shares, found := stageShares(stages)
	if len(found) > 0 {
		l.refuse(start, kind, nil, "its stages of payment: "+found[0].Error())
		return
	}
	parts, err := amount.Split(shares)
	if err != nil {
		l.refuse(start, kind, amount, "its stages of payment cannot be made: "+err.Error())
		return
	}
	for i, part := range parts {
		l.Add(start+stages[i].MonthsAfterStart, kind, part)
	}
}
