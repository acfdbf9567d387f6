package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/labstack/echo/v4"

	"swardcase/api"
	"swardcase/api/contract"
	"swardcase/api/pages"
	"swardcase/api/problem"
	"swardcase/api/service"
	"swardcase/model/fault"
	"swardcase/openapi"
)

func TestEveryOperationAnswers(t *testing.T) {
	h := newHarness(t, service.ModelEngine(), nil)
	for _, op := range contract.New(h.doc, nil).Operations() {
		if strings.HasPrefix(op.Path, "/v1/clubs") || op.ID == "getSharedAppraisal" {
			continue // TestWhatIsKept and its neighbours answer these
		}
		body := []byte(testCase(t, "green_14"))
		switch op.BodySchema {
		case "BreakEvenRequest":
			body = askBreakEven(0, body)
		case "CourseCase":
			body = sixGreens(t)
		}
		r := httptest.NewRequest(op.Method, op.Path, bytes.NewReader(body))
		r.Header.Set("Content-Type", "application/json; charset=utf-8")
		wantStatus(t, h.do(r), http.StatusOK)
	}
}

// TestRoutesAndContractAreEqual reads the routes from echo itself: there are those
// of the contract, those of the pages, and no more.
func TestRoutesAndContractAreEqual(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	var want, got []string
	add := func(method, path string) {
		path = strings.NewReplacer("{", ":", "}", "").Replace(path)
		want = append(want, method+" "+path)
		if method == http.MethodGet {
			want = append(want, http.MethodHead+" "+path)
		}
	}
	for _, op := range contract.New(h.doc, nil).Operations() {
		add(op.Method, op.Path)
	}
	for _, route := range pages.Routes() {
		add(route.Method, route.Path)
	}
	for _, route := range h.server.Handler().(*echo.Echo).Routes() {
		got = append(got, route.Method+" "+route.Path)
	}
	byText := cmp.Transformer("set", func(list []string) map[string]bool {
		set := map[string]bool{}
		for _, item := range list {
			set[item] = true
		}
		return set
	})
	if diff := cmp.Diff(want, got, byText); diff != "" || len(want) != len(got) {
		t.Error(diff)
	}
}

func TestTheHandlerGetsTheCase(t *testing.T) {
	refuse := func(c fakeCase) (any, error) {
		return nil, fault.List{fault.New("/green/name", c.Green.Name, "seen by the engine", "none")}
	}
	h := newHarness(t, engine(refuse), nil)
	for _, path := range trials {
		w := h.post(path, smallCase(t))
		if got := w.Body.String(); !strings.Contains(got, `"value":"The lower green"`) {
			t.Errorf("%s answered %s", path, got)
		}
	}
}

// TestSeedCasesAreAnswered asks the model itself: every case that is kept must be
// answered, and each answer must keep to the contract.
func TestSeedCasesAreAnswered(t *testing.T) {
	h := newHarness(t, service.ModelEngine(), nil)
	for name, body := range seedCases(t) {
		for _, path := range trials {
			if w := h.post(path, string(body)); w.Code != http.StatusOK {
				t.Errorf("%s: %s answered %d: %s", name, path, w.Code, w.Body)
			}
		}
	}
}

func TestTheContractCanBeFetched(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	if got := h.get("/openapi.yaml").Body.String(); got != string(openapi.YAML()) {
		t.Error("/openapi.yaml is not the contract")
	}
	if _, err := openapi.Parse(h.get("/openapi.json").Body.Bytes()); err != nil {
		t.Error(err)
	}
}

func TestRefusals(t *testing.T) {
	const trial = "/v1/trial-conditions"
	request := func(method, target, media, body string) *http.Request {
		r := httptest.NewRequest(method, target, strings.NewReader(body))
		if media != "" {
			r.Header.Set("Content-Type", media)
		}
		return r
	}
	compressed := request("POST", trial, "application/json", "{}")
	compressed.Header.Set("Content-Encoding", "gzip")
	tests := []struct {
		name    string
		request *http.Request
		status  int
		kind    string
	}{
		{"unknown address", request("GET", "/v1/nothing", "", ""), 404, "not-found"},
		{"trailing slash", request("GET", "/healthz/", "", ""), 404, "not-found"},
		{"wrong method", request("GET", trial, "", ""), 405, "method-not-allowed"},
		{"unheard-of method", request("BREW", "/healthz", "", ""), 405, "method-not-allowed"},
		{"a tunnel", request("CONNECT", "/healthz", "", ""), 405, "method-not-allowed"},
		{"unknown query parameter", request("GET", "/healthz?verbose=1", "", ""), 400, "bad-parameters"},
		{"unknown query parameter of a post", request("POST", trial+"?x=1", "application/json", "{}"), 400, "bad-parameters"},
		{"no media type", request("POST", trial, "", "{}"), 415, "unsupported-media-type"},
		{"other media type", request("POST", trial, "text/plain", "{}"), 415, "unsupported-media-type"},
		{"other character set", request("POST", trial, "application/json; charset=latin1", "{}"), 415, "unsupported-media-type"},
		{"compressed", compressed, 415, "unsupported-media-type"},
		{"empty body", request("POST", trial, "application/json", ""), 400, "unreadable"},
		{"not JSON", request("POST", trial, "application/json", "{"), 400, "unreadable"},
		{"same name twice", request("POST", trial, "application/json", `{"a":1,"a":2}`), 400, "unreadable"},
		{"not a case", request("POST", trial, "application/json", "{}"), 422, "faulty-document"},
		{"too large", request("POST", trial, "application/json", strings.Repeat(" ", contract.MaxBytes+1)), 413, "too-large"},
	}
	h := newHarness(t, engine(echoName), nil)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := h.do(tt.request)
			wantStatus(t, w, tt.status)
			var p problem.Document
			if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || p.Type != "/problems/"+tt.kind {
				t.Errorf("problem %+v: %v", p, err)
			}
			if p.Instance != "/requests/R1" {
				t.Errorf("instance %q does not name the request", p.Instance)
			}
		})
	}
}

