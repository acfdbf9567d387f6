package service

import (
	"context"
	"encoding/json"
	"fmt"

	"swardcase/api/contract"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/assumption"
	"swardcase/model/condition"
	"swardcase/model/fault"
)

// AppraisalRequest names what is stored and brings the rest of the case.
type AppraisalRequest struct {
	GreenID      string             `json:"green_id"`
	SurveyID     string             `json:"survey_id"`
	PriceBookID  string             `json:"price_book_id,omitempty"`
	Title        string             `json:"title,omitempty"`
	Requirements model.Requirements `json:"requirements,omitzero"`
	Available    *model.Available   `json:"available,omitempty"`
	Choices      model.Choices      `json:"choices,omitzero"`
	Money        *model.MoneyTerms  `json:"money,omitempty"`
	// Confidence says how many draws are made and from which seed.
	Confidence  *model.ConfidenceSettings `json:"confidence,omitempty"`
	Scales      *condition.Scales         `json:"scales,omitempty"`
	Assumptions []assumption.Override     `json:"assumptions,omitempty"`
}

// ReappraisalRequest says what is new since the appraisal that is made again;
// all else is taken from its resolved case.
type ReappraisalRequest struct {
	SurveyID    string           `json:"survey_id,omitempty"`
	PriceBookID string           `json:"price_book_id,omitempty"`
	Title       string           `json:"title,omitempty"`
	Available   *model.Available `json:"available,omitempty"`
	Changes     CaseChanges      `json:"changes,omitzero"`
}

// AppraisalSummary is a stored appraisal without its documents: what it was made
// from and by, the hashes that prove it unchanged, and what it came to.
type AppraisalSummary struct {
	Record
	GreenID       string  `json:"green_id"`
	SurveyID      string  `json:"survey_id"`
	PriceBookID   *string `json:"price_book_id"`
	ReappraisesID *string `json:"reappraises_id"`
	Title         string  `json:"title"`

	CaseFormat    int64  `json:"case_format"`
	EngineVersion string `json:"engine_version"`
	// Seed is what the draws were made from.
	Seed int64 `json:"seed"`
	// CaseSHA256 and ResultSHA256 are over the RFC 8785 form of the documents.
	CaseSHA256   string `json:"case_sha256"`
	ResultSHA256 string `json:"result_sha256"`

	Index           float64     `json:"index"`
	Grade           string      `json:"grade"`
	Advice          string      `json:"advice"`
	Option          string      `json:"option"`
	Headline        string      `json:"headline"`
	Capital         costs.Money `json:"capital"`
	ApproveCapital  costs.Money `json:"approve_capital"`
	NetPresentValue costs.Money `json:"net_present_value"`
}

// Appraisal is a stored appraisal with the resolved case and the whole result.
// It never changes but for being archived and restored.
type Appraisal struct {
	AppraisalSummary
	Case   json.RawMessage `json:"case"`
	Result json.RawMessage `json:"result"`
}

var appraisals = keeper[AppraisalSummary]{
	noun: "appraisal", get: Tx.AppraisalSummary, list: Tx.Appraisals, update: Tx.UpdateAppraisal,
	record: func(a *AppraisalSummary) *Record { return &a.Record },
}

// ingredients are the stored things that one appraisal is made from.
type ingredients struct {
	green  Green
	survey Survey
	book   *PriceBook
	input  model.Case
	// earlier is the appraisal that is made again; empty for a first one.
	earlier string
}

// CreateAppraisal appraises a stored green by a stored survey, and keeps the
// snapshot. The answer leaves the documents out.
func (s *Service) CreateAppraisal(ctx context.Context, call Call, clubID string, document contract.Document) (AppraisalSummary, error) {
	return onceWorked(ctx, s, call, clubID, func() (func(Tx) (AppraisalSummary, error), error) {
		var request AppraisalRequest
		if err := document.Decode(&request); err != nil {
			return nil, err
		}
		if err := checkPlain("/title", request.Title).Err(); err != nil {
			return nil, err
		}
		return s.appraiseAndKeep(ctx, clubID, func(tx Tx) (ingredients, error) { return s.gather(ctx, tx, clubID, request) })
	})
}

// Reappraise makes an appraisal again by today's engine, with what is new, and
// links it to the old one.
func (s *Service) Reappraise(ctx context.Context, call Call, clubID, id string, document contract.Document) (AppraisalSummary, error) {
	return onceWorked(ctx, s, call, clubID, func() (func(Tx) (AppraisalSummary, error), error) {
		var request ReappraisalRequest
		if err := document.Decode(&request); err != nil {
			return nil, err
		}
		if err := checkPlain("/title", request.Title).Err(); err != nil {
			return nil, err
		}
		keep, err := s.appraiseAndKeep(ctx, clubID, func(tx Tx) (ingredients, error) { return s.gatherAgain(ctx, tx, clubID, id, request) })
		if request.Changes != (CaseChanges{}) {
			err = underChanges(err, "/changes")
		}
		return keep, err
	})
}

