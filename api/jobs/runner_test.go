package jobs_test

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"swardcase/api/jobs"
)

// The tests in this file run in a bubble whose clock goes on only when everything
// waits, so that they take no time and are the same every time.

// fakeWork hands out what was put into it.
type fakeWork struct {
	mu      sync.Mutex
	waiting []*fakeTask
	asked   int
	trouble error
}

func (w *fakeWork) Claim(context.Context) (jobs.Task, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.asked++
	if w.trouble != nil || len(w.waiting) == 0 {
		return nil, w.trouble
	}
	next := w.waiting[0]
	w.waiting = w.waiting[1:]
	return next, nil
}

func (w *fakeWork) Depth(context.Context) (jobs.Depth, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return jobs.Depth{Queued: int64(len(w.waiting)), Running: 3, Oldest: 90 * time.Second}, w.trouble
}

func (w *fakeWork) put(tasks ...*fakeTask) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.waiting = append(w.waiting, tasks...)
}

// fakeTask does what run says, and notes what is asked of it.
type fakeTask struct {
	run func(context.Context) error

	mu     sync.Mutex
	lost   bool
	away   bool // whether the store is
	beats  int
	events []string
}

func (f *fakeTask) note(event string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.events = append(f.events, event)
}

func (f *fakeTask) set(change func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	change()
}

func (f *fakeTask) saw() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return strings.Join(f.events, " ")
}

func (f *fakeTask) Name() string { return "a task" }

func (f *fakeTask) Run(ctx context.Context) error {
	f.note("run")
	err := f.run(ctx)
	if err == nil {
		f.note("kept")
	}
	return err
}

func (f *fakeTask) Beat(context.Context) (bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.beats++
	if f.away {
		return false, errors.New("the store is away")
	}
	return !f.lost, nil
}

func (f *fakeTask) GiveBack(context.Context) error { f.note("given back"); return nil }

func (f *fakeTask) Fail(_ context.Context, cause error) error {
	first, _, _ := strings.Cut(cause.Error(), "\n")
	f.note("failed: " + first)
	return nil
}

// for a while is work that takes so long, unless it is stopped.
func forAWhile(d time.Duration) func(context.Context) error {
	return func(ctx context.Context) error {
		select {
		case <-time.After(d):
			return nil
		case <-ctx.Done():
			return context.Cause(ctx)
		}
	}
}

// started is a runner at work, with how to stop it.
type started struct {
	*jobs.Runner
	log      *bytes.Buffer
	registry *prometheus.Registry
	stop     func() // and wait
}

func start(t *testing.T, work jobs.Work, workers int) started {
	t.Helper()
	s := started{log: &bytes.Buffer{}, registry: prometheus.NewRegistry()}
	var err error
	s.Runner, err = jobs.New(work, jobs.Config{Workers: workers, Logger: slog.New(slog.NewTextHandler(s.log, nil)), Metrics: s.registry})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() { s.Run(ctx); close(ended) }()
	s.stop = func() { cancel(); <-ended }
	t.Cleanup(s.stop)
	return s
}

func TestWorkersAreBoundedAndEveryJobIsDone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		work := &fakeWork{}
		var mu sync.Mutex
		busy, most, done := 0, 0, 0
		for range 7 {
			work.put(&fakeTask{run: func(ctx context.Context) error {
				mu.Lock()
				busy++
				most = max(most, busy)
				mu.Unlock()
				err := forAWhile(time.Minute)(ctx)
				mu.Lock()
				defer mu.Unlock()
				busy--
				done++
				return err
			}})
		}
		began := time.Now()
		start(t, work, 3)
		time.Sleep(3*time.Minute + time.Second)
		synctest.Wait()
		if done != 7 || most != 3 {
			t.Errorf("after %v %d are done, %d at once at most", time.Since(began), done, most)
		}
	})
}

// TestWorkIsAskedForAsOftenAsSaid: each second when there is none, at once when
// the runner is woken or a job has ended.
func TestWorkIsAskedForAsOftenAsSaid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		work := &fakeWork{}
		r := start(t, work, 1)
		time.Sleep(10*time.Second + time.Millisecond)
		synctest.Wait()
		if work.asked != 11 {
			t.Errorf("asked %d times in 10 s", work.asked)
		}
		quick, next := &fakeTask{run: forAWhile(time.Millisecond)}, &fakeTask{run: forAWhile(time.Millisecond)}
		work.put(quick, next)
		r.Wake()
		r.Wake() // never waits
		time.Sleep(10 * time.Millisecond)
		synctest.Wait()
		if quick.saw() != "run kept" || next.saw() != "run kept" {
			t.Errorf("the first %q, the second %q", quick.saw(), next.saw())
		}
	})
}

// TestACancelledJobStopsWithinASecond: the beat finds that it is no longer ours.
func TestACancelledJobStopsWithinASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		task := &fakeTask{run: forAWhile(time.Hour)}
		work := &fakeWork{}
		work.put(task)
		start(t, work, 1)
		time.Sleep(time.Minute)
		task.set(func() { task.lost = true })
		another := &fakeTask{run: forAWhile(time.Millisecond)}
		work.put(another)
		time.Sleep(time.Second)
		synctest.Wait()
		if task.saw() != "run" || another.saw() != "run kept" {
			t.Errorf("the cancelled one %q, the next %q", task.saw(), another.saw())
		}
		if task.beats < 119 || task.beats > 122 {
			t.Errorf("%d beats in a minute", task.beats)
		}
	})
}

