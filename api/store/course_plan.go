package store

import (
	"context"
	"encoding/json"
	"time"

	"swardcase/api/service"
)

const coursePlanColumns = recordColumns + `, title, case_format, case_sha256, state, started_at, ended_at, attempts, progress_document, reason,
	claim, claimable_at, worker, engine_version, result_sha256`

// The two documents of a course plan, as the column part names them.
const (
	partCase   = "case"
	partResult = "result"
)

func scanCoursePlan(from scanner) (service.CoursePlanSummary, error) {
	var p service.CoursePlanSummary
	var progress []byte
	err := from.Scan(append(recordFields(&p.Record),
		&p.Title, &p.CaseFormat, &p.CaseSHA256, &p.State, &p.StartedAt, &p.EndedAt, &p.Attempts, &progress, &p.Reason,
		&p.Claim, &p.ClaimableAt, &p.Worker, &p.EngineVersion, &p.ResultSHA256)...)
	if err != nil {
		return p, err
	}
	inUTC(&p.Record)
	p.StartedAt, p.EndedAt, p.ClaimableAt = utc(p.StartedAt), utc(p.EndedAt), utc(p.ClaimableAt)
	if progress == nil {
		return p, nil
	}
	return p, readDocument(progress, &p.Progress)
}

// jobValues are what changes of a plan while it is worked on.
func jobValues(p service.CoursePlanSummary) ([]any, error) {
	var progress any
	if p.Progress != nil {
		text, err := asDocument(p.Progress)
		if err != nil {
			return nil, err
		}
		progress = text
	}
	return []any{
		p.State, p.StartedAt, p.EndedAt, p.Attempts, progress, p.Reason,
		p.Claim, p.ClaimableAt, p.Worker, p.EngineVersion, p.ResultSHA256,
	}, nil
}

// CoursePlanSummary reads one course plan without its documents.
func (t tx) CoursePlanSummary(ctx context.Context, clubID, id string) (service.CoursePlanSummary, error) {
	return one(ctx, t.q, scanCoursePlan, "SELECT "+coursePlanColumns+" FROM course_plans WHERE club_id = $1 AND id = $2", clubID, id)
}

// CoursePlan reads one course plan with its result, where it has one.
func (t tx) CoursePlan(ctx context.Context, clubID, id string) (service.CoursePlan, error) {
	summary, err := t.CoursePlanSummary(ctx, clubID, id)
	plan := service.CoursePlan{CoursePlanSummary: summary}
	if err != nil || summary.ResultSHA256 == nil {
		return plan, err
	}
	plan.Result, err = t.planDocument(ctx, clubID, id, partResult)
	return plan, err
}

// CoursePlanCase reads the resolved case of a course plan.
func (t tx) CoursePlanCase(ctx context.Context, clubID, id string) (json.RawMessage, error) {
	return t.planDocument(ctx, clubID, id, partCase)
}

func (t tx) planDocument(ctx context.Context, clubID, id, part string) (json.RawMessage, error) {
	var document []byte
	err := t.q.row(ctx, "SELECT document FROM course_plan_documents WHERE club_id = $1 AND plan_id = $2 AND part = $3", []any{clubID, id, part}, &document)
	return document, err
}

// CoursePlans lists the course plans of a club.
func (t tx) CoursePlans(ctx context.Context, f service.Filter) ([]service.CoursePlanSummary, error) {
	q := selectFrom(coursePlanColumns, "course_plans")
	q.where("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("state =", f.State)
	q.whereLive(f)
	return many(ctx, t.q, scanCoursePlan, q, "id", f.Limit)
}

// OpenCoursePlans counts those of a club that have not ended.
func (t tx) OpenCoursePlans(ctx context.Context, clubID string) (int64, error) {
	var open int64
	err := t.q.row(ctx, "SELECT count(*) FROM course_plans WHERE club_id = $1 AND claimable_at IS NOT NULL", []any{clubID}, &open)
	return open, err
}

// InsertCoursePlan adds a course plan and its case.
func (t tx) InsertCoursePlan(ctx context.Context, p service.CoursePlanSummary, course []byte) error {
	job, err := jobValues(p)
	if err != nil {
		return err
	}
	values := append(recordValues(p.Record), p.Title, p.CaseFormat, p.CaseSHA256)
	_, err = t.q.exec(ctx, `INSERT INTO course_plans (`+coursePlanColumns+`)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20)`, append(values, job...)...)
	if err != nil {
		return err
	}
	return t.insertPlanDocument(ctx, p, partCase, course)
}

// InsertCoursePlanResult adds the one result of a course plan.
func (t tx) InsertCoursePlanResult(ctx context.Context, p service.CoursePlanSummary, result []byte) error {
	return t.insertPlanDocument(ctx, p, partResult, result)
}

func (t tx) insertPlanDocument(ctx context.Context, p service.CoursePlanSummary, part string, document []byte) error {
	_, err := t.q.exec(ctx, `INSERT INTO course_plan_documents (club_id, plan_id, part, document) VALUES ($1, $2, $3, $4)`,
		p.ClubID, p.ID, part, string(document))
	return err
}

// UpdateCoursePlan changes how the work stands, the version and the instants. The
// database refuses any other change, and any of work that has ended.
func (t tx) UpdateCoursePlan(ctx context.Context, p service.CoursePlanSummary) error {
	job, err := jobValues(p)
	if err != nil {
		return err
	}
	return changed(t.q.exec(ctx, `UPDATE course_plans SET version = $3, updated_at = $4, archived_at = $5,
			state = $6, started_at = $7, ended_at = $8, attempts = $9, progress_document = $10, reason = $11,
			claim = $12, claimable_at = $13, worker = $14, engine_version = $15, result_sha256 = $16
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		append([]any{p.ID, p.ClubID, p.Version, p.UpdatedAt, p.ArchivedAt}, job...)...))
}

// DueJob names the oldest job that a worker may take, after some that are passed
// over. Ids are in the order of making.
func (s *Store) DueJob(ctx context.Context, at time.Time, past int) (service.JobName, error) {
	var name service.JobName
	err := s.lookUp(ctx, "SELECT "+s.lookups.dueJob, []any{at, past}, &name.ClubID, &name.ID)
	return name, err
}

// JobDepth counts the jobs of all clubs that have not ended.
func (s *Store) JobDepth(ctx context.Context) (service.JobDepth, error) {
	var depth service.JobDepth
	var oldest *int64
	err := s.lookUp(ctx, "SELECT "+s.lookups.jobDepth, nil, &depth.Queued, &depth.Running, &oldest)
	if oldest != nil {
		at := time.Unix(*oldest, 0).UTC()
		depth.Oldest = &at
	}
	return depth, err
}
