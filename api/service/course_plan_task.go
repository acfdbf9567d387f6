package service

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"swardcase/model"
)

// Planner plans the course of a resolved case. It tells now and then how far it has come. When its
// context ends it gives the best plan found so far, which says that it was
// stopped, or an error where there is none.
type Planner func(ctx context.Context, course json.RawMessage, tell func(Progress)) (Planned, error)

// Planned is the answer of a Planner.
type Planned struct {
	// Plan is written as JSON.
	Plan          any
	EngineVersion string
	// StoppedEarly says that the context ended the search: another run may find
	// a better plan.
	StoppedEarly bool
}

// JobName says where a job is.
type JobName struct{ ClubID, ID string }

// JobDepth is how many jobs of all clubs have not ended. Oldest is when the
// longest waiting of the queued was made, to the second.
type JobDepth struct {
	Queued, Running int64
	Oldest          *time.Time
}

// PlanTimeLimit is how long a worker searches for a plan. What ends the search in
// the ordinary way is its count of nodes: the clock only keeps one plan from
// holding a worker for good.
const PlanTimeLimit = 10 * time.Minute

// errOutOfTime is what is said of a course of which not even a first plan was made
// in time. Another try would take as long.
var errOutOfTime = &Error{Kind: TimedOut, Detail: fmt.Sprintf(
	"No plan was found within %s: plan for fewer greens, options or years.", PlanTimeLimit)}

// mostTaken is how many jobs a worker tries to take in one go.
const mostTaken = 10

// CoursePlanTask is the work on one course plan that a worker has taken.
type CoursePlanTask struct {
	service *Service
	name    JobName
	claim   int64
	worker  string
	told    atomic.Pointer[Progress]
	// writing keeps a beat from changing the row while the result is written.
	writing sync.Mutex
}

// TakeCoursePlan gives a worker the oldest course plan of any club that waits: one
// that was left behind goes before those that were asked for later. It gives nil
// when none waits. One that cannot be taken is passed over, so that it does not
// hold up the others.
func (s *Service) TakeCoursePlan(ctx context.Context, worker string) (*CoursePlanTask, error) {
	if s.store == nil {
		return nil, errNoStore()
	}
	var trouble error
	past := 0
	for range mostTaken {
		name, err := s.store.DueJob(ctx, s.timeline.now(), past)
		if KindOf(err) == NotFound {
			return nil, trouble
		}
		if err != nil {
			return nil, err
		}
		task, err := s.take(ctx, name, worker)
		switch {
		case task != nil:
			return task, nil
		case err != nil && !errors.Is(err, ErrJobLost):
			trouble = errors.Join(trouble, fmt.Errorf("course plan %s: %w", name.ID, err))
			past++
		}
	}
	return nil, trouble
}

// take gives a worker one plan; nil when another was faster, or when it has been
// begun too often and fails.
func (s *Service) take(ctx context.Context, name JobName, worker string) (*CoursePlanTask, error) {
	ctx = byService(ctx)
	var task *CoursePlanTask
	err := s.update(ctx, name.ClubID, func(tx Tx) error {
		task = nil
		taken := false
		before, plan, err := s.alterJob(ctx, tx, name.ClubID, name.ID, func(plan *CoursePlanSummary) error {
			var err error
			taken, err = plan.take(worker, plan.UpdatedAt)
			return err
		})
		switch {
		case err != nil:
			return err
		case !taken:
			return s.auditJob(ctx, tx, actionFail, before, plan)
		}
		task = &CoursePlanTask{service: s, name: name, claim: plan.Claim, worker: worker}
		return nil
	})
	return task, err
}

// byService names the service as the caller, for what it does by itself: so the
// audit trail has it.
func byService(ctx context.Context) context.Context { return WithCaller(ctx, LocalCaller("service")) }

// Name says in the log what is worked on.
func (t *CoursePlanTask) Name() string {
	return fmt.Sprintf("course plan %s of club %s, claim %d", t.name.ID, t.name.ClubID, t.claim)
}

