package model

import "swardcase/model/condition"

// expectedYear is the year for which the condition is looked ahead: the works
// are done, the establishment is over and a programme has had its effect.
const expectedYear = 5

// ExpectedCondition is the condition that an option is expected to have in its
// fifth year, or the last one of a shorter horizon.
type ExpectedCondition struct {
	Year                 int             `json:"year"`
	InfiltrationMMPerH   *float64        `json:"infiltration_mm_per_h"`
	ThatchDepthMM        *float64        `json:"thatch_depth_mm"`
	AnnualMeadowGrassPct *float64        `json:"annual_meadow_grass_pct"`
	MonthsPlayable       *float64        `json:"months_playable"`
	Index                float64         `json:"index"`
	Grade                condition.Grade `json:"grade"`
}

// expectedCondition reads the condition of the fifth year off the forecast. A
// measure that the survey left out is left out here too, so that the index can
// be set beside today's.
func (a *appraiser) expectedCondition(out OptionAppraisal) ExpectedCondition {
	years := out.Forecast.Years
	return a.conditionIn(years[min(expectedYear, len(years))-1])
}

// conditionIn is the condition in a year of a forecast.
func (a *appraiser) conditionIn(year ForecastYear) ExpectedCondition {
	e := ExpectedCondition{Year: year.Year}
	survey := a.report.Survey
	keep := func(surveyed *float64, forecast float64) *float64 {
		if surveyed == nil {
			return nil
		}
		return &forecast
	}
	e.InfiltrationMMPerH = keep(survey.Infiltration.Value, year.InfiltrationMMPerH)
	e.ThatchDepthMM = keep(survey.ThatchDepth.Value, year.ThatchDepthMM)
	e.AnnualMeadowGrassPct = keep(survey.AnnualMeadowGrass.Value, year.AnnualMeadowGrassPct)
	e.MonthsPlayable = keep(survey.MonthsPlayable.Value, year.MonthsPlayable)
	e.Index, _ = a.scorer.Index(e.values())
	e.Grade = a.scorer.Grade(e.Index)
	return e
}

// values are the expected measures, as they are scored.
func (e ExpectedCondition) values() condition.Values {
	return condition.Values{
		InfiltrationMMPerH:   e.InfiltrationMMPerH,
		ThatchDepthMM:        e.ThatchDepthMM,
		AnnualMeadowGrassPct: e.AnnualMeadowGrassPct,
		MonthsPlayable:       e.MonthsPlayable,
	}
}
