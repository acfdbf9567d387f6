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
			return errors.Join(tx.InsertClub(ctx, club(1+i)), tx.InsertCoursePlan(ctx, planOf(1001+i, 1+i, instant), caseOf(1001+i)))
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
		write(t, s, func(tx service.Tx) error { return tx.InsertCoursePlan(ctx, planOf(1003, 1, instant), caseOf(1003)) })
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
		svc := planner(t, s, clock, echo)
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
