package pages

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"swardcase/api/pages/chart"
	"swardcase/api/report"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/condition"
)

// charts draws the charts of one appraisal.
type charts struct {
	a       model.Appraisal
	advised model.OptionAppraisal
	write   func(value, step float64) string
}

// fadeAfterYear is the year after which a forecast is a direction and no promise.
// Common practice, no source.
const fadeAfterYear = 10

// monthLengths are those of a year of 365 days, January first.
var monthLengths = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// compared are the options that a chart of lines has room for: the advised one,
// the best of each other route, and the present programme where it is not the
// advised one.
func (c charts) compared(withPresent bool) []model.OptionAppraisal {
	out := []model.OptionAppraisal{c.advised}
	for _, route := range []model.Route{model.LayeredRebuild, model.PartialRenovation, model.IntensifiedAeration} {
		if route == c.advised.Option.Route() {
			continue
		}
		best := -1
		for i, o := range c.a.Options {
			if o.Option.Route() == route && (best < 0 || better(o, c.a.Options[best])) {
				best = i
			}
		}
		if best >= 0 {
			out = append(out, c.a.Options[best])
		}
	}
	if withPresent && c.advised.Option != model.Yardstick {
		out = append(out, c.a.Options[0])
	}
	return out
}

// better orders options of one route: one that passes before one that does not,
// and then by what they are worth.
func better(a, b model.OptionAppraisal) bool {
	if a.Passes != b.Passes {
		return a.Passes
	}
	return a.Money.AgainstPresent.NetPresentValue.Amount().GreaterThan(b.Money.AgainstPresent.NetPresentValue.Amount())
}

// gauges draws each measure on its scale, the index over all of them.
func (c charts) gauges() chart.Drawing {
	r := c.a.Condition
	scales := c.a.Case.Scales
	out := chart.Gauges{
		ID: "condition", Title: "Each measure on its scale",
		Summary: report.Prose(r.Condition.Headline) + " Each scale runs from worst on the left to best on the right; the bar is the interval of the readings.",
	}
	if scales != nil && scales.PoorFromIndex != nil && scales.FairFromIndex != nil && scales.SoundFromIndex != nil {
		out.Zones = []chart.Zone{
			{Words: "failing", To: *scales.PoorFromIndex},
			{Words: "poor", To: *scales.FairFromIndex},
			{Words: "fair", To: *scales.SoundFromIndex},
			{Words: "sound", To: 100},
		}
	}
	index := chart.GaugeRow{
		Words: "All measures: " + string(r.Condition.Grade), ValueWords: fmt.Sprintf("index %.0f of 100", r.Condition.Index),
		Score: r.Condition.Index, Large: true,
		Corners: []chart.Corner{{Words: "0", Score: 0}, {Words: "25", Score: 25}, {Words: "50", Score: 50}, {Words: "75", Score: 75}, {Words: "100", Score: 100}},
	}
	if i := r.Condition.Interval; i != nil {
		index.Low, index.High = i.Low, i.High
		index.ValueWords += fmt.Sprintf(" (%.0f to %.0f)", i.Low, i.High)
	}
	out.Rows = append(out.Rows, index)
	for _, m := range report.Measures(r) {
		row := chart.GaugeRow{Words: report.Prose(m.Name), ValueWords: m.ValueWords() + " (" + m.IntervalWords() + ")", Score: m.Score, Corners: cornersOf(scales, m.Code)}
		for _, scored := range r.Condition.Measures {
			if scored.Measure == m.Code && scored.ScoreInterval != nil {
				row.Low, row.High = scored.ScoreInterval.Low, scored.ScoreInterval.High
			}
		}
		out.Rows = append(out.Rows, row)
	}
	return out.Draw()
}

func cornersOf(scales *condition.Scales, measure condition.Measure) []chart.Corner {
	if scales == nil {
		return nil
	}
	scale := map[condition.Measure]*condition.ValueScale{
		condition.Infiltration: scales.InfiltrationMMPerH, condition.ThatchDepth: scales.ThatchDepthMM,
		condition.AnnualMeadowGrass: scales.AnnualMeadowGrassPct, condition.MonthsPlayable: scales.MonthsPlayable,
	}[measure]
	if scale == nil || measure == condition.Infiltration && scales.InfiltrationReads == condition.WetSurfaceRate {
		return nil // the scale is entered with another figure than the one shown
	}
	var out []chart.Corner
	for _, point := range scale.Points {
		out = append(out, chart.Corner{Words: report.Rounded(point.Value), Score: point.Score})
	}
	slices.SortStableFunc(out, func(a, b chart.Corner) int { return int(a.Score - b.Score) })
	return out
}

