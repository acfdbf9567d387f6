// Package demo is an invented club: Thornmere Golf Club with its 18 greens and
// three years of surveys, in files that people can read. Nobody's club, course,
// readings or prices are in it.
//
// Three greens are whole cases (green_04.json and so on): one that upkeep can
// rescue, one whose top is spoilt over a base that drains, and one that no
// upkeep can mend. They differ by their measurements. The other fifteen, and
// what was measured on the three in earlier years, are in the folder club:
//
//	club.json        the club, its site, and the terms that its greens share
//	greens.json      each green, how it is kept, and what its last survey found below ground
//	readings.csv     a row for each place on a green at which something was read
//	closed_days.csv  a row for each green and season, which begins in October
package demo

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"

	"swardcase/api/service"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/survey"
)

//go:embed *.json club
var files embed.FS

// Club is the invented club.
type Club struct {
	Input  service.ClubInput
	Prices costs.PriceBook
	Greens []Green // in the order of play
}

// Green is one green: its case by the latest survey, and its surveys before.
type Green struct {
	Case    model.Case
	Earlier []survey.Survey // oldest first
}

// Case is one case document with the name of its file.
type Case struct {
	Name string
	Body []byte
}

// Cases gives the three whole cases in the order of play.
func Cases() ([]Case, error) {
	names, err := fs.Glob(files, "*.json")
	if err != nil {
		return nil, err
	}
	var cases []Case
	for _, name := range names {
		body, err := files.ReadFile(name)
		if err != nil {
			return nil, err
		}
		cases = append(cases, Case{name, body})
	}
	return cases, nil
}

// ClubOfThornmere puts the club together.
func ClubOfThornmere() (Club, error) {
	var common clubFile
	if err := readJSON("club/club.json", &common); err != nil {
		return Club{}, err
	}
	surveys, err := readSurveys()
	if err != nil {
		return Club{}, err
	}
	whole, err := wholeGreens(surveys)
	if err != nil {
		return Club{}, err
	}
	rest, err := otherGreens(common, surveys)
	if err != nil {
		return Club{}, err
	}
	club := Club{Input: common.Club, Prices: costs.DemoPriceBook(), Greens: append(whole, rest...)}
	slices.SortFunc(club.Greens, func(a, b Green) int { return hole(a) - hole(b) })
	return club, nil
}

// clubFile is club.json.
type clubFile struct {
	Club  service.ClubInput `json:"club"`
	Terms struct {
		Requirements model.Requirements `json:"requirements"`
		Available    *model.Available   `json:"available"`
		Money        *model.MoneyTerms  `json:"money"`
	} `json:"terms"`
}

// wholeGreens are the greens that are cases of their own.
func wholeGreens(surveys surveysByGreen) ([]Green, error) {
	cases, err := Cases()
	if err != nil {
		return nil, err
	}
	var greens []Green
	for _, c := range cases {
		var green Green
		if err := decode(c.Name, c.Body, &green.Case); err != nil {
			return nil, err
		}
		green.Earlier = surveys[green.Case.Green.Name]
		greens = append(greens, green)
	}
	return greens, nil
}

// otherGreens are those of greens.json. LatestSurvey there holds what the table
// of readings has no columns for.
func otherGreens(common clubFile, surveys surveysByGreen) ([]Green, error) {
	var described []struct {
		service.GreenInput
		LatestSurvey survey.Survey `json:"latest_survey"`
	}
	if err := readJSON("club/greens.json", &described); err != nil {
		return nil, err
	}
	var greens []Green
	for _, d := range described {
		of := surveys[d.Green.Name]
		if len(of) == 0 {
			return nil, fmt.Errorf("the %s green has no readings", d.Green.Name)
		}
		latest := of[len(of)-1]
		latest.OrganicMatter, latest.RootDepthMM, latest.Pits = d.LatestSurvey.OrganicMatter, d.LatestSurvey.RootDepthMM, d.LatestSurvey.Pits
		greens = append(greens, Green{
			Case: model.Case{
				CaseFormat: model.CaseFormat, Title: fmt.Sprintf("%s: the %s green", common.Club.Name, d.Green.Name),
				Site: common.Club.Site, Green: d.Green, Upkeep: d.Upkeep, Survey: latest,
				Requirements: common.Terms.Requirements, Available: common.Terms.Available, Money: common.Terms.Money,
			},
			Earlier: of[:len(of)-1],
		})
	}
	return greens, nil
}

// hole is the number in a green's name, such as 14 in "14th".
func hole(g Green) int {
	var number int
	fmt.Sscanf(g.Case.Green.Name, "%d", &number)
	return number
}

func readJSON(name string, into any) error {
	body, err := files.ReadFile(name)
	if err != nil {
		return err
	}
	return decode(name, body, into)
}

func decode(name string, body []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}
