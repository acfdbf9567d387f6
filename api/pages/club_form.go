package pages

import (
	"context"
	"fmt"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/api/service"
)

// clubForm is a club and its site.
func clubForm() form.Form {
	stations := []form.Option{{Value: "", Words: "none: the months below"}}
	for _, s := range service.Climates() {
		stations = append(stations, form.Option{Value: s.Name, Words: fmt.Sprintf("%s, latitude %.1f", s.Title, s.LatitudeDeg)})
	}
	column := func(name, label string) form.Field {
		return form.Field{At: "/site/climate/monthly_normals/" + name, Label: label, Kind: form.Number}
	}
	return form.Form{Schema: "ClubInput", Sections: []form.Section{
		{Title: "The club", Fields: []form.Field{
			{At: "/name", Label: "Name of the club", Kind: form.Text},
		}},
		{Title: "Its site", Lead: "The weather decides how often a green stands wet. Take the station whose weather is most like yours, or give the monthly figures of one that is nearer.", Fields: []form.Field{
			{At: "/site/latitude_deg", Label: "Latitude, degrees", Kind: form.Number},
			{At: "/site/climate/station", Label: "Climate of", Kind: form.Choice, Options: stations},
		}},
		{
			Title: "Monthly figures in the place of a station", Folded: true,
			Lead: "Rain and mean temperature are needed; what else is left empty is reckoned from them.",
			Years: []form.Year{{Caption: "Means of many years", Columns: []form.Field{
				column("rain_mm", "Rain, mm"), column("wet_days", "Days with rain"), column("temperature_mean_c", "Mean, °C"),
				column("temperature_max_c", "Highest by day, °C"), column("temperature_min_c", "Lowest by night, °C"), column("air_frost_days", "Days with frost"),
			}}},
			Fields: []form.Field{{At: "/site/climate/monthly_normals/source", Label: "Where the figures come from", Kind: form.Note, Rows: 2}},
		},
	}}
}

func (p *Pages) newClub(Visit) (task, error) {
	return task{
		Title: "A new club", Submit: "Store the club", Trail: clubsTrail(), Form: clubForm(),
		store: func(ctx context.Context, call service.Call, _ service.Match, document contract.Document) (string, error) {
			club, err := p.service.CreateClub(ctx, call, document)
			if caller, _ := service.CallerOf(ctx); caller.Role == service.RoleOperator {
				return clubsAddress, err // an operator sees no club from within
			}
			return clubAddress(club.ID), err
		},
	}, nil
}

func (p *Pages) changeClub(v Visit) (task, error) {
	clubID := v.Param("club_id")
	club, err := p.service.Club(v.Request().Context(), clubID)
	if err != nil {
		return task{}, err
	}
	t := task{
		Title: "Change the club", Lead: "Appraisals that were made keep what they saw.", Submit: "Store the changes",
		Trail: clubTrail(club), Form: clubForm(), version: club.Version,
		store: func(ctx context.Context, _ service.Call, match service.Match, document contract.Document) (string, error) {
			_, err := p.service.ReplaceClub(ctx, clubID, match, document)
			return clubAddress(clubID), err
		},
	}
	return t.from(club.ClubInput)
}
