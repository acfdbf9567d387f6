package pages

import (
	"context"
	"time"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/service"
)

// blankMonths is the page's own field which says that a month with nothing
// written in it had no closed day.
const blankMonths = "page:blank_months"

var closedDays = form.List{
	At: "/survey/months_playable/closed_days", Caption: "Days on which the main green was not in play, by cause", Entry: "Month",
	Blank: 24, More: 12, Carried: []string{"/month"}, AllWhen: blankMonths,
	Columns: []form.Field{
		{At: "/month", Label: "Month", Kind: form.Month},
		{At: "/waterlogged_green_days", Label: "Green wet", Kind: form.Number},
		{At: "/waterlogged_course_days", Label: "Course wet", Kind: form.Number},
		{At: "/frost_days", Label: "Frost", Kind: form.Number},
		{At: "/policy_days", Label: "Policy", Kind: form.Number},
		{At: "/works_days", Label: "Works", Kind: form.Number},
		{At: "/temporary_green_days", Label: "On temporary", Kind: form.Number},
	},
}

var surfaces = codes("", "wet", "moist", "dry")

var ringTests = form.List{
	At: "/survey/infiltration/ring_tests", Caption: "Ring tests: water that sank in from a single ring", Entry: "Test",
	Blank: 6, More: 6, Carried: []string{"/position", "/bore_mm", "/depth_removed_mm", "/surface"},
	Columns: []form.Field{
		{At: "/position", Label: "Place", Kind: form.Text},
		{At: "/taken_on", Label: "Day", Kind: form.Day},
		{At: "/depth_removed_mm", Label: "Removed, mm", Kind: form.Pick, Options: []form.Option{{Value: "", Words: "0"}, {Value: "50", Words: "50"}, {Value: "150", Words: "150"}}},
		{At: "/volume_ml", Label: "Water, ml", Kind: form.Number},
		{At: "/bore_mm", Label: "Bore, mm", Kind: form.Number},
		{At: "/minutes", Label: "Minutes", Kind: form.Number},
		{At: "/water_temperature_c", Label: "Water, °C", Kind: form.Number},
		{At: "/surface", Label: "Surface", Kind: form.Choice, Options: surfaces},
		{At: "/dry_patch", Label: "Dry patch", Kind: form.Flag},
	},
}

var thatchReadings = form.List{
	At: "/survey/thatch_depth/readings", Caption: "Cores", Entry: "Core", Blank: 6, More: 6, Carried: []string{"/position"},
	Columns: []form.Field{{At: "/position", Label: "Place", Kind: form.Text}, {At: "/depth_mm", Label: "Thatch, mm", Kind: form.Number}},
}

var quadrats = form.List{
	At: "/survey/annual_meadow_grass/point_quadrats", Caption: "Point quadrats: how many points of the frame touched annual meadow grass", Entry: "Frame",
	Blank: 3, More: 3, Carried: []string{"/position", "/points"},
	Columns: []form.Field{
		{At: "/position", Label: "Place", Kind: form.Text}, {At: "/hits", Label: "Hits", Kind: form.Whole}, {At: "/points", Label: "Points", Kind: form.Whole},
	},
}

var organicMatter = form.List{
	At: "/survey/organic_matter", Caption: "Organic matter by weight, loss on ignition", Entry: "Slice", Blank: 2, More: 4, Carried: []string{"/position"},
	Columns: []form.Field{
		{At: "/position", Label: "Place", Kind: form.Text},
		{At: "/depth_from_mm", Label: "From, mm", Kind: form.Number},
		{At: "/depth_to_mm", Label: "To, mm", Kind: form.Number},
		{At: "/organic_matter_pct", Label: "Organic matter, %", Kind: form.Number},
	},
}

var pits = form.List{
	At: "/survey/pits", Caption: "Pits. Leave free water empty where the pit stayed dry", Entry: "Pit", Blank: 3, More: 3, Carried: []string{"/position"},
	Columns: []form.Field{
		{At: "/position", Label: "Place", Kind: form.Text},
		{At: "/depth_mm", Label: "Depth, mm", Kind: form.Number},
		{At: "/free_water_depth_mm", Label: "Free water at, mm", Kind: form.Number},
		{At: "/root_depth_mm", Label: "Roots to, mm", Kind: form.Number},
		{At: "/black_layer", Label: "Black layer", Kind: form.Flag},
	},
}

