package demo

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestTheClubIsWhatIsSaidOfIt holds the files to what the package promises.
func TestTheClubIsWhatIsSaidOfIt(t *testing.T) {
	club, err := ClubOfThornmere()
	if err != nil {
		t.Fatal(err)
	}
	if len(club.Greens) != 18 {
		t.Fatalf("the club has %d greens", len(club.Greens))
	}
	drawn, blocked, shaded := 0, 0, 0
	for i, g := range club.Greens {
		green := g.Case.Green
		if hole(g) != i+1 {
			t.Errorf("the %s green is in place %d", green.Name, i+1)
		}
		if green.AreaM2 < 350 || green.AreaM2 > 650 {
			t.Errorf("the %s green has %g m²", green.Name, green.AreaM2)
		}
		days := []string{}
		for _, s := range append(g.Earlier, g.Case.Survey) {
			days = append(days, s.SurveyedOn[:4])
			if len(s.Infiltration.RingTests) < 6 || len(s.ThatchDepth.Readings) < 6 || len(s.AnnualMeadowGrass.PointQuadrats) < 3 || len(s.MonthsPlayable.ClosedDays)%12 != 0 {
				t.Errorf("the %s green, %s: readings are missing", green.Name, s.SurveyedOn)
			}
		}
		if diff := cmp.Diff([]string{"2024", "2025", "2026"}, days); diff != "" {
			t.Errorf("the %s green: %s", green.Name, diff)
		}
		if diff := cmp.Diff(club.Input.Site, g.Case.Site); diff != "" {
			t.Errorf("the %s green lies on another site: %s", green.Name, diff)
		}
		if green.Outline != nil {
			drawn++
		}
		if green.Outfall.State == "blocked" {
			blocked++
		}
		if *green.Surroundings.SunHPerDay < 4 || green.Surroundings.Air == "enclosed" {
			shaded++
		}
	}
	if drawn != 5 || blocked != 1 || shaded != 2 {
		t.Errorf("%d greens are drawn, %d have a blocked outfall, %d lie in shade", drawn, blocked, shaded)
	}
}

// TestTheRecordsOfClosedDaysAgree: the whole cases and the table tell of the same
// seasons.
func TestTheRecordsOfClosedDaysAgree(t *testing.T) {
	club, err := ClubOfThornmere()
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for _, g := range club.Greens {
		in := map[string]float64{}
		for _, month := range g.Case.Survey.MonthsPlayable.ClosedDays {
			in[month.Month] = valueOf(month.WaterloggedGreenDays)
		}
		for _, earlier := range g.Earlier {
			for _, month := range earlier.MonthsPlayable.ClosedDays {
				if days, both := in[month.Month]; both {
					compared++
					if days != valueOf(month.WaterloggedGreenDays) {
						t.Errorf("the %s green, %s: %g days and %g", g.Case.Green.Name, month.Month, days, valueOf(month.WaterloggedGreenDays))
					}
				}
			}
		}
	}
	if compared < 18*12 {
		t.Errorf("only %d months were compared", compared)
	}
}

func valueOf(days *float64) float64 {
	if days == nil {
		return 0
	}
	return *days
}

// TestABadTableIsRefused names the line and the column.
func TestABadTableIsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"green,hits\n1st,many\n": `line 2: the hits is "many"`,
		"green,hits\n1st\n":      "wrong number of fields",
		"":                       "there is nothing in it",
	} {
		rows, err := parseTable("table.csv", []byte(text))
		if err == nil {
			rows[0].number("hits")
			err = rows[0].err
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}