// cash draws what each option has cost or brought against the present programme,
// summed up year by year.
func (c charts) cash() chart.Drawing {
	out := chart.Lines{
		ID: "cash", Title: "Money against the present programme, summed up year by year",
		Axis: "in hand against the present programme", FadeAfter: fadeAfterYear, Write: c.write,
		Levels: []chart.Level{{Words: "the present programme", Value: 0}},
	}
	for i, o := range c.compared(false) {
		series := chart.Series{Words: report.Prose(report.OptionName(o.Option)), Label: report.ShortName(o.Option)}
		for _, year := range o.Money.AgainstPresent.Years {
			series.Values = append(series.Values, year.Cumulative.Float())
		}
		out.Series = append(out.Series, series)
		if payback := o.Money.AgainstPresent.Payback.Years; payback != nil {
			mark := chart.Mark{Series: i, X: *payback, Y: 0}
			if o.Option == c.advised.Option {
				mark.Words = fmt.Sprintf("paid back after %.1f years", *payback)
			}
			out.Marks = append(out.Marks, mark)
		}
	}
	out.Summary = c.cashWords()
	return out.Draw()
}

// cashWords says when the advised option pays back, or what it buys instead.
func (c charts) cashWords() string {
	if c.advised.Option == model.Yardstick {
		return "The present programme itself is advised: the lines are what the other routes would cost or bring beside it."
	}
	against := c.advised.Money.AgainstPresent
	words := report.Prose(c.advised.Words) + ": " + lowered(against.Payback.Detail)
	if against.Payback.Years == nil && c.advised.Money.CostPerMonthGained != nil {
		words += fmt.Sprintf(" It buys %.1f months a year open on the main green at %s each.", c.advised.Money.MonthsGainedYear5, about(*c.advised.Money.CostPerMonthGained))
	}
	return words
}

func lowered(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToLower(text[:1]) + text[1:]
}

// capitalPart is a part of the capital, with the sections of a bill that are in it.
type capitalPart struct {
	words    string
	sections []string
}

// capitalParts are the sections of a bill, gathered into as many parts as can be
// told apart.
var capitalParts = []capitalPart{
	{"setting up, tests, temporary", []string{"preliminaries", "tests", "temporary_green"}},
	{"digging out", []string{"stripping", "excavation"}},
	{"drains", []string{"drainage"}},
	{"layers", []string{"layers"}},
	{"turf or seed", []string{"surface"}},
	{"surrounds and the rest", nil},
	{"contingency and tax", nil},
	{"enabling works", nil},
}

const (
	partTheRest = 5
	partOnTop   = 6
	partEnabled = 7
)

// capital draws what the works of each option cost, by part, with what to approve.
func (c charts) capital() (chart.Drawing, bool) {
	out := chart.Stacks{
		ID: "capital", Title: "Capital by part of the works", Axis: "capital, with contingency and tax",
		Summary: report.Prose(report.ApproveWords(c.a)), Write: c.write,
	}
	for _, part := range capitalParts {
		out.Parts = append(out.Parts, part.words)
	}
	if c.a.Confidence != nil {
		out.RangeWords = "P80 to P90, what to approve: costs no more in four draws of five, and in nine of ten"
	}
	for _, o := range c.a.Options {
		if o.Design == nil || len(o.Infeasible) > 0 && o.Option != c.advised.Option {
			continue
		}
		bar := chart.StackBar{Words: report.Prose(report.OptionName(o.Option)), Values: c.capitalValues(o), Chosen: o.Option == c.advised.Option}
		if drawn := drawnOf(c.a, o.Option); drawn != nil {
			bar.Low, bar.High = drawn.Capital.P80.Float(), drawn.Capital.P90.Float()
		}
		out.Bars = append(out.Bars, bar)
	}
	if len(out.Bars) == 0 {
		return chart.Drawing{}, false
	}
	return out.Draw(), true
}