func TestMethodNotAllowedNamesTheMethods(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	r := httptest.NewRequest(http.MethodDelete, "/v1/trial-conditions", nil)
	w := h.do(r)
	if allow := w.Header().Get("Allow"); !strings.Contains(allow, "POST") || strings.Contains(allow, "GET") {
		t.Errorf("Allow is %q", allow)
	}
	if allow := h.do(httptest.NewRequest(http.MethodPut, "/healthz", nil)).Header().Get("Allow"); !strings.Contains(allow, "GET") {
		t.Errorf("Allow is %q", allow)
	}
}

func TestFaultsOfTheModelReachTheCaller(t *testing.T) {
	h := newHarness(t, engine(func(fakeCase) (any, error) {
		return nil, fault.List{fault.New("/green/area_m2", 420, "is too large for its perimeter", "measure the perimeter again")}
	}), nil)
	w := h.post("/v1/trial-appraisals", smallCase(t))
	wantStatus(t, w, http.StatusUnprocessableEntity)
	var p problem.Document
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		t.Fatal(err)
	}
	want := []problem.Entry{{Fault: fault.Fault{
		Pointer: "/green/area_m2", Value: "420", Detail: "is too large for its perimeter", Remedy: "measure the perimeter again",
	}}}
	if diff := cmp.Diff(want, p.Errors); diff != "" {
		t.Error(diff)
	}
}

// TestInternalTextStaysInside: whatever goes wrong inside, the caller learns
// only that it did, and the log has the rest.
func TestInternalTextStaysInside(t *testing.T) {
	const secret = "secret-detail"
	tests := map[string]func(fakeCase) (any, error){
		"an error":                   func(fakeCase) (any, error) { return nil, errors.New(secret) },
		"a panic":                    func(fakeCase) (any, error) { panic(secret) },
		"a panic with a fault in it": func(fakeCase) (any, error) { panic(fault.New("/x", nil, secret, secret)) },
		"a value JSON cannot hold":   func(fakeCase) (any, error) { return map[string]any{secret: math.NaN()}, nil },
	}
	for name, answer := range tests {
		t.Run(name, func(t *testing.T) {
			h := newHarness(t, engine(answer), nil)
			w := h.post("/v1/trial-appraisals", smallCase(t))
			wantStatus(t, w, http.StatusInternalServerError)
			if strings.Contains(w.Body.String(), secret) {
				t.Errorf("the caller was told: %s", w.Body)
			}
			if !strings.Contains(h.log.String(), `"request_id":"R1"`) || !strings.Contains(h.log.String(), `"level":"ERROR"`) {
				t.Errorf("the log says only: %s", h.log)
			}
		})
	}
}

func TestReadiness(t *testing.T) {
	h := newHarness(t, engine(echoName), func(c *api.Config) {
		c.Ready = func(context.Context) error { return errors.New("the store at /some/path is away") }
	})
	w := h.get("/readyz")
	wantStatus(t, w, http.StatusServiceUnavailable)
	if strings.Contains(w.Body.String(), "/some/path") {
		t.Errorf("the caller was told: %s", w.Body)
	}
	wantStatus(t, h.get("/healthz"), http.StatusOK)
}

func TestALateRequestIsNotComputed(t *testing.T) {
	h := newHarness(t, engine(func(fakeCase) (any, error) {
		t.Error("computed for a caller who has gone")
		return nil, nil
	}), nil)
	ctx, cancel := context.WithTimeout(context.Background(), -time.Second)
	defer cancel()
	w := h.do(jsonRequest("/v1/trial-appraisals", []byte(smallCase(t))).WithContext(ctx))
	wantStatus(t, w, http.StatusServiceUnavailable)
	if !strings.Contains(w.Body.String(), "/problems/timed-out") {
		t.Error(w.Body)
	}
}

