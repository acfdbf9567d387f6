package model

import (
	"time"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/condition"
	"swardcase/model/fault"
	"swardcase/model/layered"
	"swardcase/model/sward"
)

// Appraisal is the whole answer for one green.
type Appraisal struct {
	EngineVersion string `json:"engine_version"`
	// Case is the resolved case: every default that the answer rests on.
	Case      Case            `json:"case"`
	Condition ConditionReport `json:"condition"`
	// PriceStamp warns where the prices are not quotations.
	PriceStamp   string        `json:"price_stamp"`
	Enabling     EnablingWorks `json:"enabling_works"`
	Weather      Weather       `json:"weather"`
	Calibration  Calibration   `json:"calibration"`
	EnablingBill costs.Bill    `json:"enabling_bill"`
	// Programmes are the yearly programmes that the options name.
	Programmes     []YearlyProgramme `json:"programmes"`
	Options        []OptionAppraisal `json:"options"`
	Recommendation Recommendation    `json:"recommendation"`
	// Confidence is null where the case asks for no draws.
	Confidence *Confidence `json:"confidence"`
	// Worth is how the worth of a playable month follows from the accounts; empty
	// where it was given outright.
	Worth []WorthOfMonth `json:"worth"`
	// Financing is null where the case has no loan.
	Financing *Financing `json:"financing"`
	// Workings trace the main figures of every option.
	Workings    []Working               `json:"workings"`
	Cautions    []string                `json:"cautions"`
	Assumptions []assumption.Assumption `json:"assumptions"`
}

// OptionAppraisal is one option worked through.
type OptionAppraisal struct {
	Option Option `json:"option"`
	Words  string `json:"words"`
	// Package is the part of the green that a partial renovation touches, and
	// PackageReason why that one.
	Package       string `json:"package,omitempty"`
	PackageReason string `json:"package_reason,omitempty"`
	// Drains says where the design's drains come from; empty for options without
	// works.
	Drains DrainChoice `json:"drains"`
	// Design and Timeline are null for options without works. The design's
	// quantities stand priced in the bill of the works, and only there.
	Design   *layered.Design `json:"design"`
	Timeline *Timeline       `json:"timeline"`
	// Programme names the yearly programme that the option is kept up by.
	Programme       string            `json:"programme"`
	MonthsOutOfPlay float64           `json:"months_out_of_play"`
	Forecast        Forecast          `json:"forecast"`
	Expected        ExpectedCondition `json:"expected_condition"`
	Money           *OptionMoney      `json:"money"`
	// Infeasible lists why the option cannot be done at all; Shortfalls which
	// requirements of the club it misses. Passes is true when both are empty.
	Infeasible []Reason    `json:"infeasible"`
	Shortfalls []Shortfall `json:"shortfalls"`
	Passes     bool        `json:"passes"`
	// Reasons are what speaks for and against it beyond the figures.
	Reasons  []string `json:"reasons"`
	Cautions []string `json:"cautions"`

	// weeksFrom is how long the works take when they start in a calendar month.
	weeksFrom func(time.Month) (float64, error)
	// ages is the green by age, where it has been worked out already: it does not
	// depend on when the works happen.
	ages []ageYear
	// heldLife, where it is set, takes the place of looking for the year in which
	// the green falls below the requirement: the life ends there at the latest.
	heldLife int
}

// YearlyProgramme is a year's upkeep with its price.
type YearlyProgramme struct {
	ProgrammeYear
	Bill costs.Bill `json:"bill"`
}

// Appraise resolves a case and works through the yardstick and the seven
// options. The error is a fault.List when the case has faults, all of them at
// once.
func Appraise(c Case) (Appraisal, error) { return AppraiseWith(c, noKeeper{}) }

// AppraiseWith is Appraise with a keeper of playability curves, for callers
// with many cases.
func AppraiseWith(c Case, keeper CurveKeeper) (Appraisal, error) {
	var missing fault.List
	if c.Money == nil {
		missing.Add("/money", nil, "an appraisal needs the terms of money", "give the currency and the worth of a playable month of this green, January first")
	}
	a, err := newAppraiser(c, missing)
	if err != nil {
		return Appraisal{}, err
	}
	return a.appraise(keeper)
}

// newAppraiser resolves a case and judges its green. It lists every fault of
// the case at once, with those that the caller has found.
func newAppraiser(c Case, found fault.List) (*appraiser, error) {
	resolved, resolveErr := Resolve(c)
	if c.Survey.MonthsPlayable == nil {
		found.Add("/survey/months_playable", nil, "a forecast needs the months playable", "record the closed days by month and cause, or give value_months")
	}
	report, judgeErr := resolved.judge()
	if err := joinFaults(resolveErr, found.Err(), judgeErr); err != nil {
		return nil, err
	}
	a := &appraiser{Resolved: resolved, report: report}
	diagnosis := report.Condition.Diagnosis
	a.enabling = a.enablingWorks(causes{diagnosis.SurfaceShare, diagnosis.DischargeShare, diagnosis.OtherShare})
	var err error
	if a.programmes, err = a.buildProgrammes(); err != nil {
		return nil, err
	}
	return a, a.draw()
}

