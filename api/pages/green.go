package pages

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"

	"swardcase/api/problem"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
	"swardcase/model/condition"
	"swardcase/model/survey"
)

// greenView is the page of one green.
type greenView struct {
	Club       service.Club
	Green      service.Green
	Facts      []detail
	Outline    template.HTML // the drawing; empty without an outline
	Surveys    []surveyRow   // newest first
	Unjudged   string        // why the surveys give no condition
	Trend      []figure
	Appraisals []appraisalRow // newest first
	Compare    string         // address of the comparison; empty with fewer than two
	// Where the visitor may do so; empty where not.
	Change, NewSurvey, NewAppraisal string
}

// detail is one line of what is known: what it is, and what it comes to.
type detail struct{ Name, Words string }

// surveyRow is one survey in words.
type surveyRow struct {
	ID, SurveyedOn, Change              string
	Grade                               condition.Grade
	Index                               string
	Infiltration, Thatch, Grass, Months reading
}

// reading is a value with its interval, either of which may be empty.
type reading struct{ Value, Interval string }

// appraisalRow is one appraisal in a list.
type appraisalRow struct {
	ID, Address string
	MadeOn      string
	Title       string
	SurveyedOn  string
	Advice      string
	NetValue    string
	Again       bool // made again of an earlier one
}

// showGreen shows what is known of one green and what was made of it.
func (p *Pages) showGreen(v Visit) error {
	ctx, clubID, greenID := v.Request().Context(), v.Param("club_id"), v.Param("green_id")
	club, green, err := p.clubAndGreen(v)
	if err != nil {
		return err
	}
	shown := greenView{Club: club, Green: green, Facts: greenFacts(green.Green), Outline: drawOutline(green.Green)}
	surveys, err := everySurvey(ctx, p.service, clubID, greenID)
	if err != nil {
		return err
	}
	trend, err := p.service.Trend(ctx, clubID, greenID)
	switch {
	case service.KindOf(err) == service.Conflict && err != nil:
		shown.Unjudged = conflictWords(err)
	case err != nil:
		return err
	}
	shown.Surveys, shown.Trend = surveyRows(surveys, trend), trendFigures(trend)
	if shown.Appraisals, err = p.appraisalRows(ctx, clubID, greenID, surveys); err != nil {
		return err
	}
	shown.allow(v)
	if len(shown.Appraisals) > 1 {
		shown.Compare = comparisonAddress(clubID)
	}
	return p.show(v, http.StatusOK, "green", Frame{Title: greenTitle(green), Trail: clubTrail(club), Body: shown})
}

// allow says where the visitor may go to change things.
func (g *greenView) allow(v Visit) {
	if g.Club.ArchivedAt != nil || g.Green.ArchivedAt != nil {
		return
	}
	home := greenAddress(g.Club.ID, g.Green.ID)
	g.Change = v.ifRole(service.RoleEditor, home+"/change")
	g.NewSurvey = v.ifRole(service.RoleEditor, home+"/surveys/new")
	if len(g.Surveys) > 0 {
		g.NewAppraisal = v.ifRole(service.RoleEditor, home+"/appraisals/new")
	}
	for i := range g.Surveys {
		g.Surveys[i].Change = v.ifRole(service.RoleEditor, surveyAddress(g.Club.ID, g.Surveys[i].ID)+"/change")
	}
}

// conflictWords are the words of a failure that were written for its reader.
func conflictWords(err error) string {
	return problem.Of(err, "", "").Detail
}

// mostWalked bounds how many things of one green are read for its page.
const mostWalked = 1000

// every reads a list to its end, or until mostWalked things are read.
func every[R any](list func(service.Filter) (service.Page[R], error), f service.Filter) ([]R, error) {
	var out []R
	f.Limit = mostListed
	for {
		page, err := list(f)
		if err != nil {
			return nil, err
		}
		out = append(out, page.Items...)
		if page.NextCursor == nil || len(out) >= mostWalked {
			return out, nil
		}
		f.After = *page.NextCursor
	}
}

// everySurvey gives the live surveys of a green, the latest day first.
func everySurvey(ctx context.Context, svc *service.Service, clubID, greenID string) ([]service.Survey, error) {
	found, err := every(func(f service.Filter) (service.Page[service.Survey], error) { return svc.Surveys(ctx, f) },
		service.Filter{ClubID: clubID, GreenID: greenID})
	slices.SortFunc(found, func(a, b service.Survey) int {
		if a.Survey.SurveyedOn < b.Survey.SurveyedOn {
			return 1
		}
		return -1
	})
	return found, err
}

