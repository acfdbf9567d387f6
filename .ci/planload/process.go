package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// process is a running service.
type process struct {
	address string
	command *exec.Cmd
	log     string
	ended   bool
}

var listening = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// serve starts a service over a database. All callers have one address here, so
// that the limits by address are off.
func (t *trial) serve(database string) (*process, error) {
	log, err := os.CreateTemp(t.scratch, "log-")
	if err != nil {
		return nil, err
	}
	defer log.Close()
	p := &process{log: log.Name()}
	p.command = exec.Command(t.program, "serve", "--address", "127.0.0.1:0", "--plan-workers", strconv.Itoa(t.workers),
		"--address-rate", "0", "--address-under-way", "0", "--address-connections", "0")
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "SWARDCASE_") {
			p.command.Env = append(p.command.Env, pair)
		}
	}
	p.command.Env = append(p.command.Env, "DATABASE_URL="+database)
	p.command.Stderr = log
	output, err := p.command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := p.command.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(output)
	for p.address == "" && lines.Scan() {
		p.address = listening.FindString(lines.Text())
	}
	if p.address == "" {
		p.end()
		said, _ := os.ReadFile(p.log)
		return nil, fmt.Errorf("the service did not say where it listens: %s", said)
	}
	return p, nil
}

// kill ends a process as a loss of power would, but for what the kernel has.
func (p *process) kill() error {
	err := p.command.Process.Signal(syscall.SIGKILL)
	_ = p.command.Wait() // it says that it was killed
	p.ended = true
	return err
}

// end kills a process that still runs.
func (p *process) end() {
	if !p.ended {
		_ = p.kill()
	}
}

// stop asks a process to end, and insists that it does so well and without having
// logged an error.
func (p *process) stop() error {
	p.ended = true
	if err := p.command.Process.Signal(os.Interrupt); err != nil {
		return err
	}
	if err := p.command.Wait(); err != nil {
		return fmt.Errorf("interrupted, the service ended with %w", err)
	}
	said, err := os.ReadFile(p.log)
	if err != nil {
		return err
	}
	for line := range strings.Lines(string(said)) {
		if strings.Contains(line, `"level":"ERROR"`) {
			return fmt.Errorf("the service logged an error: %s", line)
		}
	}
	return nil
}

// post sends a document that is stored, and gives the id of what it became.
func (p *process) post(ctx context.Context, path, key string, body []byte, status int) (string, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, p.address+path, bytes.NewReader(body))
	if err != nil {
		return "", err
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Idempotency-Key", key)
	response, err := http.DefaultClient.Do(r)
	if err != nil {
		return "", err
	}
	defer response.Body.Close()
	answer, err := io.ReadAll(response.Body)
	if err != nil {
		return "", err
	}
	if response.StatusCode != status {
		return "", fmt.Errorf("%s answered %d, not %d: %.1000s", path, response.StatusCode, status, answer)
	}
	var made struct {
		ID string `json:"id"`
	}
	return made.ID, json.Unmarshal(answer, &made)
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
func (t *trial) queue(ctx context.Context, processes ...*process) error {
	next := make(chan int)
	failed := make([]error, callers)
	var group sync.WaitGroup
	for i := range callers {
		group.Go(func() {
			for n := range next {
				if failed[i] == nil {
					failed[i] = t.queueOne(ctx, processes[n%len(processes)], n)
				}
			}
		})
	}
	for n := range t.clubs {
		next <- n
	}
	close(next)
	group.Wait()
	return errors.Join(failed...)
}

func (t *trial) queueOne(ctx context.Context, p *process, n int) error {
	club := fmt.Appendf(nil, `{"name":"Thornmere Golf Club %d","site":{"latitude_deg":52,"climate":{"station":"oxford"}}}`, n)
	id, err := p.post(ctx, "/v1/clubs", fmt.Sprint("club-", n), club, http.StatusCreated)
	if err != nil {
		return err
	}
	body, err := t.request(n % t.kinds)
	if err != nil {
		return err
	}
	_, err = p.post(ctx, "/v1/clubs/"+id+"/course-plans", "plan", body, http.StatusAccepted)
	return err
}

// killMidway waits until a quarter of the plans are done, and kills a process while
// it works. It gives the plans that the process had.
func (t *trial) killMidway(ctx context.Context, look look, p *process) ([]string, error) {
	for {
		ended, err := look.ended(ctx)
		switch {
		case err != nil:
			return nil, err
		case ended == t.clubs:
			return nil, errors.New("every plan was done before anything could be killed: take more clubs or a larger course")
		case ended >= t.clubs/4:
			left, err := p.killAtWork(ctx, look)
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
func (p *process) killAtWork(ctx context.Context, look look) ([]string, error) {
	if err := p.command.Process.Signal(syscall.SIGSTOP); err != nil {
		return nil, err
	}
	if err := pause(ctx, 100*time.Millisecond); err != nil { // what it has sent already is done by then
		return nil, err
	}
	left, err := look.runningOf(ctx, p.command.Process.Pid)
	if err != nil {
		return nil, err
	}
	if len(left) == 0 {
		return nil, p.command.Process.Signal(syscall.SIGCONT)
	}
	return left, p.kill()
}

func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-time.After(d):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
