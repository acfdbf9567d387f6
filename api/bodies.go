package api

import (
	"errors"
	"io"

	"golang.org/x/sync/semaphore"
)

// shortBody is how long a body may be without being counted: nearly every case is
// shorter. Longer ones are counted in steps of the same size, as they arrive.
const shortBody = 64 << 10

var errBodiesFull = errors.New("too much of long bodies is held")

// bodies bounds the memory of long bodies, which many callers could otherwise send
// slowly and all at once.
type bodies struct{ left *semaphore.Weighted } // nil for no bound

func newBodies(bytes int64) bodies {
	if bytes <= 0 {
		return bodies{}
	}
	return bodies{semaphore.NewWeighted(bytes)}
}

// hold begins to count one body.
func (b bodies) hold() *heldBody { return &heldBody{bodies: b, allowed: shortBody} }

// heldBody is what one body takes.
type heldBody struct {
	bodies  bodies
	taken   int64
	allowed int64 // bytes that may still come before more is taken
}

// release gives back what the body took.
func (h *heldBody) release() {
	if h.taken > 0 {
		h.bodies.left.Release(h.taken)
		h.taken = 0
	}
}

// counting counts what is read.
func (h *heldBody) counting(from io.Reader) io.Reader {
	if h.bodies.left == nil {
		return from
	}
	return countedBody{h, from}
}

type countedBody struct {
	held *heldBody
	from io.Reader
}

func (c countedBody) Read(into []byte) (int, error) {
	n, err := c.from.Read(into)
	h := c.held
	for h.allowed -= int64(n); h.allowed < 0; h.allowed += shortBody {
		if !h.bodies.left.TryAcquire(shortBody) {
			return n, errBodiesFull
		}
		h.taken += shortBody
	}
	return n, err
}