// Run makes the plan and keeps it. It gives ErrJobLost when the plan was
// cancelled or taken over meanwhile, and the context's cause when that ended: it
// keeps nothing then.
func (t *CoursePlanTask) Run(ctx context.Context) error {
	course, err := t.service.CoursePlanCase(byService(ctx), t.name.ClubID, t.name.ID)
	if err != nil {
		return err
	}
	limited, stop := searching(ctx)
	defer stop()
	planned, err := t.service.engine.PlanCourse(limited, course, func(p Progress) {
		p.settle()
		t.told.Store(&p)
	})
	switch {
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case err != nil && limited.Err() != nil:
		return errOutOfTime
	case err != nil:
		return err
	}
	return t.keep(ctx, planned)
}

// searching is the context of a search whose plan is wanted as long as ctx lasts.
// At the time limit the best so far is wanted, and after ctx nothing.
func searching(ctx context.Context) (limited context.Context, stop func()) {
	wanted, unwanted := context.WithCancelCause(context.WithoutCancel(ctx))
	let := context.AfterFunc(ctx, func() { unwanted(model.ErrPlanUnwanted) })
	limited, end := context.WithTimeout(wanted, PlanTimeLimit)
	return limited, func() {
		let()
		end()
		unwanted(nil)
	}
}

// keep writes the result, unless the plan is no longer this worker's.
func (t *CoursePlanTask) keep(ctx context.Context, planned Planned) error {
	result, err := json.Marshal(planned.Plan)
	if err != nil {
		return fmt.Errorf("write the plan: %w", err)
	}
	hash, err := canonicalSHA256(result)
	if err != nil {
		return err
	}
	state := JobDone
	if planned.StoppedEarly {
		state = JobStoppedEarly
	}
	return t.end(ctx, func(plan *CoursePlanSummary) error {
		plan.ResultSHA256, plan.EngineVersion = &hash, &planned.EngineVersion
		return plan.finish(t.claim, state, t.told.Load(), plan.UpdatedAt)
	}, func(tx Tx, plan CoursePlanSummary) error { return tx.InsertCoursePlanResult(ctx, plan, result) })
}

// end changes how the work stands and, where that ends it, tells the audit trail.
func (t *CoursePlanTask) end(ctx context.Context, alter func(*CoursePlanSummary) error, also func(Tx, CoursePlanSummary) error) error {
	t.writing.Lock()
	defer t.writing.Unlock()
	ctx, s := byService(ctx), t.service
	return s.update(ctx, t.name.ClubID, func(tx Tx) error {
		before, plan, err := s.alterJob(ctx, tx, t.name.ClubID, t.name.ID, alter)
		if err != nil || !plan.Ended() {
			return err
		}
		if also != nil {
			if err := also(tx, plan); err != nil {
				return err
			}
		}
		action := actionFinish
		if plan.State == JobFailed {
			action = actionFail
		}
		return s.auditJob(ctx, tx, action, before, plan)
	})
}

// Beat tells the store that the work goes on, and how far it has come. It is
// false when the plan was cancelled or taken over.
func (t *CoursePlanTask) Beat(ctx context.Context) (bool, error) {
	err := t.end(ctx, func(plan *CoursePlanSummary) error {
		return plan.beat(t.claim, t.told.Load(), plan.UpdatedAt)
	}, nil)
	if errors.Is(err, ErrJobLost) {
		return false, nil
	}
	return err == nil, err
}

// GiveBack lets another worker begin the plan anew.
func (t *CoursePlanTask) GiveBack(ctx context.Context) error {
	return t.end(ctx, func(plan *CoursePlanSummary) error { return plan.giveBack(t.claim, plan.UpdatedAt) }, nil)
}

// Fail keeps why Run failed. What may pass by itself is tried again; a case with
// faults is not.
func (t *CoursePlanTask) Fail(ctx context.Context, cause error) error {
	again := Faults(cause) == nil && !errors.Is(cause, errOutOfTime)
	return t.end(ctx, func(plan *CoursePlanSummary) error {
		return plan.fail(t.claim, reasonOf(cause), again, plan.UpdatedAt)
	}, nil)
}

// JobDepth counts the jobs that have not ended.
func (s *Service) JobDepth(ctx context.Context) (JobDepth, error) {
	if s.store == nil {
		return JobDepth{}, errNoStore()
	}
	return s.store.JobDepth(ctx)
}
