package pages

import (
	"fmt"
	"strings"
	"time"

	"swardcase/api/pages/chart"
	"swardcase/api/service"
	"swardcase/model/survey"
)

// trendMeasure is one measure of a trend: what it is called, and where its values
// are.
type trendMeasure struct {
	id, title, axis, change string
	value                   func(service.TrendPoint) (*float64, *survey.Interval)
	slope                   func(service.TrendChange) *float64
}

var trendMeasures = []trendMeasure{
	{
		"infiltration", "Infiltration", "mm/h", "mm/h",
		func(p service.TrendPoint) (*float64, *survey.Interval) {
			return p.InfiltrationMMPerH, p.InfiltrationInterval
		},
		func(c service.TrendChange) *float64 { return c.InfiltrationMMPerH },
	},
	{
		"thatch", "Thatch depth", "mm", "mm",
		func(p service.TrendPoint) (*float64, *survey.Interval) { return p.ThatchDepthMM, p.ThatchDepthInterval },
		func(c service.TrendChange) *float64 { return c.ThatchDepthMM },
	},
	{
		"grass", "Annual meadow grass", "% of the sward", "points of a hundred",
		func(p service.TrendPoint) (*float64, *survey.Interval) {
			return p.AnnualMeadowGrassPct, p.AnnualMeadowGrassInterval
		},
		func(c service.TrendChange) *float64 { return c.AnnualMeadowGrassPct },
	},
	{
		"months", "Months playable", "months a year, open on the main green", "months",
		func(p service.TrendPoint) (*float64, *survey.Interval) {
			return p.MonthsPlayable, p.MonthsPlayableInterval
		},
		func(c service.TrendChange) *float64 { return c.MonthsPlayable },
	},
}

// leastForTrend is how many readings show a change at all.
const leastForTrend = 2

// trendFigures draws each measure that was read more than once.
func trendFigures(trend service.Trend) []figure {
	var out []figure
	for _, m := range trendMeasures {
		drawn := chart.Readings{ID: "trend-" + m.id, Title: m.title, Axis: m.axis, Write: chart.Number}
		for _, point := range trend.Points {
			value, interval := m.value(point)
			day, err := time.Parse(time.DateOnly, point.SurveyedOn)
			if value == nil || err != nil {
				continue
			}
			reading := chart.Reading{Day: day, Value: *value, Low: *value, High: *value}
			if interval != nil {
				reading.Low, reading.High = interval.Low, interval.High
			}
			drawn.Points = append(drawn.Points, reading)
		}
		if len(drawn.Points) < leastForTrend {
			continue
		}
		drawn.Summary = m.words(trend.ChangePerYear, len(drawn.Points))
		out = append(out, figureOf(drawn.Draw()))
	}
	return out
}

// words say how fast a measure has changed: the slope of the straight line that
// fits the readings best.
func (m trendMeasure) words(change *service.TrendChange, readings int) string {
	if change == nil || m.slope(*change) == nil {
		return fmt.Sprintf("%d readings: too few for a trend.", readings)
	}
	return strings.Replace(fmt.Sprintf("%+.2g %s a year, over %d readings.", *m.slope(*change), m.change, readings), "-", "−", 1)
}