func (c charts) capitalValues(o model.OptionAppraisal) []float64 {
	values := make([]float64, len(capitalParts))
	bill := o.Money.WorksBill
	for _, section := range bill.Sections {
		at := slices.IndexFunc(capitalParts, func(p capitalPart) bool { return slices.Contains(p.sections, section.Section) })
		if at < 0 {
			at = partTheRest
		}
		values[at] += section.Subtotal.Float()
	}
	for _, list := range [][]costs.BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			values[0] += added.Amount.Float()
		}
	}
	values[partOnTop] = bill.Contingency.Float() + bill.Tax.Float() - bill.TaxRecoverable.Float()
	values[partEnabled] = c.a.EnablingBill.Capital.Float()
	return values
}

// months draws the months playable of each year.
func (c charts) months() chart.Drawing {
	out := chart.Lines{
		ID: "months", Title: "Months playable, year by year", Axis: "months a year open on the main green",
		FirstYear: 1, FadeAfter: fadeAfterYear, Write: func(value, step float64) string { return chart.Number(value, step) },
	}
	for i, o := range c.compared(true) {
		series := chart.Series{Words: report.Prose(report.OptionName(o.Option)), Label: report.ShortName(o.Option)}
		for _, year := range o.Forecast.Years {
			series.Values = append(series.Values, year.MonthsPlayable)
		}
		out.Series = append(out.Series, series)
		if drawn := drawnOf(c.a, o.Option); drawn != nil && drawn.MonthsPlayableYear5.P10 != nil && drawn.MonthsPlayableYear5.P90 != nil {
			out.Ranges = append(out.Ranges, chart.Range{Series: i, Year: model.JudgedYear(len(o.Forecast.Years)), Low: *drawn.MonthsPlayableYear5.P10, High: *drawn.MonthsPlayableYear5.P90})
		}
	}
	first, last := c.a.Options[0].Forecast.Years[0], c.a.Options[0].Forecast.Years[len(c.a.Options[0].Forecast.Years)-1]
	out.Summary = fmt.Sprintf("Under the present programme %.1f months in year 1 and %.1f in year %d.", first.MonthsPlayable, last.MonthsPlayable, last.Year)
	if c.advised.Option != model.Yardstick {
		out.Summary += fmt.Sprintf(" With %s %.1f by year %d.", c.advised.Words, c.advised.Forecast.MonthsPlayableYear5, model.JudgedYear(len(c.advised.Forecast.Years)))
	}
	if len(out.Ranges) > 0 {
		out.Summary += " The upright marks are where four draws of five lie in that year."
	}
	if need := c.a.Case.Requirements.LeastMonthsPlayable; need != nil {
		out.Levels = []chart.Level{{Words: report.Rounded(*need) + " months required", Value: *need}}
	}
	return out.Draw()
}

// calendar draws the days open in each month, today and in the judged year.
func (c charts) calendar() chart.Drawing {
	year := model.JudgedYear(*c.a.Case.Money.HorizonYears)
	lost := c.a.Condition.LostDays
	today := chart.CalendarRow{Words: "as recorded", Of: monthLengths}
	for i := range 12 {
		today.Days[i] = max(0, monthLengths[i]-lost.WaterloggedGreenDays[i]-lost.WaterloggedCourseDays[i]-lost.FrostDays[i]-lost.PolicyDays[i]-lost.WorksDays[i])
	}
	today.After = openWords(today.Days)
	out := chart.Calendar{ID: "calendar", Title: fmt.Sprintf("Days open on the main green, month by month, today and in year %d", year), FirstMonth: 1, Rows: []chart.CalendarRow{today}}
	options := []model.OptionAppraisal{c.a.Options[0]}
	if c.advised.Option != model.Yardstick {
		options = append(options, c.advised)
	}
	for _, o := range options {
		row := chart.CalendarRow{Words: fmt.Sprintf("%s, year %d", report.ShortName(o.Option), year), Of: monthLengths, Chosen: o.Option == c.advised.Option}
		first := int(c.a.Case.Available.FirstMonth.Month) - 1
		for i, days := range o.Forecast.Years[year-1].PlayableDays {
			row.Days[(first+i)%12] = days
		}
		row.After = openWords(row.Days)
		out.Rows = append(out.Rows, row)
	}
	out.Summary = "Each box is a month and fills with the days on which the main green is open; the figure below it is those days."
	return out.Draw()
}

