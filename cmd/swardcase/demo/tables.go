package demo

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strconv"

	"swardcase/model/survey"
)

// Every ring of the club has this bore, and every frame this many points.
const (
	boreMM = 150
	points = 100
)

// everyGreen stands in closed_days.csv for what shuts all greens alike.
const everyGreen = "every"

// surveysByGreen holds the surveys of each green by its name, oldest first.
type surveysByGreen map[string][]survey.Survey

// readSurveys joins the two tables. A survey is given the two seasons that ended
// before it, as far as they are known.
func readSurveys() (surveysByGreen, error) {
	surveys, err := readReadings()
	if err != nil {
		return nil, err
	}
	closed, err := readClosedDays()
	if err != nil {
		return nil, err
	}
	for green, of := range surveys {
		for i := range of {
			var year int
			fmt.Sscanf(of[i].SurveyedOn, "%d", &year)
			of[i].MonthsPlayable = &survey.PlayRecord{ClosedDays: slices.Concat(closed.season(green, year-3), closed.season(green, year-2))}
		}
	}
	return surveys, nil
}

// readReadings reads readings.csv. An empty cell was not measured.
func readReadings() (surveysByGreen, error) {
	rows, err := readTable("club/readings.csv")
	if err != nil {
		return nil, err
	}
	surveys := surveysByGreen{}
	for _, row := range rows {
		green, day := row.text("green"), row.text("surveyed_on")
		of := surveys[green]
		at := slices.IndexFunc(of, func(s survey.Survey) bool { return s.SurveyedOn == day })
		if at < 0 {
			at = len(of)
			of = append(of, survey.Survey{
				SurveyedOn: day, Infiltration: &survey.InfiltrationReadings{},
				ThatchDepth: &survey.ThatchReadings{}, AnnualMeadowGrass: &survey.AnnualMeadowGrassReadings{},
			})
		}
		row.readInto(&of[at])
		surveys[green] = of
		if row.err != nil {
			return nil, row.err
		}
	}
	for _, of := range surveys {
		slices.SortFunc(of, func(a, b survey.Survey) int { return cmp.Compare(a.SurveyedOn, b.SurveyedOn) })
	}
	return surveys, nil
}

func (r *row) readInto(s *survey.Survey) {
	position := r.text("position")
	ring := survey.RingTest{
		Position: position, TakenOn: r.text("surveyed_on"), VolumeML: r.number("volume_ml"), BoreMM: boreMM,
		Minutes: r.number("minutes"), WaterTemperatureC: r.number("water_temperature_c"), Surface: survey.Wet,
	}
	if removed := int(r.number("depth_removed_mm")); removed > 0 {
		ring.DepthRemovedMM = &removed
	}
	s.Infiltration.RingTests = append(s.Infiltration.RingTests, ring)
	if r.text("thatch_depth_mm") != "" {
		s.ThatchDepth.Readings = append(s.ThatchDepth.Readings, survey.ThatchReading{Position: position, DepthMM: r.number("thatch_depth_mm")})
	}
	if r.text("hits") != "" {
		s.AnnualMeadowGrass.PointQuadrats = append(s.AnnualMeadowGrass.PointQuadrats,
			survey.PointQuadrat{Position: position, Hits: int(r.number("hits")), Points: points})
	}
}

// closedDays holds the days of each month of a season, October first, by the year
// in which it began, the green and the cause.
type closedDays map[seasonOf][12]float64

type seasonOf struct {
	green, cause string
	year         int
}

// The causes of closed_days.csv.
const (
	waterloggedGreen  = "waterlogged_green"
	waterloggedCourse = "waterlogged_course"
	frost             = "frost"
)

func readClosedDays() (closedDays, error) {
	rows, err := readTable("club/closed_days.csv")
	if err != nil {
		return nil, err
	}
	closed := closedDays{}
	for _, row := range rows {
		key := seasonOf{green: row.text("green"), cause: row.text("cause")}
		if !slices.Contains([]string{waterloggedGreen, waterloggedCourse, frost}, key.cause) {
			return nil, row.bad("cause")
		}
		fmt.Sscanf(row.text("season"), "%d", &key.year)
		var days [12]float64
		for i, month := range []string{"oct", "nov", "dec", "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep"} {
			days[i] = row.number(month)
		}
		if row.err != nil {
			return nil, row.err
		}
		closed[key] = days
	}
	return closed, nil
}

// season gives a green's record of the season that began in a year; nothing where
// the green has none.
func (c closedDays) season(green string, year int) []survey.ClosedDays {
	own, known := c[seasonOf{green, waterloggedGreen, year}]
	if !known {
		return nil
	}
	course, frosty := c[seasonOf{everyGreen, waterloggedCourse, year}], c[seasonOf{everyGreen, frost, year}]
	months := make([]survey.ClosedDays, 12)
	for i := range months {
		month := 9 + i // months since January of the year
		months[i] = survey.ClosedDays{
			Month:                fmt.Sprintf("%04d-%02d", year+month/12, month%12+1),
			WaterloggedGreenDays: &own[i], WaterloggedCourseDays: &course[i], FrostDays: &frosty[i],
		}
	}
	return months
}

// row is one line of a table below its column names. The first cell that is no
// number is kept in err.
type row struct {
	table string
	line  int
	cells map[string]string
	err   error
}

func (r *row) text(column string) string { return r.cells[column] }

func (r *row) number(column string) float64 {
	value, err := strconv.ParseFloat(r.cells[column], 64)
	if err != nil && r.err == nil {
		r.err = r.bad(column)
	}
	return value
}

func (r *row) bad(column string) error {
	return fmt.Errorf("%s: line %d: the %s is %q", r.table, r.line, column, r.cells[column])
}

func readTable(name string) ([]*row, error) {
	file, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	return parseTable(name, file)
}

func parseTable(name string, file []byte) ([]*row, error) {
	lines, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(lines) == 0 {
		return nil, fmt.Errorf("%s: there is nothing in it", name)
	}
	var rows []*row
	for i, line := range lines[1:] {
		cells := map[string]string{}
		for j, column := range lines[0] {
			cells[column] = line[j]
		}
		rows = append(rows, &row{table: name, line: i + 2, cells: cells})
	}
	return rows, nil
}
