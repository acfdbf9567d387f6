package store_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
	"swardcase/model/fault"
)

// planOf is a course plan of a club that waits since an instant.
func planOf(id, clubID int, since time.Time) service.CoursePlan {
	p := service.CoursePlan{Case: []byte(fmt.Sprintf(`{"plan":  %d}`, id))}
	p.Record = record(id, clubID)
	p.CreatedAt, p.UpdatedAt = since, since
	p.State, p.ClaimableAt = service.JobQueued, &since
	p.Title, p.CaseFormat, p.CaseSHA256 = "The next ten years", 1, strings.Repeat("a", 64)
	return p
}

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
			return errors.Join(tx.InsertCoursePlan(ctx, waiting), tx.InsertCoursePlan(ctx, done))
		})
		done.CoursePlanSummary, done.Result = ended(done.CoursePlanSummary, instant.Add(time.Minute)), []byte(`{"z": 1.0}`)
		write(t, s, func(tx service.Tx) error {
			return errors.Join(tx.UpdateCoursePlan(ctx, done.CoursePlanSummary), tx.InsertCoursePlanResult(ctx, done.CoursePlanSummary, done.Result))
		})
		err := s.View(ctx, ours, func(tx service.Tx) error {
			got11, err1 := tx.CoursePlan(ctx, number(1), number(11))
			got12, err2 := tx.CoursePlan(ctx, number(1), number(12))
			all, err3 := tx.CoursePlans(ctx, service.Filter{ClubID: number(1), Limit: 10})
			queued, err4 := tx.CoursePlans(ctx, service.Filter{ClubID: number(1), State: "queued", Limit: 10})
			open, err5 := tx.OpenCoursePlans(ctx, number(1))
			want := []any{waiting, done, []service.CoursePlanSummary{waiting.CoursePlanSummary, done.CoursePlanSummary}, 1, int64(1)}
			if diff := cmp.Diff(want, []any{got11, got12, all, len(queued), open}); diff != "" {
				t.Errorf("(- written, + read)\n%s", diff)
			}
			return errors.Join(err1, err2, err3, err4, err5)
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := s.View(ctx, service.Scope{ClubID: number(2)}, func(tx service.Tx) error {
			_, err := tx.CoursePlan(ctx, number(2), number(12))
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
		write(t, s, func(tx service.Tx) error { return tx.InsertCoursePlan(ctx, plan) })
		done := ended(plan.CoursePlanSummary, instant)
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

// TestDueJobsAreFoundInEveryClub, the one that has waited longest first, and the
// depth counts them.
func TestDueJobsAreFoundInEveryClub(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		for i := range 3 {
			at := instant.Add(time.Duration(-i) * time.Minute)
			if err := s.Update(ctx, service.Scope{ClubID: number(i + 1)}, func(tx service.Tx) error {
				return errors.Join(tx.InsertClub(ctx, club(i+1)), tx.InsertCoursePlan(ctx, planOf(11+i, i+1, at)))
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
		if got := names(instant.Add(-time.Minute)); !cmp.Equal(got, []int{13, 12}) {
			t.Errorf("a minute before: %v", got)
		}
		if got := names(instant); !cmp.Equal(got, []int{13, 12, 11}) {
			t.Errorf("at the instant: %v", got)
		}
		depth, err := s.JobDepth(ctx)
		oldest := instant.Add(-2 * time.Minute).Truncate(time.Second)
		if want := (service.JobDepth{Queued: 3, Oldest: &oldest}); err != nil || !cmp.Equal(depth, want) {
			t.Errorf("depth %+v, want %+v: %v", depth, want, err)
		}
	})
}

// hands is a clock that a test sets.
type hands struct{ now atomic.Int64 }

func (h *hands) read() time.Time          { return instant.Add(time.Duration(h.now.Load())) }
func (h *hands) advance(by time.Duration) { h.now.Add(int64(by)) }

// planner is a service over a store whose plans are made by one function.
func planner(t *testing.T, s *store.Store, clock *hands, plan service.Planner) *service.Service {
	t.Helper()
	none := service.ComputeWith(func(struct{}) (any, error) { return nil, errors.New("not asked here") })
	svc, err := service.NewKeeping(service.Engine{
		JudgeCondition: none, DesignWorks: none, Appraise: none, Forecast: none, BreakEven: none, PlanCourse: plan,
	}, service.Keeping{Store: s, Clock: clock.read, Random: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	return svc
}

// echo answers with the case.
func echo(_ context.Context, course json.RawMessage, tell func(service.Progress)) (service.Planned, error) {
	best := 1.0
	tell(service.Progress{Nodes: 3, BestValue: &best, Bound: &best})
	return service.Planned{Plan: course, EngineVersion: "7"}, nil
}

// queue puts plans into a store that wait, each of a club of its own.
func queue(t *testing.T, s *store.Store, plans int) {
	t.Helper()
	ctx := t.Context()
	for i := range plans {
		if err := s.Update(ctx, service.Scope{ClubID: number(1 + i)}, func(tx service.Tx) error {
			return errors.Join(tx.InsertClub(ctx, club(1+i)), tx.InsertCoursePlan(ctx, planOf(1001+i, 1+i, instant)))
		}); err != nil {
			t.Fatal(err)
		}
	}
}

func take(t *testing.T, svc *service.Service, worker string) *service.CoursePlanTask {
	t.Helper()
	task, err := svc.TakeCoursePlan(t.Context(), worker)
	if err != nil {
		t.Fatal(err)
	}
	return task
}

// planAt reads a plan from outside, with what the audit trail says was done.
func planAt(t *testing.T, s *store.Store, clubID, id int) (service.CoursePlan, string) {
	t.Helper()
	var plan service.CoursePlan
	var actions []string
	err := s.View(t.Context(), service.Scope{ClubID: number(clubID)}, func(tx service.Tx) error {
		var err error
		if plan, err = tx.CoursePlan(t.Context(), number(clubID), number(id)); err != nil {
			return err
		}
		entries, err := tx.AuditEntries(t.Context(), service.Filter{ClubID: number(clubID), NounID: number(id), Limit: 100})
		for _, entry := range entries {
			actions = append(actions, entry.Action)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return plan, strings.Join(actions, " ")
}

// TestEachPlanIsTakenOnce lets the workers of two processes over one store race
// for plans: each is taken by one, and all are.
func TestEachPlanIsTakenOnce(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			first := storetest.Open(t, place)
			second, err := store.Open(t.Context(), storetest.Served(t, place))
			if err != nil {
				t.Fatal(err)
			}
			defer second.Close()
			const plans = 40
			queue(t, first, plans)
			clock := &hands{}
			var group sync.WaitGroup
			var mu sync.Mutex
			taken := map[string]int{}
			for worker, s := range []*store.Store{first, second, first, second} {
				svc := planner(t, s, clock, echo)
				group.Go(func() {
					for {
						task, err := svc.TakeCoursePlan(t.Context(), fmt.Sprint("w", worker))
						if err != nil {
							t.Error(err)
							return
						}
						if task == nil {
							return
						}
						mu.Lock()
						taken[task.Name()]++
						mu.Unlock()
						if err := task.Run(t.Context()); err != nil {
							t.Error(err)
						}
					}
				})
			}
			group.Wait()
			if len(taken) != plans {
				t.Errorf("%d of %d were taken: %v", len(taken), plans, taken)
			}
			for i := range plans {
				plan, actions := planAt(t, first, 1+i, 1001+i)
				if plan.State != service.JobDone || plan.Claim != 1 || string(plan.Result) != `{"plan":`+fmt.Sprint(1001+i)+`}` || actions != "finish" {
					t.Errorf("%+v: %s, %s", plan.Job, plan.Result, actions)
				}
			}
		})
	}
}

// TestAPlanLeftBehindIsTakenOver after its lease and no sooner; the worker that was
// only slow can then write nothing, neither before the new result nor after it.
func TestAPlanLeftBehindIsTakenOver(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		queue(t, s, 1)
		clock := &hands{}
		svc := planner(t, s, clock, echo)
		slow := take(t, svc, "slow")
		clock.advance(service.JobLease - time.Second)
		if ours, err := slow.Beat(ctx); !ours || err != nil {
			t.Fatal(ours, err)
		}
		clock.advance(service.JobLease - time.Second)
		if take(t, svc, "hasty") != nil {
			t.Fatal("it was taken although a beat had extended its lease")
		}
		clock.advance(time.Second)
		fresh := take(t, svc, "fresh")
		if fresh == nil {
			t.Fatal("it was not taken over")
		}
		late := func() {
			t.Helper()
			before, _ := planAt(t, s, 1, 1001)
			ours, err := slow.Beat(ctx)
			if ours || err != nil || !errors.Is(slow.Run(ctx), service.ErrJobLost) ||
				!errors.Is(slow.GiveBack(ctx), service.ErrJobLost) || !errors.Is(slow.Fail(ctx, errors.New("x")), service.ErrJobLost) {
				t.Errorf("the slow worker was let in: %v, %v", ours, err)
			}
			if after, _ := planAt(t, s, 1, 1001); !cmp.Equal(before, after) {
				t.Errorf("the slow worker changed\n%+v to\n%+v", before, after)
			}
		}
		late()
		if err := fresh.Run(ctx); err != nil {
			t.Fatal(err)
		}
		late()
		plan, actions := planAt(t, s, 1, 1001)
		if plan.State != service.JobDone || plan.Attempts != 2 || plan.Claim != 2 || actions != "finish" || *plan.Progress.GapPct != 0 {
			t.Errorf("%+v, %s", plan.Job, actions)
		}
	})
}

// TestAPlanThatKillsItsWorkersFails after the third, instead of killing all.
func TestAPlanThatKillsItsWorkersFails(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		queue(t, s, 2)
		clock := &hands{}
		svc := planner(t, s, clock, echo)
		for range 3 {
			for i := range 3 { // of which there are two
				if task := take(t, svc, "doomed"); (task != nil) != (i < 2) {
					t.Fatalf("plan %d is taken as %v", i+1, task)
				}
			}
			clock.advance(service.JobLease)
		}
		if task := take(t, svc, "next"); task != nil {
			t.Fatalf("%s was taken a fourth time", task.Name())
		}
		for i := range 2 {
			plan, actions := planAt(t, s, 1+i, 1001+i)
			if plan.State != service.JobFailed || actions != "fail" || plan.Reason != "The service stopped 3 times while it worked on this." {
				t.Errorf("%+v, %s", plan.Job, actions)
			}
		}
	})
}

// TestACancelledPlanIsKeptCancelled, whether it waits or is worked on.
func TestACancelledPlanIsKeptCancelled(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := service.WithCaller(t.Context(), service.LocalCaller("a test"))
		queue(t, s, 2)
		clock := &hands{}
		svc := planner(t, s, clock, echo)
		task := take(t, svc, "w")
		for i := range 2 {
			for range 2 { // the second time changes nothing
				plan, err := svc.CancelCoursePlan(ctx, service.Call{}, number(1+i), number(1001+i))
				if err != nil || plan.State != service.JobCancelled {
					t.Fatalf("%+v: %v", plan, err)
				}
			}
		}
		if ours, err := task.Beat(ctx); ours || err != nil {
			t.Errorf("a beat found the cancelled plan still to be done: %v", err)
		}
		if err := task.Run(ctx); !errors.Is(err, service.ErrJobLost) {
			t.Errorf("a result of a cancelled plan: %v", err)
		}
		if take(t, svc, "w") != nil {
			t.Error("a cancelled plan was taken")
		}
		for i := range 2 {
			if plan, actions := planAt(t, s, 1+i, 1001+i); plan.Result != nil || actions != "cancel" {
				t.Errorf("%+v, %s", plan, actions)
			}
		}
		queue3 := planOf(1003, 1, instant)
		write(t, s, func(tx service.Tx) error { return tx.InsertCoursePlan(ctx, queue3) })
		if err := take(t, svc, "w").Run(ctx); err != nil {
			t.Fatal(err)
		}
		if _, err := svc.CancelCoursePlan(ctx, service.Call{}, number(1), number(1003)); service.KindOf(err) != service.Conflict {
			t.Errorf("what is done was cancelled: %v", err)
		}
	})
}

// TestFailuresAreToldAndTriedAgain: a case with faults is not tried again, and
// what is told of an unexpected error gives nothing internal away.
func TestFailuresAreToldAndTriedAgain(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := t.Context()
		queue(t, s, 2)
		clock := &hands{}
		svc := planner(t, s, clock, nil)
		faulty := take(t, svc, "w")
		if err := faulty.Fail(ctx, fault.List{fault.New("/years", 99, "is too many", "give up to 15")}); err != nil {
			t.Fatal(err)
		}
		if plan, actions := planAt(t, s, 1, 1001); plan.State != service.JobFailed || !strings.Contains(plan.Reason, "/years") || actions != "fail" {
			t.Errorf("%+v, %s", plan.Job, actions)
		}
		for attempt := range 3 {
			task := take(t, svc, "w")
			if task == nil {
				t.Fatalf("attempt %d was not made", attempt+1)
			}
			if err := task.Fail(ctx, errors.New("dial 10.0.0.7: secret")); err != nil {
				t.Fatal(err)
			}
			if take(t, svc, "w") != nil {
				t.Fatal("it was tried again at once")
			}
			clock.advance(time.Minute)
		}
		plan, _ := planAt(t, s, 2, 1002)
		if plan.State != service.JobFailed || plan.Attempts != 3 || strings.Contains(plan.Reason, "secret") {
			t.Errorf("%+v", plan.Job)
		}
	})
}

