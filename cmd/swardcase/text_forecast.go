package main

import (
	"fmt"
	"math"
	"strings"

	"swardcase/api/report"
	"swardcase/model"
)

// forecastText prints a forecast: where the green stands, a chart for each
// measure, and every turn with its reason.
func forecastText(r model.ForecastReport) string {
	var p page
	p.title(report.Title(r.Title, r.Green))
	p.line("Forecast of %d years from %s", len(r.Options[0].Forecast.Years), r.FirstMonth)
	writeCalibration(&p, r)
	for _, c := range forecastCharts {
		c.write(&p, r)
	}
	writeTurns(&p, r)
	writeForecastProgrammes(&p, r.Programmes)
	writeCautions(&p, r.Cautions)
	return p.String()
}

// writeCalibration says in words how the record was explained.
func writeCalibration(p *page, r model.ForecastReport) {
	c := r.Calibration
	p.heading("Where the green stands")
	writeLostDays(p, r.LostDays)
	p.line("the most that work on this green could give: %.1f months playable", r.CeilingMonths)
	p.item("-", report.Sentence("under "+r.Weather.Words))
	p.item("-", report.Sentence(c.Reason))
	p.item("-", fmt.Sprintf("Its surface takes %s mm/h under a ring, and %s mm/h when wet and trodden.",
		report.Figure(float64(c.RingMMPerH)), report.Figure(float64(c.WetSurfaceMMPerH))))
	if c.MisplacedDays >= 1 {
		p.item("-", fmt.Sprintf("The sum of the year agrees; %.0f of its days fall in other months than the record says, and are left where the record has them.", c.MisplacedDays))
	}
	p.item("-", report.Sentence(c.GrowthReason))
}

// forecastChart draws one measure, a line of blocks for each option.
type forecastChart struct {
	heading string
	of      func(model.ForecastYear) float64
	format  string
	// logarithmic spreads rates that differ by a factor of a hundred.
	logarithmic bool
}

var forecastCharts = []forecastChart{
	{"Months playable a year", func(y model.ForecastYear) float64 { return y.MonthsPlayable }, "%.1f", false},
	{"Thatch, mm", func(y model.ForecastYear) float64 { return y.ThatchDepthMM }, "%.0f", false},
	{"Annual meadow grass, % of the sward", func(y model.ForecastYear) float64 { return y.AnnualMeadowGrassPct }, "%.0f", false},
	{"Infiltration, mm/h under a ring", func(y model.ForecastYear) float64 { return y.InfiltrationMMPerH }, "%.3g", true},
}

// chartYears are the years whose figures stand beside the chart.
var chartYears = []int{1, 5, 10, 25}

func (c forecastChart) write(p *page, r model.ForecastReport) {
	low, high := c.span(r)
	p.heading(c.heading)
	scale := fmt.Sprintf("%c is "+c.format+", %c is "+c.format, blocks[0], low, blocks[len(blocks)-1], high)
	if c.logarithmic {
		scale += ", in even ratios"
	}
	years := len(r.Options[0].Forecast.Years)
	head := left("", 34) + " " + left("", years)
	for _, year := range chartYears {
		if year <= years {
			head += right(fmt.Sprintf("y %d", year), 6)
		}
	}
	p.line("%s", head)
	for _, o := range r.Options {
		line := make([]rune, years)
		for i, y := range o.Forecast.Years {
			line[i] = blocks[c.level(c.of(y), low, high)]
		}
		row := left(report.OptionName(o.Option), 34) + " " + string(line)
		for _, year := range chartYears {
			if year <= years {
				row += right(fmt.Sprintf(c.format, c.of(o.Forecast.Years[year-1])), 6)
			}
		}
		p.line("%s", row)
	}
	p.line("%s", scale+"; one column a year")
}

// blocks are the steps of a chart, lowest first.
var blocks = []rune("▁▂▃▄▅▆▇█")

// span is the range that all options of a chart share, so that their lines can
// be compared.
func (c forecastChart) span(r model.ForecastReport) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, o := range r.Options {
		for _, y := range o.Forecast.Years {
			low, high = min(low, c.of(y)), max(high, c.of(y))
		}
	}
	return low, high
}

