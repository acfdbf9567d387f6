// Package jobs runs what takes longer than a request, in the process that serves:
// a few workers take what waits in the store, whichever club's it is. Any process
// over the same store may take it, and what one leaves behind when it dies is
// taken over by another.
package jobs

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// Work is where jobs come from.
type Work interface {
	// Claim takes the oldest job that waits; nil when none does.
	Claim(ctx context.Context) (Task, error)
	// Depth says what waits and what is under way, in every process.
	Depth(ctx context.Context) (Depth, error)
}

// Depth is how much there is to do.
type Depth struct {
	Queued, Running int64
	// Oldest is how long the oldest of the queued has waited.
	Oldest time.Duration
}

// Task is one job that has been taken. All its methods but Run are short, and may
// be called while Run works.
type Task interface {
	// Name says in the log what is worked on.
	Name() string
	// Run does the work and keeps what came of it. It returns soon after its
	// context ends.
	Run(ctx context.Context) error
	// Beat tells the store that the work goes on and how far it has come. It is
	// false when the job is no longer this worker's.
	Beat(ctx context.Context) (ours bool, err error)
	// GiveBack lets another process have the job at once.
	GiveBack(ctx context.Context) error
	// Fail keeps why Run failed. The job may be tried again.
	Fail(ctx context.Context, cause error) error
}

// The times of a runner, where a Config gives none.
const (
	// DefaultBeat bounds how long work goes on that has been cancelled.
	DefaultBeat = 500 * time.Millisecond
	// DefaultPoll bounds how long work waits that another process has queued.
	DefaultPoll = time.Second
	// storeTimeout is how long a worker waits for the store between its work.
	storeTimeout = 5 * time.Second
	// stopGrace is how long work may take to notice that it shall stop.
	stopGrace = 5 * time.Second
)

// Config is what a runner is told.
type Config struct {
	// Workers is how many jobs are worked on at once: at least one.
	Workers int
	// Beat is how often a worker tells of itself, and Poll how often the store is
	// asked for work when none was there.
	Beat, Poll time.Duration
	Logger     *slog.Logger
	// Metrics is where the runner reports to, when it is given.
	Metrics prometheus.Registerer
}

// Runner takes jobs and works on them.
type Runner struct {
	work    Work
	config  Config
	metrics *metrics
	wake    chan struct{}
}

// New makes a runner; Run starts it.
func New(work Work, config Config) (*Runner, error) {
	if work == nil || config.Logger == nil || config.Workers < 1 {
		return nil, errors.New("a runner of jobs needs work, a logger and at least one worker")
	}
	if config.Beat <= 0 {
		config.Beat = DefaultBeat
	}
	if config.Poll <= 0 {
		config.Poll = DefaultPoll
	}
	metrics, err := newMetrics(config.Metrics, work)
	if err != nil {
		return nil, fmt.Errorf("register the metrics of jobs: %w", err)
	}
	return &Runner{work: work, config: config, metrics: metrics, wake: make(chan struct{}, 1)}, nil
}

