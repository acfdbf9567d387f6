package api

import (
	"context"
	"errors"
	"net/http"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"swardcase/api/service"
)

// Health is the answer of a service that is well; one that is not answers with
// a problem document.
type Health struct {
	Status string `json:"status"`
}

func (s *Server) getHealth(c echo.Context, _ request) error {
	return writeJSON(c, http.StatusOK, Health{Status: "ok"})
}

func (s *Server) getReadiness(c echo.Context, _ request) error {
	if err := s.Ready(c.Request().Context()); err != nil {
		return &service.Error{Kind: service.Unavailable, Detail: "The service is not ready; try again in a moment.", Cause: err}
	}
	return writeJSON(c, http.StatusOK, Health{Status: "ok"})
}

var errStopping = errors.New("the service is stopping")

// Ready says whether requests can be answered: the service is not stopping, its
// store can be reached, and the store has every migration.
func (s *Server) Ready(ctx context.Context) error {
	if s.stopping.Load() {
		return errStopping
	}
	return s.readiness.ask(ctx, s.config.Now, s.config.Ready)
}

// Drain makes the service say that it is not ready, so that a proxy sends no more
// to it. Requests are answered as before.
func (s *Server) Drain() { s.stopping.Store(true) }

const (
	// readinessKept is how long an answer about the store serves those who ask
	// next: readiness is not limited, and must not become a way to the store.
	readinessKept    = time.Second
	readinessTimeout = 3 * time.Second
)

// readiness keeps the last answer for a moment.
type readiness struct {
	mutex   sync.Mutex
	askedAt time.Time
	answer  error
}

func (r *readiness) ask(ctx context.Context, now func() time.Time, ready func(context.Context) error) error {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if since := now().Sub(r.askedAt); !r.askedAt.IsZero() && since >= 0 && since < readinessKept {
		return r.answer
	}
	// Whoever asked may go away; those who wait for the same answer do not.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), readinessTimeout)
	defer cancel()
	r.answer = ready(ctx)
	r.askedAt = now()
	return r.answer
}