// level is the step, from 0, that a value takes between two others.
func (c forecastChart) level(value, low, high float64) int {
	if c.logarithmic {
		const least = 0.01 // what a reading is cut to
		value, low, high = math.Log(max(least, value)), math.Log(max(least, low)), math.Log(max(least, high))
	}
	if !(high > low) {
		return 0
	}
	steps := len(blocks) - 1
	return max(0, min(steps, int(math.Round((value-low)/(high-low)*float64(steps)))))
}

// writeTurns prints when each option opens, turns, and falls below what the club
// requires.
func writeTurns(p *page, r model.ForecastReport) {
	p.heading("What turns, and why")
	for _, o := range r.Options {
		p.line("%s", report.OptionName(o.Option))
		for _, reason := range o.Infeasible {
			p.item("  x", "cannot be done: "+reason.Text)
		}
		if t := o.Timeline; t != nil {
			p.item("  -", fmt.Sprintf("works from %s, open on %s, after %.1f months on a temporary", t.Opening.WorksStart, t.Opening.OpensOn, o.MonthsOutOfPlay))
		}
		writeReasons(p, o.Forecast)
		p.item("  -", requirementWords(r, o.Forecast))
		if s := o.Forecast.Stated; s != nil {
			p.item("  -", statedWords(*s))
		}
	}
}

// writeReasons prints every turn of the first working life; after it the works
// are done again, and the same turns with them.
func writeReasons(p *page, f model.Forecast) {
	last := len(f.Years)
	if life := f.WorkingLifeYears; life != nil {
		last = min(last, int(*life))
	}
	for _, y := range f.Years[:last] {
		for _, reason := range y.Reasons {
			p.item("  -", fmt.Sprintf("year %d: %s", y.Year, reason))
		}
	}
	if last < len(f.Years) {
		p.item("  -", fmt.Sprintf("year %d: the works are done again, and the turns with them", last+1))
	}
}

// requirementWords sets a forecast against the least months playable.
func requirementWords(r model.ForecastReport, f model.Forecast) string {
	life := ""
	if years := f.WorkingLifeYears; years != nil {
		life = fmt.Sprintf("; working life %.0f years", *years)
	}
	need := r.LeastMonthsPlayable
	if need == nil {
		return "the club states no least months playable" + life
	}
	if year := f.FallsBelowYear; year != nil {
		return fmt.Sprintf("falls below the %g months required in year %d%s", *need, *year, life)
	}
	for _, y := range f.Years {
		if y.MonthsPlayable >= *need {
			return fmt.Sprintf("meets the %g months required in year %d and does not fall below them again within %d years%s", *need, y.Year, len(f.Years), life)
		}
	}
	return fmt.Sprintf("never meets the %g months required%s", *need, life)
}

// statedWords sets the consultant's expectation beside the forecast.
func statedWords(s model.StatedExpectation) string {
	words := "the consultant expects"
	if s.MonthsPlayable != nil {
		words += fmt.Sprintf(" %.1f months playable against the %.1f forecast;", *s.MonthsPlayable, s.ForecastMonthsPlayable)
	}
	if s.WorkingLifeYears != nil && s.ForecastLifeYears != nil {
		words += fmt.Sprintf(" a working life of %.0f years against %.0f;", *s.WorkingLifeYears, *s.ForecastLifeYears)
	}
	words = strings.TrimSuffix(words, ";")
	for _, more := range []string{s.Reason, s.Note} {
		if more != "" {
			words += ": " + more
		}
	}
	return words
}

// writeForecastProgrammes prints what the yearly programmes put in and what
// their feeding and watering are taken to do.
func writeForecastProgrammes(p *page, programmes []model.ProgrammeYear) {
	p.heading("The programmes behind it")
	for _, programme := range programmes {
		p.hanging(left(report.Plain(programme.Name), 13)+" ", fmt.Sprintf("%.0f t/ha of sand a year, %.0f %% of the surface cored, %.0f weeks of disturbed surface.",
			programme.SandTPerHaPerYear, programme.CoredAreaPctPerYear, programme.DisturbedWeeksPerYear))
		p.hanging(left("", 14), report.FeedingWords(programme))
	}
}
