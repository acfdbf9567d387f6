package costs

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"

	"github.com/shopspring/decimal"
)

// InternalRateOutcome says how many internal rates of return a flow has.
type InternalRateOutcome string

// The outcomes.
const (
	OneRate      InternalRateOutcome = "one_rate"
	SeveralRates InternalRateOutcome = "several_rates" // none of them means anything by itself
	NoRate       InternalRateOutcome = "no_rate"       // within the range searched
	EveryRate    InternalRateOutcome = "every_rate"    // there is no flow at all
)

// InternalRates are all yearly rates within the range at which the net present
// value of a flow is nil, in rising order, to 8 places of a per cent.
type InternalRates struct {
	Outcome    InternalRateOutcome `json:"outcome"`
	RatesPct   []float64           `json:"rates_pct"`
	LowestPct  float64             `json:"lowest_pct"`  // of the range searched
	HighestPct float64             `json:"highest_pct"` // of the range searched
	Detail     string              `json:"detail"`
}

// The range searched: from nearly everything lost each year to elevenfold.
const (
	lowestRatePct  = -99
	highestRatePct = 1000
)

// Two rates nearer than about 10^-11 of a per cent are reported as one.
const rateHalvings = 50

// FindInternalRates finds every internal rate of return of yearly flows, the
// first of year 0, at most 101 of them. The flows are the coefficients of a
// polynomial in x = 1 + rate, multiplied out to Σ flow(t) × x^(n−t); its roots
// are separated exactly by Sturm's theorem in whole numbers and then halved in
// on, so none is missed, two do not hide each other, and a rate at which the net
// present value touches nil without crossing it is found too.
func FindInternalRates(flows []decimal.Decimal) (InternalRates, error) {
	if len(flows) == 0 || len(flows) > maxHorizonYears+1 {
		return InternalRates{}, fmt.Errorf("costs: %d yearly flows, want 1 to %d", len(flows), maxHorizonYears+1)
	}
	least := int32(0)
	for _, flow := range flows {
		if tooWide(flow) {
			return InternalRates{}, ErrTooLarge
		}
		least = min(least, flow.Exponent())
	}
	coefficients := make([]*big.Int, len(flows))
	for year, flow := range flows {
		coefficients[len(flows)-1-year] = flow.Shift(-least).BigInt()
	}
	return newInternalRates(coefficients), nil
}

// InternalRates finds the internal rates of return of the difference between
// two flows, a difference of residual values being received at the horizon.
func (c Comparison) InternalRates() (InternalRates, error) {
	if len(c.Years) == 0 {
		return InternalRates{}, errors.New("costs: a comparison of no years")
	}
	last := len(c.Years) - 1
	coefficients := make([]*big.Int, len(c.Years))
	for year, row := range c.Years {
		minor := row.Difference.minor()
		if year == last && c.Residual != nil {
			minor += c.Residual.Amount.minor()
		}
		coefficients[last-year] = big.NewInt(minor)
	}
	return newInternalRates(coefficients), nil
}

func newInternalRates(coefficients []*big.Int) InternalRates {
	found := InternalRates{RatesPct: []float64{}, LowestPct: lowestRatePct, HighestPct: highestRatePct}
	p := newPolynomial(coefficients)
	if len(p) == 0 {
		found.Outcome = EveryRate
		found.Detail = "There is no flow: its value is nil at every rate."
		return found
	}
	found.RatesPct = append(found.RatesPct, roots(p)...)
	switch len(found.RatesPct) {
	case 0:
		found.Outcome = NoRate
		found.Detail = fmt.Sprintf("No rate from %d %% to %d %% makes the net present value nil.", lowestRatePct, highestRatePct)
	case 1:
		found.Outcome = OneRate
		found.Detail = fmt.Sprintf("The net present value is nil at %.2f %% a year.", found.RatesPct[0])
	default:
		found.Outcome = SeveralRates
		found.Detail = fmt.Sprintf("The net present value is nil at %d rates (%s): none of them is a return, so judge by the net present value.", len(found.RatesPct), listRates(found.RatesPct))
	}
	return found
}

