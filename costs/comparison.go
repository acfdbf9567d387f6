package costs

import "errors"

// Comparison sets a cash flow against a yardstick's: each year's net less the
// yardstick's, discounted and cumulated. Payback, simple and discounted, is of
// this difference, in the flow's own terms, real or nominal. A difference of
// residual values counts in the net present value and not in payback: nobody
// is paid it.
type Comparison struct {
	Years             []ComparisonYear `json:"years"`
	Residual          *ResidualValue   `json:"residual,omitempty"`
	NetPresentValue   Money            `json:"net_present_value"`
	Payback           Payback          `json:"payback"`
	DiscountedPayback Payback          `json:"discounted_payback"`
}

// ComparisonYear is one year's difference. Discounted is the difference times
// the year's factor, rounded once.
type ComparisonYear struct {
	Year                 int   `json:"year"`
	Difference           Money `json:"difference"`
	Cumulative           Money `json:"cumulative"`
	Discounted           Money `json:"discounted"`
	CumulativeDiscounted Money `json:"cumulative_discounted"`
}

// Compare sets one cash flow of the timeline against another.
func (t Timeline) Compare(flow, yardstick CashFlow) (Comparison, error) {
	if len(flow.Years) != t.years+1 || len(yardstick.Years) != t.years+1 {
		return Comparison{}, errors.New("costs: a cash flow of another timeline")
	}
	comparison := Comparison{Years: make([]ComparisonYear, t.years+1)}
	plain, discounted := make([]int64, t.years+1), make([]int64, t.years+1)
	var sum, discountedSum int64
	for year := range comparison.Years {
		mine, theirs := flow.Years[year].Net, yardstick.Years[year].Net
		if mine.currency != t.currency || theirs.currency != t.currency {
			return Comparison{}, ErrMixedCurrencies
		}
		difference := mine.minor() - theirs.minor()
		now, _ := roundedProduct(difference, t.discount[year], factorPlaces) // the factor is at most 1
		sum += difference
		discountedSum += now
		if !within(difference, t.currency) || !within(sum, t.currency) || !within(discountedSum, t.currency) {
			return Comparison{}, ErrTooLarge
		}
		plain[year], discounted[year] = sum, discountedSum
		comparison.Years[year] = ComparisonYear{
			Year: year, Difference: ofMinor(difference, t.currency), Cumulative: ofMinor(sum, t.currency),
			Discounted: ofMinor(now, t.currency), CumulativeDiscounted: ofMinor(discountedSum, t.currency),
		}
	}
	if residual := residualOf(flow) - residualOf(yardstick); flow.Residual != nil || yardstick.Residual != nil {
		comparison.Residual = t.residualValue(residual)
		discountedSum += comparison.Residual.Discounted.minor()
		if !within(residual, t.currency) || !within(discountedSum, t.currency) {
			return Comparison{}, ErrTooLarge
		}
	}
	comparison.NetPresentValue = ofMinor(discountedSum, t.currency)
	comparison.Payback, comparison.DiscountedPayback = newPayback(plain), newPayback(discounted)
	return comparison, nil
}
