package api_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/gowebpki/jcs"

	"swardcase/api"
	"swardcase/api/jobs"
	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// planThing is as much of a course plan as the tests look at.
type planThing struct {
	State    string `json:"state"`
	Attempts int    `json:"attempts"`
	Reason   string `json:"reason"`
	Progress *struct {
		Nodes     int64    `json:"nodes"`
		BestValue *float64 `json:"best_value"`
		Bound     *float64 `json:"bound"`
		GapPct    *float64 `json:"gap_pct"`
	} `json:"progress"`
	CaseSHA256   string          `json:"case_sha256"`
	ResultSHA256 *string         `json:"result_sha256"`
	Result       json.RawMessage `json:"result"`
}

func (k *keeping) plan(at string) planThing {
	k.t.Helper()
	var plan planThing
	unmarshal(k.t, k.want(200, "GET", at, "").body, &plan)
	return plan
}

// eachPlanning is eachEngine with a planner of the test's own.
func eachPlanning(t *testing.T, planner service.Planner, test func(t *testing.T, k *keeping)) {
	t.Helper()
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		engine := service.ModelEngine()
		engine.PlanCourse = planner
		clock := &hands{time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)}
		svc, err := service.NewKeeping(engine, service.Keeping{Store: s, Clock: clock.read, Random: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		test(t, &keeping{harness: harnessOf(t, svc, func(c *api.Config) { c.Logger = discard() }), service: svc, store: s, clock: clock})
	})
}

// work runs the workers of a server for the length of a test.
func (k *keeping) work(t *testing.T) {
	t.Helper()
	runner, err := jobs.New(jobs.CoursePlans(k.service, "a test", time.Now), jobs.Config{
		Workers: 1, Beat: 20 * time.Millisecond, Poll: time.Hour, Logger: discard(),
	})
	if err != nil {
		t.Fatal(err)
	}
	k.service.WhenQueued(runner.Wake)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		runner.Run(ctx)
	}()
	t.Cleanup(func() { cancel(); <-ended })
}

