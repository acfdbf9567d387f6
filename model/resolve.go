package model

import (
	"fmt"
	"slices"
	"time"

	"swardcase/costs"
	"swardcase/model/aeration"
	"swardcase/model/assumption"
	"swardcase/model/climate"
	"swardcase/model/condition"
	"swardcase/model/fault"
	"swardcase/model/outline"
	"swardcase/model/survey"
)

// Resolved is a case with every default written in, and what the computation
// takes from it. Resolving a resolved case changes nothing.
type Resolved struct {
	Case Case

	given       []assumption.Override // as the case gave them
	assumptions assumption.Set
	site        climate.Site
	growthByDay []float64 // growth potential of each day of a 365-day year
	currency    costs.Currency
	shape       *outline.Shape // nil without an outline
}

// Resolve checks what the contract cannot and writes in every default: climate
// normals, measures of the outline, the usual present programme, value scales, terms of money, price
// book and assumptions. It lists every fault of the case at once, as a
// fault.List with pointers into the case.
func Resolve(c Case) (Resolved, error) {
	var faults fault.List
	r := Resolved{Case: c, given: c.Assumptions}
	if c.CaseFormat != CaseFormat {
		faults.Add("/case_format", c.CaseFormat, "this engine reads case_format 1", "write 1")
	}
	set, bad := assumption.Defaults().With(c.Assumptions)
	faults.Under("/assumptions", bad)
	r.assumptions, r.Case.Assumptions = set, set.Overrides()

	r.resolveSite(&faults)
	r.resolveGreen(&faults)
	r.resolveUpkeep(&faults)
	r.resolveAvailable(&faults)
	r.resolveChoices(&faults)
	r.resolveDrains(&faults)
	r.resolveMaterials(&faults)

	r.resolveConfidence(&faults)

	scales := condition.Scales{}
	if c.Scales != nil {
		scales = *c.Scales
	}
	complete, bad := scales.Complete(condition.ParametersFrom(set))
	faults = append(faults, r.home(bad, [2]string{"", "/scales"})...)
	r.Case.Scales = &complete

	if c.Money != nil {
		money, currency, bad := c.Money.complete(set, r.Case.Available != nil && r.Case.Available.TemporaryGreen)
		faults.Under("/money", bad)
		r.Case.Money, r.currency = &money, currency
		r.checkMoneyOutside(&faults)
	}
	return r, faults.Err()
}

func (r *Resolved) resolveSite(faults *fault.List) {
	site := &r.Case.Site
	resolved, bad := climate.Resolve(site.Climate, site.LatitudeDeg, r.climateParameters())
	*faults = append(*faults, r.home(bad, [2]string{"", "/site"})...)
	if len(bad) == 0 {
		normals := resolved.Normals()
		site.Climate = climate.Climate{MonthlyNormals: &normals, DailyRecord: site.Climate.DailyRecord}
		r.site, r.growthByDay = resolved, growthPotentialByDay(resolved, r.climateParameters())
	}
}

// southern reports whether the seasons run half a year ahead.
func (r Resolved) southern() bool { return r.Case.Site.LatitudeDeg < 0 }

func (r *Resolved) resolveGreen(faults *fault.List) {
	green := &r.Case.Green
	r.resolveMeasures(faults)
	if green.Outfall.State == "" {
		green.Outfall.State = OutfallNotKnown
	}
	if green.Outfall.AfterRain == "" {
		green.Outfall.AfterRain = condition.OutfallNotObserved
	}
	if green.Turf.HoldsTogether == "" {
		green.Turf.HoldsTogether = "not_known"
	}
}

// resolveUpkeep writes in the usual present programme where the case names no
// operations.
func (r *Resolved) resolveUpkeep(faults *fault.List) {
	upkeep := &r.Case.Upkeep
	seen := map[string]bool{}
	for i, line := range upkeep.Operations {
		if seen[line.Operation] {
			faults.Add(fault.Pointer("upkeep", "operations", i, "operation"), line.Operation, "this operation is listed twice", "add the times together in one line")
		}
		seen[line.Operation] = true
	}
	if upkeep.PresentProgramme != nil {
		remedy := "write it into present_programme, or leave that out"
		if len(upkeep.Operations) > 0 {
			faults.Add("/upkeep/operations", len(upkeep.Operations), "stands beside present_programme, which lists the operations in full", remedy)
		}
		if sand := upkeep.SandTPerHaPerYear; sand != nil {
			faults.Add("/upkeep/sand_t_per_ha_per_year", *sand, "stands beside present_programme, which has a place for the year's sand", remedy)
		}
		return
	}
	if len(upkeep.Operations) > 0 {
		return
	}
	usual := aeration.TypicalPresent(r.southern(), aeration.ParametersFrom(r.assumptions))
	for _, work := range usual.Works {
		times := 1.0
		if work.TimesPerYear != nil {
			times = *work.TimesPerYear
		} else if len(work.Months) > 0 {
			times = float64(len(work.Months))
		}
		upkeep.Operations = append(upkeep.Operations, UpkeepOperation{Operation: string(work.Operation), TimesPerYear: times})
	}
	if upkeep.SandTPerHaPerYear == nil {
		upkeep.SandTPerHaPerYear = usual.SandTPerHaPerYear
	}
}

