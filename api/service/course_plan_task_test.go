package service

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"swardcase/model/fault"
)

// onePlan is a store with one course plan, and nothing that a task does not ask.
type onePlan struct {
	Store
	Tx
	plan   CoursePlanSummary
	result string
	trail  []string
}

func (s *onePlan) View(_ context.Context, _ Scope, f func(Tx) error) error   { return f(s) }
func (s *onePlan) Update(_ context.Context, _ Scope, f func(Tx) error) error { return f(s) }
func (s *onePlan) DueJob(context.Context, time.Time, int) (JobName, error) {
	return JobName{s.plan.ClubID, s.plan.ID}, nil
}

func (s *onePlan) CoursePlanSummary(context.Context, string, string) (CoursePlanSummary, error) {
	return s.plan, nil
}

func (s *onePlan) CoursePlanCase(context.Context, string, string) (json.RawMessage, error) {
	return json.RawMessage(`{}`), nil
}

func (s *onePlan) UpdateCoursePlan(_ context.Context, plan CoursePlanSummary) error {
	s.plan = plan
	return nil
}

func (s *onePlan) InsertCoursePlanResult(_ context.Context, _ CoursePlanSummary, result []byte) error {
	s.result += string(result)
	return nil
}

func (s *onePlan) InsertAuditEntry(_ context.Context, entry AuditEntry) error {
	s.trail = append(s.trail, entry.Who+" "+entry.Action)
	return nil
}

// work takes the plan and makes it by a planner; a failure is kept as by a worker.
func (s *onePlan) work(t *testing.T, planner Planner) error {
	t.Helper()
	svc := &Service{store: s, timeline: &timeline{clock: time.Now}, engine: Engine{PlanCourse: planner}}
	s.plan = CoursePlanSummary{Record: Record{ID: "p", ClubID: "c", Version: 1}, Job: newJob(time.Now())}
	task, err := svc.TakeCoursePlan(t.Context(), "w")
	if err != nil || task == nil {
		t.Fatal(task, err)
	}
	if err = task.Run(t.Context()); err != nil {
		if failed := task.Fail(t.Context(), err); failed != nil {
			t.Fatal(failed)
		}
	}
	return err
}

// endless searches until it is ended, and then gives what it has, or an error.
func endless(err error) Planner {
	return func(ctx context.Context, _ json.RawMessage, _ func(Progress)) (Planned, error) {
		<-ctx.Done()
		return Planned{Plan: "the best so far", EngineVersion: "1", StoppedEarly: true}, errors.Join(err, err)
	}
}

// TestTheClockEndsASearchThatDoesNotEnd: what it has by then is kept, and said to
// be no more than that. Where it has nothing, another try would have no more.
func TestTheClockEndsASearchThatDoesNotEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, began := &onePlan{}, time.Now()
		if err := s.work(t, endless(nil)); err != nil || time.Since(began) != PlanTimeLimit {
			t.Errorf("after %s: %v", time.Since(began), err)
		}
		if s.plan.State != JobStoppedEarly || s.result != `"the best so far"` || s.plan.ResultSHA256 == nil || *s.plan.EngineVersion != "1" {
			t.Errorf("%+v, %s", s.plan, s.result)
		}
		nothing := &onePlan{}
		if err := nothing.work(t, endless(context.DeadlineExceeded)); !errors.Is(err, errOutOfTime) {
			t.Error(err)
		}
		if nothing.plan.State != JobFailed || nothing.plan.Attempts != 1 || !strings.Contains(nothing.plan.Reason, "within 10m0s") || nothing.trail[0] != "service fail" {
			t.Errorf("%+v, %v", nothing.plan, nothing.trail)
		}
	})
}

// TestALongReasonIsCut, between two characters and not within one.
func TestALongReasonIsCut(t *testing.T) {
	var faults fault.List
	for range 100 {
		faults.Add("/greens/0/green/name", "Ærø", "ääääääääääääääääääääää", "ööööööööööööööööööööö")
	}
	if got := reasonOf(faults); len(got) > longestReason+len("…") || !strings.HasSuffix(got, "…") || strings.ToValidUTF8(got, "") != got {
		t.Errorf("%d bytes: %q", len(got), got)
	}
}
