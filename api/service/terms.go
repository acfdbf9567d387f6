package service

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"swardcase/model"
)

// Terms are what a new appraisal may begin with: the terms on which an earlier one
// was made.
type Terms struct {
	// AppraisalID is the earlier one; empty where there is none, and then Request
	// holds nothing either.
	AppraisalID string
	// Request has what the club wants, has and is paid. What was chosen for one green
	// is in it for that green only; no green, survey or price book is.
	Request     AppraisalRequest
	PriceBookID string
}

// LastTerms gives the terms of the last appraisal of a green, or else of any green
// of the club.
func (s *Service) LastTerms(ctx context.Context, clubID, greenID string) (Terms, error) {
	var last *AppraisalSummary
	err := s.view(ctx, clubID, func(tx Tx) error {
		if _, err := tx.Green(ctx, clubID, greenID); err != nil {
			return named("green", err)
		}
		found, err := tx.LatestAppraisals(ctx, clubID)
		for i := range found {
			if found[i].GreenID == greenID {
				last = &found[i]
				return err
			}
			last = &found[i] // ids rise with time
		}
		return err
	})
	if err != nil || last == nil {
		return Terms{}, err
	}
	return s.TermsOf(ctx, clubID, greenID, last.ID)
}

// TermsOf gives the terms of one appraisal, for a new one of a green.
func (s *Service) TermsOf(ctx context.Context, clubID, greenID, appraisalID string) (Terms, error) {
	earlier, err := s.Appraisal(ctx, clubID, appraisalID)
	if err != nil {
		return Terms{}, err
	}
	var c model.Case
	if err := json.Unmarshal(earlier.Case, &c); err != nil {
		return Terms{}, fmt.Errorf("read the case of appraisal %s: %w", appraisalID, err)
	}
	terms := Terms{AppraisalID: earlier.ID, Request: AppraisalRequest{Requirements: c.Requirements, Available: c.Available, Money: c.Money}}
	if earlier.PriceBookID != nil {
		terms.PriceBookID = *earlier.PriceBookID
	}
	if terms.Request.Money != nil {
		terms.Request.Money.PriceBook = nil
		if terms.Request.Money.Accounts != nil {
			terms.Request.Money.WorthOfPlayableMonth = nil // it follows from the accounts
		}
	}
	if earlier.GreenID == greenID {
		terms.Request.Choices = c.Choices
	}
	return terms, nil
}

// Today is the day by the service's clock, in UTC.
func (s *Service) Today() time.Time {
	if s.timeline == nil {
		return time.Time{}
	}
	return s.timeline.now()
}
