package programme

import (
	"math"

	"swardcase/model/programme/choice"
)

// interestRows are rows of the budget that shares break once debts bear
// interest. The balance at the end of a year is the least, over the ways in
// which debt can have built up, of
//
//	Σ_u (budget(u) − spent(u)) × Π_v m(v),   u from some year on, v after u,
//
// with m = 1 + rate for a year that begins in debt and 1 for one that does not:
// a balance is a concave function of what is spent, and each way is a row. Of
// these the one that the shares themselves take is given where it is broken.
//
// Interest is rounded to a minor unit each year, which no sum of products is:
// each row allows for that, and the plan's own balance decides in the end.
func (p *problem) interestRows(shares [][]float64) []choice.Row {
	b := &p.c.Budget
	spending := p.spending()
	rate := float64(b.RatePPM) / 1e6
	balance := 0.0
	charged := make([]bool, p.c.Years) // years that begin in debt
	from := 0                          // the first year whose balance still counts
	for year := range p.c.Years {
		charged[year] = balance < 0
		if charged[year] {
			balance *= 1 + rate
		}
		balance += float64(b.Yearly[year])
		for _, e := range spending[year] {
			balance -= float64(e.Amount) * shares[e.Group][e.Choice]
		}
		if balance < -float64(b.BorrowingCap) {
			if row := p.interestRow(spending, charged, from, year, rate); broken(row, shares) {
				return []choice.Row{row}
			}
		}
		if balance > 0 && !b.CarryOver {
			balance, from = 0, year+1
		}
	}
	return nil
}

// interestRow holds a run of years to the debt allowed at its end. Amounts are
// multiplied by the interest that they come to bear, in 2^-16ths: spending is
// rounded down and budgets up, and a minor unit a year is allowed for rounding,
// so that no plan that stays in budget breaks it.
func (p *problem) interestRow(spending [][]choice.Entry, charged []bool, from, end int, rate float64) choice.Row {
	const unit = 1 << 16
	multiplier := 1.0
	row := choice.Row{Limit: unit * p.c.Budget.BorrowingCap}
	for year := end; year >= from; year-- {
		for _, e := range spending[year] {
			amount := math.Floor(float64(e.Amount) * multiplier * unit)
			row.Entries = append(row.Entries, choice.Entry{Group: e.Group, Choice: e.Choice, Amount: int64(amount)})
		}
		row.Limit += int64(math.Ceil((float64(p.c.Budget.Yearly[year]) + 1) * multiplier * unit))
		if charged[year] {
			multiplier *= 1 + rate
		}
	}
	row.Entries = joined(row.Entries)
	return row
}

// broken reports whether shares break a row by more than rounded arithmetic
// explains.
func broken(row choice.Row, shares [][]float64) bool {
	sum, size := 0.0, math.Abs(float64(row.Limit))
	for _, e := range row.Entries {
		sum += float64(e.Amount) * shares[e.Group][e.Choice]
		size = max(size, math.Abs(float64(e.Amount)))
	}
	return sum-float64(row.Limit) > 1e-6*size
}
