package pages

import (
	"context"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/report"
	"swardcase/api/service"
)

// codes makes answers of the contract's codes, with an empty one in front.
func codes(empty string, values ...string) []form.Option {
	out := []form.Option{{Value: "", Words: empty}}
	for _, value := range values {
		out = append(out, form.Option{Value: value, Words: report.Plain(value)})
	}
	return out
}

// greenForm is all that a green is made of.
func greenForm() form.Form {
	return form.Form{Schema: "GreenInput", Currency: "/upkeep/cost_per_year/currency", Sections: []form.Section{
		{Title: "The green", Fields: []form.Field{
			{At: "/green/name", Label: "Name", Kind: form.Text, Hint: "Such as 14th, or practice green"},
			{At: "/green/age_years", Label: "Age, years", Kind: form.Number, Hint: "Since it was built, or last rebuilt"},
		}},
		{
			Title: "Size", Drawn: true,
			Lead: "Give the edge of the green, and area and length are measured on it and drains drawn within it. Where it has not been surveyed, state the area and the length of the edge.",
			Fields: []form.Field{
				{At: "/green/area_m2", Label: "Area, m²", Kind: form.Number},
				{At: "/green/perimeter_m", Label: "Length of the edge, m", Kind: form.Number},
				{At: "/green/outline/metres", Label: "Edge, in metres", Kind: form.Ring, Rows: 8, Hint: "A corner on each line, x and y, going round: 12.5, 4. A GeoJSON polygon can be pasted instead"},
				{At: "/green/outline/spot_levels", Label: "Spot levels, in metres", Kind: form.Spots, Rows: 8, Hint: "One on each line: x, y and the level above any datum, such as 12.5, 4, 24.61. With them falls are found"},
			},
		},
		{
			Title: "Below the surface", Lead: "From below the thatch down, as a pit shows it.",
			Lists: []form.List{soilList()},
			Fields: []form.Field{
				{At: "/green/has_drains", Label: "Has it drains?", Kind: form.YesNo},
				{At: "/green/drains/spacing_m", Label: "Distance between drains, m", Kind: form.Number},
				{At: "/green/drains/depth_mm", Label: "Depth of the drains, mm", Kind: form.Number},
			},
		},
		{Title: "Outfall", Lead: "Where drained water can go.", Fields: []form.Field{
			{At: "/green/outfall/state", Label: "State", Kind: form.Choice, Options: codes("not stated", "free", "blocked", "none", "not_known"), Hint: "Blocked: it is there and does not run. None: no lower ground or ditch can be reached"},
			{At: "/green/outfall/after_rain", Label: "Within a day of rain it was", Kind: form.Choice, Options: codes("not stated", "running", "trickling", "dry", "not_observed")},
			{At: "/green/outfall/distance_m", Label: "Distance from the edge, m", Kind: form.Number},
			{At: "/green/outfall/fall_m", Label: "Fall from the edge, m", Kind: form.Number, Hint: "From the lowest edge of the green to the water at the outfall"},
		}},
		{Title: "Turf and surroundings", Lead: "No rebuild cures what is wrong around a green: it is put right first, under every option.", Fields: []form.Field{
			{At: "/green/turf/holds_together", Label: "Does lifted turf hold together?", Kind: form.Choice, Options: codes("not stated", "yes", "no", "not_known")},
			{At: "/green/surroundings/sun_h_per_day", Label: "Sun, hours a day", Kind: form.Number},
			{At: "/green/surroundings/air", Label: "Air", Kind: form.Choice, Options: codes("not stated", "open", "enclosed")},
			{At: "/green/surroundings/water_runs_in", Label: "Does water run in from higher ground?", Kind: form.YesNo},
			{At: "/green/surroundings/cut_off_drain_m", Label: "Cut-off drain, m", Kind: form.Number},
			{At: "/green/surroundings/walk_on_points", Label: "Ways on to the green", Kind: form.Whole, Hint: "At how many places players can walk on and off"},
			{At: "/green/surroundings/sprinkler_overlap", Label: "Overlap of sprinklers", Kind: form.Choice, Options: codes("not stated", "good", "poor")},
			{At: "/green/surroundings/trees_to_fell", Label: "Trees to fell", Kind: form.Whole, Hint: "Those that take its sun or air"},
		}},
		{Title: "Access for the works", Folded: true, Lead: "What is left empty is reckoned from the size of the green.", Fields: []form.Field{
			{At: "/green/surrounds_m2", Label: "Surrounds, m²", Kind: form.Number},
			{At: "/green/haul_route_m", Label: "Way over turf, m", Kind: form.Number},
			{At: "/green/sprinklers", Label: "Sprinklers", Kind: form.Whole},
		}},
		{
			Title: "How it is kept now", Lead: "In a usual year. Left empty, a usual programme is taken.",
			Fields: []form.Field{
				{At: "/upkeep/sand_t_per_ha_per_year", Label: "Sand, tonnes per hectare a year", Kind: form.Number},
				{At: "/upkeep/cost_per_year/amount", Label: "Cost of upkeep in a year", Kind: form.Text, Hint: "Where the club knows it, such as 5600.00"},
				{At: "/upkeep/cost_per_year/currency", Label: "Its currency", Kind: form.Text, Hint: "Three capital letters, such as GBP"},
			},
			Lists: []form.List{{
				At: "/upkeep/operations", Caption: "Operations on this green", Entry: "Operation", Blank: 4, More: 4,
				Columns: []form.Field{
					{At: "/operation", Label: "Operation", Kind: form.Choice, Options: codes("", "hollow_coring", "deep_tining", "slit_tining", "scarifying", "mole_ploughing", "top_dressing", "overseeding")},
					{At: "/times_per_year", Label: "Times a year", Kind: form.Number},
				},
			}},
		},
		{Title: "Programme already tried", Folded: true, Lead: "An intensified programme that this green has had, and what came of it. It decides whether upkeep is advised again.", Fields: []form.Field{
			{At: "/upkeep/trial/seasons", Label: "Seasons", Kind: form.Number},
			{At: "/upkeep/trial/operations_done_pct", Label: "Operations done, %", Kind: form.Number},
			{At: "/upkeep/trial/sand_t_per_ha_per_year", Label: "Sand, tonnes per hectare a year", Kind: form.Number},
			{At: "/upkeep/trial/organic_matter_change_pct_points_per_year", Label: "Change of organic matter, points of a hundred a year", Kind: form.Number},
			{At: "/upkeep/trial/thatch_change_mm_per_year", Label: "Change of thatch, mm a year", Kind: form.Number},
		}},
	}}
}

