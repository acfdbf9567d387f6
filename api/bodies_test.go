package api_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"swardcase/api"
)

// TestLongBodiesAreBounded sends long bodies that do not end, and then others.
func TestLongBodiesAreBounded(t *testing.T) {
	h := newHarness(t, engine(echoName), func(c *api.Config) {
		c.Logger = discard()
		c.Limits.BodyBytes = 384 << 10 // six steps of 64 KiB
	})
	const path = "/v1/trial-conditions"
	post := func(body string, want int) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		h.handler.ServeHTTP(w, jsonRequest(path, []byte(body)))
		wantStatus(t, w, want)
		return w
	}
	long := strings.Repeat(" ", 192<<10) // it takes two steps beyond what is free
	var ends []*io.PipeWriter
	var group sync.WaitGroup
	for range 2 {
		body, end := io.Pipe()
		ends = append(ends, end)
		group.Go(func() {
			r := httptest.NewRequest(http.MethodPost, path, body)
			r.Header.Set("Content-Type", "application/json")
			w := httptest.NewRecorder()
			h.handler.ServeHTTP(w, r)
			if w.Code != http.StatusOK {
				t.Errorf("one that was begun in time was answered %d: %s", w.Code, w.Body)
			}
		})
		if _, err := io.WriteString(end, long); err != nil {
			t.Fatal(err)
		}
	}
	w := post(long+smallCase(t), http.StatusServiceUnavailable)
	if w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "/problems/unavailable") {
		t.Error(w.Body)
	}
	post(smallCase(t), http.StatusOK)
	for _, end := range ends {
		if _, err := io.WriteString(end, smallCase(t)); err != nil {
			t.Fatal(err)
		}
		end.Close()
	}
	group.Wait()
	for range 10 { // what was held has been given back, also by those that were refused
		post(long+smallCase(t), http.StatusOK)
		post(long, http.StatusBadRequest)
	}
}
