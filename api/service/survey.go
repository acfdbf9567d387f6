package service

import (
	"context"
	"fmt"
	"strings"
	"time"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/fault"
	"swardcase/model/survey"
)

// SurveyInput is what a caller says of a survey: of which green, and its
// readings.
type SurveyInput struct {
	GreenID string        `json:"green_id"`
	Survey  survey.Survey `json:"survey"`
	Note    string        `json:"note,omitempty"`
}

// Survey is a stored survey. A green has at most one live survey of a day.
type Survey struct {
	Record
	SurveyInput
}

var surveys = keeper[Survey]{
	noun: "survey", get: Tx.Survey, list: Tx.Surveys, update: Tx.UpdateSurvey,
	record: func(v *Survey) *Record { return &v.Record },
}

// CreateSurvey stores a new survey.
func (s *Service) CreateSurvey(ctx context.Context, call Call, clubID string, document contract.Document) (Survey, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (Survey, error), error) {
		var input SurveyInput
		if err := document.Decode(&input); err != nil {
			return nil, err
		}
		return func(tx Tx) (Survey, error) {
			if err := s.openClub(ctx, tx, clubID); err != nil {
				return Survey{}, err
			}
			if err := s.checkSurvey(ctx, tx, clubID, input); err != nil {
				return Survey{}, err
			}
			return s.insertSurvey(ctx, tx, clubID, input)
		}, nil
	})
}

func (s *Service) insertSurvey(ctx context.Context, tx Tx, clubID string, input SurveyInput) (Survey, error) {
	return makeIn(ctx, s, tx, surveys, clubID, func(record Record) (Survey, error) {
		stored := Survey{record, input}
		return stored, tx.InsertSurvey(ctx, stored)
	})
}

// Survey reads one survey.
func (s *Service) Survey(ctx context.Context, clubID, id string) (Survey, error) {
	return read(ctx, s, surveys, clubID, id)
}

// Surveys lists the surveys of a club, or of one of its greens.
func (s *Service) Surveys(ctx context.Context, f Filter) (Page[Survey], error) {
	var bad contract.BadParameters
	for _, bound := range []struct{ name, day string }{{"from", f.From}, {"to", f.To}} {
		if bound.day != "" && !isDay(bound.day) {
			bad = append(bad, contract.ParameterFault{Parameter: bound.name, Fault: fault.New("", bound.day, noDay, "write a date as YYYY-MM-DD")})
		}
	}
	if len(bad) > 0 {
		return Page[Survey]{}, bad
	}
	return list(ctx, s, surveys, f)
}

// ReplaceSurvey writes a survey anew, to mend a slip. It stays with its green.
func (s *Service) ReplaceSurvey(ctx context.Context, clubID, id string, match Match, document contract.Document) (Survey, error) {
	var input SurveyInput
	if err := document.Decode(&input); err != nil {
		return Survey{}, err
	}
	return change(ctx, s, surveys, alteration[Survey]{clubID, id, match, actionReplace, func(tx Tx, stored *Survey) error {
		if input.GreenID != stored.GreenID {
			return fault.New("/green_id", input.GreenID, "is not the green that was surveyed", "archive this survey and store another under the right green")
		}
		stored.SurveyInput = input
		if err := live(&stored.Record); err != nil {
			return err
		}
		return s.checkSurvey(ctx, tx, clubID, input)
	}})
}

// ArchiveSurvey takes a survey out of the list and out of the trend.
func (s *Service) ArchiveSurvey(ctx context.Context, clubID, id string, match Match) (Survey, error) {
	return archive(ctx, s, surveys, clubID, id, match)
}

// RestoreSurvey brings an archived survey back, unless its day is taken by now.
func (s *Service) RestoreSurvey(ctx context.Context, call Call, clubID, id string, match Match) (Survey, error) {
	return restore(ctx, s, call, surveys, clubID, id, match)
}

// checkSurvey judges the condition of the green as surveyed, so that a survey
// that is stored can always be appraised.
func (s *Service) checkSurvey(ctx context.Context, tx Tx, clubID string, input SurveyInput) error {
	club, err := tx.Club(ctx, clubID, clubID)
	if err != nil {
		return named("club", err)
	}
	green, err := liveGreen(ctx, tx, clubID, input.GreenID)
	if err != nil {
		return err
	}
	return elsewhere(judge(club, green, input.Survey), storedParts)
}

// judge says what is wrong with a survey of a green, as a fault.List with
// pointers into the case.
func judge(club Club, green Green, readings survey.Survey) error {
	if !isDay(readings.SurveyedOn) {
		return fault.List{fault.New("/survey/surveyed_on", readings.SurveyedOn, noDay, "write the day of the survey as YYYY-MM-DD")}
	}
	_, err := model.JudgeCondition(caseOf(club, green, readings))
	return err
}

// isDay reports whether the text is a day of the calendar that every engine can
// keep: there is no year 0 for all of them.
func isDay(text string) bool {
	day, err := time.Parse(time.DateOnly, text)
	return err == nil && day.Year() > 0
}

const noDay = "is not a day of the calendar"

// liveGreen reads the green that a document names.
func liveGreen(ctx context.Context, tx Tx, clubID, id string) (Green, error) {
	green, err := tx.Green(ctx, clubID, id)
	switch {
	case err != nil:
		return green, namedAt("/green_id", id, greens.words(), "give the id of one of its greens", err)
	case green.ArchivedAt != nil:
		return green, fault.New("/green_id", id, "the green is archived", "restore it first")
	}
	return green, nil
}

// caseOf puts a case together from what is stored.
func caseOf(club Club, green Green, readings survey.Survey) model.Case {
	return model.Case{
		CaseFormat: model.CaseFormat, Site: club.Site,
		Green: green.Green, Upkeep: green.Upkeep, Survey: readings,
	}
}

// storedParts says by which field of a document a stored part of a case came in.
var storedParts = map[string]string{"/site": "", "/green": "/green_id", "/upkeep": "/green_id"}

// elsewhere moves the faults of stored parts of a case to the field that named
// them, since the document at hand has no such place.
func elsewhere(err error, parts map[string]string) error {
	faults := Faults(err)
	if faults == nil {
		return err
	}
	moved := make(fault.List, len(faults))
	for i, f := range faults {
		top := "/" + strings.SplitN(strings.TrimPrefix(f.Pointer, "/"), "/", 2)[0]
		if field, stored := parts[top]; stored && f.Pointer != "" {
			f.Detail = fmt.Sprintf("what is stored has a fault at %s: %s", f.Pointer, f.Detail)
			f.Pointer = field
		}
		moved[i] = f
	}
	return moved
}
