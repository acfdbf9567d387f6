package service_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"swardcase/api/service"
	"swardcase/model/water"
)

func TestACurveIsMadeOnceForAllWhoWaitForIt(t *testing.T) {
	curves, err := service.NewCurves()
	if err != nil {
		t.Fatal(err)
	}
	var made atomic.Int32
	var group sync.WaitGroup
	for range 50 {
		group.Go(func() {
			curve, err := curves.For(t.Context()).Keep("one", func() (*water.Curve, error) {
				made.Add(1)
				return &water.Curve{}, nil
			})
			if err != nil || curve == nil {
				t.Errorf("got %v, %v", curve, err)
			}
		})
	}
	group.Wait()
	if made.Load() != 1 {
		t.Errorf("made %d times", made.Load())
	}
}

func TestAFailureIsNotKept(t *testing.T) {
	curves, err := service.NewCurves()
	if err != nil {
		t.Fatal(err)
	}
	bad := errors.New("no weather")
	if _, err := curves.For(t.Context()).Keep("one", func() (*water.Curve, error) { return nil, bad }); !errors.Is(err, bad) {
		t.Errorf("got %v", err)
	}
	if _, err := curves.For(t.Context()).Keep("one", func() (*water.Curve, error) { return &water.Curve{}, nil }); err != nil {
		t.Errorf("the failure was kept: %v", err)
	}
}

func TestTheCurvesKeptAreBounded(t *testing.T) {
	curves, err := service.NewCurves()
	if err != nil {
		t.Fatal(err)
	}
	made := 0
	keep := func(key string) {
		_, err := curves.For(t.Context()).Keep(key, func() (*water.Curve, error) { made++; return &water.Curve{}, nil })
		if err != nil {
			t.Fatal(err)
		}
	}
	for i := range 1000 {
		keep(fmt.Sprint(i))
	}
	if keep("0"); made != 1001 {
		t.Errorf("the first of 1000 curves was still kept after %d were made", made)
	}
}

// TestNoCallerWaitsPastItsDeadline: while one curve is being made, callers who
// want others queue only so long as they may, and only so many of them.
func TestNoCallerWaitsPastItsDeadline(t *testing.T) {
	curves, err := service.NewCurves()
	if err != nil {
		t.Fatal(err)
	}
	release := make(chan struct{})
	defer close(release)
	slow := func() (*water.Curve, error) { <-release; return &water.Curve{}, nil }
	var refused, late atomic.Int32
	var callers sync.WaitGroup
	for i := range 50 {
		callers.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
			defer cancel()
			_, err := curves.For(ctx).Keep(fmt.Sprint(i), slow)
			switch service.KindOf(err) {
			case service.Unavailable:
				refused.Add(1)
			case service.TimedOut:
				late.Add(1)
			default:
				t.Errorf("got %v", err)
			}
		})
	}
	callers.Wait()
	if refused.Load() == 0 || late.Load() == 0 || refused.Load()+late.Load() != 50 {
		t.Errorf("%d refused, %d late of 50", refused.Load(), late.Load())
	}
}