// appraiser holds what the options share while one case is appraised.
type appraiser struct {
	Resolved
	report     ConditionReport
	enabling   EnablingWorks
	programmes programmes
	purse      purse // only where the case has terms of money
	scorer     condition.Scorer
	play       play
	present    []ageYear // the present programme, year by year
	drawn      *drawn    // nil without an outline

	// ahead is how many years beyond the horizon greens are followed, and later
	// the green as it stands where works start later than in first_month; nil for
	// a start in that.
	ahead int
	later *sward.State
}

// options works through the yardstick and the seven options and sets each
// against the yardstick and the club's requirements.
func (a *appraiser) options(keeper CurveKeeper) ([]OptionAppraisal, error) {
	var err error
	if a.purse, err = a.openTerms(); err != nil {
		return nil, err
	}
	if err = a.openForecasts(keeper); err != nil {
		return nil, err
	}
	var options []OptionAppraisal
	for _, option := range Options() {
		appraised, err := a.appraiseOption(option)
		if err != nil {
			return nil, err
		}
		options = append(options, appraised)
	}
	if err := a.priceAll(options); err != nil {
		return nil, err
	}
	return options, tooLarge(a.compare(options))
}

func (a *appraiser) appraise(keeper CurveKeeper) (Appraisal, error) {
	options, err := a.options(keeper)
	if err != nil {
		return Appraisal{}, err
	}
	out := Appraisal{
		EngineVersion: EngineVersion,
		Case:          a.Case,
		Condition:     a.report,
		PriceStamp:    a.priceStamp(),
		Enabling:      a.enabling,
		Weather:       a.weatherBasis(),
		Calibration:   a.calibration(),
		EnablingBill:  a.purse.enabling,
		Options:       options,
		Assumptions:   a.assumptions.All(),
	}
	for i, calendar := range a.programmes.all() {
		out.Programmes = append(out.Programmes, YearlyProgramme{a.programmes.year(i), a.purse.yearlyBills[calendar.ProgrammeName]})
	}
	if err := a.advise(&out); err != nil {
		return Appraisal{}, err
	}
	if out.Worth, err = a.worthDerivation(); err != nil {
		return Appraisal{}, err
	}
	if out.Financing, err = a.finance(out.Options); err != nil {
		return Appraisal{}, err
	}
	for i := range out.Options { // here and not with the rest: it takes long, and no comparison needs it
		m := out.Options[i].Money
		if m.InternalRates, err = m.AgainstPresent.InternalRates(); err != nil {
			return Appraisal{}, err
		}
	}
	traced, err := a.workings(out.Options, false)
	if err != nil {
		return Appraisal{}, err
	}
	out.Workings = traced.list
	out.Cautions = a.cautions(out)
	for i := range out.Options {
		out.Options[i].dropPricedQuantities()
	}
	return out, nil
}

// advise draws the options, if the case asks for it, and recommends one.
func (a *appraiser) advise(out *Appraisal) error {
	choice := a.choose(out.Options)
	if *a.Case.Confidence.Draws > 0 {
		study, err := a.study(out.Options)
		if err != nil {
			return err
		}
		if out.Confidence, err = a.drawConfidence(study); err != nil {
			return err
		}
		if err = a.tornado(out.Confidence, study, choice.Option, choice.RunnerUp); err != nil {
			return err
		}
	}
	out.Recommendation = a.recommend(choice, out.Options, out.Confidence)
	return nil
}

// openForecasts works out what the forecasts of all options share.
func (a *appraiser) openForecasts(keeper CurveKeeper) error {
	var bad fault.List
	if a.scorer, bad = condition.NewScorer(*a.Case.Scales, condition.ParametersFrom(a.assumptions)); len(bad) > 0 {
		return bad
	}
	err := a.openPlay(keeper)
	if err == nil {
		a.present, err = a.ages(OptionAppraisal{Option: Yardstick})
	}
	return err
}

// appraiseOption designs an option, places it in the calendar and forecasts
// what it does. Its money against the yardstick and the screens follow in
// compare.
func (a *appraiser) appraiseOption(o Option) (OptionAppraisal, error) {
	out := OptionAppraisal{
		Option: o, Words: o.Words(), Programme: a.programmes.of(o).ProgrammeName,
		Infeasible: []Reason{}, Shortfalls: []Shortfall{}, Reasons: []string{}, Cautions: []string{},
	}
	if o.HasWorks() {
		if err := a.design(&out); err != nil {
			return OptionAppraisal{}, err
		}
	}
	var err error
	if out.ages, err = a.agesOf(out); err != nil {
		return OptionAppraisal{}, err
	}
	if out.Forecast, err = a.forecast(out); err != nil {
		return OptionAppraisal{}, err
	}
	out.Expected = a.expectedCondition(out)
	out.surfaceReasons(a)
	if o == Option(IntensifiedAeration) && a.report.Condition.Diagnosis.Trial.Verdict == condition.TriedAndFailed {
		out.infeasible("tried_and_failed", "An intensified programme has had a fair trial on this green and did not mend it: it is not advised again.")
	}
	return out, nil
}

// dropPricedQuantities leaves the quantities to the bill, so that an answer
// does not carry each of them twice.
func (o *OptionAppraisal) dropPricedQuantities() {
	if o.Design != nil {
		o.Design.Quantities, o.Design.AftercareYear1, o.Design.AftercareYear2 = []layered.Quantity{}, []layered.Quantity{}, []layered.Quantity{}
	}
}