// Appraisal reads one appraisal with its documents.
func (s *Service) Appraisal(ctx context.Context, clubID, id string) (Appraisal, error) {
	whole := keeper[Appraisal]{noun: appraisals.noun, get: Tx.Appraisal}
	return read(ctx, s, whole, clubID, id)
}

// AppraisalResult reads what one appraisal found, as the model has it.
func (s *Service) AppraisalResult(ctx context.Context, clubID, id string) (model.Appraisal, error) {
	var result model.Appraisal
	stored, err := s.Appraisal(ctx, clubID, id)
	if err != nil {
		return result, err
	}
	if err := json.Unmarshal(stored.Result, &result); err != nil {
		return result, fmt.Errorf("read the result of a stored appraisal: %w", err)
	}
	return result, nil
}

// Appraisals lists the appraisals of a club, without their documents.
func (s *Service) Appraisals(ctx context.Context, f Filter) (Page[AppraisalSummary], error) {
	return list(ctx, s, appraisals, f)
}

// ArchiveAppraisal takes an appraisal out of the list.
func (s *Service) ArchiveAppraisal(ctx context.Context, clubID, id string, match Match) (AppraisalSummary, error) {
	return archive(ctx, s, appraisals, clubID, id, match)
}

// RestoreAppraisal brings an archived appraisal back.
func (s *Service) RestoreAppraisal(ctx context.Context, call Call, clubID, id string, match Match) (AppraisalSummary, error) {
	return restore(ctx, s, call, appraisals, clubID, id, match)
}

// gather reads what a request names and puts the case together.
func (s *Service) gather(ctx context.Context, tx Tx, clubID string, r AppraisalRequest) (ingredients, error) {
	var from ingredients
	club, err := tx.Club(ctx, clubID, clubID)
	if err != nil {
		return from, named("club", err)
	}
	if from.green, err = liveGreen(ctx, tx, clubID, r.GreenID); err != nil {
		return from, err
	}
	if from.survey, err = surveyOf(ctx, tx, from.green, r.SurveyID); err != nil {
		return from, err
	}
	if from.book, err = bookOf(ctx, tx, clubID, r.PriceBookID); err != nil {
		return from, err
	}
	c := caseOf(club, from.green, from.survey.Survey)
	c.Title, c.Requirements, c.Available, c.Choices = r.Title, r.Requirements, r.Available, r.Choices
	c.Money, c.Confidence, c.Scales, c.Assumptions = r.Money, r.Confidence, r.Scales, r.Assumptions
	if from.book != nil {
		switch {
		case c.Money == nil:
			return from, fault.New("/money", nil, "a price book needs the terms of money", "give the currency and the worth of a playable month")
		case c.Money.PriceBook != nil:
			return from, fault.New("/money/price_book", nil, "there are two price books", "keep price_book_id or this")
		}
		c.Money.PriceBook = &from.book.Book
	}
	from.input = c
	return from, nil
}

// gatherAgain takes an appraisal's resolved case and puts in what is new.
func (s *Service) gatherAgain(ctx context.Context, tx Tx, clubID, id string, r ReappraisalRequest) (ingredients, error) {
	var from ingredients
	old, err := tx.Appraisal(ctx, clubID, id)
	if err != nil {
		return from, named("appraisal", err)
	}
	from.earlier = old.ID
	if err := json.Unmarshal(old.Case, &from.input); err != nil {
		return from, fmt.Errorf("read the case of appraisal %s: %w", id, err)
	}
	if from.green, err = tx.Green(ctx, clubID, old.GreenID); err != nil {
		return from, err
	}
	surveyID := old.SurveyID
	if r.SurveyID != "" {
		surveyID = r.SurveyID
	}
	if from.survey, err = surveyOf(ctx, tx, from.green, surveyID); err != nil {
		return from, err
	}
	if r.SurveyID != "" {
		from.input.Survey = from.survey.Survey
	}
	bookID := r.PriceBookID
	if bookID == "" && old.PriceBookID != nil {
		bookID = *old.PriceBookID
	}
	if from.book, err = bookOf(ctx, tx, clubID, bookID); err != nil {
		return from, err
	}
	if r.PriceBookID != "" {
		from.input.Money.PriceBook = &from.book.Book
	}
	if r.Available != nil {
		from.input.Available = r.Available
	}
	if r.Title != "" {
		from.input.Title = r.Title
	}
	if r.Changes != (CaseChanges{}) {
		var faults fault.List
		if err := r.Changes.in(&from.input); err != nil {
			faults.Under("/changes", Faults(err))
		}
		return from, faults.Err()
	}
	return from, nil
}