// TestAStoppedServiceGivesItsJobsBack and then ends; none is lost or failed.
func TestAStoppedServiceGivesItsJobsBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		long, last := &fakeTask{run: forAWhile(time.Hour)}, &fakeTask{}
		// This one notices too late, and its result is kept all the same.
		last.run = func(ctx context.Context) error { <-ctx.Done(); time.Sleep(time.Second); return nil }
		work := &fakeWork{}
		work.put(long, last)
		r := start(t, work, 2)
		time.Sleep(time.Minute)
		began := time.Now()
		r.stop()
		if long.saw() != "run given back" || last.saw() != "run kept" || time.Since(began) > 2*time.Second {
			t.Errorf("after %v: %q and %q", time.Since(began), long.saw(), last.saw())
		}
	})
}

// TestWorkThatDoesNotStopIsLeft, so that the service can.
func TestWorkThatDoesNotStopIsLeft(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		deaf := &fakeTask{run: func(context.Context) error { time.Sleep(time.Minute); return nil }}
		work := &fakeWork{}
		work.put(deaf)
		r := start(t, work, 1)
		time.Sleep(time.Second)
		began := time.Now()
		r.stop()
		if deaf.saw() != "run given back" || time.Since(began) != 5*time.Second {
			t.Errorf("after %v: %q", time.Since(began), deaf.saw())
		}
		time.Sleep(time.Minute) // the bubble ends with its goroutines
	})
}

func TestFailuresAndPanicsAreKeptAndTheRunnerGoesOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		fails := &fakeTask{run: func(context.Context) error { return errors.New("no") }}
		panics := &fakeTask{run: func(context.Context) error { panic("the model") }}
		late := &fakeTask{run: func(context.Context) error { return errors.Join(jobs.ErrLost, errors.New("too late")) }}
		well := &fakeTask{run: forAWhile(time.Minute)}
		work := &fakeWork{}
		work.put(fails, panics, late, well)
		r := start(t, work, 1)
		time.Sleep(2 * time.Minute)
		synctest.Wait()
		for want, task := range map[string]*fakeTask{
			"run failed: no": fails, "run failed: panic: the model": panics, "run": late, "run kept": well,
		} {
			if task.saw() != want {
				t.Errorf("saw %q, want %q", task.saw(), want)
			}
		}
		want := `
			# HELP swardcase_jobs_oldest_wait_seconds How long the oldest queued job has waited.
			# TYPE swardcase_jobs_oldest_wait_seconds gauge
			swardcase_jobs_oldest_wait_seconds 90
			# HELP swardcase_jobs_queued Jobs in the store that wait for a worker.
			# TYPE swardcase_jobs_queued gauge
			swardcase_jobs_queued 0
			# HELP swardcase_jobs_running Jobs in the store that a worker has.
			# TYPE swardcase_jobs_running gauge
			swardcase_jobs_running 3
			# HELP swardcase_jobs_total Jobs that this process has worked on, by what became of the work.
			# TYPE swardcase_jobs_total counter
			swardcase_jobs_total{outcome="failed"} 2
			swardcase_jobs_total{outcome="given_back"} 0
			swardcase_jobs_total{outcome="kept"} 1
			swardcase_jobs_total{outcome="lost"} 1
			# HELP swardcase_jobs_under_way Jobs that this process works on.
			# TYPE swardcase_jobs_under_way gauge
			swardcase_jobs_under_way 0
		`
		if err := testutil.GatherAndCompare(r.registry, strings.NewReader(strings.ReplaceAll(want, "\t", ""))); err != nil {
			t.Error(err)
		}
	})
}

// TestAStoreThatIsAwayStopsNothing: work goes on until the store says that it is
// no longer ours, and jobs are asked for again.
func TestAStoreThatIsAwayStopsNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		task := &fakeTask{run: forAWhile(time.Minute)}
		work := &fakeWork{}
		work.put(task)
		r := start(t, work, 2)
		time.Sleep(time.Second)
		task.set(func() { task.away = true })
		work.mu.Lock()
		work.trouble = errors.New("the store is away")
		work.mu.Unlock()
		time.Sleep(30 * time.Second)
		if n, err := testutil.GatherAndCount(r.registry, "swardcase_jobs_queued"); n != 0 || err != nil {
			t.Errorf("%d depths are told of a store that is away: %v", n, err)
		}
		after := &fakeTask{run: forAWhile(time.Second)}
		work.mu.Lock()
		work.trouble = nil
		work.mu.Unlock()
		work.put(after)
		time.Sleep(time.Minute)
		synctest.Wait()
		if task.saw() != "run kept" || after.saw() != "run kept" {
			t.Errorf("%q, then %q", task.saw(), after.saw())
		}
	})
}

func TestARunnerNeedsItsParts(t *testing.T) {
	logger := slog.New(slog.DiscardHandler)
	taken := prometheus.NewRegistry()
	if _, err := jobs.New(&fakeWork{}, jobs.Config{Workers: 1, Logger: logger, Metrics: taken}); err != nil {
		t.Fatal(err)
	}
	configs := []jobs.Config{{Workers: 0, Logger: logger}, {Workers: 1}, {Workers: 1, Logger: logger, Metrics: taken}}
	for i, config := range configs {
		if _, err := jobs.New(&fakeWork{}, config); err == nil {
			t.Errorf("config %d was taken", i)
		}
	}
	if slices.ContainsFunc(configs, func(c jobs.Config) bool { _, err := jobs.New(nil, c); return err == nil }) {
		t.Error("a runner without work was made")
	}
}
