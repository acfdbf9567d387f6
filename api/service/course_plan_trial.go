package service

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"swardcase/api/contract"
	"swardcase/model"
)

// CourseSchema is the contract's name for the case of a course.
const CourseSchema = "CourseCase"

// TrialPlanLimit is how long a caller who waits for the answer has a plan
// searched for: less than a request may take. What ends a search in the ordinary
// way is its count of nodes; a plan that the clock ended says stopped_early, and
// one that needs longer is kept as a course plan and made in the background.
const TrialPlanLimit = 12 * time.Second

// ReadCourse checks the case of a course against the contract.
func (s *Service) ReadCourse(body []byte) (contract.Document, error) {
	return s.contract.CheckDocument(CourseSchema, body)
}

// PlanCourse plans a course for as long as the context allows. It keeps nothing.
func (s *Service) PlanCourse(ctx context.Context, document contract.Document) (any, error) {
	plan := func(ctx context.Context, document contract.Document) (any, error) {
		var c model.CourseCase // what the contract allows and a type refuses is named here
		var course json.RawMessage
		if err := errors.Join(document.Decode(&c), document.Decode(&course)); err != nil {
			return nil, err
		}
		planned, err := s.engine.PlanCourse(ctx, course, func(Progress) {})
		return planned.Plan, err
	}
	return s.compute(ctx, plan, document)
}

// planCourse is the planner of the model.
func planCourse(ctx context.Context, course json.RawMessage, tell func(Progress)) (Planned, error) {
	var c model.CourseCase
	if err := json.Unmarshal(course, &c); err != nil {
		return Planned{}, fmt.Errorf("read the case of a course: %w", err)
	}
	plan, err := model.PlanCourse(ctx, c, processCurves().For(ctx), func(p model.PlanProgress) {
		tell(Progress{Nodes: int64(p.Nodes), BestValue: p.Value, Bound: p.Bound})
	})
	return Planned{Plan: plan, EngineVersion: plan.EngineVersion, StoppedEarly: plan.Status == model.PlanStoppedEarly}, err
}

// TryCoursePlan is PlanCourse for a caller who waits no longer than
// TrialPlanLimit.
func (s *Service) TryCoursePlan(ctx context.Context, document contract.Document) (any, error) {
	limited, stop := context.WithTimeout(ctx, TrialPlanLimit)
	defer stop()
	plan, err := s.PlanCourse(limited, document)
	if err != nil && ctx.Err() == nil && errors.Is(err, context.DeadlineExceeded) {
		return nil, &Error{Kind: Unavailable, Detail: "The greens of this course could not be appraised in the time that a caller waits: plan fewer greens or years, or try again when the service is less busy."}
	}
	return plan, err
}
