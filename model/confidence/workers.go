package confidence

import (
	"context"
	"sync"
	"sync/atomic"
)

// shareOut does pieces of work, numbered from 0, on some workers. Each worker makes
// its function once and is handed pieces until none is left or the context ends.
// A panic of a worker stops all of them and comes up again in the caller, where
// it can be recovered from.
func shareOut(ctx context.Context, workers, pieces int, newWorker func(worker int) func(piece int)) error {
	var next atomic.Int64
	work := func(worker int) {
		do := newWorker(worker)
		for ctx.Err() == nil {
			piece := int(next.Add(1)) - 1
			if piece >= pieces {
				return
			}
			do(piece)
		}
	}
	if workers == 1 {
		work(0)
		return unfinished(ctx, &next, pieces)
	}
	var group sync.WaitGroup
	panics := make([]any, workers)
	for worker := range workers {
		group.Go(func() {
			defer func() {
				if panics[worker] = recover(); panics[worker] != nil {
					next.Store(int64(pieces))
				}
			}()
			work(worker)
		})
	}
	group.Wait()
	for _, reason := range panics {
		if reason != nil {
			panic(reason)
		}
	}
	return unfinished(ctx, &next, pieces)
}

// unfinished is the context's error where it ended before the last piece was
// handed out: work that is all done is not thrown away.
func unfinished(ctx context.Context, next *atomic.Int64, pieces int) error {
	if int(next.Load()) >= pieces {
		return nil
	}
	return ctx.Err()
}
