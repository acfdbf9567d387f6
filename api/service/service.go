// Package service holds the use cases: what a caller can ask for, whether it
// comes over HTTP or from the command line. Handlers and commands are thin
// callers of it, so that both give the same answer and the same faults.
package service

import (
	"context"
	"errors"
	"io"
	"time"

	"golang.org/x/sync/semaphore"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/openapi"
)

// CaseSchema is the contract's name for a case document.
const CaseSchema = "Case"

// Compute answers one question about a checked case. What it returns is written
// as JSON. A fault.List as the error says what the contract could not see.
type Compute func(context.Context, contract.Document) (any, error)

// ComputeWith turns a pure function of the model into a Compute: the document is
// decoded into the function's own case type.
func ComputeWith[C, R any](answer func(C) (R, error)) Compute {
	return func(_ context.Context, document contract.Document) (any, error) {
		var c C
		if err := document.Decode(&c); err != nil {
			return nil, err
		}
		return answer(c)
	}
}

// ComputeOnCurves is ComputeWith for an answer that needs the site's playability
// curve, which the process keeps and the caller may have to wait for.
func ComputeOnCurves[C, R any](answer func(C, model.CurveKeeper) (R, error)) Compute {
	return func(ctx context.Context, document contract.Document) (any, error) {
		var c C
		if err := document.Decode(&c); err != nil {
			return nil, err
		}
		return answer(c, processCurves().For(ctx))
	}
}

// Engine is what the service asks of the model.
type Engine struct {
	JudgeCondition Compute
	DesignWorks    Compute
	Appraise       Compute
	Forecast       Compute
	BreakEven      Compute
	PlanCourse     Planner
}

// Service answers questions about cases. It is safe for concurrent use.
type Service struct {
	contract *contract.Contract
	engine   Engine
	store    Store // nil when nothing is kept
	timeline *timeline
	turns    *semaphore.Weighted // nil when any number may compute at once
	queued   func()              // told of each job that is queued; nil when nobody is
}

// New joins the contract to the model.
func New(engine Engine) (*Service, error) {
	if engine.JudgeCondition == nil || engine.DesignWorks == nil || engine.Appraise == nil || engine.Forecast == nil || engine.BreakEven == nil || engine.PlanCourse == nil {
		return nil, errors.New("the service needs every function of its engine")
	}
	doc, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	return &Service{contract: contract.New(doc, meanings), engine: engine}, nil
}

// Keeping is what the service needs to keep things: where, a clock, and a source
// of randomness for ids.
type Keeping struct {
	Store  Store
	Clock  func() time.Time
	Random io.Reader
}

// NewKeeping is New with a store.
func NewKeeping(engine Engine, keeping Keeping) (*Service, error) {
	if keeping.Store == nil || keeping.Clock == nil || keeping.Random == nil {
		return nil, errors.New("a service that keeps things needs a store, a clock and a source of randomness")
	}
	s, err := New(engine)
	if err != nil {
		return nil, err
	}
	s.store, s.timeline = keeping.Store, &timeline{clock: keeping.Clock, random: keeping.Random}
	return s, nil
}

// Ready says whether what the service keeps can be reached. Without a store it
// is always ready.
func (s *Service) Ready(ctx context.Context) error {
	if s.store == nil {
		return nil
	}
	return s.store.Ready(ctx)
}

// Keeps says whether the service has a store.
func (s *Service) Keeps() bool { return s.store != nil }

// WhenQueued has a function called after each job that this process queues, so
// that its workers need not wait until they look. Call it before the service is
// used.
func (s *Service) WhenQueued(f func()) { s.queued = f }

// LimitComputations lets no more than so many documents be checked and computed
// at once; the others wait for their turn, in their order, as long as their
// caller does. Call it before the service is used. Zero is no limit.
func (s *Service) LimitComputations(most int) {
	s.turns = nil
	if most > 0 {
		s.turns = semaphore.NewWeighted(int64(most))
	}
}

// turn waits for leave to compute; done hands it on.
func (s *Service) turn(ctx context.Context) (done func(), err error) {
	if s.turns == nil {
		return func() {}, ctx.Err()
	}
	if err := s.turns.Acquire(ctx, 1); err != nil {
		return nil, err
	}
	return func() { s.turns.Release(1) }, nil
}

// CheckDocument checks a document against the contract's schema of that name,
// when it is its turn: a large one takes as long as an appraisal.
func (s *Service) CheckDocument(ctx context.Context, schema string, body []byte) (contract.Document, error) {
	done, err := s.turn(ctx)
	if err != nil {
		return contract.Document{}, err
	}
	defer done()
	return s.contract.CheckDocument(schema, body)
}

// Contract is what the service checks documents against.
func (s *Service) Contract() *contract.Contract { return s.contract }

// ReadCase checks a case document against the contract.
func (s *Service) ReadCase(body []byte) (contract.Document, error) {
	return s.contract.CheckDocument(CaseSchema, body)
}

// JudgeCondition scores the condition of the case's green.
func (s *Service) JudgeCondition(ctx context.Context, document contract.Document) (any, error) {
	return s.compute(ctx, s.engine.JudgeCondition, document)
}

// DesignWorks designs what the works on the case's green would be built as.
func (s *Service) DesignWorks(ctx context.Context, document contract.Document) (any, error) {
	return s.compute(ctx, s.engine.DesignWorks, document)
}

// Appraise compares the options for the case's green.
func (s *Service) Appraise(ctx context.Context, document contract.Document) (any, error) {
	return s.compute(ctx, s.engine.Appraise, document)
}

// Forecast follows the case's green through the years under every option.
func (s *Service) Forecast(ctx context.Context, document contract.Document) (any, error) {
	return s.compute(ctx, s.engine.Forecast, document)
}

// compute runs one computation in its turn, unless the caller has already gone. The model is
// pure and takes milliseconds, so that it is not interrupted once begun; only
// the wait for a playability curve is.
func (s *Service) compute(ctx context.Context, compute Compute, document contract.Document) (any, error) {
	done, err := s.turn(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	return compute(ctx, document)
}