// Wake says that there may be work now. It never waits.
func (r *Runner) Wake() {
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// Run works until the context ends. It returns when every job that it had has
// been kept or given back.
func (r *Runner) Run(ctx context.Context) {
	var workers sync.WaitGroup
	defer workers.Wait()
	free := make(chan struct{}, r.config.Workers)
	for {
		select {
		case free <- struct{}{}:
		case <-ctx.Done():
			return
		}
		task := r.next(ctx)
		if task == nil {
			return
		}
		workers.Go(func() {
			defer func() { <-free }()
			r.do(ctx, task)
		})
	}
}

// next waits for a job; nil when the context has ended.
func (r *Runner) next(ctx context.Context) Task {
	for ctx.Err() == nil {
		task, err := r.claim(ctx)
		if task != nil {
			return task
		}
		if err != nil {
			r.config.Logger.Warn("no job could be taken", "error", err)
		}
		select {
		case <-time.After(r.config.Poll):
		case <-r.wake:
		case <-ctx.Done():
		}
	}
	return nil
}

// ErrLost is what Run gives when the job is no longer this worker's, so that what
// came of it was not kept; and why work stops that has been cancelled.
var ErrLost = errors.New("the job was cancelled or taken over")

// claim is seen to its end even when the service stops meanwhile, so that no job
// is taken by nobody.
func (r *Runner) claim(ctx context.Context) (Task, error) {
	quiet, cancel := context.WithTimeout(context.WithoutCancel(ctx), storeTimeout)
	defer cancel()
	return r.work.Claim(quiet)
}

// do works on one job, tells of it while it goes on, and sees it to its end.
func (r *Runner) do(ctx context.Context, task Task) {
	r.metrics.underWay.Inc()
	defer r.metrics.underWay.Dec()
	started := time.Now()
	working, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	ended := make(chan error, 1)
	go func() { ended <- attempt(working, task) }()
	err := r.watch(working, stop, task, ended)
	outcome := r.settle(ctx, working, task, err)
	r.metrics.outcomes.WithLabelValues(outcome).Inc()
	r.config.Logger.Info("job", "job", task.Name(), "outcome", outcome, "seconds", time.Since(started).Seconds())
}

// watch beats until the work ends, and stops it where it is no longer wanted.
func (r *Runner) watch(working context.Context, stop context.CancelCauseFunc, task Task, ended <-chan error) error {
	beat := time.NewTicker(r.config.Beat)
	defer beat.Stop()
	for {
		select {
		case err := <-ended:
			return err
		case <-beat.C:
			if !r.beat(working, task) {
				stop(ErrLost)
			}
		case <-working.Done():
			select {
			case err := <-ended:
				return err
			case <-time.After(stopGrace):
				// It is not waited for any longer. What it may still write is refused,
				// since the job is no longer its own.
				return fmt.Errorf("the work did not stop within %v", stopGrace)
			}
		}
	}
}

// beat is true unless the job is certainly lost. A store that cannot be reached
// leaves that open: the lease goes on meanwhile.
func (r *Runner) beat(ctx context.Context, task Task) bool {
	ctx, cancel := context.WithTimeout(ctx, storeTimeout)
	defer cancel()
	ours, err := task.Beat(ctx)
	if err != nil && context.Cause(ctx) == nil {
		r.config.Logger.Warn("a job could not be told of", "job", task.Name(), "error", err)
	}
	return ours || err != nil
}

// attempt runs a task; a panic in it is its failure and not the service's.
func attempt(ctx context.Context, task Task) (err error) {
	defer func() {
		if told := recover(); told != nil {
			err = fmt.Errorf("panic: %v\n%s", told, debug.Stack())
		}
	}()
	return task.Run(ctx)
}

// The outcomes of work on one job.
const (
	outcomeKept      = "kept"       // the result
	outcomeGivenBack = "given_back" // since the service stops
	outcomeLost      = "lost"       // to another worker or to a cancellation
	outcomeFailed    = "failed"
)

// outcomes lists them.
var outcomes = []string{outcomeKept, outcomeGivenBack, outcomeLost, outcomeFailed}

// settle keeps what became of a job whose work has ended with an error or without.
// It is done even when the service is stopping.
func (r *Runner) settle(ctx, working context.Context, task Task, failure error) string {
	if failure == nil {
		return outcomeKept
	}
	if errors.Is(failure, ErrLost) || errors.Is(context.Cause(working), ErrLost) {
		return outcomeLost
	}
	stopping := ctx.Err() != nil
	quiet, cancel := context.WithTimeout(context.WithoutCancel(ctx), storeTimeout)
	defer cancel()
	if stopping {
		if err := task.GiveBack(quiet); err != nil {
			r.config.Logger.Warn("a job was not given back: another worker has it when its lease ends", "job", task.Name(), "error", err)
		}
		return outcomeGivenBack
	}
	r.config.Logger.Error("job", "job", task.Name(), "error", failure)
	if err := task.Fail(quiet, failure); err != nil {
		r.config.Logger.Warn("a failure was not kept: the job is begun again when its lease ends", "job", task.Name(), "error", err)
	}
	return outcomeFailed
}
