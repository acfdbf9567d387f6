package model

import (
	"math"

	"swardcase/costs"
)

// Forecast is what an option is expected to do for play: the days open on the
// main green for each month of each year.
type Forecast struct {
	Years []ForecastYear `json:"years"`
	// WorkingLifeYears is how long the option's gain lasts before the works
	// are due again; the yardstick has none.
	WorkingLifeYears *float64 `json:"working_life_years"`
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
// each list are the months in order from first_month.
type ForecastYear struct {
	Year int `json:"year"`
	// MonthsPlayable is the sum over the twelve months of the share of the
	// month that the main green is open.
	MonthsPlayable float64     `json:"months_playable"`
	PlayableDays   [12]float64 `json:"playable_days"`
	// OutOfPlayDays is the days given up to works and establishment.
	OutOfPlayDays [12]float64 `json:"out_of_play_days"`

	// lostToWorks is the days that would have been open but for the works.
	lostToWorks [12]float64
}

// forecastInput is what the forecast of one option needs.
type forecastInput struct {
	firstMonth   costs.YearMonth
	horizonYears int
	lost         LostDays // today, once the enabling works are done
	decline      decline
	effect       effect
	// outOfPlay is the days out of play by month from first_month; it is
	// repeated at each renewal.
	outOfPlay []float64
	// opensMonth is the month from first_month in which the green reopens; the
	// gain starts there. An option without works opens in month 0.
	opensMonth int
}

// decline is how the present programme loses ground.
type decline struct {
	daysPerYear float64
	limitRatio  float64
}

// effect is what an option gives back of the days that the green loses today.
type effect struct {
	share       float64 // of today's lost days, 0 to 1, at full effect
	rampYears   float64 // years until full effect; 0 for at once
	lifeYears   float64 // 0: as long as it is kept up
	leftAtEnd   float64 // share of the gain left at the end of the life
	isYardstick bool
}

// forecastOption gives the playable days of one option.
//
// The green's own lost days are today's, less the share that the option gives
// back of the days laid to each diagnosed cause. The present programme loses
// more each year, up to a limit; an option never loses more than it. A gain
// from works is whole for the first half of the working life and then falls
// evenly to the share left at its end, when the works are done again and the
// green goes out of play as at first. Shares and lives are assumptions
// (judgement, no source), shown in the report.
func forecastOption(in forecastInput) Forecast {
	months := in.horizonYears * 12
	out := outOfPlayByMonth(in, months)
	forecast := Forecast{Years: make([]ForecastYear, in.horizonYears)}
	if in.effect.lifeYears > 0 {
		life := in.effect.lifeYears
		forecast.WorkingLifeYears = &life
	}
	today := in.lost.GreenDays()
	for index := range months {
		year := &forecast.Years[index/12]
		year.Year = index/12 + 1
		calendar := monthIn(in.firstMonth, index)
		length := monthDays[calendar]
		worse := in.decline.factor(today, float64(index/12))
		lost := in.lost.WaterloggedGreenDays[calendar] * worse
		if !in.effect.isYardstick && index >= in.opensMonth {
			kept := 1 - in.effect.share*in.effect.gain(index, in.opensMonth)
			lost = min(lost, in.lost.WaterloggedGreenDays[calendar]*kept)
		}
		open := max(0, length-in.lost.other(calendar)-lost)
		away := min(length, out[index])
		// Days out of play fall on open and closed days alike.
		year.PlayableDays[index%12] = open * (1 - away/length)
		year.OutOfPlayDays[index%12] = away
		year.lostToWorks[index%12] = open * away / length
		year.MonthsPlayable += year.PlayableDays[index%12] / length
	}
	for i := range forecast.Years {
		forecast.Years[i].round()
	}
	forecast.MonthsPlayableYear5 = forecast.Years[min(5, in.horizonYears)-1].MonthsPlayable
	return forecast
}

// round cuts the year's days to thousandths and its months to ten-thousandths:
// finer digits say nothing, and money rounds its shares to as many places.
func (y *ForecastYear) round() {
	for month := range y.PlayableDays {
		y.PlayableDays[month] = roundTo(y.PlayableDays[month], 1000)
		y.OutOfPlayDays[month] = roundTo(y.OutOfPlayDays[month], 1000)
		y.lostToWorks[month] = roundTo(y.lostToWorks[month], 1000)
	}
	y.MonthsPlayable = roundTo(y.MonthsPlayable, 10_000)
}

func roundTo(value, parts float64) float64 { return math.Round(value*parts) / parts }

// factor is the present programme's lost days against today's after so many
// years.
func (d decline) factor(todayDays, years float64) float64 {
	if todayDays <= 0 {
		return 1
	}
	return min(d.limitRatio, 1+d.daysPerYear*years/todayDays)
}

// gain is the share of an option's full effect that is at work in one month,
// 0 to 1, counted from the month in which the green opens.
func (e effect) gain(index, opens int) float64 {
	ageYears := float64(index-opens) / 12
	if e.rampYears > 0 {
		return min(1, (math.Floor(ageYears)+1)/e.rampYears)
	}
	if e.lifeYears <= 0 {
		return 1
	}
	age := math.Mod(ageYears, e.lifeYears) / e.lifeYears
	if age <= 0.5 {
		return 1
	}
	return 1 - (1-e.leftAtEnd)*(age-0.5)/0.5
}

// outOfPlayByMonth repeats the option's out-of-play days at the start of each
// working life. Renewal works start in the same calendar month as the first:
// a life is counted in whole years.
func outOfPlayByMonth(in forecastInput, months int) []float64 {
	out := make([]float64, months)
	lay := func(start int) {
		for offset, days := range in.outOfPlay {
			if at := start + offset; at < months {
				out[at] += days
			}
		}
	}
	if len(in.outOfPlay) == 0 {
		return out
	}
	lay(0)
	for _, start := range renewalMonths(in.effect.lifeYears, months) {
		lay(start)
	}
	return out
}

// renewalMonths lists the months, counted from first_month, in which the works
// are done again within the horizon.
func renewalMonths(lifeYears float64, months int) []int {
	var starts []int
	if life := int(math.Round(lifeYears)) * 12; life > 0 {
		for start := life; start < months; start += life {
			starts = append(starts, start)
		}
	}
	return starts
}
