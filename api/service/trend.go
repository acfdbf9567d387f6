package service

import (
	"context"
	"fmt"
	"time"

	"gonum.org/v1/gonum/stat"

	"swardcase/model"
	"swardcase/model/condition"
	"swardcase/model/survey"
)

// TrendPoint is the condition of a green at one survey. All points of a trend
// are judged by today's engine and by the green as it is stored now, so that
// they can be compared.
type TrendPoint struct {
	SurveyID                  string              `json:"survey_id"`
	SurveyedOn                string              `json:"surveyed_on"`
	InfiltrationMMPerH        *float64            `json:"infiltration_mm_per_h"`
	InfiltrationInterval      *survey.Interval    `json:"infiltration_interval"`
	ThatchDepthMM             *float64            `json:"thatch_depth_mm"`
	ThatchDepthInterval       *survey.Interval    `json:"thatch_depth_interval"`
	AnnualMeadowGrassPct      *float64            `json:"annual_meadow_grass_pct"`
	AnnualMeadowGrassInterval *survey.Interval    `json:"annual_meadow_grass_interval"`
	MonthsPlayable            *float64            `json:"months_playable"`
	MonthsPlayableInterval    *survey.Interval    `json:"months_playable_interval"`
	Index                     float64             `json:"index"`
	IndexInterval             *condition.Interval `json:"index_interval"`
	Grade                     condition.Grade     `json:"grade"`
}

// Trend is a green over its surveys, oldest first.
type Trend struct {
	GreenID       string       `json:"green_id"`
	EngineVersion string       `json:"engine_version"`
	Points        []TrendPoint `json:"points"`
	// ChangePerYear is nil with fewer than three surveys.
	ChangePerYear *TrendChange `json:"change_per_year"`
}

// TrendChange is the slope of the least-squares line through each measure, in
// its unit a year; nil for a measure with fewer than three values. It describes
// what was measured and foretells nothing.
type TrendChange struct {
	InfiltrationMMPerH   *float64 `json:"infiltration_mm_per_h"`
	ThatchDepthMM        *float64 `json:"thatch_depth_mm"`
	AnnualMeadowGrassPct *float64 `json:"annual_meadow_grass_pct"`
	MonthsPlayable       *float64 `json:"months_playable"`
	Index                *float64 `json:"index"`
}

// maxTrendPoints is more surveys than a green has in decades; the latest are
// taken.
const maxTrendPoints = 100

// Trend judges each survey of a green.
func (s *Service) Trend(ctx context.Context, clubID, greenID string) (Trend, error) {
	trend := Trend{GreenID: greenID, EngineVersion: model.EngineVersion, Points: []TrendPoint{}}
	if s.store == nil {
		return trend, errNoStore()
	}
	var club Club
	var green Green
	var found []Survey
	err := s.view(ctx, clubID, func(tx Tx) error {
		var err error
		if club, err = tx.Club(ctx, clubID, clubID); err != nil {
			return named("club", err)
		}
		if green, err = tx.Green(ctx, clubID, greenID); err != nil {
			return named("green", err)
		}
		found, err = tx.LatestSurveys(ctx, clubID, greenID, maxTrendPoints)
		return err
	})
	if err != nil {
		return trend, err
	}
	for _, stored := range found {
		if err := ctx.Err(); err != nil {
			return trend, err
		}
		report, err := model.JudgeCondition(caseOf(club, green, stored.Survey))
		if err != nil {
			return trend, &Error{
				Kind:   Conflict,
				Detail: fmt.Sprintf("The survey of %s does not go with the green as it is stored now: mend one of them.", stored.Survey.SurveyedOn),
				Cause:  err,
			}
		}
		trend.Points = append(trend.Points, pointOf(stored, report))
	}
	trend.ChangePerYear = changePerYear(trend.Points)
	return trend, nil
}

func pointOf(stored Survey, report model.ConditionReport) TrendPoint {
	read, judged := report.Survey, report.Condition
	return TrendPoint{
		SurveyID: stored.ID, SurveyedOn: stored.Survey.SurveyedOn,
		InfiltrationMMPerH: read.Infiltration.Value, InfiltrationInterval: read.Infiltration.Interval,
		ThatchDepthMM: read.ThatchDepth.Value, ThatchDepthInterval: read.ThatchDepth.Interval,
		AnnualMeadowGrassPct: read.AnnualMeadowGrass.Value, AnnualMeadowGrassInterval: read.AnnualMeadowGrass.Interval,
		MonthsPlayable: read.MonthsPlayable.Value, MonthsPlayableInterval: read.MonthsPlayable.Interval,
		Index: judged.Index, IndexInterval: judged.Interval, Grade: judged.Grade,
	}
}

func changePerYear(points []TrendPoint) *TrendChange {
	if len(points) < leastForSlope {
		return nil
	}
	return &TrendChange{
		InfiltrationMMPerH:   slope(points, func(p TrendPoint) *float64 { return p.InfiltrationMMPerH }),
		ThatchDepthMM:        slope(points, func(p TrendPoint) *float64 { return p.ThatchDepthMM }),
		AnnualMeadowGrassPct: slope(points, func(p TrendPoint) *float64 { return p.AnnualMeadowGrassPct }),
		MonthsPlayable:       slope(points, func(p TrendPoint) *float64 { return p.MonthsPlayable }),
		Index:                slope(points, func(p TrendPoint) *float64 { return &p.Index }),
	}
}

// Two points always lie on a line, which says nothing of a trend. A year is the
// mean year of the Gregorian calendar.
const (
	leastForSlope = 3
	hoursPerYear  = 365.2425 * 24
)

// slope fits value = a + b × years by least squares and gives b.
func slope(points []TrendPoint, value func(TrendPoint) *float64) *float64 {
	var years, values []float64
	for _, p := range points {
		day, err := time.Parse(time.DateOnly, p.SurveyedOn)
		if v := value(p); v != nil && err == nil {
			years = append(years, time.Duration(day.Sub(time.Unix(0, 0).UTC())).Hours()/hoursPerYear)
			values = append(values, *v)
		}
	}
	if len(values) < leastForSlope {
		return nil
	}
	_, perYear := stat.LinearRegression(years, values, nil, false)
	return &perYear
}
