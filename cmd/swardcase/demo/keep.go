package demo

import (
	"context"
	"encoding/json"
	"fmt"

	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/model"
	"swardcase/model/survey"
)

// keeping stores a club by the service's own use cases, each document checked
// against the contract on its way.
type keeping struct {
	svc    *service.Service
	clubID string
	bookID string
}

// Keep stores the club, the first edition of its price book, every green with its
// surveys, and an appraisal of each green by its latest survey.
func (c Club) Keep(ctx context.Context, svc *service.Service) (service.Club, error) {
	k := keeping{svc: svc}
	ctx = service.WithCaller(ctx, caller)
	club, err := kept(k, "ClubInput", c.Input, func(document contract.Document) (service.Club, error) {
		return svc.CreateClub(ctx, call, document)
	})
	if err != nil {
		return club, fmt.Errorf("keep the club: %w", err)
	}
	k.clubID = club.ID
	book, err := kept(k, "PriceBookInput", service.PriceBookInput{Book: c.Prices}, func(document contract.Document) (service.PriceBook, error) {
		return svc.CreatePriceBook(ctx, call, club.ID, document)
	})
	if err != nil {
		return club, fmt.Errorf("keep the price book: %w", err)
	}
	k.bookID = book.ID
	for _, green := range c.Greens {
		if err := k.green(ctx, green); err != nil {
			return club, fmt.Errorf("keep the %s green: %w", green.Case.Green.Name, err)
		}
	}
	return club, nil
}

// caller is who keeps it, as the audit trail shows.
var caller = service.LocalCaller("demonstration")

// call is one that is not sent again.
var call service.Call

func (k keeping) green(ctx context.Context, g Green) error {
	green, err := kept(k, "GreenInput", service.GreenInput{Green: g.Case.Green, Upkeep: g.Case.Upkeep}, func(document contract.Document) (service.Green, error) {
		return k.svc.CreateGreen(ctx, call, k.clubID, document)
	})
	if err != nil {
		return err
	}
	for _, earlier := range g.Earlier {
		if _, err := k.survey(ctx, green.ID, earlier); err != nil {
			return err
		}
	}
	latest, err := k.survey(ctx, green.ID, g.Case.Survey)
	if err != nil {
		return err
	}
	request := k.request(g.Case)
	request.GreenID, request.SurveyID = green.ID, latest.ID
	_, err = kept(k, "AppraisalRequest", request, func(document contract.Document) (service.AppraisalSummary, error) {
		return k.svc.CreateAppraisal(ctx, call, k.clubID, document)
	})
	return err
}

func (k keeping) survey(ctx context.Context, greenID string, readings survey.Survey) (service.Survey, error) {
	input := service.SurveyInput{GreenID: greenID, Survey: readings}
	stored, err := kept(k, "SurveyInput", input, func(document contract.Document) (service.Survey, error) {
		return k.svc.CreateSurvey(ctx, call, k.clubID, document)
	})
	if err != nil {
		return stored, fmt.Errorf("the survey of %s: %w", readings.SurveyedOn, err)
	}
	return stored, nil
}

// request asks for the appraisal of a case, by the parts that are not stored with
// the green.
func (k keeping) request(c model.Case) service.AppraisalRequest {
	return service.AppraisalRequest{
		PriceBookID: k.bookID, Title: c.Title, Requirements: c.Requirements, Available: c.Available,
		Choices: c.Choices, Money: c.Money, Confidence: c.Confidence, Scales: c.Scales, Assumptions: c.Assumptions,
	}
}

// kept checks a document by the contract's schema of that name and stores it.
func kept[R any](k keeping, schema string, input any, store func(contract.Document) (R, error)) (R, error) {
	var none R
	body, err := json.Marshal(input)
	if err != nil {
		return none, err
	}
	document, err := k.svc.Contract().CheckDocument(schema, body)
	if err != nil {
		return none, err
	}
	return store(document)
}
