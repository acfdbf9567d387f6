package api_test

import (
	"context"
	"crypto/rand"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"swardcase/api"
	"swardcase/api/service"
)

// awayStore is a store whose every transaction ends in one error.
type awayStore struct{ err error }

func (s awayStore) View(context.Context, service.Scope, func(service.Tx) error) error { return s.err }

func (s awayStore) Update(context.Context, service.Scope, func(service.Tx) error) error { return s.err }

func (s awayStore) Ready(context.Context) error { return s.err }

func (s awayStore) HasAccessKeys(context.Context) (bool, error) { return false, s.err }

func (s awayStore) FindAccessKey(context.Context, string) (service.AccessKey, string, error) {
	return service.AccessKey{}, "", s.err
}

func (s awayStore) FindSession(context.Context, string) (service.Session, service.AccessKey, string, error) {
	return service.Session{}, service.AccessKey{}, "", s.err
}

func (s awayStore) FindShareLink(context.Context, string) (service.ShareLink, string, error) {
	return service.ShareLink{}, "", s.err
}

func (s awayStore) DueJob(context.Context, time.Time, int) (service.JobName, error) {
	return service.JobName{}, s.err
}

func (s awayStore) JobDepth(context.Context) (service.JobDepth, error) {
	return service.JobDepth{}, s.err
}

// TestTroubleOfTheStoreIsTold: with a status that says whose turn it is, when to
// try again where that helps, and nothing of the cause.
func TestTroubleOfTheStoreIsTold(t *testing.T) {
	const secret = "secret-detail"
	for _, tt := range []struct {
		kind       service.Kind
		status     int
		retryAfter string
	}{
		{service.Unavailable, http.StatusServiceUnavailable, "2"},
		{service.StoreFull, http.StatusInsufficientStorage, ""},
		{service.Internal, http.StatusInternalServerError, ""},
	} {
		away := awayStore{&service.Error{Kind: tt.kind, Detail: "In words.", Cause: errors.New(secret)}}
		svc, err := service.NewKeeping(service.ModelEngine(), service.Keeping{Store: away, Clock: time.Now, Random: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		h := harnessOf(t, svc, func(c *api.Config) { c.Logger = discard() })
		posted := jsonRequest("/v1/clubs", []byte(clubBody))
		posted.Header.Set("Idempotency-Key", "once")
		for _, r := range []*http.Request{httptest.NewRequest(http.MethodGet, "/v1/clubs", nil), posted} {
			w := h.do(r)
			wantStatus(t, w, tt.status)
			if got := w.Header().Get("Retry-After"); got != tt.retryAfter {
				t.Errorf("%s: Retry-After is %q, want %q", r.Method, got, tt.retryAfter)
			}
			if strings.Contains(w.Body.String(), secret) {
				t.Errorf("the caller was told: %s", w.Body)
			}
		}
		wantStatus(t, h.get("/readyz"), http.StatusServiceUnavailable)
	}
}
