package service

import (
	"errors"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestJobsUnderAnyOrderOfEvents lets workers, callers and the clock do what they
// like with one job, and holds after each event that only the last claim may
// write, that what has ended stays as it is, and that it ends at last.
func TestJobsUnderAnyOrderOfEvents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
		job := newJob(now)
		results, begun := 0, int64(0)
		claims := []int64{0} // one that nobody was ever given
		aClaim := func(t *rapid.T) int64 { return rapid.SampledFrom(claims).Draw(t, "claim") }
		// may compares what an event did with what a claim may do.
		may := func(t *rapid.T, claim int64, before Job, err error) {
			allowed := before.State == JobRunning && before.Claim == claim
			if allowed != (err == nil) || err != nil && !errors.Is(err, ErrJobLost) {
				t.Fatalf("with claim %d of %+v: %v", claim, before, err)
			}
			if err != nil && job != before {
				t.Fatalf("a refused event changed %+v to %+v", before, job)
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"": func(t *rapid.T) { checkJob(t, job) },
			"time passes": func(t *rapid.T) {
				now = now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "seconds")) * time.Second)
			},
			"take": func(t *rapid.T) {
				before := job
				taken, err := job.take("w", now)
				due := !before.Ended() && !before.ClaimableAt.After(now)
				switch {
				case due != (err == nil), taken != (due && before.Attempts < mostJobAttempts):
					t.Fatalf("taking %+v at %v: %v, %v", before, now, taken, err)
				case taken && (job.Claim != before.Claim+1 || !job.holds(job.Claim) || job.ClaimableAt.Sub(now) != JobLease):
					t.Fatalf("took %+v", job)
				case taken:
					claims = append(claims, job.Claim)
					begun++
				case err == nil && job.State != JobFailed:
					t.Fatalf("begun too often, but %+v", job)
				}
			},
			"beat": func(t *rapid.T) {
				claim, before := aClaim(t), job
				may(t, claim, before, job.beat(claim, &Progress{Nodes: 1}, now))
			},
			"finish": func(t *rapid.T) {
				claim, before := aClaim(t), job
				err := job.finish(claim, rapid.SampledFrom([]JobState{JobDone, JobStoppedEarly}).Draw(t, "state"), nil, now)
				if may(t, claim, before, err); err == nil {
					results++
				}
			},
			"give back": func(t *rapid.T) {
				claim, before := aClaim(t), job
				if err := job.giveBack(claim, now); err == nil {
					begun--
					if job.ClaimableAt.After(now) {
						t.Fatal("what was given back has to wait")
					}
				} else {
					may(t, claim, before, err)
				}
			},
			"fail": func(t *rapid.T) {
				claim, before := aClaim(t), job
				again := rapid.Bool().Draw(t, "again")
				err := job.fail(claim, "because", again, now)
				may(t, claim, before, err)
				if err == nil && (job.State == JobFailed) != (!again || before.Attempts == mostJobAttempts) {
					t.Fatalf("failing %+v gave %+v", before, job)
				}
			},
			"cancel": func(t *rapid.T) {
				before := job
				changed, err := job.cancel(now)
				switch open := !before.Ended(); {
				case changed != open, (err == nil) != (open || before.State == JobCancelled):
					t.Fatalf("cancelling %+v: %v, %v", before, changed, err)
				case !changed && job != before:
					t.Fatalf("a cancellation without effect changed %+v to %+v", before, job)
				}
			},
		})
		if results > 1 {
			t.Fatalf("%d results", results)
		}
		if begun != job.Attempts {
			t.Fatalf("begun %d times, but %d attempts", begun, job.Attempts)
		}
		// Whatever has happened, workers that die at once see it to its end.
		for range mostJobAttempts + 1 {
			now = now.Add(time.Hour)
			_, _ = job.take("w", now)
		}
		if !job.Ended() {
			t.Fatalf("it has not ended: %+v", job)
		}
	})
}

// checkJob holds what is true of a job at any time.
func checkJob(t *rapid.T, job Job) {
	t.Helper()
	switch ended := job.Ended(); {
	case ended != (job.EndedAt != nil), ended == (job.ClaimableAt != nil), (job.Worker != "") != (job.State == JobRunning):
		t.Fatalf("its parts do not fit together: %+v", job)
	case job.Attempts < 0, job.Attempts > mostJobAttempts, job.Attempts > job.Claim:
		t.Fatalf("%d attempts with claim %d", job.Attempts, job.Claim)
	case (job.State == JobFailed) && job.Reason == "", (job.State == JobDone || job.State == JobCancelled) && job.Reason != "":
		t.Fatalf("%s for the reason %q", job.State, job.Reason)
	}
}

// TestTheWaitAfterAFailureDoubles, and the third failure is the last.
func TestTheWaitAfterAFailureDoubles(t *testing.T) {
	now := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	job := newJob(now)
	for attempt, want := range []time.Duration{5 * time.Second, 10 * time.Second} {
		if _, err := job.take("w", now); err != nil {
			t.Fatal(err)
		}
		if err := job.fail(job.Claim, "the store was away", true, now); err != nil {
			t.Fatal(err)
		}
		if wait := job.ClaimableAt.Sub(now); wait != want || job.Reason != "the store was away" {
			t.Errorf("after failure %d it waits %v for %q, want %v", attempt+1, wait, job.Reason, want)
		}
		now = *job.ClaimableAt
	}
	if _, err := job.take("w", now); err != nil {
		t.Fatal(err)
	}
	if err := job.fail(job.Claim, "again", true, now); err != nil || job.State != JobFailed {
		t.Errorf("%v: %+v", err, job)
	}
}

// TestTheGapIsWhatIsLeftToProve: (bound − best) ÷ |best|, as solvers of integer
// programmes print it; nothing where it has no meaning.
func TestTheGapIsWhatIsLeftToProve(t *testing.T) {
	number := func(f float64) *float64 { return &f }
	for _, tt := range []struct{ best, bound, want *float64 }{
		{number(200), number(210), number(5)},
		{number(-200), number(-190), number(5)},
		{number(200), number(200), number(0)},
		{number(0), number(10), nil},
		{nil, number(10), nil},
		{number(10), nil, nil},
		{number(1e300), number(10), nil},
		{number(10), number(5), nil}, // a bound below the best is none
	} {
		p := Progress{BestValue: tt.best, Bound: tt.bound, GapPct: number(99)}
		p.settle()
		if (p.GapPct == nil) != (tt.want == nil) || tt.want != nil && *p.GapPct != *tt.want {
			t.Errorf("best %v, bound %v: gap %v", tt.best, tt.bound, p.GapPct)
		}
	}
}