func surveyOf(ctx context.Context, tx Tx, green Green, id string) (Survey, error) {
	found, err := tx.Survey(ctx, green.ClubID, id)
	switch {
	case err != nil:
		return found, namedAt("/survey_id", id, surveys.words(), "give the id of a survey of this green", err)
	case found.GreenID != green.ID:
		return found, fault.New("/survey_id", id, "is a survey of another green", "give the id of a survey of this green")
	}
	return found, nil
}

func bookOf(ctx context.Context, tx Tx, clubID, id string) (*PriceBook, error) {
	if id == "" {
		return nil, nil
	}
	book, err := tx.PriceBook(ctx, clubID, id)
	if err != nil {
		return nil, namedAt("/price_book_id", id, priceBooks.words(), "give the id of one of its price books", err)
	}
	return &book, nil
}

// appraiseAndKeep gathers what an appraisal is made from, asks the engine outside
// any transaction, and returns how to keep the answer.
func (s *Service) appraiseAndKeep(ctx context.Context, clubID string, gather func(Tx) (ingredients, error)) (func(Tx) (AppraisalSummary, error), error) {
	var from ingredients
	err := s.view(ctx, clubID, func(tx Tx) error {
		var err error
		from, err = gather(tx)
		return err
	})
	if err != nil {
		return nil, err
	}
	snapshot, err := s.snapshot(ctx, from)
	if err != nil {
		return nil, elsewhere(err, map[string]string{"/site": "", "/green": "/green_id", "/upkeep": "/green_id", "/survey": "/survey_id"})
	}
	return func(tx Tx) (AppraisalSummary, error) {
		if err := s.openClub(ctx, tx, clubID); err != nil {
			return AppraisalSummary{}, err
		}
		return makeIn(ctx, s, tx, appraisals, clubID, func(record Record) (AppraisalSummary, error) {
			snapshot.Record = record
			if from.book != nil {
				snapshot.PriceBookID = &from.book.ID
				if err := s.usePriceBook(ctx, tx, *from.book); err != nil {
					return AppraisalSummary{}, err
				}
			}
			return snapshot.AppraisalSummary, tx.InsertAppraisal(ctx, snapshot)
		})
	}, nil
}

// snapshot appraises and writes both documents with their hashes.
func (s *Service) snapshot(ctx context.Context, from ingredients) (Appraisal, error) {
	var out Appraisal
	input, err := json.Marshal(from.input)
	if err != nil {
		return out, fmt.Errorf("write the case: %w", err)
	}
	document, err := s.ReadCase(input)
	if err != nil {
		return out, err
	}
	result, err := As[model.Appraisal](s.Appraise(ctx, document))
	if err != nil {
		return out, err
	}
	if out.Case, err = json.Marshal(result.Case); err != nil {
		return out, fmt.Errorf("write the resolved case: %w", err)
	}
	if out.Result, err = json.Marshal(result); err != nil {
		return out, fmt.Errorf("write the result: %w", err)
	}
	if out.CaseSHA256, err = canonicalSHA256(out.Case); err != nil {
		return out, err
	}
	if out.ResultSHA256, err = canonicalSHA256(out.Result); err != nil {
		return out, err
	}
	out.GreenID, out.SurveyID = from.green.ID, from.survey.ID
	if from.earlier != "" {
		out.ReappraisesID = &from.earlier
	}
	out.summarise(result)
	return out, nil
}

// summarise takes from a result what lists show.
func (a *AppraisalSummary) summarise(result model.Appraisal) {
	advised := result.Recommendation
	a.Title = result.Case.Title
	a.CaseFormat, a.EngineVersion = int64(result.Case.CaseFormat), result.EngineVersion
	if drawn := result.Case.Confidence; drawn != nil {
		a.Seed = drawn.Seed
	}
	a.Index, a.Grade = result.Condition.Condition.Index, string(result.Condition.Condition.Grade)
	a.Advice, a.Option, a.Headline = string(advised.Kind), string(advised.Option), advised.Headline
	a.ApproveCapital = advised.ApproveCapital
	for _, option := range result.Options {
		if option.Option == advised.Option {
			a.Capital, a.NetPresentValue = option.Money.Capital, option.Money.AgainstPresent.NetPresentValue
		}
	}
}
