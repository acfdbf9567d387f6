package store_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// planOf is a course plan of a club that waits since an instant.
func planOf(id, clubID int, since time.Time) service.CoursePlanSummary {
	var p service.CoursePlanSummary
	p.Record = record(id, clubID)
	p.CreatedAt, p.UpdatedAt = since, since
	p.State, p.ClaimableAt = service.JobQueued, &since
	p.Title, p.CaseFormat, p.CaseSHA256 = "The next ten years", 1, strings.Repeat("a", 64)
	return p
}

// caseOf is the case of such a plan.
func caseOf(id int) []byte { return fmt.Appendf(nil, `{"plan":  %d}`, id) }

// ended is a plan as it stands when its result has been kept.
func ended(p service.CoursePlanSummary, at time.Time) service.CoursePlanSummary {
	best, hash, engine := 12.5, strings.Repeat("b", 64), "7"
	p.Version, p.UpdatedAt = p.Version+1, at
	p.State, p.StartedAt, p.EndedAt, p.ClaimableAt = service.JobDone, &at, &at, nil
	p.Attempts, p.Claim, p.Progress = 1, 1, &service.Progress{Nodes: 7, BestValue: &best}
	p.ResultSHA256, p.EngineVersion = &hash, &engine
	return p
}

func TestACoursePlanReadsBackAsItWasWritten(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		waiting, done := planOf(11, 1, instant), planOf(12, 1, instant)
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.InsertCoursePlan(ctx, waiting, caseOf(11)), tx.InsertCoursePlan(ctx, done, caseOf(12)))
		})
		done = ended(done, instant.Add(time.Minute))
		result := json.RawMessage(`{"z": 1.0}`)
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.UpdateCoursePlan(ctx, done), tx.InsertCoursePlanResult(ctx, done, result))
		})
		err := s.View(ctx, ours, func(tx service.Tx) error {
			got11, err1 := tx.CoursePlan(ctx, number(1), number(11))
			got12, err2 := tx.CoursePlan(ctx, number(1), number(12))
			all, err3 := tx.CoursePlans(ctx, service.Filter{ClubID: number(1), Limit: 10})
			queued, err4 := tx.CoursePlans(ctx, service.Filter{ClubID: number(1), State: "queued", Limit: 10})
			open, err5 := tx.OpenCoursePlans(ctx, number(1))
			course, err6 := tx.CoursePlanCase(ctx, number(1), number(11))
			want := []any{
				service.CoursePlan{CoursePlanSummary: waiting},
				service.CoursePlan{CoursePlanSummary: done, Result: result},
				[]service.CoursePlanSummary{waiting, done},
				1, int64(1), json.RawMessage(caseOf(11)),
			}
			if diff := cmp.Diff(want, []any{got11, got12, all, len(queued), open, course}); diff != "" {
				t.Errorf("(- written, + read)\n%s", diff)
			}
			return errors.Join(err1, err2, err3, err4, err5, err6)
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.View(ctx, service.Scope{ClubID: number(2)}, func(tx service.Tx) error {
			_, err := tx.CoursePlanCase(ctx, number(2), number(12))
			return err
		}); service.KindOf(err) != service.NotFound {
			t.Errorf("another club sees the plan: %v", err)
		}
	})
}

// TestTheDatabaseKeepsAPlanThatHasEnded: whatever a worker that is too late sends.
func TestTheDatabaseKeepsAPlanThatHasEnded(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		furnish(t, s)
		plan := planOf(11, 1, instant)
		write(t, s, func(tx service.Tx) error { return tx.InsertCoursePlan(ctx, plan, caseOf(11)) })
		done := ended(plan, instant)
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.UpdateCoursePlan(ctx, done), tx.InsertCoursePlanResult(ctx, done, []byte(`{}`)))
		})
		refused := func(what string, f func(tx service.Tx) error) {
			t.Helper()
			if err := s.Update(ctx, ours, f); err == nil {
				t.Errorf("%s was kept", what)
			}
		}
		for what, change := range map[string]func(*service.CoursePlanSummary){
			"another state":  func(p *service.CoursePlanSummary) { p.State = service.JobStoppedEarly },
			"another result": func(p *service.CoursePlanSummary) { hash := strings.Repeat("c", 64); p.ResultSHA256 = &hash },
			"another claim":  func(p *service.CoursePlanSummary) { p.Claim++ },
			"work on it": func(p *service.CoursePlanSummary) {
				p.State, p.EndedAt, p.ClaimableAt = service.JobRunning, nil, &instant
				p.ResultSHA256, p.EngineVersion = nil, nil
			},
		} {
			changed := done
			changed.Version++
			change(&changed)
			refused(what, func(tx service.Tx) error { return tx.UpdateCoursePlan(ctx, changed) })
		}
		refused("a second result", func(tx service.Tx) error { return tx.InsertCoursePlanResult(ctx, done, []byte(`{"a":1}`)) })
		archived := done
		archived.Version, archived.ArchivedAt = 3, &instant
		write(t, s, func(tx service.Tx) error { return tx.UpdateCoursePlan(ctx, archived) })
	})
}

// TestDueJobsAreFoundInEveryClub, the oldest first whatever it has waited for, and
// the depth counts them.
func TestDueJobsAreFoundInEveryClub(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		for i := range 3 {
			at := instant.Add(time.Duration(-i) * time.Minute)
			if err := s.Update(ctx, service.Scope{ClubID: number(i + 1)}, func(tx service.Tx) error {
				return errors.Join(tx.InsertClub(ctx, club(i+1)), tx.InsertCoursePlan(ctx, planOf(11+i, i+1, at), caseOf(11+i)))
			}); err != nil {
				t.Fatal(err)
			}
		}
		names := func(at time.Time) (got []int) {
			for past := 0; ; past++ {
				name, err := s.DueJob(ctx, at, past)
				if service.KindOf(err) == service.NotFound {
					return got
				}
				var id int
				if _, scanned := fmt.Sscanf(name.ID, "01985e3c-0000-7000-8000-%d", &id); err != nil || scanned != nil {
					t.Fatal(err, scanned)
				}
				got = append(got, id)
			}
		}
		if got := names(instant.Add(-time.Minute)); !cmp.Equal(got, []int{12, 13}) {
			t.Errorf("a minute before: %v", got)
		}
		if got := names(instant); !cmp.Equal(got, []int{11, 12, 13}) {
			t.Errorf("at the instant: %v", got)
		}
		depth, err := s.JobDepth(ctx)
		oldest := instant.Add(-2 * time.Minute).Truncate(time.Second)
		if want := (service.JobDepth{Queued: 3, Oldest: &oldest}); err != nil || !cmp.Equal(depth, want) {
			t.Errorf("depth %+v, want %+v: %v", depth, want, err)
		}
	})
}
