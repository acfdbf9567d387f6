package service

import (
	"fmt"
	"runtime"

	lru "github.com/hashicorp/golang-lru/v2"
	"golang.org/x/sync/singleflight"

	"swardcase/model/water"
)

// mostCurves bounds the playability curves that are kept. One takes 1.2 MB and
// serves every green under the same weather: a course needs one or two.
const mostCurves = 32

// Curves keeps playability curves for the whole process. A curve costs over
// half a second to make: it is made once for however many callers wait for it,
// and no more are made at a time than half the processors, so that a caller who
// invents a new climate for each case cannot keep the others from being served.
type Curves struct {
	kept  *lru.Cache[string, *water.Curve]
	once  singleflight.Group
	slots chan struct{}
}

// NewCurves makes an empty keeper.
func NewCurves() (*Curves, error) {
	kept, err := lru.New[string, *water.Curve](mostCurves)
	if err != nil {
		return nil, fmt.Errorf("keep playability curves: %w", err)
	}
	return &Curves{kept: kept, slots: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)/2))}, nil
}

// Keep returns the curve of a key, made by make if it is not there.
func (c *Curves) Keep(key string, make func() (*water.Curve, error)) (*water.Curve, error) {
	if curve, ok := c.kept.Get(key); ok {
		return curve, nil
	}
	made, err, _ := c.once.Do(key, func() (any, error) {
		c.slots <- struct{}{}
		defer func() { <-c.slots }()
		curve, err := make()
		if err == nil {
			c.kept.Add(key, curve)
		}
		return curve, err
	})
	if err != nil {
		return nil, err
	}
	return made.(*water.Curve), nil
}
