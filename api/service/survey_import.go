package service

import (
	"context"
	"fmt"
	"strings"

	"swardcase/model/fault"
)

// ImportReport says what an import stored.
type ImportReport struct {
	Rows    int              `json:"rows"`
	Surveys []ImportedSurvey `json:"surveys"`
}

// ImportedSurvey is one survey that an import made of its rows.
type ImportedSurvey struct {
	ID         string `json:"id"`
	GreenID    string `json:"green_id"`
	Green      string `json:"green"`
	SurveyedOn string `json:"surveyed_on"`
	Rows       int    `json:"rows"`
}

// ImportSurveys reads a file of readings, one row for each sampling point, and
// stores a survey for each green and day in it: all of them or, when any row is
// bad, none. The error then names every bad row, with the line of the file and
// the column as the pointer.
func (s *Service) ImportSurveys(ctx context.Context, call Call, clubID string, file []byte) (ImportReport, error) {
	return onceWorked(ctx, s, call, clubID, func() (func(Tx) (ImportReport, error), error) {
		sheet, faults := readSheet(file)
		var inputs []SurveyInput
		err := s.view(ctx, clubID, func(tx Tx) error {
			club, err := tx.Club(ctx, clubID, clubID)
			if err != nil {
				return named("club", err)
			}
			greens := greensByName{}
			for _, gathered := range sheet.surveys {
				input, bad, err := s.checkGathered(ctx, tx, club, greens, gathered)
				if err != nil {
					return err
				}
				faults = append(faults, bad...)
				inputs = append(inputs, input)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
		if len(faults) > 0 {
			return nil, faultyImport(faults)
		}
		return func(tx Tx) (ImportReport, error) {
			return s.keepSheet(ctx, tx, clubID, sheet, inputs)
		}, nil
	})
}

func (s *Service) keepSheet(ctx context.Context, tx Tx, clubID string, sheet sheet, inputs []SurveyInput) (ImportReport, error) {
	report := ImportReport{Rows: sheet.rows, Surveys: []ImportedSurvey{}}
	if err := s.openClub(ctx, tx, clubID); err != nil {
		return report, err
	}
	for i, input := range inputs {
		stored, err := s.insertSurvey(ctx, tx, clubID, input)
		if err != nil {
			return report, err
		}
		from := sheet.surveys[i]
		report.Surveys = append(report.Surveys, ImportedSurvey{stored.ID, stored.GreenID, from.green, from.day, from.rows})
	}
	return report, nil
}

// greensByName holds the greens that one import has asked for: none, where the
// club has none of the name.
type greensByName map[string][]Green

func (known greensByName) find(ctx context.Context, tx Tx, clubID, name string) ([]Green, error) {
	if found, asked := known[name]; asked {
		return found, nil
	}
	found, err := tx.Greens(ctx, Filter{ClubID: clubID, Name: name, Limit: 1})
	if err == nil {
		known[name] = found
	}
	return found, err
}

// checkGathered finds the green by its name and checks the survey as one that is
// posted alone. Faults come back at their lines.
func (s *Service) checkGathered(ctx context.Context, tx Tx, club Club, greens greensByName, g *gathered) (SurveyInput, fault.List, error) {
	var input SurveyInput
	document, err := s.contract.CheckDocument("Survey", g.document())
	if faults := Faults(err); faults != nil {
		return input, g.place(faults), nil
	} else if err != nil {
		return input, nil, err
	}
	if err := document.Decode(&input.Survey); err != nil {
		return input, g.place(Faults(err)), nil
	}
	found, err := greens.find(ctx, tx, club.ID, g.green)
	if err != nil {
		return input, nil, err
	}
	if len(found) == 0 {
		return input, g.atFirst("green", g.green, "the club has no green of this name", "write the name as it is stored"), nil
	}
	green := found[0]
	input.GreenID = green.ID
	if !isDay(g.day) { // before the store is asked for it
		return input, g.atFirst("surveyed_on", g.day, noDay, "write the day of the survey as YYYY-MM-DD"), nil
	}
	same, err := tx.Surveys(ctx, Filter{ClubID: club.ID, GreenID: green.ID, From: g.day, To: g.day, Limit: 1})
	if err != nil {
		return input, nil, err
	}
	if len(same) > 0 {
		return input, g.atFirst("surveyed_on", g.day, "this green has a survey of this day already", "take these rows out, or archive the other survey first"), nil
	}
	err = judge(club, green, input.Survey)
	faults := Faults(err)
	if err != nil && faults == nil {
		return input, nil, err
	}
	return input, g.placeModel(faults), nil
}

// faultyImport lists every fault and counts the rows they are in.
func faultyImport(faults fault.List) error {
	rows := map[string]bool{}
	for _, f := range faults {
		rows[strings.SplitN(f.Pointer, "/", 3)[min(1, strings.Count(f.Pointer, "/"))]] = true
	}
	return &Error{
		Kind:   FaultyImport,
		Detail: fmt.Sprintf("%d faults in %d lines. Pointers name the line of the file and the column.", len(faults), len(rows)),
		Cause:  faults,
	}
}
