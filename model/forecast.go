package model

import (
	"fmt"
	"math"

	"swardcase/costs"
	"swardcase/model/water"
)

// Forecast is what an option is expected to do for play: the days open on the
// main green for each month of each year, with what they follow from.
type Forecast struct {
	Years []ForecastYear `json:"years"`
	// WorkingLifeYears is how long it is until the works are due again: the usual
	// life of such works, or sooner where the green falls below the club's
	// requirement. It is null for an option without works.
	WorkingLifeYears *float64 `json:"working_life_years"`
	// FallsBelowYear is the year in which the option, having met the club's least
	// months playable, falls below it; null where it does not in the horizon.
	FallsBelowYear *int `json:"falls_below_year"`
	// MonthsPlayableYear5 is the mean of the option's fifth year.
	MonthsPlayableYear5 float64 `json:"months_playable_year_5"`
	// Stated is what the consultant expects instead, when the case says so.
	Stated *StatedExpectation `json:"stated,omitempty"`
}

// StatedExpectation sets the consultant's expectation beside the forecast that
// it overrides.
type StatedExpectation struct {
	MonthsPlayable         *float64 `json:"months_playable,omitempty"`
	ForecastMonthsPlayable float64  `json:"forecast_months_playable"`
	WorkingLifeYears       *float64 `json:"working_life_years,omitempty"`
	ForecastLifeYears      *float64 `json:"forecast_working_life_years,omitempty"`
	Reason                 string   `json:"reason,omitempty"`
	// Note says where the expectation could not be met in full.
	Note string `json:"note,omitempty"`
}

// ForecastYear is one year counted from first_month. The twelve entries of
// each list are the months in order from first_month; the state is that of the
// middle of the year.
type ForecastYear struct {
	Year int `json:"year"`
	// MonthsPlayable is the sum over the twelve months of the share of the
	// month that the main green is open.
	MonthsPlayable float64     `json:"months_playable"`
	PlayableDays   [12]float64 `json:"playable_days"`
	// OutOfPlayDays is the days given up to works and establishment.
	OutOfPlayDays [12]float64 `json:"out_of_play_days"`
	// InfiltrationMMPerH is what a ring would read.
	InfiltrationMMPerH      float64 `json:"infiltration_mm_per_h"`
	DischargeMMPerDay       float64 `json:"discharge_mm_per_day"`
	ThatchDepthMM           float64 `json:"thatch_depth_mm"`
	OrganicMatterTop20MMPct float64 `json:"organic_matter_top_20_mm_pct"`
	AnnualMeadowGrassPct    float64 `json:"annual_meadow_grass_pct"`
	// Reasons tell the turns of the year; most years have none.
	Reasons []string `json:"reasons"`

	// lostToWorks is the days that would have been open but for the works.
	lostToWorks [12]float64
}

// ageYear is a green in one year of an option's age: of the works since they
// opened, or of a programme since first_month.
type ageYear struct {
	lost      [12]float64 // the green's own lost days by calendar month
	ring      water.RingMMPerH
	discharge float64
	thatch    float64
	organic   float64
	grass     float64
	reasons   []string
}

// ages works out an option year by year of its age, one more than the horizon,
// and those beyond it that later starts look at.
func (a *appraiser) ages(out OptionAppraisal) ([]ageYear, error) {
	path, err := a.swardOf(out)
	if err != nil {
		return nil, err
	}
	rates, p := a.ratesOf(out), water.ParametersFrom(a.assumptions)
	ages := make([]ageYear, a.followedYears())
	for age := range ages {
		y := &ages[age]
		y.thatch, y.organic, y.grass = path.at(age)
		y.ring, y.discharge = rates.ring(age, y.organic), rates.discharge(age)
		y.lost = a.play.lostByMonth(y.ring, y.discharge, y.thatch, p)
		y.reasons = append([]string{}, path.reasons(age)...)
		if age > 0 && out.Option.Route() == LayeredRebuild {
			if s := rateReason(age, ages[age-1].ring, y.ring); s != "" {
				y.reasons = append(y.reasons, s)
			}
		}
	}
	return ages, nil
}

// agesOf is ages, but for the present programme's, which every option shares.
func (a *appraiser) agesOf(out OptionAppraisal) ([]ageYear, error) {
	if out.Option == Yardstick {
		return a.present, nil
	}
	return a.ages(out)
}