// surveyForm is all that can be read on a green.
func surveyForm() form.Form {
	return form.Form{Schema: "SurveyInput", Sections: []form.Section{
		{Title: "The survey", Fields: []form.Field{
			{At: "/survey/surveyed_on", Label: "Day of the survey", Kind: form.Day},
			{At: "/note", Label: "Note", Kind: form.Note, Rows: 2},
		}},
		{
			Title: "Infiltration", Lead: "Tests give an interval; a bare value has none. Readings with the same place are judged together: the worst place takes a green out of play.",
			TablesFirst: true, Lists: []form.List{ringTests},
			Fields: []form.Field{{At: "/survey/infiltration/value_mm_per_h", Label: "Or a bare value, mm/h", Kind: form.Number}},
		},
		{
			Title: "Thatch depth", TablesFirst: true, Lists: []form.List{thatchReadings},
			Fields: []form.Field{{At: "/survey/thatch_depth/value_mm", Label: "Or a bare value, mm", Kind: form.Number, Hint: "It has no interval"}},
		},
		{
			Title: "Annual meadow grass", TablesFirst: true, Lists: []form.List{quadrats},
			Fields: []form.Field{{At: "/survey/annual_meadow_grass/value_pct", Label: "Or a bare value, %", Kind: form.Number, Hint: "It has no interval"}},
		},
		{
			Title: "Months playable", Lead: "Each day stands under one cause only. A day on a temporary green is a day lost by the main green; the last column says how many of the days had one.",
			TablesFirst: true, Lists: []form.List{closedDays},
			Fields: []form.Field{
				{At: blankMonths, Label: "Months with nothing written in them had no closed day", Kind: form.Flag, Hint: "Without the tick they are taken as not recorded"},
				{At: "/survey/months_playable/value_months", Label: "Or a bare value, months a year", Kind: form.Number, Hint: "Open on the main green. It has no interval"},
			},
		},
		{
			Title: "Below the surface", Folded: true, Lead: "Pits tell a fault of the surface from one of the base.", Lists: []form.List{organicMatter, pits},
			Fields: []form.Field{
				{At: "/survey/root_depth_mm", Label: "Depth of the main roots, mm", Kind: form.Number},
				{At: "/survey/surface_hardness_gravities", Label: "Surface hardness, gravities", Kind: form.Number},
			},
		},
	}}
}

// newSurvey is the form of a survey with the places of the last one, and the last
// two years by month.
func (p *Pages) newSurvey(v Visit) (task, error) {
	ctx, clubID, greenID := v.Request().Context(), v.Param("club_id"), v.Param("green_id")
	club, green, err := p.clubAndGreen(v)
	if err != nil {
		return task{}, err
	}
	surveys, err := everySurvey(ctx, p.service, clubID, greenID)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "A new survey of green " + green.Green.Name, Submit: "Store the survey",
		Trail: greenTrail(club, green), Form: surveyForm(),
		base: map[string]any{"green_id": greenID}, begin: form.Entries{blankMonths: "on"},
		store: func(ctx context.Context, call service.Call, _ service.Match, document contract.Document) (string, error) {
			_, err := p.service.CreateSurvey(ctx, call, clubID, document)
			return greenAddress(clubID, greenID), err
		},
	}
	if len(surveys) > 0 {
		tree, err := form.Tree(surveys[0].SurveyInput)
		if err != nil {
			return t, err
		}
		t.Form.Carry(t.begin, tree, ringTests, thatchReadings, quadrats)
		t.Lead = "The places are those of the last survey. Change them as you need."
	}
	// The two years end with the last month that is over.
	first := time.Date(p.service.Today().Year(), p.service.Today().Month(), 1, 0, 0, 0, 0, time.UTC).AddDate(0, -closedDays.Blank, 0)
	for row := range closedDays.Blank {
		t.begin[closedDays.Name(row, 0)] = first.AddDate(0, row, 0).Format("2006-01")
	}
	return t, nil
}

func (p *Pages) changeSurvey(v Visit) (task, error) {
	ctx, clubID, surveyID := v.Request().Context(), v.Param("club_id"), v.Param("survey_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return task{}, err
	}
	stored, err := p.service.Survey(ctx, clubID, surveyID)
	if err != nil {
		return task{}, err
	}
	green, err := p.service.Green(ctx, clubID, stored.GreenID)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "Change the survey of " + stored.Survey.SurveyedOn, Submit: "Store the changes",
		Lead:  "To mend a slip. Appraisals that were made keep what they saw.",
		Trail: greenTrail(club, green), Form: surveyForm(), version: stored.Version,
		store: func(ctx context.Context, _ service.Call, match service.Match, document contract.Document) (string, error) {
			_, err := p.service.ReplaceSurvey(ctx, clubID, surveyID, match, document)
			return greenAddress(clubID, green.ID), err
		},
	}
	t, err = t.from(stored.SurveyInput)
	if err == nil {
		t.begin[blankMonths] = "on"
	}
	return t, err
}

// clubAndGreen reads what the address names.
func (p *Pages) clubAndGreen(v Visit) (service.Club, service.Green, error) {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return club, service.Green{}, err
	}
	green, err := p.service.Green(ctx, clubID, v.Param("green_id"))
	return club, green, err
}