// leadMonths is the least time from survey to works: laboratory tests, tender,
// turf order, approvals and spoil classification take nine to fifteen months in
// all. Common practice, no source.
const leadMonths = 9

// mostYearsAhead is the longest time from survey to works. Judgement: a green is
// another one by then, and what could grow or be saved meanwhile has no bounds.
const mostYearsAhead = 20

// resolveAvailable puts the start, where the case gives none, in the first
// October (April south of the equator) that leaves the usual lead time after
// the survey: works begun in autumn let turf settle before winter. Common
// practice, no source.
func (r *Resolved) resolveAvailable(faults *fault.List) {
	surveyed, dated := r.surveyMonth()
	if r.Case.Available != nil {
		available := *r.Case.Available
		r.Case.Available = &available
		if !dated || surveyed.Year < survey.FirstYear {
			return // the survey's own check names the date
		}
		const at = "/available/first_month"
		first := available.FirstMonth
		switch months := first.MonthsSince(surveyed); {
		case months < 0:
			faults.Add(at, first, "lies before the survey of "+r.Case.Survey.SurveyedOn, "give the first month in which works could begin")
		case months > 12*mostYearsAhead:
			faults.Add(at, first, fmt.Sprintf("lies more than %d years after the survey of %s", mostYearsAhead, r.Case.Survey.SurveyedOn),
				"give the first month in which works could begin, or survey the green again: readings as old as that say nothing of it")
		}
		return
	}
	if !dated {
		return // the survey's own check names the date
	}
	month := surveyed.AddMonths(leadMonths)
	autumn := time.October
	if r.southern() {
		autumn = time.April
	}
	for month.Month != autumn {
		month = month.AddMonths(1)
	}
	r.Case.Available = &Available{FirstMonth: month}
}

// surveyMonth is the month of the survey; false where its date is none.
func (r Resolved) surveyMonth() (costs.YearMonth, bool) {
	day, err := time.Parse(time.DateOnly, r.Case.Survey.SurveyedOn)
	return costs.YearMonth{Year: day.Year(), Month: day.Month()}, err == nil
}

func (r *Resolved) resolveChoices(faults *fault.List) {
	choices := &r.Case.Choices
	if choices.SupplierTurfSoil == "" {
		choices.SupplierTurfSoil = "sand"
	}
	seen := map[Option]bool{}
	for i, e := range choices.Expectations {
		at := fault.Pointer("choices", "expectations", i)
		switch {
		case !slices.Contains(Options(), e.Option):
			faults.Add(at+"/option", e.Option, "there is no such option", fmt.Sprintf("give one of %v", Options()))
		case seen[e.Option]:
			faults.Add(at+"/option", e.Option, "this option has two expectations", "keep one of them")
		case e.Option == Yardstick && e.WorkingLifeYears != nil:
			faults.Add(at+"/working_life_years", *e.WorkingLifeYears, "the present programme has no working life", "leave it out")
		case e.MonthsPlayable == nil && e.WorkingLifeYears == nil:
			faults.Add(at, e.Option, "this expectation expects nothing", "give months_playable or working_life_years")
		}
		seen[e.Option] = true
	}
}

// resolveConfidence writes in the usual number of draws.
func (r *Resolved) resolveConfidence(faults *fault.List) {
	var settings ConfidenceSettings
	if given := r.Case.Confidence; given != nil {
		settings = *given
	}
	if settings.Draws == nil {
		draws := int(r.assumptions.Likely("confidence_draws"))
		settings.Draws = &draws
	}
	if n := *settings.Draws; n != 0 && (n < leastDraws || n > mostDraws) {
		faults.Add("/confidence/draws", n, "a number of draws that is of no use", fmt.Sprintf("ask for %d to %d draws, or 0 for none", leastDraws, mostDraws))
	}
	r.Case.Confidence = &settings
}

// The draws that the contract allows besides none.
const leastDraws, mostDraws = 100, 100_000

// checkMoneyOutside holds amounts elsewhere in the case to its currency.
func (r *Resolved) checkMoneyOutside(faults *fault.List) {
	check := func(pointer string, amount *costs.Money) {
		if amount == nil {
			return
		}
		if amount.Currency() != r.currency {
			faults.Add(pointer+"/currency", amount.Currency(), "not the currency of the case", "write it in "+r.Case.Money.Currency)
		}
		if amount.Sign() < 0 {
			faults.Add(pointer+"/amount", amount, "this amount cannot be negative", "give 0 or more")
		}
	}
	check("/upkeep/cost_per_year", r.Case.Upkeep.CostPerYear)
	check("/requirements/capital_ceiling", r.Case.Requirements.CapitalCeiling)
}
