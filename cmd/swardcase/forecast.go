package main

import (
	"encoding/csv"
	"strconv"
	"strings"

	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

var forecastCommand = answer[model.ForecastReport]{
	name: "forecast", summary: "Follow one green through the years under every option",
	detail: `
Reads a case and prints, for the present programme and seven options, the months
playable, thatch, annual meadow grass and infiltration of each year, the reason
for every turn, the year in which the club's requirement is no longer met, and
how the recorded lost days were explained. The case needs no money for it.
CASE.json may be - for standard input. As csv it has one row for each option and
year. A weather record has the columns date, rain_mm, temperature_max_c and
temperature_min_c, one row a day, an empty cell for what was not read.`,
	ask:     (*service.Service).Forecast,
	text:    forecastText,
	tables:  []csvTable[model.ForecastReport]{{"years", forecastCSV}},
	weather: true,
}.command()

// forecastCSV has one row for each option and year.
func forecastCSV(r model.ForecastReport) (string, error) {
	var b strings.Builder
	w := csv.NewWriter(&b)
	rows := [][]string{{
		"option", "year", "months_playable", "out_of_play_days", "infiltration_mm_per_h", "discharge_mm_per_day",
		"thatch_depth_mm", "organic_matter_top_20_mm_pct", "annual_meadow_grass_pct", "reasons",
	}}
	number := func(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }
	for _, o := range r.Options {
		for _, y := range o.Forecast.Years {
			rows = append(rows, []string{
				string(o.Option), strconv.Itoa(y.Year), number(y.MonthsPlayable), number(report.Total(y.OutOfPlayDays)),
				number(y.InfiltrationMMPerH), number(y.DischargeMMPerDay), number(y.ThatchDepthMM),
				number(y.OrganicMatterTop20MMPct), number(y.AnnualMeadowGrassPct), strings.Join(y.Reasons, "; "),
			})
		}
	}
	err := w.WriteAll(rows)
	return b.String(), err
}
