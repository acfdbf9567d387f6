package costs

import (
	"errors"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Factors are kept to fixed numbers of places, so that the same case gives the
// same pennies anywhere.
const (
	factorPlaces = 18 // discount factors, at most 1
	indexPlaces  = 10 // price levels, below 10,000
)

// maxYears bounds every horizon, life and schedule: 400 years is beyond any
// published schedule's last band.
const maxYears = 400

// DiscountSegment is one band of a discount schedule: the yearly rate that
// holds from FromYear until the next segment begins. The step from year t−1 to
// year t uses the rate of year t.
type DiscountSegment struct {
	FromYear int             // the first segment starts at 1
	RatePct  decimal.Decimal // a year, 0 to 100
}

// DiscountBand is a segment of a discount schedule as a document gives it: the
// yearly rate from one year of the cash flow on.
type DiscountBand struct {
	FromYear int     `json:"from_year"` // the first band starts at 1
	RatePct  float64 `json:"rate_pct"`  // a year, 0 to 100
}

// DecliningDiscounting is discounting by bands whose rates usually fall, since
// the far future's rate is uncertain. Fields are relative to the money terms of
// a case: "/discount_bands" with the place in the list.
func DecliningDiscounting(bands []DiscountBand, years int) (Discounting, []Problem) {
	var found problems
	if len(bands) > maxYears {
		found.add("/discount_bands", len(bands), "a schedule has no more bands than years", "give the rate from year 1 on")
		return Discounting{}, found
	}
	segments := make([]DiscountSegment, len(bands))
	for i, band := range bands {
		pct := checkPercent(&found, fmt.Sprintf("/discount_bands/%d/rate_pct", i), band.RatePct)
		segments[i] = DiscountSegment{FromYear: band.FromYear, RatePct: pct}
	}
	discounting, problemsOfSegments := NewDiscounting(segments, years)
	for _, problem := range problemsOfSegments {
		problem.Field = strings.Replace(problem.Field, "/segments", "/discount_bands", 1)
		found = append(found, problem)
	}
	if len(found) > 0 {
		return Discounting{}, found
	}
	return discounting, nil
}

// Discounting holds the discount factors of years 0 to some last year. Year 0
// is now and is not discounted; a year's flows are discounted at its end.
type Discounting struct {
	factors []decimal.Decimal
	coarse  []int64 // the same factors × 10^18, for the cash flow
}

// ConstantDiscounting is discounting at one rate: factor(t) = 1 ÷ (1 + r)^t.
// Fields are relative to the money terms of a case.
func ConstantDiscounting(ratePct float64, years int) (Discounting, []Problem) {
	var found problems
	pct := checkPercent(&found, "/discount_rate_pct", ratePct)
	if len(found) > 0 {
		return Discounting{}, found
	}
	return NewDiscounting([]DiscountSegment{{FromYear: 1, RatePct: pct}}, years)
}

// NewDiscounting chains the yearly rates of a schedule, constant or declining:
// factor(t) = factor(t−1) ÷ (1 + rate of year t), each kept to 18 places. It
// covers years 0 to the given last year, at most 400. Fields are "/years" and
// "/segments" with the place in the list.
func NewDiscounting(segments []DiscountSegment, years int) (Discounting, []Problem) {
	if found := checkSegments(segments, years); len(found) > 0 {
		return Discounting{}, found
	}
	d := Discounting{factors: make([]decimal.Decimal, 0, years+1), coarse: make([]int64, 0, years+1)}
	factor, growth, next := one, one, 0
	for year := 0; year <= years; year++ {
		if next < len(segments) && segments[next].FromYear == year {
			growth = one.Add(segments[next].RatePct.Shift(-2))
			next++
		}
		if year > 0 {
			factor = factor.DivRound(growth, factorPlaces)
		}
		d.factors = append(d.factors, factor)
		d.coarse = append(d.coarse, factor.Shift(factorPlaces).IntPart())
	}
	return d, nil
}

func checkSegments(segments []DiscountSegment, years int) []Problem {
	var found problems
	if years < 1 || years > maxYears {
		found.add("/years", years, fmt.Sprintf("a schedule covers 1 to %d years", maxYears), "give a number of years in that range")
	}
	if len(segments) == 0 || len(segments) > maxYears {
		found.add("/segments", len(segments), "a schedule has at least one segment and no more than it has years", "give the rate from year 1 on")
		return found
	}
	for i, segment := range segments {
		at := fmt.Sprintf("/segments/%d", i)
		if i == 0 && segment.FromYear != 1 {
			found.add(at+"/from_year", segment.FromYear, "the first segment does not start at year 1", "give the rate from year 1 on")
		}
		if i > 0 && segment.FromYear <= segments[i-1].FromYear {
			found.add(at+"/from_year", segment.FromYear, "the segment does not start after the one before it", "list the segments by year")
		}
		if tooWide(segment.RatePct) || segment.RatePct.Sign() < 0 || segment.RatePct.GreaterThan(hundred) {
			found.add(at+"/rate_pct", nil, "the rate is not a percentage", "give a number from 0 to 100")
		}
	}
	return found
}

// ErrBeyondSchedule is returned for a year or a life that the discounting does
// not cover.
var ErrBeyondSchedule = errors.New("costs: year outside the discount schedule")

// LastYear is the last year that the discounting covers.
func (d Discounting) LastYear() int { return len(d.factors) - 1 }

// Factor is the worth today of 1 at the end of the year.
func (d Discounting) Factor(year int) (decimal.Decimal, error) {
	if year < 0 || year >= len(d.factors) {
		return decimal.Decimal{}, ErrBeyondSchedule
	}
	return d.factors[year], nil
}

// AnnuityFactor is the worth today of 1 at the end of each of the years 1 to n:
// the sum of their factors, which at a constant rate is (1 − (1+r)^−n) ÷ r.
func (d Discounting) AnnuityFactor(years int) (decimal.Decimal, error) {
	if years < 1 || years >= len(d.factors) {
		return decimal.Decimal{}, ErrBeyondSchedule
	}
	return decimal.Sum(d.factors[1], d.factors[2:years+1]...), nil
}

// EqualAnnualFactor is what 1 spent today comes to as an equal sum at the end
// of each of the years 1 to n: one over the annuity factor, to 18 places.
func (d Discounting) EqualAnnualFactor(years int) (decimal.Decimal, error) {
	annuity, err := d.AnnuityFactor(years)
	if err != nil {
		return decimal.Decimal{}, err
	}
	return decimal.NewFromInt(1).DivRound(annuity, factorPlaces), nil
}

// EqualAnnualCost spreads a present cost over a life: the present cost times
// the equal annual factor of that life, rounded once. Works with different
// lives compare by it, each over its own life and renewed in kind.
func (d Discounting) EqualAnnualCost(present Money, lifeYears int) (Money, error) {
	factor, err := d.EqualAnnualFactor(lifeYears)
	if err != nil {
		return Money{}, err
	}
	return present.Mul(factor)
}

// PresentValue is the exact sum of the flows times their factors, unrounded;
// the first flow is of year 0. A cash flow's own total is instead the sum of
// its yearly figures, each rounded, so that its column adds up on paper; the two
// differ by at most half a minor unit a year.
func (d Discounting) PresentValue(flows []decimal.Decimal) (decimal.Decimal, error) {
	if len(flows) > len(d.factors) {
		return decimal.Decimal{}, ErrBeyondSchedule
	}
	total := decimal.Zero
	for year, flow := range flows {
		if tooWide(flow) {
			return decimal.Decimal{}, ErrTooLarge
		}
		total = total.Add(flow.Mul(d.factors[year]))
	}
	return total, nil
}
