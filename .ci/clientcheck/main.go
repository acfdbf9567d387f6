// Command clientcheck goes once round the API through a client that a stock
// generator made of the contract, which is what another system would do. It is a
// module of its own, and is built in a copy of this folder in which the client
// has been generated; .ci/run says how.
//
// Whatever the service answers must fit the generated types without a field too
// many, and written again from them it must be the same document (RFC 8785).
package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"github.com/gowebpki/jcs"

	"swardcase.example/clientcheck/client"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "clientcheck:", err)
		os.Exit(1)
	}
}

func run(arguments []string) error {
	if len(arguments) < 2 {
		return errors.New("give the address of a service with an empty store, and case files with money in them")
	}
	api, err := client.NewClientWithResponses(arguments[0])
	if err != nil {
		return err
	}
	answers := 0
	for _, path := range arguments[1:] {
		went, err := goRound(api, path)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		answers += went
	}
	fmt.Printf("%d answers read through the generated client, each the same when written again\n", answers)
	return nil
}

// goRound goes round with one case, and says how many answers it read.
func goRound(api *client.ClientWithResponses, path string) (int, error) {
	file, err := os.ReadFile(path)
	if err != nil {
		return 0, err
	}
	whole, err := strictly[client.Case](file)
	if err != nil {
		return 0, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	r := &round{ctx: ctx, api: api, whole: whole, key: filepath.Base(path)}
	for _, step := range []func() error{r.createParts, r.createBook, r.appraise, r.readBack, r.readTrail, r.beRefused} {
		if err := step(); err != nil {
			return 0, err
		}
	}
	return r.answers, nil
}

// round is one way round the API, and what it has made so far.
type round struct {
	ctx     context.Context
	api     *client.ClientWithResponses
	whole   client.Case
	key     string // for what must be done once
	answers int

	club, green, survey, book client.ID
	appraisal                 client.AppraisalSummary
}

// createParts stores the club, the green and the survey of the case.
func (r *round) createParts() error {
	club, err := r.api.CreateClubWithResponse(r.ctx, &client.CreateClubParams{IdempotencyKey: &r.key},
		client.ClubInput{Name: "Thornmere Golf Club", Site: r.whole.Site})
	if err != nil {
		return err
	}
	made, err := same(r, http.StatusCreated, club, club.Body, club.JSON201)
	if err != nil {
		return err
	}
	r.club = made.Id

	green, err := r.api.CreateGreenWithResponse(r.ctx, r.club, nil, client.GreenInput{Green: r.whole.Green, Upkeep: r.whole.Upkeep})
	if err != nil {
		return err
	}
	madeGreen, err := same(r, http.StatusCreated, green, green.Body, green.JSON201)
	if err != nil {
		return err
	}
	r.green = madeGreen.Id

	survey, err := r.api.CreateSurveyWithResponse(r.ctx, r.club, nil, client.SurveyInput{GreenId: r.green, Survey: r.whole.Survey})
	if err != nil {
		return err
	}
	madeSurvey, err := same(r, http.StatusCreated, survey, survey.Body, survey.JSON201)
	if err == nil {
		r.survey = madeSurvey.Id
	}
	return err
}

// createBook stores the prices that a trial appraisal of the case used.
func (r *round) createBook() error {
	trial, err := r.api.PostTrialAppraisalWithResponse(r.ctx, r.whole)
	if err != nil {
		return err
	}
	answer, err := same(r, http.StatusOK, trial, trial.Body, trial.JSON200)
	if err != nil {
		return err
	}
	if answer.Case.Money == nil || answer.Case.Money.PriceBook == nil {
		return errors.New("the resolved case of a trial appraisal has no price book")
	}
	book, err := r.api.CreatePriceBookWithResponse(r.ctx, r.club, nil, client.PriceBookInput{Book: *answer.Case.Money.PriceBook})
	if err != nil {
		return err
	}
	made, err := same(r, http.StatusCreated, book, book.Body, book.JSON201)
	if err == nil {
		r.book = made.Id
	}
	return err
}

// appraise stores one appraisal, and asks for it again with the same key.
func (r *round) appraise() error {
	if r.whole.Money != nil {
		r.whole.Money.PriceBook = nil // the stored one stands in its place
	}
	request := client.AppraisalRequest{
		GreenId: r.green, SurveyId: r.survey, PriceBookId: &r.book,
		Title: r.whole.Title, Requirements: r.whole.Requirements, Available: r.whole.Available,
		Choices: r.whole.Choices, Money: r.whole.Money, Confidence: r.whole.Confidence, Scales: r.whole.Scales,
		Assumptions: r.whole.Assumptions,
	}
	for attempt := range 2 {
		answer, err := r.api.CreateAppraisalWithResponse(r.ctx, r.club, &client.CreateAppraisalParams{IdempotencyKey: &r.key}, request)
		if err != nil {
			return err
		}
		made, err := same(r, http.StatusCreated, answer, answer.Body, answer.JSON201)
		if err != nil {
			return err
		}
		if attempt == 1 && made.Id != r.appraisal.Id {
			return fmt.Errorf("one key made the appraisals %s and %s", r.appraisal.Id, made.Id)
		}
		r.appraisal = *made
	}
	return nil
}

// readBack reads the appraisal and its place in the list, and makes its hashes
// again from the generated types.
func (r *round) readBack() error {
	answer, err := r.api.GetAppraisalWithResponse(r.ctx, r.club, r.appraisal.Id)
	if err != nil {
		return err
	}
	kept, err := same(r, http.StatusOK, answer, answer.Body, answer.JSON200)
	if err != nil {
		return err
	}
	for _, document := range []struct {
		name string
		of   any
		want client.SHA256
	}{{"case", kept.Case, r.appraisal.CaseSha256}, {"result", kept.Result, r.appraisal.ResultSha256}} {
		text, err := json.Marshal(document.of)
		if err != nil {
			return err
		}
		canonical, err := jcs.Transform(text)
		if err != nil {
			return err
		}
		if sum := sha256.Sum256(canonical); hex.EncodeToString(sum[:]) != document.want {
			return fmt.Errorf("the %s written from the generated types has another SHA-256", document.name)
		}
	}
	if kept.Case.Confidence == nil || kept.Case.Confidence.Seed == nil || *kept.Case.Confidence.Seed != kept.Seed {
		return fmt.Errorf("the appraisal is said to have the seed %d, which is not that of its case", kept.Seed)
	}
	list, err := r.api.ListAppraisalsWithResponse(r.ctx, r.club, &client.ListAppraisalsParams{GreenId: &r.green})
	if err != nil {
		return err
	}
	page, err := same(r, http.StatusOK, list, list.Body, list.JSON200)
	if err == nil && (len(page.Items) != 1 || page.Items[0].Id != r.appraisal.Id) {
		err = fmt.Errorf("the list of appraisals holds %d, not the one", len(page.Items))
	}
	return err
}

// readTrail reads who did what; the first use of the price book is among it.
func (r *round) readTrail() error {
	answer, err := r.api.ListAuditEntriesWithResponse(r.ctx, r.club, nil)
	if err != nil {
		return err
	}
	page, err := same(r, http.StatusOK, answer, answer.Body, answer.JSON200)
	if err == nil && len(page.Items) != 6 {
		err = fmt.Errorf("the audit trail has %d entries, not 6", len(page.Items))
	}
	return err
}

// beRefused sends what must be refused, and reads the problem documents.
func (r *round) beRefused() error {
	faulty := r.whole.Green
	faulty.AgeYears = -1
	made, err := r.api.CreateGreenWithResponse(r.ctx, r.club, nil, client.GreenInput{Green: faulty})
	if err != nil {
		return err
	}
	problem, err := same(r, http.StatusUnprocessableEntity, made, made.Body, made.ApplicationproblemJSON422)
	if err != nil {
		return err
	}
	if problem.Errors == nil || len(*problem.Errors) != 1 || (*problem.Errors)[0].Pointer != "/green/age_years" || (*problem.Errors)[0].Remedy == "" {
		return fmt.Errorf("the problem of a negative age is %s", made.Body)
	}
	late, err := r.api.ReplaceGreenWithResponse(r.ctx, r.club, r.green, &client.ReplaceGreenParams{IfMatch: new(`"99"`)}, client.GreenInput{Green: r.whole.Green})
	if err != nil {
		return err
	}
	_, err = same(r, http.StatusPreconditionFailed, late, late.Body, late.ApplicationproblemJSON412)
	return err
}

// same checks an answer's status and that its body, read strictly into the type
// of the contract and written again, is the same document.
func same[T any](r *round, status int, answer interface{ StatusCode() int }, body []byte, parsed *T) (*T, error) {
	if answer.StatusCode() != status || parsed == nil {
		return nil, fmt.Errorf("%T: answered %d, want %d: %.2000s", answer, answer.StatusCode(), status, body)
	}
	strict, err := strictly[T](body)
	if err != nil {
		return nil, fmt.Errorf("%T: %w", answer, err)
	}
	again, err := json.Marshal(strict)
	if err != nil {
		return nil, fmt.Errorf("%T: %w", answer, err)
	}
	first, err := jcs.Transform(body)
	if err != nil {
		return nil, fmt.Errorf("%T: %w", answer, err)
	}
	second, err := jcs.Transform(again)
	if err != nil {
		return nil, fmt.Errorf("%T: %w", answer, err)
	}
	if !bytes.Equal(first, second) {
		at := 0
		for at < min(len(first), len(second)) && first[at] == second[at] {
			at++
		}
		return nil, fmt.Errorf("%T: written again it differs: ...%.300s and ...%.300s", answer, first[max(0, at-100):], second[max(0, at-100):])
	}
	r.answers++
	return parsed, nil
}

func strictly[T any](body []byte) (T, error) {
	var out T
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	return out, decoder.Decode(&out)
}
