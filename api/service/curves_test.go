package service_test

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

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
			curve, err := curves.Keep("one", func() (*water.Curve, error) {
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
	if _, err := curves.Keep("one", func() (*water.Curve, error) { return nil, bad }); !errors.Is(err, bad) {
		t.Errorf("got %v", err)
	}
	if _, err := curves.Keep("one", func() (*water.Curve, error) { return &water.Curve{}, nil }); err != nil {
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
		_, err := curves.Keep(key, func() (*water.Curve, error) { made++; return &water.Curve{}, nil })
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