// forecast gives the playable days of one option over the horizon. What the
// consultant expects overrides it; both are shown.
func (a *appraiser) forecast(out OptionAppraisal) (Forecast, error) {
	ages := out.ages
	if ages == nil {
		var err error
		if ages, err = a.agesOf(out); err != nil {
			return Forecast{}, err
		}
	}
	in := a.forecastInput(out, ages)
	plain := in.run()
	stated := a.expectation(out.Option)
	if stated == nil {
		return plain, nil
	}
	shown := StatedExpectation{
		MonthsPlayable: stated.MonthsPlayable, WorkingLifeYears: stated.WorkingLifeYears, Reason: stated.Reason,
		ForecastMonthsPlayable: plain.MonthsPlayableYear5, ForecastLifeYears: plain.WorkingLifeYears,
	}
	if life := stated.WorkingLifeYears; life != nil && out.Design != nil {
		in.lifeYears = max(1, int(math.Round(*life)))
	}
	if months := stated.MonthsPlayable; months != nil {
		shown.Note = in.reach(*months)
	}
	overridden := in.run()
	overridden.Stated = &shown
	return overridden, nil
}

// forecastInput is what the days of one option follow from.
type forecastInput struct {
	firstMonth   costs.YearMonth
	horizonYears int
	other        LostDays // for the days that no option gives back
	before       []ageYear
	ages         []ageYear
	// lifeYears is the life of the works in whole years; 0 without works.
	lifeYears int
	// outOfPlay is the days out of play by month from first_month, repeated at
	// each renewal; opensMonth is the month, so counted, in which the green opens.
	outOfPlay  []float64
	opensMonth int
	required   *float64 // least months playable
}

func (a *appraiser) forecastInput(out OptionAppraisal, ages []ageYear) forecastInput {
	in := forecastInput{
		firstMonth:   a.Case.Available.FirstMonth,
		horizonYears: a.horizonYears(),
		other:        a.report.LostDays,
		before:       a.present,
		ages:         ages,
		required:     a.Case.Requirements.LeastMonthsPlayable,
	}
	if out.Timeline != nil {
		in.outOfPlay, in.opensMonth = out.Timeline.outOfPlay, out.Timeline.opensMonth
	}
	if out.Design != nil {
		in.lifeYears = in.life(out.Design.WorkingLifeYears.Likely)
		if out.heldLife > 0 {
			in.lifeYears = max(1, min(out.heldLife, int(math.Round(out.Design.WorkingLifeYears.Likely))))
		}
	}
	return in
}

// life is the usual life of the works, cut short where the months playable,
// having met the requirement, fall below it.
func (in forecastInput) life(usualYears float64) int {
	usual := max(1, int(math.Round(usualYears)))
	if in.required == nil || in.months(0) < *in.required {
		return usual
	}
	for age := 1; age < min(usual, len(in.ages)); age++ {
		if in.months(age) < *in.required {
			return age
		}
	}
	return usual
}

// months is the months playable of a whole year at an age.
func (in forecastInput) months(age int) float64 {
	lost := in.other
	lost.WaterloggedGreenDays = in.ages[age].lost
	return lost.monthsPlayable()
}

// reach moves the green's own lost days, at every age alike, so that a year at
// full effect has the months playable that the consultant expects: towards
// none where more is expected than was forecast, towards today's where less is.
// It returns what it could not do.
func (in *forecastInput) reach(months float64) string {
	at := min(expectedYear, len(in.ages)) - 1
	now, target := in.months(at), [12]float64{}
	note := "more than the green's own lost days would give back: capped there"
	if months < now {
		target = in.before[0].lost
		note = "fewer months than the present programme has: taken as no gain"
	}
	with := func(share float64) forecastInput {
		moved := *in
		moved.ages = make([]ageYear, len(in.ages))
		for age, year := range in.ages {
			for month := range year.lost {
				year.lost[month] += share * (target[month] - year.lost[month])
			}
			moved.ages[age] = year
		}
		return moved
	}
	end := with(1).months(at)
	if math.Abs(end-now) < 1e-9 || (months-end)*(end-now) > 0 {
		*in = with(1)
		return note
	}
	*in = with((months - now) / (end - now))
	return ""
}

