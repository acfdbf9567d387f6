package service

import (
	"context"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/fault"
	"swardcase/model/survey"
)

// GreenInput is what a caller says of a green: its part of a case, and how it is
// kept now.
type GreenInput struct {
	Green  model.Green  `json:"green"`
	Upkeep model.Upkeep `json:"upkeep,omitzero"`
}

// Green is a stored green. No two live greens of a club have one name.
type Green struct {
	Record
	GreenInput
}

var greens = keeper[Green]{
	noun: "green", get: Tx.Green, list: Tx.Greens, update: Tx.UpdateGreen,
	record: func(g *Green) *Record { return &g.Record },
}

// CreateGreen stores a new green.
func (s *Service) CreateGreen(ctx context.Context, call Call, clubID string, document contract.Document) (Green, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (Green, error), error) {
		input, err := readGreen(document)
		if err != nil {
			return nil, err
		}
		return func(tx Tx) (Green, error) {
			if err := s.openClub(ctx, tx, clubID); err != nil {
				return Green{}, err
			}
			return makeIn(ctx, s, tx, greens, clubID, func(record Record) (Green, error) {
				green := Green{record, input}
				return green, tx.InsertGreen(ctx, green)
			})
		}, nil
	})
}

// Green reads one green.
func (s *Service) Green(ctx context.Context, clubID, id string) (Green, error) {
	return read(ctx, s, greens, clubID, id)
}

// Greens lists the greens of a club.
func (s *Service) Greens(ctx context.Context, f Filter) (Page[Green], error) {
	return list(ctx, s, greens, f)
}

// ReplaceGreen writes a green anew. Appraisals that were made keep what they saw.
func (s *Service) ReplaceGreen(ctx context.Context, clubID, id string, match Match, document contract.Document) (Green, error) {
	input, err := readGreen(document)
	if err != nil {
		return Green{}, err
	}
	return change(ctx, s, greens, alteration[Green]{clubID, id, match, actionReplace, func(_ Tx, green *Green) error {
		green.GreenInput = input
		return live(&green.Record)
	}})
}

// ArchiveGreen takes a green out of the list.
func (s *Service) ArchiveGreen(ctx context.Context, clubID, id string, match Match) (Green, error) {
	return archive(ctx, s, greens, clubID, id, match)
}

// RestoreGreen brings an archived green back, unless its name is taken by now.
func (s *Service) RestoreGreen(ctx context.Context, call Call, clubID, id string, match Match) (Green, error) {
	return restore(ctx, s, call, greens, clubID, id, match)
}

// readGreen reads a green and checks it as a case would.
func readGreen(document contract.Document) (GreenInput, error) {
	var input GreenInput
	if err := document.Decode(&input); err != nil {
		return input, err
	}
	_, err := model.Resolve(model.Case{
		CaseFormat: model.CaseFormat, Green: input.Green, Upkeep: input.Upkeep,
		Survey: survey.Survey{SurveyedOn: anyDay},
	})
	var faults fault.List
	faults = append(faults, checkPlain("/green/name", input.Green.Name)...)
	faults = append(faults, faultsBelow(err, "/green")...)
	faults = append(faults, faultsBelow(err, "/upkeep")...)
	return input, faults.Err()
}
