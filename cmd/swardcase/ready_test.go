package main

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

func TestReadyAsksTheService(t *testing.T) {
	status := http.StatusOK
	service := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/readyz" {
			t.Errorf("asked for %s", r.URL)
		}
		w.WriteHeader(status)
	}))
	if got := runLine(t, "", "ready", service.URL+"/"); got.code != 0 || got.stdout != "ready\n" {
		t.Errorf("%+v", got)
	}
	status = http.StatusServiceUnavailable
	if got := runLine(t, "", "ready", service.URL); got.code != 1 || !strings.Contains(got.stderr, "answered 503") {
		t.Errorf("%+v", got)
	}
	service.Close()
	if got := runLine(t, "", "ready", service.URL); got.code != 1 || !strings.Contains(got.stderr, "not ready") {
		t.Errorf("%+v", got)
	}
	for _, args := range [][]string{{"ready"}, {"ready", "127.0.0.1:8480"}, {"ready", "ftp://x"}} {
		if got := runLine(t, "", args...); got.code != 1 || !strings.Contains(got.stderr, "swardcase help ready") {
			t.Errorf("%q: %+v", args, got)
		}
	}
}