func soilList() form.List {
	return form.List{
		At: "/green/soil_layers", Caption: "Soil layers, from above", Entry: "Layer", Blank: 3, More: 3,
		Columns: []form.Field{
			{At: "/texture", Label: "Texture", Kind: form.Choice, Options: codes("", "sand", "loamy_sand", "sandy_loam", "loam", "silt_loam", "silt", "sandy_clay_loam",
				"clay_loam", "silty_clay_loam", "sandy_clay", "silty_clay", "clay", "gravel", "peat")},
			{At: "/thickness_mm", Label: "Thickness, mm", Kind: form.Number},
			{At: "/clay_pct", Label: "Clay, %", Kind: form.Number},
			{At: "/conductivity_mm_per_h", Label: "Conductivity, mm/h", Kind: form.Number},
			{At: "/stony", Label: "Stony", Kind: form.Flag},
			{At: "/note", Label: "Note", Kind: form.Text},
		},
	}
}

// drawScript draws the edge of a green while it is typed, and lets it be drawn.
const drawScript = "outline.js"

func (p *Pages) newGreen(v Visit) (task, error) {
	clubID := v.Param("club_id")
	club, err := p.service.Club(v.Request().Context(), clubID)
	return task{
		Title: "A new green", Lead: club.Name, Submit: "Store the green", Script: drawScript,
		Trail: clubTrail(club), Form: greenForm(),
		store: func(ctx context.Context, call service.Call, _ service.Match, document contract.Document) (string, error) {
			green, err := p.service.CreateGreen(ctx, call, clubID, document)
			return greenAddress(clubID, green.ID), err
		},
	}, err
}

func (p *Pages) changeGreen(v Visit) (task, error) {
	clubID, greenID := v.Param("club_id"), v.Param("green_id")
	club, green, err := p.clubAndGreen(v)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "Change green " + green.Green.Name, Submit: "Store the changes", Script: drawScript,
		Lead:  "Appraisals that were made keep what they saw.",
		Trail: greenTrail(club, green), Form: greenForm(), version: green.Version,
		store: func(ctx context.Context, _ service.Call, match service.Match, document contract.Document) (string, error) {
			_, err := p.service.ReplaceGreen(ctx, clubID, greenID, match, document)
			return greenAddress(clubID, greenID), err
		},
	}
	return t.from(green.GreenInput)
}

// from lets a task begin with what is stored.
func (t task) from(stored any) (task, error) {
	var err error
	if t.base, err = form.Tree(stored); err != nil {
		return t, err
	}
	t.begin = t.Form.Fill(t.base)
	return t, nil
}