func TestRequestNumbers(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	for given, want := range map[string]string{
		"":                      "R1",
		"trace-7.b_2":           "trace-7.b_2",
		"two words":             "R1",
		strings.Repeat("x", 65): "R1",
		"a\"b":                  "R1",
	} {
		r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
		r.Header.Set("X-Request-Id", given)
		if got := h.do(r).Header().Get("X-Request-Id"); got != want {
			t.Errorf("given %q, the answer carries %q, want %q", given, got, want)
		}
	}
}

// TestForgedHeadersChangeNothing: the peer's own address is logged, whatever
// the request claims about where it comes from.
func TestForgedHeadersChangeNothing(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	r := httptest.NewRequest(http.MethodGet, "/healthz", nil)
	r.RemoteAddr = "192.0.2.7:4000"
	for _, name := range []string{"X-Forwarded-For", "X-Real-Ip", "Forwarded"} {
		r.Header.Set(name, "203.0.113.9")
	}
	h.do(r)
	var line struct {
		From   string `json:"from"`
		Status int    `json:"status"`
	}
	if err := json.Unmarshal(h.log.Bytes(), &line); err != nil || line.From != "192.0.2.7" || line.Status != 200 {
		t.Errorf("logged %+v: %v", line, err)
	}
}

func TestHeadIsGetWithoutItsBody(t *testing.T) {
	server := httptest.NewServer(newHarness(t, engine(echoName), nil).handler)
	defer server.Close()
	answer, err := http.Head(server.URL + "/openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != 200 || answer.ContentLength < 1000 || len(body) != 0 {
		t.Errorf("status %d, length %d, body of %d bytes", answer.StatusCode, answer.ContentLength, len(body))
	}
}

// TestABodyCutShort: the client promises more than it sends.
func TestABodyCutShort(t *testing.T) {
	server := httptest.NewServer(newHarness(t, engine(echoName), nil).handler)
	defer server.Close()
	connection, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer connection.Close()
	fmt.Fprintf(connection, "POST /v1/trial-conditions HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{}")
	if err := connection.(*net.TCPConn).CloseWrite(); err != nil {
		t.Fatal(err)
	}
	answer, err := io.ReadAll(connection)
	if err != nil || !strings.HasPrefix(string(answer), "HTTP/1.1 400") || !strings.Contains(string(answer), "/problems/unreadable") {
		t.Errorf("answered %q: %v", answer, err)
	}
}

func TestNewRefusesHalfAConfig(t *testing.T) {
	if _, err := api.New(api.Config{}); err == nil {
		t.Error("a server without a service was built")
	}
	if _, err := service.New(service.Engine{}); err == nil {
		t.Error("a service without an engine was built")
	}
}

func BenchmarkTrialRequest(b *testing.B) {
	h := newHarness(b, service.ModelEngine(), func(c *api.Config) { c.Logger = discard() })
	for _, path := range trials {
		body := []byte(smallCase(b))
		if path == "/v1/trial-designs" {
			body = []byte(testCase(b, "kidney")) // with an outline to draw in
		}
		b.Run(path, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				w := httptest.NewRecorder()
				h.handler.ServeHTTP(w, jsonRequest(path, body))
				if w.Code != http.StatusOK {
					b.Fatal(w.Body)
				}
			}
		})
	}
}

// sixGreens is a course with every kind of rule.
func sixGreens(t testing.TB) []byte {
	t.Helper()
	body, err := os.ReadFile(filepath.Join("..", "testdata", "courses", "six_greens.json"))
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// TestACourseWithoutAPlanIsAnswered: rules that cannot be kept together are an
// answer, and what is wrong with a course is a problem that names it.
func TestACourseWithoutAPlanIsAnswered(t *testing.T) {
	h := newHarness(t, service.ModelEngine(), nil)
	poor := strings.Replace(string(sixGreens(t)), `"60000.00"`, `"100.00"`, 1)
	w := h.post("/v1/trial-course-plans", poor)
	wantStatus(t, w, http.StatusOK)
	if got := w.Body.String(); !strings.Contains(got, `"status":"infeasible"`) || !strings.Contains(got, `"rule":"latest_year"`) {
		t.Errorf("answered %.300s", got)
	}
	w = h.post("/v1/trial-course-plans", strings.Replace(string(sixGreens(t)), `"latest_year": 2`, `"latest_year": 9`, 1))
	wantStatus(t, w, http.StatusUnprocessableEntity)
	if got := w.Body.String(); !strings.Contains(got, "/greens/4/latest_year") {
		t.Errorf("answered %s", got)
	}
}