// run lays the ages of an option on the calendar: the present programme until
// the works start, out of play until the green opens, and then age by age until
// the life is over and the works are done again.
func (in forecastInput) run() Forecast {
	months := in.horizonYears * 12
	out := in.outOfPlayByMonth(months)
	forecast := Forecast{Years: make([]ForecastYear, in.horizonYears)}
	if in.lifeYears > 0 {
		life := float64(in.lifeYears)
		forecast.WorkingLifeYears = &life
	}
	for index := range months {
		year := &forecast.Years[index/12]
		state := in.stateAt(index)
		calendar := monthIn(in.firstMonth, index)
		length := monthDays[calendar]
		open := max(0, length-in.other.other(calendar)-state.lost[calendar])
		away := min(length, out[index])
		// Days out of play fall on open and closed days alike.
		year.PlayableDays[index%12] = open * (1 - away/length)
		year.OutOfPlayDays[index%12] = away
		year.lostToWorks[index%12] = open * away / length
		year.MonthsPlayable += year.PlayableDays[index%12] / length
	}
	for i := range forecast.Years {
		forecast.Years[i].describe(i, in)
	}
	forecast.MonthsPlayableYear5 = forecast.Years[min(expectedYear, in.horizonYears)-1].MonthsPlayable
	forecast.FallsBelowYear = in.fallsBelow(forecast.Years)
	return forecast
}

// stateAt is the green in a month from first_month.
func (in forecastInput) stateAt(index int) *ageYear {
	if index < in.opensMonth {
		return &in.before[min(index/12, len(in.before)-1)]
	}
	return &in.ages[min(in.ageAt(index), len(in.ages)-1)]
}

// ageAt is the age in whole years in a month after opening.
func (in forecastInput) ageAt(index int) int {
	age := (index - in.opensMonth) / 12
	if in.lifeYears > 0 {
		age %= in.lifeYears
	}
	return age
}

// describe fills in the state of the middle of a year and cuts figures to what
// they can say.
func (y *ForecastYear) describe(i int, in forecastInput) {
	state := in.stateAt(12*i + 6)
	y.Year = i + 1
	y.InfiltrationMMPerH = roundTo(float64(state.ring), 100)
	y.DischargeMMPerDay = roundTo(state.discharge, 100)
	y.ThatchDepthMM = roundTo(state.thatch, 100)
	y.OrganicMatterTop20MMPct = roundTo(state.organic, 100)
	y.AnnualMeadowGrassPct = roundTo(state.grass, 100)
	y.Reasons = append([]string{}, state.reasons...)
	if in.lifeYears > 0 && 12*i >= in.opensMonth && i > 0 && in.ageAt(12*i+6) < in.ageAt(12*i-6) {
		y.Reasons = append(y.Reasons, fmt.Sprintf("the works are done again, %d years after they opened", in.lifeYears))
	}
	for month := range y.PlayableDays {
		y.PlayableDays[month] = roundTo(y.PlayableDays[month], 1000)
		y.OutOfPlayDays[month] = roundTo(y.OutOfPlayDays[month], 1000)
		y.lostToWorks[month] = roundTo(y.lostToWorks[month], 1000)
	}
	y.MonthsPlayable = roundTo(y.MonthsPlayable, 10_000)
}

func roundTo(value, parts float64) float64 { return math.Round(value*parts) / parts }

// fallsBelow finds the first whole year, after one that met the requirement and
// without works in it, that does not.
func (in forecastInput) fallsBelow(years []ForecastYear) *int {
	if in.required == nil {
		return nil
	}
	met := false
	for _, year := range years {
		switch {
		case sum(year.OutOfPlayDays) > 0:
		case year.MonthsPlayable >= *in.required:
			met = true
		case met:
			first := year.Year
			return &first
		}
	}
	return nil
}

// outOfPlayByMonth repeats the option's out-of-play days at the start of each
// working life.
func (in forecastInput) outOfPlayByMonth(months int) []float64 {
	out := make([]float64, months)
	for _, start := range append([]int{0}, renewalMonths(in.lifeYears, months)...) {
		for offset, days := range in.outOfPlay {
			if at := start + offset; at < months {
				out[at] += days
			}
		}
	}
	return out
}

// renewalMonths lists the months, counted from first_month, in which the works
// are done again within the horizon: none without a life.
func renewalMonths(lifeYears, months int) []int {
	var starts []int
	if life := 12 * lifeYears; life > 0 {
		for start := life; start < months; start += life {
			starts = append(starts, start)
		}
	}
	return starts
}

func (a *appraiser) expectation(o Option) *Expectation {
	for i := range a.Case.Choices.Expectations {
		if a.Case.Choices.Expectations[i].Option == o {
			return &a.Case.Choices.Expectations[i]
		}
	}
	return nil
}

// monthIn is the calendar month, 0 for January, so many months after another.
func monthIn(first costs.YearMonth, index int) int { return (int(first.Month) - 1 + index) % 12 }
