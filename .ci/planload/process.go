package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"

	"golang.org/x/sync/errgroup"

	"swardcase/.ci/served"
)

// serve starts a service over a database. All callers have one address here, so
// that the limits by address are off.
func (t *trial) serve(database string) (*served.Service, error) {
	return t.Serve("DATABASE_URL="+database, "--plan-workers", strconv.Itoa(t.workers),
		"--address-rate", "0", "--address-under-way", "0", "--address-connections", "0")
}

// course is what the courses of all clubs are made from: kept cases of single
// greens.
type course struct {
	site, available, money, assumptions json.RawMessage
	greens                              []courseGreen
}

type courseGreen struct {
	Green  map[string]any  `json:"green"`
	Survey json.RawMessage `json:"survey"`
	Upkeep json.RawMessage `json:"upkeep"`
}

// readCourse puts the kept cases on one course, in turn, until there are so many
// greens, each with a name of its own.
func readCourse(greens int) (course, error) {
	var c course
	names := []string{"green_04", "green_11", "green_14"}
	for n := range greens {
		text, err := os.ReadFile(filepath.Join("testdata", "cases", names[n%len(names)]+".json"))
		if err != nil {
			return c, err
		}
		var whole map[string]json.RawMessage
		var green courseGreen
		if err := errors.Join(json.Unmarshal(text, &whole), json.Unmarshal(text, &green)); err != nil {
			return c, err
		}
		green.Green["name"] = fmt.Sprintf("green %d", n+1)
		c.greens = append(c.greens, green)
		c.site, c.available, c.money, c.assumptions = whole["site"], whole["available"], whole["money"], whole["assumptions"]
	}
	return c, nil
}

// request asks for the plan of the nth of the different courses, each with
// another budget.
func (t *trial) request(n int) ([]byte, error) {
	budget := map[string]any{
		"per_year":   map[string]string{"amount": fmt.Sprintf("%d.00", 40_000+2_500*n), "currency": "GBP"},
		"carry_over": true,
	}
	return json.Marshal(map[string]any{"course": map[string]any{
		"case_format": 1, "title": "A course under load", "site": t.course.site, "available": t.course.available,
		"money": t.course.money, "assumptions": t.course.assumptions, "greens": t.course.greens,
		"plan": map[string]any{"years": t.years, "objective": "index_years", "budget": budget, "most_out_of_play": []int{2}},
	}})
}

// callers is how many clubs ask at once.
const callers = 8

// queue makes every club and queues its plan, at the two processes in turn.
func (t *trial) queue(ctx context.Context, processes ...*served.Service) error {
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(callers)
	for n := range t.clubs {
		group.Go(func() error { return t.queueOne(ctx, processes[n%len(processes)], n) })
	}
	return group.Wait()
}

func (t *trial) queueOne(ctx context.Context, p *served.Service, n int) error {
	club := fmt.Appendf(nil, `{"name":"Thornmere Golf Club %d","site":{"latitude_deg":52,"climate":{"station":"oxford"}}}`, n)
	id, err := p.Post(ctx, http.StatusCreated, "/v1/clubs", club, "Idempotency-Key", fmt.Sprint("club-", n))
	if err != nil {
		return err
	}
	body, err := t.request(n % t.kinds)
	if err != nil {
		return err
	}
	_, err = p.Post(ctx, http.StatusAccepted, "/v1/clubs/"+id+"/course-plans", body, "Idempotency-Key", "plan")
	return err
}

// killMidway waits until a quarter of the plans are done, and kills a process while
// it works. It gives the plans that the process had.
func (t *trial) killMidway(ctx context.Context, look look, p *served.Service) ([]string, error) {
	for {
		ended, err := look.ended(ctx)
		switch {
		case err != nil:
			return nil, err
		case ended == t.clubs:
			return nil, errors.New("every plan was done before anything could be killed: take more clubs or a larger course")
		case ended >= t.clubs/4:
			left, err := killAtWork(ctx, look, p)
			if err != nil || len(left) > 0 {
				return left, err
			}
		}
		if err := pause(ctx, 20*time.Millisecond); err != nil {
			return nil, err
		}
	}
}

// killAtWork halts a process, so that it cannot end what it works on meanwhile, and
// kills it where it works on anything; otherwise it lets it go on.
func killAtWork(ctx context.Context, look look, p *served.Service) ([]string, error) {
	if err := p.Process.Signal(syscall.SIGSTOP); err != nil {
		return nil, err
	}
	if err := pause(ctx, 100*time.Millisecond); err != nil { // what it has sent already is done by then
		return nil, err
	}
	left, err := look.runningOf(ctx, p.Process.Pid)
	if err != nil {
		return nil, err
	}
	if len(left) == 0 {
		return nil, p.Process.Signal(syscall.SIGCONT)
	}
	return left, p.Kill()
}

func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-time.After(d):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