func openWords(days [12]float64) string { return fmt.Sprintf("%.0f days a year", report.Total(days)) }

// chances draws how likely each option is to meet every requirement, and smaller
// how often it is worth most.
func (c charts) chances() chart.Drawing {
	out := chart.Shares{ID: "chances", Title: "How sure: the chance that each option meets every requirement", Small: "how often it is worth most of those that do"}
	if len(report.RequirementWords(c.a.Case)) > 0 {
		out.Large = "chance that it meets every requirement"
	} else {
		out.Title, out.Small = "How often each option is worth most", "how often it is worth most"
	}
	for _, o := range c.a.Confidence.Options {
		out.Rows = append(out.Rows, chart.ShareRow{
			Words: report.Prose(report.OptionName(o.Option)), Large: o.MeetsRequirements.Probability, Small: o.Best.Probability,
			LargeWords: report.Percent(o.MeetsRequirements), SmallWords: report.Percent(o.Best), Chosen: o.Option == c.advised.Option,
		})
	}
	out.Summary = report.DrawsWords(*c.a.Confidence)
	if words := report.BestWords(c.a.Recommendation); words != "" {
		out.Summary = words
	}
	return out.Draw()
}

// tornado draws what moves the advice most.
func (c charts) tornado(t model.Tornado) chart.Drawing {
	axis := "net present value of " + t.Option.Words()
	if t.Less != "" {
		axis = "net present value against " + t.Less.Words()
	}
	out := chart.Swings{
		ID: "tornado", Title: report.Prose(report.TornadoTitle(t)), Axis: axis,
		Likely: t.AtLikely.Float(), LikelyWords: about(t.AtLikely), Write: c.write,
		Summary: "Each bar moves one input from its low to its high end, the others staying likely. The widest stands first.",
	}
	for _, bar := range t.Bars[:min(report.MostBars, len(t.Bars))] {
		from, to := report.InputEnds(bar.Input, bar.Low, bar.High)
		out.Bars = append(out.Bars, chart.SwingBar{
			Words: report.InputWords(bar.Input), LowWords: from, HighWords: to,
			AtLow: bar.AtLow.Float(), AtHigh: bar.AtHigh.Float(),
		})
	}
	return out.Draw()
}

// timeline draws the months out of play of each option with works.
func (c charts) timeline() (chart.Drawing, bool) {
	first := c.a.Case.Available.FirstMonth
	out := chart.Timeline{
		ID: "timeline", Title: "When this green is on a temporary", FirstYear: first.Year, FirstMonth: int(first.Month),
		Summary: report.Prose(report.WorksWords(c.advised)),
	}
	if out.Summary == "" {
		out.Summary = "What is advised takes the green out of play for no works; the bars are what the other options would."
	}
	for _, o := range c.a.Options {
		t := o.Timeline
		if t == nil {
			continue
		}
		row := chart.TimelineRow{
			Words: report.ShortName(o.Option), After: report.Prose(fmt.Sprintf("%.1f months, opens %s", o.MonthsOutOfPlay, t.Opening.OpensOn)), Chosen: o.Option == c.advised.Option,
			Start: monthsFrom(first, t.Opening.WorksStart.Year, t.Opening.WorksStart.Month, t.Opening.WorksStart.Day),
			Laid:  monthsFrom(first, t.Opening.LaidOn.Year, t.Opening.LaidOn.Month, t.Opening.LaidOn.Day),
			End:   monthsFrom(first, t.Opening.OpensOn.Year, t.Opening.OpensOn.Month, t.Opening.OpensOn.Day),
			Works: report.Prose(fmt.Sprintf("from %s for %.0f weeks", t.Opening.WorksStart, t.WorksWeeks)),
			Wait:  report.Prose(fmt.Sprintf("from %s", t.Opening.LaidOn)), Opens: report.Prose(t.Opening.OpensOn.String()),
		}
		out.Rows = append(out.Rows, row)
	}
	if len(out.Rows) == 0 {
		return chart.Drawing{}, false
	}
	return out.Draw(), true
}

// monthsFrom is a day in months from the first day of a month.
func monthsFrom(first costs.YearMonth, year int, month time.Month, day int) float64 {
	whole := costs.YearMonth{Year: year, Month: month}.MonthsSince(first)
	return float64(whole) + float64(day-1)/monthLengths[month-1]
}