// TestAPlanGivenBackIsBegunAnewAtOnce, and does not count as begun.
func TestAPlanGivenBackIsBegunAnewAtOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		queue(t, s, 1)
		svc := planner(t, s, &hands{}, echo)
		for range 5 {
			if err := take(t, svc, "w").GiveBack(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
		if err := take(t, svc, "w").Run(t.Context()); err != nil {
			t.Fatal(err)
		}
		if plan, _ := planAt(t, s, 1, 1001); plan.State != service.JobDone || plan.Attempts != 1 || plan.Claim != 6 {
			t.Errorf("%+v", plan.Job)
		}
	})
}

// TestAClubHasNoMoreThanSoManyOpenPlans: the workers are shared by all. One that
// has ended makes room, and a key is answered once.
func TestAClubHasNoMoreThanSoManyOpenPlans(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		ctx := service.WithCaller(t.Context(), service.LocalCaller("a test"))
		svc := planner(t, s, &hands{}, echo)
		furnish(t, s)
		course := service.CourseToPlan{Title: "Ten years", CaseFormat: 1, Case: []byte(`{"years": 10}`)}
		var plans []service.CoursePlanSummary
		for i := range service.MostOpenCoursePlans {
			call := service.Call{Route: "POST", IdempotencyKey: fmt.Sprint("plan-", i)}
			first, err := svc.QueueCoursePlan(ctx, call, number(1), course)
			again, errAgain := svc.QueueCoursePlan(ctx, call, number(1), course)
			if err != nil || errAgain != nil || first.ID != again.ID || first.State != service.JobQueued {
				t.Fatalf("%+v, then %+v: %v, %v", first, again, err, errAgain)
			}
			plans = append(plans, first)
		}
		if _, err := svc.QueueCoursePlan(ctx, service.Call{}, number(1), course); service.KindOf(err) != service.Conflict {
			t.Errorf("one too many: %v", err)
		}
		if _, err := svc.ArchiveCoursePlan(ctx, number(1), plans[0].ID, service.Match{Any: true}); service.KindOf(err) != service.Conflict {
			t.Errorf("a plan that waits was archived: %v", err)
		}
		task := take(t, svc, "w")
		if err := task.Run(ctx); err != nil {
			t.Fatal(err)
		}
		if _, err := svc.QueueCoursePlan(ctx, service.Call{}, number(1), course); err != nil {
			t.Error(err)
		}
		done, err := svc.CoursePlan(ctx, number(1), plans[0].ID)
		if err != nil || done.State != service.JobDone || string(done.Case) != `{"years": 10}` || string(done.Result) != `{"years":10}` || *done.ResultSHA256 != done.CaseSHA256 {
			t.Errorf("%+v: %v", done, err)
		}
		archived, err := svc.ArchiveCoursePlan(ctx, number(1), done.ID, service.Match{Versions: []int64{done.Version}})
		if err != nil || archived.ArchivedAt == nil {
			t.Errorf("%+v: %v", archived, err)
		}
		if _, err := svc.RestoreCoursePlan(ctx, service.Call{}, number(1), done.ID, service.Match{Any: true}); err != nil {
			t.Error(err)
		}
	})
}