func listRates(rates []float64) string {
	texts := make([]string, len(rates))
	for i, rate := range rates {
		texts[i] = fmt.Sprintf("%.2f %%", rate)
	}
	return strings.Join(texts, ", ")
}

// roots finds the rates, in per cent and rising.
func roots(p polynomial) []float64 {
	low, high := big.NewInt(100+lowestRatePct), big.NewInt(100+highestRatePct)
	search := rootSearch{p: p}
	switch p.signChanges() {
	case 0:
		return nil
	case 1: // one root above zero: is it in the range?
		if p.signAt(low, denominatorAt(0)) != p.signAt(high, denominatorAt(0)) {
			search.refine(low, high, 0)
		}
		return search.rates
	}
	search.p, search.chain = p.simple()
	if search.p.signAt(low, denominatorAt(0)) == 0 {
		search.rates = append(search.rates, rateOf(low, 0))
	}
	search.separate(low, high, 0, search.changesAt(low, 0), search.changesAt(high, 0))
	return search.rates
}

// rootSearch finds roots between points numerator ÷ (100 × 2^halvings).
type rootSearch struct {
	p     polynomial
	chain []polynomial
	rates []float64
}

func denominatorAt(halvings uint) *big.Int { return new(big.Int).Lsh(big.NewInt(100), halvings) }

func (s *rootSearch) changesAt(numerator *big.Int, halvings uint) int {
	return chainChanges(s.chain, numerator, denominatorAt(halvings))
}

// separate halves an interval until each part has one root: above low and up to
// high there are as many as the changes of sign differ.
func (s *rootSearch) separate(low, high *big.Int, halvings uint, changesLow, changesHigh int) {
	switch count := changesLow - changesHigh; {
	case count <= 0:
		return
	case count == 1:
		s.refine(low, high, halvings)
		return
	case halvings >= rateHalvings:
		s.rates = append(s.rates, rateOf(high, halvings))
		return
	}
	low, middle, high := halved(low, high)
	changesMiddle := s.changesAt(middle, halvings+1)
	s.separate(low, middle, halvings+1, changesLow, changesMiddle)
	s.separate(middle, high, halvings+1, changesMiddle, changesHigh)
}

// halved doubles the denominator of both ends and finds the middle.
func halved(low, high *big.Int) (twiceLow, middle, twiceHigh *big.Int) {
	return new(big.Int).Lsh(low, 1), new(big.Int).Add(low, high), new(big.Int).Lsh(high, 1)
}

// refine halves in on the one root above low and up to high. Low itself may be
// another root, so only the sign at high is compared with. Where high is the
// root, the sign there is nil, no other point has it, and the upper half is kept
// each time; where low is the only one, the lower half.
func (s *rootSearch) refine(low, high *big.Int, halvings uint) {
	atHigh := s.p.signAt(high, denominatorAt(halvings))
	var middle *big.Int
	for halvings < rateHalvings {
		low, middle, high = halved(low, high)
		halvings++
		switch s.p.signAt(middle, denominatorAt(halvings)) {
		case 0:
			s.rates = append(s.rates, rateOf(middle, halvings))
			return
		case atHigh:
			high = middle
		default:
			low = middle
		}
	}
	_, middle, _ = halved(low, high)
	s.rates = append(s.rates, rateOf(middle, halvings+1))
}

// rateOf turns a point x = 1 + rate into a rate in per cent, to 8 places.
func rateOf(numerator *big.Int, halvings uint) float64 {
	x, _ := new(big.Rat).SetFrac(numerator, denominatorAt(halvings)).Float64()
	rate := math.Round(100*(x-1)*1e8) / 1e8
	return rate + 0 // never minus nought
}