func surveyRows(surveys []service.Survey, trend service.Trend) []surveyRow {
	judged := map[string]service.TrendPoint{}
	for _, point := range trend.Points {
		judged[point.SurveyID] = point
	}
	rows := make([]surveyRow, len(surveys))
	for i, stored := range surveys {
		rows[i] = surveyRow{ID: stored.ID, SurveyedOn: stored.Survey.SurveyedOn}
		point, known := judged[stored.ID]
		if !known {
			continue
		}
		rows[i].Grade, rows[i].Index = point.Grade, strconv.FormatFloat(point.Index, 'f', 0, 64)
		rows[i].Infiltration = readingOf(point.InfiltrationMMPerH, point.InfiltrationInterval)
		rows[i].Thatch = readingOf(point.ThatchDepthMM, point.ThatchDepthInterval)
		rows[i].Grass = readingOf(point.AnnualMeadowGrassPct, point.AnnualMeadowGrassInterval)
		rows[i].Months = readingOf(point.MonthsPlayable, point.MonthsPlayableInterval)
	}
	return rows
}

func readingOf(value *float64, interval *survey.Interval) reading {
	var out reading
	if value != nil {
		out.Value = report.Figure(*value)
	}
	if interval != nil {
		out.Interval = report.Figure(interval.Low) + " to " + report.Figure(interval.High)
	}
	return out
}

// appraisalRows lists the appraisals of a green, newest first.
func (p *Pages) appraisalRows(ctx context.Context, clubID, greenID string, surveys []service.Survey) ([]appraisalRow, error) {
	found, err := every(func(f service.Filter) (service.Page[service.AppraisalSummary], error) {
		return p.service.Appraisals(ctx, f)
	},
		service.Filter{ClubID: clubID, GreenID: greenID})
	if err != nil {
		return nil, err
	}
	days := map[string]string{}
	for _, s := range surveys {
		days[s.ID] = s.Survey.SurveyedOn
	}
	var rows []appraisalRow
	for _, a := range slices.Backward(found) {
		rows = append(rows, appraisalRow{
			ID: a.ID, Address: appraisalAddress(clubID, a.ID), MadeOn: a.CreatedAt.Format(dayForm),
			Title: a.Title, SurveyedOn: days[a.SurveyID], Advice: adviceWords(a), NetValue: about(a.NetPresentValue), Again: a.ReappraisesID != nil,
		})
	}
	return rows, nil
}

// greenFacts tells what is known of a green, leaving out what is not.
func greenFacts(g model.Green) []detail {
	var out []detail
	add := func(name, format string, value *float64) {
		if value != nil {
			out = append(out, detail{name, fmt.Sprintf(format, report.Rounded(*value))})
		}
	}
	area, perimeter := g.AreaM2, g.PerimeterM
	if measured := measuresOf(g); measured != nil {
		area, perimeter = measured.AreaM2, measured.PerimeterM
	}
	out = append(out, detail{"Area", fmt.Sprintf("%.0f m²", area)}, detail{"Edge", fmt.Sprintf("%.0f m", perimeter)})
	add("Age", "%s years", &g.AgeYears)
	for i, layer := range g.SoilLayers {
		name := "Soil below the thatch"
		if i > 0 {
			name = "Below that"
		}
		out = append(out, detail{name, fmt.Sprintf("%s mm of %s", report.Rounded(layer.ThicknessMM), report.Plain(layer.Texture))})
	}
	out = append(out, detail{"Drains", drainWords(g)})
	if g.Outfall.State != "" {
		out = append(out, detail{"Outfall", outfallWords(g.Outfall)})
	}
	if g.Turf.HoldsTogether != "" {
		out = append(out, detail{"Lifted turf holds together", report.Plain(g.Turf.HoldsTogether)})
	}
	add("Sun on the worst part", "%s hours a day", g.Surroundings.SunHPerDay)
	if g.Surroundings.Air != "" {
		out = append(out, detail{"Air", g.Surroundings.Air})
	}
	if in := g.Surroundings.WaterRunsIn; in != nil {
		out = append(out, detail{"Water runs in from higher ground", report.YesNo(*in)})
	}
	return out
}

func drainWords(g model.Green) string {
	if !g.HasDrains {
		return "none"
	}
	words := "there are drains"
	if g.Drains.SpacingM != nil {
		words += ", " + report.Rounded(*g.Drains.SpacingM) + " m apart"
	}
	if g.Drains.DepthMM != nil {
		words += ", " + report.Rounded(*g.Drains.DepthMM) + " mm deep"
	}
	return words
}

func outfallWords(o model.Outfall) string {
	words := report.Plain(o.State)
	if o.DistanceM != nil {
		words += ", " + report.Rounded(*o.DistanceM) + " m away"
	}
	if o.FallM != nil {
		words += ", " + report.Rounded(*o.FallM) + " m below the lowest edge"
	}
	if o.AfterRain != "" {
		words += "; after rain " + report.Plain(o.AfterRain)
	}
	return words
}