// until reads a plan again and again until it is as it should be.
func (k *keeping) until(t *testing.T, at string, is func(planThing) bool) planThing {
	t.Helper()
	for range 1500 {
		if plan := k.plan(at); is(plan) {
			return plan
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatalf("after half a minute the plan is %+v", k.plan(at))
	return planThing{}
}

func inState(state string) func(planThing) bool {
	return func(p planThing) bool { return p.State == state }
}

// TestACoursePlanIsMadeInTheBackground, from the request to the result, and is
// kept like any other stored thing.
func TestACoursePlanIsMadeInTheBackground(t *testing.T) {
	eachPlanning(t, service.ModelEngine().PlanCourse, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		at := club.location + "/course-plans"
		key := []string{"Idempotency-Key", "plan-1"}
		queued := k.want(202, "POST", at, planBody(t), key...)
		if again := k.want(202, "POST", at, planBody(t), key...); again.body != queued.body || again.location != queued.location || k.count(at) != 1 {
			t.Errorf("first %+v, then %+v", queued, again)
		}
		if queued.location != at+"/"+queued.ID || queued.tag != `"1"` {
			t.Errorf("queued as %+v", queued)
		}
		if plan := k.plan(queued.location); plan.State != "queued" || plan.Result != nil || plan.ResultSHA256 != nil {
			t.Errorf("it waits as %+v", plan)
		}
		k.refused(409, "conflict", "DELETE", queued.location, "", "If-Match", "*")
		if k.count(at+"?state=queued") != 1 || k.count(at+"?state=done") != 0 {
			t.Error("the list does not go by state")
		}

		k.work(t)
		k.want(202, "POST", at, planBody(t)) // wakes the workers
		done := k.until(t, queued.location, inState("done"))
		if done.Attempts != 1 || sha(canonical(t, done.Result)) != *done.ResultSHA256 {
			t.Errorf("done as %+v", done)
		}
		course := k.want(200, "GET", queued.location+"/case", "").body
		if sha(canonical(t, []byte(course))) != done.CaseSHA256 {
			t.Errorf("the case hashes otherwise: %.300s", course)
		}
		k.keepAndRestore(t, "course plan", queued.location)
		k.refused(409, "conflict", "POST", queued.location+"/cancel", "")
		trail := k.want(200, "GET", club.location+"/audit-entries?noun_id="+queued.ID, "").body
		for _, action := range []string{"create", "finish", "archive", "restore"} {
			if strings.Count(trail, `"action":"`+action+`"`) != 1 {
				t.Errorf("the audit trail does not tell of one %s: %.2000s", action, trail)
			}
		}
		if !strings.Contains(trail, `"who":"service","action":"finish"`) {
			t.Errorf("the audit trail does not say who made the plan: %.2000s", trail)
		}
	})
}

// TestACoursePlanTellsHowFarItIsAndCanBeCancelled.
func TestACoursePlanTellsHowFarItIsAndCanBeCancelled(t *testing.T) {
	stopped := make(chan struct{}, 2)
	endless := func(ctx context.Context, _ json.RawMessage, tell func(service.Progress)) (service.Planned, error) {
		best, bound := 80.0, 100.0
		tell(service.Progress{Nodes: 12, BestValue: &best, Bound: &bound})
		<-ctx.Done()
		stopped <- struct{}{}
		return service.Planned{}, ctx.Err()
	}
	eachPlanning(t, endless, func(t *testing.T, k *keeping) {
		k.work(t)
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		queued := k.want(202, "POST", club.location+"/course-plans", planBody(t))
		running := k.until(t, queued.location, func(p planThing) bool { return p.State == "running" && p.Progress != nil })
		if p := running.Progress; p.Nodes != 12 || *p.BestValue != 80 || *p.Bound != 100 || *p.GapPct != 25 {
			t.Errorf("it has come to %+v", p)
		}
		key := []string{"Idempotency-Key", "enough"}
		first := k.want(200, "POST", queued.location+"/cancel", "", key...)
		if again := k.want(200, "POST", queued.location+"/cancel", "", key...); again.body != first.body {
			t.Errorf("cancelled as %s, then as %s", first.body, again.body)
		}
		select {
		case <-stopped:
		case <-time.After(10 * time.Second):
			t.Fatal("its worker goes on")
		}
		if plan := k.plan(queued.location); plan.State != "cancelled" || plan.Result != nil || plan.Progress.Nodes != 12 {
			t.Errorf("cancelled as %+v", plan)
		}
		k.want(200, "POST", queued.location+"/cancel", "") // changes nothing
		k.keepAndRestore(t, "course plan", queued.location)
	})
}

// TestACoursePlanThatStopsEarlySaysSo: it has a result all the same.
func TestACoursePlanThatStopsEarlySaysSo(t *testing.T) {
	hasty := func(ctx context.Context, course json.RawMessage, tell func(service.Progress)) (service.Planned, error) {
		planned, err := service.ModelEngine().PlanCourse(ctx, course, tell)
		planned.StoppedEarly = true
		return planned, err
	}
	eachPlanning(t, hasty, func(t *testing.T, k *keeping) {
		k.work(t)
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		queued := k.want(202, "POST", club.location+"/course-plans", planBody(t))
		if plan := k.until(t, queued.location, inState("stopped_early")); plan.Result == nil {
			t.Errorf("it has no result: %+v", plan)
		}
	})
}

// TestCoursePlansOfAnotherClub are not there, under any address.
func TestCoursePlansOfAnotherClub(t *testing.T) {
	eachEngine(t, func(t *testing.T, k *keeping) {
		club := k.want(201, "POST", "/v1/clubs", clubBody)
		other := k.want(201, "POST", "/v1/clubs", otherClub("Other"))
		plan := k.want(202, "POST", club.location+"/course-plans", planBody(t))
		abroad := strings.Replace(plan.location, club.ID, other.ID, 1)
		k.refused(404, "not-found", "GET", abroad, "")
		k.refused(404, "not-found", "GET", abroad+"/case", "")
		k.refused(404, "not-found", "POST", abroad+"/cancel", "")
		k.refused(404, "not-found", "DELETE", abroad, "", "If-Match", "*")
		k.refused(404, "not-found", "POST", abroad+"/restore", "", "If-Match", "*")
		if k.count(other.location+"/course-plans?archived=true") != 0 || k.plan(plan.location).State != "queued" {
			t.Error("the other club sees or has changed the plan")
		}
		gone := k.want(200, "DELETE", club.location, "", "If-Match", "*")
		k.refused(409, "conflict", "POST", club.location+"/course-plans", planBody(t))
		k.want(200, "POST", club.location+"/restore", "", "If-Match", gone.tag)
		for range service.MostOpenCoursePlans - 1 {
			k.want(202, "POST", club.location+"/course-plans", planBody(t))
		}
		k.refused(409, "conflict", "POST", club.location+"/course-plans", planBody(t))
		k.want(200, "POST", plan.location+"/cancel", "")
		k.want(202, "POST", club.location+"/course-plans", planBody(t))
	})
}

// planTerms are the terms of a small plan.
const planTerms = `{"years":3,"budget":{"per_year":{"amount":"60000.00","currency":"GBP"},"carry_over":true},"most_out_of_play":[1]}`

// planBody asks for the plan of a course of two of the kept cases.
func planBody(t testing.TB) string {
	t.Helper()
	var greens []string
	var last map[string]json.RawMessage
	for _, name := range []string{"green_04", "green_14"} {
		last = nil
		unmarshal(t, testCase(t, name), &last)
		greens = append(greens, fmt.Sprintf(`{"green":%s,"survey":%s,"upkeep":%s}`, last["green"], last["survey"], last["upkeep"]))
	}
	return fmt.Sprintf(`{"course":{"case_format":1,"title":"The next years","site":%s,"available":%s,"money":%s,"assumptions":%s,"greens":[%s],"plan":%s}}`,
		last["site"], last["available"], last["money"], last["assumptions"], strings.Join(greens, ","), planTerms)
}

// canonical is the RFC 8785 form of a document, which is what is hashed.
func canonical(t testing.TB, document []byte) string {
	t.Helper()
	text, err := jcs.Transform(document)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
