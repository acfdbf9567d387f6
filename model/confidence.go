package model

import (
	"context"
	"math"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model/confidence"
	"swardcase/model/fault"
)

// ConfidenceSettings are how many draws to make, and from which seed.
type ConfidenceSettings struct {
	// Draws is 0 for none, or 100 to 100,000; nil stands for the assumption
	// confidence_draws.
	Draws *int  `json:"draws,omitempty"`
	Seed  int64 `json:"seed"` // 0 to 2⁵³ − 1
}

// Confidence says how far the answer may move: what many draws of the uncertain
// inputs make of every option. The same case, seed and engine version give the
// same draws, whatever the number of processors.
type Confidence struct {
	Draws int   `json:"draws"`
	Seed  int64 `json:"seed"`
	// Inputs are what is drawn, each by itself; all options see the same draw.
	Inputs []confidence.Input `json:"inputs"`
	// NoOption is how often no option could be done and met every requirement.
	NoOption confidence.ProbabilityWithError `json:"no_option"`
	// TiedDraws is in how many draws the best option had an equal, and won by
	// standing before it in the table.
	TiedDraws int                `json:"tied_draws"`
	Options   []OptionConfidence `json:"options"`
	// Tornado is of the advised option's net present value, less the runner-up's
	// where there is one.
	Tornado Tornado `json:"tornado"`
	// BreakEvens are the values at which that figure changes its sign.
	BreakEvens []BreakEven `json:"break_evens"`
}

// OptionConfidence is what the draws say of one option.
type OptionConfidence struct {
	Option            Option                          `json:"option"`
	MeetsRequirements confidence.ProbabilityWithError `json:"meets_requirements"`
	Requirements      []RequirementMet                `json:"requirements"`
	// Best is how often it had the highest net present value of the options that
	// could be done and met every requirement.
	Best                confidence.ProbabilityWithError `json:"best"`
	Capital             MoneyBand                       `json:"capital"`
	NetPresentValue     MoneyBand                       `json:"net_present_value"`
	PaybackYears        NumberBand                      `json:"payback_years"`
	MonthsPlayableYear5 NumberBand                      `json:"months_playable_year_5"`
	IndexYear5          NumberBand                      `json:"index_year_5"`
	MonthsOutOfPlay     NumberBand                      `json:"months_out_of_play"`
}

// RequirementMet is how often one requirement of the club is met.
type RequirementMet struct {
	Requirement string                          `json:"requirement"`
	Met         confidence.ProbabilityWithError `json:"met"`
}

// MoneyBand is how an amount spreads over the draws: in a tenth of them it is at
// most P10, in half at most P50, and so on.
type MoneyBand struct {
	P10               costs.Money `json:"p10"`
	P50               costs.Money `json:"p50"`
	P80               costs.Money `json:"p80"`
	P90               costs.Money `json:"p90"`
	Mean              costs.Money `json:"mean"`
	StandardDeviation costs.Money `json:"standard_deviation"`
}

// NumberBand is how a number spreads over the draws. Draws without it, as those
// in which an option never pays back, count as lying above every value; a
// quantile among them is null. Absent is how often that is.
type NumberBand struct {
	P10    *float64                        `json:"p10"`
	P50    *float64                        `json:"p50"`
	P80    *float64                        `json:"p80"`
	P90    *float64                        `json:"p90"`
	Absent confidence.ProbabilityWithError `json:"absent"`
}

// drawConfidence makes the draws of a study, or returns nil where the case asks for none.
func (a *appraiser) drawConfidence(study confidence.Study) (*Confidence, error) {
	settings := a.Case.Confidence
	if *settings.Draws == 0 {
		return nil, nil
	}
	result, err := study.Run(context.Background(), confidence.Settings{Draws: *settings.Draws, Seed: settings.Seed}, confidence.ParametersFrom(a.assumptions))
	if err != nil {
		return nil, a.underConfidence(err)
	}
	c := &Confidence{
		Draws: result.Draws, Seed: result.Seed, Inputs: study.Inputs, NoOption: result.NoOption, TiedDraws: result.TiedDraws,
		Options: make([]OptionConfidence, len(result.Options)), BreakEvens: []BreakEven{},
	}
	for i, o := range result.Options {
		if c.Options[i], err = a.optionConfidence(o); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// requirementNames are the requirements by the outcome that they bound.
var requirementNames = map[string]string{
	"months_playable_year_5": "least_months_playable",
	"index_year_5":           "least_index",
	"months_out_of_play":     "most_months_out_of_play",
	"capital":                "capital_ceiling",
}

func (a *appraiser) optionConfidence(o confidence.OptionResult) (OptionConfidence, error) {
	out := OptionConfidence{Option: Option(o.Option), MeetsRequirements: o.MeetsRequirements, Best: o.Best, Requirements: []RequirementMet{}}
	for _, r := range o.Requirements {
		out.Requirements = append(out.Requirements, RequirementMet{requirementNames[r.Outcome], r.Met})
	}
	var err error
	if out.NetPresentValue, err = a.moneyBand(o.Outcomes[outcomeValue]); err != nil {
		return out, err
	}
	out.Capital, err = a.moneyBand(o.Outcomes[outcomeCapital])
	out.PaybackYears = numberBand(o.Outcomes[outcomePayback])
	out.MonthsPlayableYear5 = numberBand(o.Outcomes[outcomeMonths])
	out.IndexYear5 = numberBand(o.Outcomes[outcomeIndex])
	out.MonthsOutOfPlay = numberBand(o.Outcomes[outcomeMonthsOut])
	return out, err
}

func (a *appraiser) moneyBand(b confidence.QuantileBand) (MoneyBand, error) {
	var m MoneyBand
	for _, part := range []struct {
		to   *costs.Money
		from *float64
	}{{&m.P10, b.P10}, {&m.P50, b.P50}, {&m.P80, b.P80}, {&m.P90, b.P90}, {&m.Mean, b.Mean}, {&m.StandardDeviation, b.StandardDeviation}} {
		if part.from == nil { // beyond any amount: the appraisal itself would have refused it
			return m, costs.ErrTooLarge
		}
		var err error
		if *part.to, err = a.amount(*part.from); err != nil {
			return m, err
		}
	}
	return m, nil
}

// amount rounds a figure of a draw to the currency's smallest coin.
func (a *appraiser) amount(x float64) (costs.Money, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return costs.Money{}, costs.ErrTooLarge
	}
	return costs.NewMoney(decimal.NewFromFloat(x).Round(a.currency.Places()), a.currency)
}

func numberBand(b confidence.QuantileBand) NumberBand {
	shown := func(x *float64) *float64 {
		if x == nil {
			return nil
		}
		cut := roundTo(*x, 1000)
		return &cut
	}
	return NumberBand{P10: shown(b.P10), P50: shown(b.P50), P80: shown(b.P80), P90: shown(b.P90), Absent: b.Absent}
}

// of gives the confidence of one option.
func (c *Confidence) of(o Option) OptionConfidence {
	for _, option := range c.Options {
		if option.Option == o {
			return option
		}
	}
	return OptionConfidence{Option: o}
}

// underConfidence gives the faults of the draws their place in the case.
func (a *appraiser) underConfidence(err error) error {
	list, ok := err.(fault.List)
	if !ok {
		return err
	}
	return a.home(list, [2]string{"/settings", "/confidence"}, [2]string{"", "/assumptions"})
}
