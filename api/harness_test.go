package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"

	"swardcase/api"
	"swardcase/api/problem"
	"swardcase/api/service"
	"swardcase/openapi"
)

// fakeCase and fakeReport stand for the model where a test is about the house
// and not about what is computed.
type fakeCase struct {
	Green struct {
		Name   string  `json:"name"`
		AreaM2 float64 `json:"area_m2"`
	} `json:"green"`
}

// mutationEngine is what mutated cases are answered by.
func mutationEngine() service.Engine { return service.ModelEngine() }

// harness is a server with its log, whose every answer is checked against the
// contract.
type harness struct {
	t       testing.TB
	handler http.Handler
	server  *api.Server
	log     *bytes.Buffer
	doc     *openapi3.T
	hits    sync.Map // the operations that have answered well
}

// engine answers every question with one function.
func engine(answer func(fakeCase) (any, error)) service.Engine {
	compute := service.ComputeWith(answer)
	return service.Engine{JudgeCondition: compute, DesignWorks: compute, Appraise: compute, Forecast: compute, BreakEven: compute, PlanCourse: noPlanner}
}

// noPlanner stands for a planner that is not asked.
func noPlanner(context.Context, json.RawMessage, func(service.Progress)) (service.Planned, error) {
	return service.Planned{}, errors.New("not asked here")
}

func echoName(c fakeCase) (any, error) { return map[string]any{"name": c.Green.Name}, nil }

func newHarness(t testing.TB, e service.Engine, change func(*api.Config)) *harness {
	t.Helper()
	svc, err := service.New(e)
	if err != nil {
		t.Fatal(err)
	}
	return harnessOf(t, svc, change)
}

func harnessOf(t testing.TB, svc *service.Service, change func(*api.Config)) *harness {
	t.Helper()
	h := &harness{t: t, log: &bytes.Buffer{}}
	var err error
	if h.doc, err = openapi.Load(); err != nil {
		t.Fatal(err)
	}
	config := api.Config{
		Service:      svc,
		Logger:       slog.New(slog.NewJSONHandler(h.log, nil)),
		Now:          time.Now,
		NewRequestID: func() string { return "R1" },
		OpenToLocal:  true,
	}
	if change != nil {
		change(&config)
	}
	server, err := api.New(config)
	if err != nil {
		t.Fatal(err)
	}
	h.server = server
	// Requests are for a loopback address, unless a test says another.
	h.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Host == "example.com" { // as httptest makes it
			r.Host = "127.0.0.1:8480"
		}
		server.Handler().ServeHTTP(w, r)
	})
	return h
}

// do sends a request and checks the answer against the contract.
func (h *harness) do(r *http.Request) *httptest.ResponseRecorder {
	h.t.Helper()
	w := httptest.NewRecorder()
	h.handler.ServeHTTP(w, r)
	if err := h.check(r, w); err != nil {
		h.t.Errorf("%s %s answered %d: %v\n%s", r.Method, r.URL, w.Code, err, w.Body)
	}
	return w
}

func (h *harness) get(target string) *httptest.ResponseRecorder {
	h.t.Helper()
	return h.do(httptest.NewRequest(http.MethodGet, target, nil))
}

func (h *harness) post(target, body string) *httptest.ResponseRecorder {
	h.t.Helper()
	return h.do(jsonRequest(target, []byte(body)))
}

func jsonRequest(target string, body []byte) *http.Request {
	r := httptest.NewRequest(http.MethodPost, target, bytes.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	return r
}

// check holds an answer against the contract: against its operation where there
// is one, and otherwise as a problem document.
func (h *harness) check(r *http.Request, w *httptest.ResponseRecorder) error {
	if w.Header().Get("X-Request-Id") == "" {
		return errors.New("no X-Request-Id")
	}
	if w.Code >= 400 {
		if err := h.checkProblem(w); err != nil {
			return err
		}
	}
	path, values := h.template(r.URL.Path)
	item := h.doc.Paths.Value(path)
	if item == nil || item.GetOperation(r.Method) == nil || r.Method == http.MethodHead {
		return nil
	}
	if w.Code < 300 {
		h.hits.Store(item.GetOperation(r.Method).OperationID, true)
	}
	return openapi3filter.ValidateResponse(context.Background(), &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{
			Request:    r,
			PathParams: values,
			Route:      &routers.Route{Spec: h.doc, Path: path, PathItem: item, Method: r.Method, Operation: item.GetOperation(r.Method)},
		},
		Status:  w.Code,
		Header:  w.Header(),
		Body:    io.NopCloser(bytes.NewReader(w.Body.Bytes())),
		Options: &openapi3filter.Options{IncludeResponseStatus: true},
	})
}

// template finds the contract's path that an address fits, and what stands at
// its parameters.
func (h *harness) template(address string) (string, map[string]string) {
	given := strings.Split(address, "/")
	for path := range h.doc.Paths.Map() {
		wanted, values := strings.Split(path, "/"), map[string]string{}
		if len(wanted) != len(given) {
			continue
		}
		fits := true
		for i, part := range wanted {
			if strings.HasPrefix(part, "{") {
				values[strings.Trim(part, "{}")] = given[i]
			} else if part != given[i] {
				fits = false
			}
		}
		if fits {
			return path, values
		}
	}
	return address, nil
}

func (h *harness) checkProblem(w *httptest.ResponseRecorder) error {
	if got := w.Header().Get("Content-Type"); got != "application/problem+json" {
		return errors.New("a failure was sent as " + got)
	}
	var tree any
	if err := json.Unmarshal(w.Body.Bytes(), &tree); err != nil {
		return err
	}
	if err := h.doc.Components.Schemas["Problem"].Value.VisitJSON(tree, openapi3.MultiErrors()); err != nil {
		return err
	}
	var p problem.Document
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		return err
	}
	if p.Status != w.Code {
		return errors.New("the problem's status differs from the answer's")
	}
	return nil
}

// seedCases are the cases kept for tests and those of the demonstration, by file
// name.
func seedCases(t testing.TB) map[string][]byte {
	t.Helper()
	cases := map[string][]byte{}
	for _, pattern := range []string{"../testdata/cases/*.json", "../cmd/swardcase/demo/*.json"} {
		files, err := filepath.Glob(filepath.FromSlash(pattern))
		if err != nil || len(files) == 0 {
			t.Fatalf("no cases in %s: %v", pattern, err)
		}
		for _, file := range files {
			if cases[file], err = os.ReadFile(file); err != nil {
				t.Fatal(err)
			}
		}
	}
	return cases
}

func smallCase(t testing.TB) string { return testCase(t, "small") }

// testCase is one of the cases that mutations start from, by name.
func testCase(t testing.TB, name string) string {
	t.Helper()
	body, ok := seedCases(t)[filepath.Join("..", "testdata", "cases", name+".json")]
	if !ok {
		t.Fatalf("no case %q", name)
	}
	return string(body)
}

func wantStatus(t *testing.T, w *httptest.ResponseRecorder, want int) {
	t.Helper()
	if w.Code != want {
		t.Errorf("status %d, want %d: %s", w.Code, want, strings.TrimSpace(w.Body.String()))
	}
}
