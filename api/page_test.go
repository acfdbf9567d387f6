package api_test

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"swardcase/api/pages"
)

// fromBrowser sends a request as a browser would.
func fromBrowser(h *harness, target string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, target, nil)
	r.Header.Set("Accept", "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8")
	w := httptest.NewRecorder()
	h.handler.ServeHTTP(w, r)
	return w
}

// TestAFailureIsShownAsItsReaderWants holds page and document to the same words.
func TestAFailureIsShownAsItsReaderWants(t *testing.T) {
	for _, tt := range []struct {
		accept string
		page   bool
	}{
		{"", false},
		{"*/*", false},
		{"application/json", false},
		{"application/problem+json, text/html;q=0.5", false},
		{"text/html, application/problem+json;q=0.5", true},
		{"text/*", true},
		{"text/html;q=0", false},
		{"text/html;q=nonsense", true},
		{"text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", true},
	} {
		h := newHarness(t, engine(echoName), nil)
		r := httptest.NewRequest(http.MethodGet, "/nothing", nil)
		r.Header.Set("Accept", tt.accept)
		if got := pages.WantsPage(r); got != tt.page {
			t.Errorf("Accept: %q wants a page: %v, want %v", tt.accept, got, tt.page)
		}
		w := httptest.NewRecorder()
		h.handler.ServeHTTP(w, r)
		if w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "There is nothing at this address") {
			t.Errorf("Accept: %q got %d and %s", tt.accept, w.Code, w.Body)
		}
		if got := strings.HasPrefix(w.Header().Get("Content-Type"), "text/html"); got != tt.page {
			t.Errorf("Accept: %q got %s", tt.accept, w.Header().Get("Content-Type"))
		}
	}
}

// TestPagesAllowNothingWithin: no page may be changed by what is written in it.
func TestPagesAllowNothingWithin(t *testing.T) {
	w := fromBrowser(newHarness(t, engine(echoName), nil), "/")
	wantStatus(t, w, http.StatusOK)
	policy := w.Header().Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy %q lacks %s", policy, want)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("the policy %q allows what stands within the page", policy)
	}
}

// TestAssetsAreKeptForGood: the address of a file changes with the file, and an
// address that was not given out is nothing.
func TestAssetsAreKeptForGood(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	address := regexp.MustCompile(`/assets/pages-[0-9a-f]{16}\.css`).FindString(fromBrowser(h, "/").Body.String())
	w := fromBrowser(h, address)
	wantStatus(t, w, http.StatusOK)
	if got := w.Header().Get("Cache-Control"); !strings.Contains(got, "immutable") {
		t.Errorf("Cache-Control is %q", got)
	}
	if got := w.Header().Get("Content-Type"); got != "text/css; charset=utf-8" {
		t.Errorf("Content-Type is %q", got)
	}
	for _, unknown := range []string{"/assets/pages.css", "/assets/pages-0000000000000000.css", "/assets/..%2fpages.go"} {
		wantStatus(t, fromBrowser(h, unknown), http.StatusNotFound)
	}
}

// TestPagesEscapeWhatTheyShow sends markup where a value is repeated back.
func TestPagesEscapeWhatTheyShow(t *testing.T) {
	w := fromBrowser(newHarness(t, engine(echoName), nil), "/v1/clubs?name=%3Cscript%3Ealert(1)%3C/script%3E&limit=%3Cb%3E")
	if body := w.Body.String(); w.Code != http.StatusBadRequest || strings.Contains(body, "<b>") || !strings.Contains(body, "&lt;b&gt;") {
		t.Errorf("%d: %s", w.Code, body)
	}
}
