package service

import (
	"context"
	"strings"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/fault"
	"swardcase/model/survey"
)

// ClubInput is what a caller says of a club. The site goes into the case of each
// of its greens.
type ClubInput struct {
	Name string     `json:"name"`
	Site model.Site `json:"site"`
}

// Club is a stored club; its id is also its club_id.
type Club struct {
	Record
	ClubInput
}

var clubs = keeper[Club]{
	noun: "club", get: Tx.Club, list: Tx.Clubs, update: Tx.UpdateClub,
	record: func(c *Club) *Record { return &c.Record },
}

// CreateClub stores a new club. It is for an operator, since no club can ask for
// another.
func (s *Service) CreateClub(ctx context.Context, call Call, document contract.Document) (Club, error) {
	scope, err := s.scopeOfEvery(ctx)
	if err != nil {
		return Club{}, err
	}
	record, err := s.newRecord("")
	if err != nil {
		return Club{}, err
	}
	scope.ClubID = record.ID // the store keeps no row of a club that it is not told of
	return onceIn(ctx, s, call, scope, func() (func(Tx) (Club, error), error) {
		input, err := readClub(document)
		if err != nil {
			return nil, err
		}
		return func(tx Tx) (Club, error) {
			return makeAs(ctx, s, tx, clubs, record, func(record Record) (Club, error) {
				club := Club{record, input}
				return club, tx.InsertClub(ctx, club)
			})
		}, nil
	})
}

// Club reads one club.
func (s *Service) Club(ctx context.Context, id string) (Club, error) {
	return read(ctx, s, clubs, id, id)
}

// Clubs lists the clubs that the caller may see: every one, or its own.
func (s *Service) Clubs(ctx context.Context, f Filter) (Page[Club], error) {
	if caller, _ := CallerOf(ctx); caller.ClubID != "" {
		f.ClubID = caller.ClubID
		return list(ctx, s, clubs, f)
	}
	return listEvery(ctx, s, clubs, f)
}

// ReplaceClub writes a club anew.
func (s *Service) ReplaceClub(ctx context.Context, id string, match Match, document contract.Document) (Club, error) {
	input, err := readClub(document)
	if err != nil {
		return Club{}, err
	}
	return change(ctx, s, clubs, alteration[Club]{id, id, match, actionReplace, func(_ Tx, club *Club) error {
		club.ClubInput = input
		return live(&club.Record)
	}})
}

// ArchiveClub takes a club out of the list; nothing more can be stored for it.
func (s *Service) ArchiveClub(ctx context.Context, id string, match Match) (Club, error) {
	return archive(ctx, s, clubs, id, id, match)
}

// RestoreClub brings an archived club back.
func (s *Service) RestoreClub(ctx context.Context, call Call, id string, match Match) (Club, error) {
	return restore(ctx, s, call, clubs, id, id, match)
}

// readClub reads a club and checks its site as a case would.
func readClub(document contract.Document) (ClubInput, error) {
	var input ClubInput
	if err := document.Decode(&input); err != nil {
		return input, err
	}
	faults := checkPlain("/name", input.Name)
	_, err := model.Resolve(model.Case{
		CaseFormat: model.CaseFormat, Site: input.Site, Green: anyGreen,
		Survey: survey.Survey{SurveyedOn: anyDay},
	})
	return input, append(faults, faultsBelow(err, "/site")...).Err()
}

// anyGreen and anyDay fill the parts of a case that a check is not about; any
// sound ones do. The green is a circle of 400 m², whose edge is 70.9 m.
var anyGreen = model.Green{Name: "any", AreaM2: 400, PerimeterM: 71}

const anyDay = "2000-01-01"

// faultsBelow gives the faults of a case that lie in one part of it.
func faultsBelow(err error, prefix string) fault.List {
	var below fault.List
	for _, f := range Faults(err) {
		if f.Pointer == prefix || strings.HasPrefix(f.Pointer, prefix+"/") {
			below = append(below, f)
		}
	}
	return below
}

// checkPlain refuses control characters in a name: one of them, NUL, cannot be
// stored as text everywhere, and none of them can be read.
func checkPlain(pointer, text string) fault.List {
	if strings.IndexFunc(text, func(r rune) bool { return r < ' ' || fault.Unseen(r) }) < 0 {
		return nil
	}
	return fault.List{fault.New(pointer, text, "holds a control character", "write it on one line of plain text")}
}
