package service

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/sync/singleflight"

	"swardcase/model"
	"swardcase/model/water"
)

// mostCurves bounds the playability curves that are kept. One takes 1.2 MB and
// serves every green under the same weather: a course needs one or two.
const mostCurves = 32

// mostPending bounds the curves that are being made or wait to be: at half a
// second each, whoever stands further back has given up before the turn comes.
const mostPending = 8

// Curves keeps playability curves for the whole process. A curve costs over
// half a second to make: it is made once for however many callers wait for it,
// and no more are made at a time than half the processors, so that callers who
// invent a new climate for each case cannot keep the others from being served;
// when too many are pending, more are refused. A curve that was begun is
// finished and kept, though its caller may have gone.
type Curves struct {
	kept    *lru.Cache[string, *water.Curve]
	once    singleflight.Group
	slots   chan struct{}
	pending atomic.Int32
}

// NewCurves makes an empty keeper.
func NewCurves() (*Curves, error) {
	kept, err := lru.New[string, *water.Curve](mostCurves)
	if err != nil {
		return nil, fmt.Errorf("keep playability curves: %w", err)
	}
	return &Curves{kept: kept, slots: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)/2))}, nil
}

// For is the keeper as one caller sees it, who waits no longer than the context
// allows.
func (c *Curves) For(ctx context.Context) model.CurveKeeper { return callersCurves{ctx, c} }

type callersCurves struct {
	ctx    context.Context
	curves *Curves
}

// Keep returns the curve of a key, made by make if it is not there.
func (k callersCurves) Keep(key string, make func() (*water.Curve, error)) (*water.Curve, error) {
	c := k.curves
	if curve, ok := c.kept.Get(key); ok {
		return curve, nil
	}
	made := c.once.DoChan(key, func() (answer any, err error) {
		// It runs on a goroutine of its own, where a panic would end the process.
		defer func() {
			if panicked := recover(); panicked != nil {
				err = fmt.Errorf("make a playability curve: panic: %v", panicked)
			}
		}()
		if c.pending.Add(1) > mostPending {
			c.pending.Add(-1)
			return nil, &Error{Kind: Unavailable, Detail: "Too many new climates are being worked out at once; try again in a moment."}
		}
		defer c.pending.Add(-1)
		c.slots <- struct{}{}
		defer func() { <-c.slots }()
		curve, err := make()
		if err == nil {
			c.kept.Add(key, curve)
		}
		return curve, err
	})
	select {
	case <-k.ctx.Done():
		return nil, k.ctx.Err()
	case result := <-made:
		if result.Err != nil {
			return nil, result.Err
		}
		return result.Val.(*water.Curve), nil
	}
}
