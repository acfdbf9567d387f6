package service

import (
	"fmt"
	"math"
	"time"
)

// JobState is how work that takes longer than a request stands.
type JobState string

// The states. Work is queued and running, perhaps more than once, and then ends
// in one of the others for good.
const (
	JobQueued  JobState = "queued"
	JobRunning JobState = "running"
	// JobDone has its result, and would give it again.
	JobDone JobState = "done"
	// JobStoppedEarly has the best result that was found when its time was up.
	JobStoppedEarly JobState = "stopped_early"
	JobFailed       JobState = "failed"
	JobCancelled    JobState = "cancelled"
)

// The times and counts of a job.
const (
	// JobLease is how long a worker has a job without being heard of. A worker
	// that died has lost it after that; one that is only slow finds that its
	// claim is no longer the last one.
	JobLease = 30 * time.Second
	// mostJobAttempts is how often a job is begun before it has failed.
	mostJobAttempts = 3
	// firstRetry is the wait after a first failure; it doubles with each.
	firstRetry = 5 * time.Second
)

// Progress is how far a search for the best has come. Values are in the units of
// what is sought; nil where none is known yet.
type Progress struct {
	// Nodes is how many parts of what could be chosen have been looked at.
	Nodes int64 `json:"nodes"`
	// BestValue is what the best found so far is worth.
	BestValue *float64 `json:"best_value"`
	// Bound is what nothing can be worth more than.
	Bound *float64 `json:"bound"`
	// GapPct is how far the bound lies above the best, in per cent of the best.
	GapPct *float64 `json:"gap_pct"`
}

// largestShown bounds what is told of values that are not yet settled.
const largestShown = 1e15

// settle leaves out what is no number that a caller could use, and works out the
// gap.
func (p *Progress) settle() {
	for _, value := range []**float64{&p.BestValue, &p.Bound} {
		if *value != nil && !(math.Abs(**value) <= largestShown) {
			*value = nil
		}
	}
	p.GapPct = nil
	if p.BestValue != nil && p.Bound != nil && *p.BestValue != 0 {
		if gap := 100 * (*p.Bound - *p.BestValue) / math.Abs(*p.BestValue); gap >= 0 && gap <= largestShown {
			p.GapPct = &gap
		}
	}
}

// Job is how far work that takes longer than a request has come. Its methods are
// all that may happen to it; each leaves it alone where it gives an error.
type Job struct {
	State     JobState   `json:"state"`
	StartedAt *time.Time `json:"started_at"`
	EndedAt   *time.Time `json:"ended_at"`
	// Attempts is how often it was begun, without those that a service which
	// stopped gave back.
	Attempts int64     `json:"attempts"`
	Progress *Progress `json:"progress"`
	// Reason says why it failed, or why it is tried again; empty otherwise.
	Reason string `json:"reason"`

	// Claim rises each time that a worker takes the job. Only the worker with the
	// last claim may write what came of it.
	Claim int64 `json:"-"`
	// ClaimableAt is from when a worker may take it: at once, after a wait, or when
	// the lease of the one that has it ends. Nil when it has ended.
	ClaimableAt *time.Time `json:"-"`
	// Worker is who has it, for the log.
	Worker string `json:"-"`
}

// ErrJobLost is what a worker is told that no longer has its job: another has
// taken it, or it was cancelled.
var ErrJobLost = &Error{Kind: Conflict, Detail: "The job is no longer this worker's."}

// newJob is a job that waits.
func newJob(at time.Time) Job { return Job{State: JobQueued, ClaimableAt: &at} }

// Ended says whether nothing more will happen to it.
func (j *Job) Ended() bool { return j.State != JobQueued && j.State != JobRunning }

// take gives the job to a worker. A job whose workers have gone missing too often
// fails instead, so that one which kills its process cannot kill all: then taken
// is false.
func (j *Job) take(worker string, at time.Time) (taken bool, err error) {
	switch {
	case j.Ended() || j.ClaimableAt.After(at):
		return false, ErrJobLost
	case j.Attempts >= mostJobAttempts:
		j.end(JobFailed, fmt.Sprintf("The service stopped %d times while it worked on this.", j.Attempts), at)
		return false, nil
	}
	until := at.Add(JobLease)
	j.State, j.StartedAt, j.ClaimableAt, j.Worker, j.Progress = JobRunning, &at, &until, worker, nil
	j.Claim++
	j.Attempts++
	return true, nil
}

// holds says whether a claim is the one that has the job.
func (j *Job) holds(claim int64) bool { return j.State == JobRunning && j.Claim == claim }

// beat extends the lease and tells how far the work has come.
func (j *Job) beat(claim int64, progress *Progress, at time.Time) error {
	if !j.holds(claim) {
		return ErrJobLost
	}
	until := at.Add(JobLease)
	j.ClaimableAt, j.Progress = &until, progress
	return nil
}

// finish ends a job that has its result.
func (j *Job) finish(claim int64, state JobState, progress *Progress, at time.Time) error {
	if !j.holds(claim) {
		return ErrJobLost
	}
	j.Progress = progress
	j.end(state, "", at)
	return nil
}

// giveBack lets another worker have the job, as if it had not been begun.
func (j *Job) giveBack(claim int64, at time.Time) error {
	if !j.holds(claim) {
		return ErrJobLost
	}
	j.State, j.ClaimableAt, j.Worker, j.Progress = JobQueued, &at, "", nil
	j.Attempts--
	return nil
}

// fail ends a job for a reason. With again it is put back while it has attempts
// left, to be tried after a wait.
func (j *Job) fail(claim int64, reason string, again bool, at time.Time) error {
	if !j.holds(claim) {
		return ErrJobLost
	}
	if !again || j.Attempts >= mostJobAttempts {
		j.end(JobFailed, reason, at)
		return nil
	}
	next := at.Add(firstRetry << (j.Attempts - 1))
	j.State, j.ClaimableAt, j.Worker, j.Progress, j.Reason = JobQueued, &next, "", nil, reason
	return nil
}

// cancel ends a job that has not ended. To cancel it again changes nothing.
func (j *Job) cancel(at time.Time) (changed bool, err error) {
	switch {
	case j.State == JobCancelled:
		return false, nil
	case j.Ended():
		return false, &Error{Kind: Conflict, Detail: "It has ended already: there is nothing left to cancel."}
	}
	j.end(JobCancelled, "", at)
	return true, nil
}

func (j *Job) end(state JobState, reason string, at time.Time) {
	j.State, j.EndedAt, j.ClaimableAt, j.Worker, j.Reason = state, &at, nil, "", reason
}
