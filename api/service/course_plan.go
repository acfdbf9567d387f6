package service

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// CoursePlanSummary is a stored course plan without its documents: how far the
// work on it has come, and the hashes that prove the documents unchanged. It is
// made from a snapshot, the case with every default written in.
type CoursePlanSummary struct {
	Record
	Job
	Title      string `json:"title"`
	CaseFormat int64  `json:"case_format"`
	// CaseSHA256 and ResultSHA256 are over the RFC 8785 form of the documents. The
	// second and the engine's version are nil until there is a result.
	CaseSHA256    string  `json:"case_sha256"`
	ResultSHA256  *string `json:"result_sha256"`
	EngineVersion *string `json:"engine_version"`
}

// CoursePlan is a stored course plan with its result, once there is one. The case,
// which is large and never changes, is read by itself.
type CoursePlan struct {
	CoursePlanSummary
	Result json.RawMessage `json:"result,omitempty"`
}

var coursePlans = keeper[CoursePlanSummary]{
	noun: "course_plan", get: Tx.CoursePlanSummary, list: Tx.CoursePlans, update: Tx.UpdateCoursePlan,
	record: func(p *CoursePlanSummary) *Record { return &p.Record },
}

// MostOpenCoursePlans is how many plans of one club may wait or be worked on: the
// workers are shared by all clubs.
const MostOpenCoursePlans = 20

// CoursePlan reads one course plan with its result.
func (s *Service) CoursePlan(ctx context.Context, clubID, id string) (CoursePlan, error) {
	whole := keeper[CoursePlan]{noun: coursePlans.noun, get: Tx.CoursePlan}
	return read(ctx, s, whole, clubID, id)
}

// CoursePlanCase reads the resolved case that a course plan is made from.
func (s *Service) CoursePlanCase(ctx context.Context, clubID, id string) (json.RawMessage, error) {
	return read(ctx, s, keeper[json.RawMessage]{noun: coursePlans.noun, get: Tx.CoursePlanCase}, clubID, id)
}

// CoursePlans lists the course plans of a club, without their documents.
func (s *Service) CoursePlans(ctx context.Context, f Filter) (Page[CoursePlanSummary], error) {
	return list(ctx, s, coursePlans, f)
}

// ArchiveCoursePlan takes a course plan that has ended out of the list.
func (s *Service) ArchiveCoursePlan(ctx context.Context, clubID, id string, match Match) (CoursePlanSummary, error) {
	ended := coursePlans
	ended.update = func(tx Tx, ctx context.Context, plan CoursePlanSummary) error {
		if !plan.Ended() {
			return &Error{Kind: Conflict, Detail: "It is still waiting or being worked on: cancel it first."}
		}
		return tx.UpdateCoursePlan(ctx, plan)
	}
	return archive(ctx, s, ended, clubID, id, match)
}

// RestoreCoursePlan brings an archived course plan back.
func (s *Service) RestoreCoursePlan(ctx context.Context, call Call, clubID, id string, match Match) (CoursePlanSummary, error) {
	return restore(ctx, s, call, coursePlans, clubID, id, match)
}

// CancelCoursePlan ends the work on a course plan, which a worker notices within
// a second. It needs no version: the caller wants no result, however far the work
// has come.
func (s *Service) CancelCoursePlan(ctx context.Context, call Call, clubID, id string) (CoursePlanSummary, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (CoursePlanSummary, error), error) {
		return func(tx Tx) (CoursePlanSummary, error) {
			changed := false
			before, plan, err := s.alterJob(ctx, tx, clubID, id, func(plan *CoursePlanSummary) error {
				var err error
				changed, err = plan.cancel(plan.UpdatedAt)
				return err
			})
			if err != nil || !changed {
				return plan, named(coursePlans.words(), err)
			}
			return plan, s.auditJob(ctx, tx, actionCancel, before, plan)
		}, nil
	})
}

// queueCoursePlan keeps a course plan with its resolved case, for a worker to make.
func (s *Service) queueCoursePlan(ctx context.Context, tx Tx, clubID string, plan CoursePlanSummary, course json.RawMessage) (CoursePlanSummary, error) {
	if err := s.openClub(ctx, tx, clubID); err != nil {
		return CoursePlanSummary{}, err
	}
	open, err := tx.OpenCoursePlans(ctx, clubID)
	if err != nil {
		return CoursePlanSummary{}, err
	}
	if open >= MostOpenCoursePlans {
		return CoursePlanSummary{}, &Error{Kind: Conflict, Detail: fmt.Sprintf(
			"The club has %d course plans that wait or are worked on: wait until one has ended, or cancel one.", open)}
	}
	return makeIn(ctx, s, tx, coursePlans, clubID, func(record Record) (CoursePlanSummary, error) {
		plan.Record, plan.Job = record, newJob(record.CreatedAt)
		return plan, tx.InsertCoursePlan(ctx, plan, course)
	})
}

// alterTries is how often a job is read again that another has changed since.
const alterTries = 10

// alterJob reads a course plan, changes how its work stands and writes it back; it
// gives the plan as it was and as it is. A change by another in between is taken
// in: what alter allows depends on the job as it then is. The instant of the
// change is the plan's UpdatedAt.
func (s *Service) alterJob(ctx context.Context, tx Tx, clubID, id string, alter func(*CoursePlanSummary) error) (before, after CoursePlanSummary, err error) {
	for range alterTries {
		if before, err = tx.CoursePlanSummary(ctx, clubID, id); err != nil {
			return before, before, err
		}
		after = before
		after.UpdatedAt = s.timeline.now()
		if err := alter(&after); err != nil {
			return before, before, err
		}
		if before.Ended() {
			return before, before, nil
		}
		after.Version++
		if err = tx.UpdateCoursePlan(ctx, after); KindOf(err) != PreconditionFailed {
			return before, after, err
		}
	}
	return before, after, err
}

// auditJob tells the audit trail what became of a course plan.
func (s *Service) auditJob(ctx context.Context, tx Tx, action string, before, after CoursePlanSummary) error {
	text, err := json.Marshal(before)
	if err != nil {
		return fmt.Errorf("write the %s for the audit trail: %w", coursePlans.words(), err)
	}
	return s.audit(ctx, tx, action, coursePlans.noun, after.Record, text, after)
}

// longestReason is in bytes.
const longestReason = 2000

// reasonOf is what a caller is told of a failure: faults of the case and whatever
// was written for the caller. All else is only for the log.
func reasonOf(err error) string {
	var told *Error
	switch faults := Faults(err); {
	case faults != nil:
		if text := faults.Error(); len(text) <= longestReason {
			return text
		}
		return strings.ToValidUTF8(faults.Error()[:longestReason], "") + "…"
	case errors.As(err, &told) && told.Kind != Internal:
		return told.Detail
	}
	return "Something went wrong here; the log of the service says what."
}
