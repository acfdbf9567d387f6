package api_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"

	"swardcase/api"
	"swardcase/api/service"
)

// TestLabelsDoNotGrowWithWhatIsAsked: a caller who invents paths, ids and methods
// adds no time series.
func TestLabelsDoNotGrowWithWhatIsAsked(t *testing.T) {
	metrics := prometheus.NewRegistry()
	h := newHarness(t, engine(echoName), func(config *api.Config) { config.Logger, config.Metrics = discard(), metrics })
	series := func() (count int, labels string) {
		families, err := metrics.Gather()
		if err != nil {
			t.Fatal(err)
		}
		for _, family := range families {
			for _, each := range family.GetMetric() {
				count++
				labels += fmt.Sprintln(each.GetLabel())
			}
		}
		return count, labels
	}
	ask := func(i int) {
		for _, line := range []string{"GET /nothing-%d", "GET /v1/clubs/club-%d", "BREW-%d /healthz", "POST /v1/clubs/%d/greens/%[1]d/restore", "GET /assets/%d.css"} {
			method, path, _ := strings.Cut(fmt.Sprintf(line, i), " ")
			h.handler.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(method, path, nil))
		}
	}
	ask(1)
	before, _ := series()
	for i := range 50 {
		ask(i + 2)
	}
	after, labels := series()
	if before != after || strings.Contains(labels, "nothing-") || strings.Contains(labels, "BREW") {
		t.Errorf("%d series became %d:\n%s", before, after, labels)
	}
	for _, want := range []string{`"/v1/clubs/:club_id"`, `"none"`, `"other"`} {
		if !strings.Contains(labels, want) {
			t.Errorf("no series has %s:\n%s", want, labels)
		}
	}
}

// TestEveryAnswerHasItsHeaders: refusals, failures and pages too.
func TestEveryAnswerHasItsHeaders(t *testing.T) {
	h := newHarness(t, engine(func(fakeCase) (any, error) { panic("broken") }), nil)
	answers := map[string]*httptest.ResponseRecorder{
		"well":     h.get("/healthz"),
		"nothing":  h.get("/nothing"),
		"a method": h.do(httptest.NewRequest(http.MethodPut, "/healthz", nil)),
		"a fault":  h.post("/v1/trial-conditions", "{}"),
		"a panic":  h.post("/v1/trial-conditions", smallCase(t)),
		"a page":   fromBrowser(h, "/"),
	}
	wantStatus(t, answers["a panic"], 500)
	for name, w := range answers {
		header := w.Header()
		for key, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "X-Request-Id": "R1",
			"Cross-Origin-Resource-Policy": "same-origin", "Content-Security-Policy": "default-src 'none'",
			"Referrer-Policy": "", "Cache-Control": "no-store",
		} {
			if got := header.Get(key); !strings.HasPrefix(got, want) || got == "" {
				t.Errorf("%s has %s %q, want %q", name, key, got, want)
			}
		}
		if len(header.Values("Content-Security-Policy")) != 1 || header.Get("Strict-Transport-Security") != "" || header.Get("Server") != "" {
			t.Errorf("%s has the headers %v", name, header)
		}
	}
}

// TestSecretsAreNotLogged sends what must stay unseen in every place where it may
// come: in the path of a share link, right or mistyped, in headers, in the query.
func TestSecretsAreNotLogged(t *testing.T) {
	spans := tracetest.NewInMemoryExporter()
	h := newHarness(t, engine(echoName), func(c *api.Config) {
		c.Traces = trace.NewTracerProvider(trace.WithSyncer(spans))
	})
	const secret = "swc_0123456789abcdefghijklmnopqrstuvwxyz"
	for _, path := range []string{"/shares/" + secret, "/sharse/" + secret, "/v1/clubs/" + secret, "/v1/clubs/x/greens/" + secret, "/" + secret, "/healthz?key=" + secret} {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.Header.Set("Authorization", "Bearer "+secret)
		r.Header.Set("Cookie", "session="+secret)
		r.Header.Set("Referer", "https://golf.example/shares/"+secret)
		r.Header.Set("User-Agent", secret)
		h.handler.ServeHTTP(httptest.NewRecorder(), r)
	}
	if log := h.log.String(); strings.Count(log, "\n") != 6 || strings.Contains(log, secret[:12]) {
		t.Errorf("logged:\n%s", log)
	}
	if traced := fmt.Sprintf("%+v", spans.GetSpans()); len(spans.GetSpans()) != 6 || strings.Contains(traced, secret[:12]) {
		t.Errorf("traced: %s", traced)
	}
	h.log.Reset()
	const id = "01985e3c-0000-7000-8000-000000000001"
	h.get("/v1/clubs/" + id + "/greens/" + id)
	if !strings.Contains(h.log.String(), `"path":"/v1/clubs/`+id+"/greens/"+id+`"`) {
		t.Errorf("ids belong into the log: %s", h.log)
	}
}

// TestTraces: a span has the route and the outcome, and only a trusted proxy hands
// a trace on.
func TestTraces(t *testing.T) {
	spans := tracetest.NewInMemoryExporter()
	h := newHarness(t, engine(func(fakeCase) (any, error) { return nil, errors.New("broken") }), func(c *api.Config) {
		c.Traces = trace.NewTracerProvider(trace.WithSyncer(spans))
		c.TrustedProxies = []netip.Prefix{netip.MustParsePrefix("10.0.0.0/24")}
	})
	const parent = "0af7651916cd43dd8448eb211c80319c"
	for i, from := range []string{"192.0.2.1:1", "10.0.0.9:1"} {
		r := jsonRequest("/v1/trial-conditions", []byte(smallCase(t)))
		r.RemoteAddr = from
		r.Header.Set("Traceparent", "00-"+parent+"-b7ad6b7169203331-01")
		h.do(r)
		span := spans.GetSpans()[i]
		if got := span.SpanContext.TraceID().String(); (got == parent) != (i == 1) || !strings.Contains(h.log.String(), got) {
			t.Errorf("from %s the trace is %s, and the log\n%s", from, got, h.log)
		}
		if span.Name != "POST /v1/trial-conditions" || span.Status.Code.String() != "Error" {
			t.Errorf("span %s, %v", span.Name, span.Status)
		}
	}
}

// TestReadinessIsAskedOnceASecond: it is not limited, so that it must cost little;
// and it is false from the moment the service is told to stop.
func TestReadinessIsAskedOnceASecond(t *testing.T) {
	c := &clock{now: time.Unix(1_800_000_000, 0)}
	asked, away := 0, error(nil)
	svc, err := service.New(engine(echoName))
	if err != nil {
		t.Fatal(err)
	}
	server, err := api.New(api.Config{
		Service: svc, Logger: discard(), Now: c.Now, NewRequestID: func() string { return "R1" },
		Ready: func(context.Context) error { asked++; return away },
	})
	if err != nil {
		t.Fatal(err)
	}
	status := func(path string) int {
		w := httptest.NewRecorder()
		server.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		return w.Code
	}
	for range 100 {
		if got := status("/readyz"); got != 200 {
			t.Fatal(got)
		}
	}
	away = errors.New("away")
	c.pass(time.Second)
	for range 100 {
		if got := status("/readyz"); got != 503 {
			t.Fatal(got)
		}
	}
	if asked != 2 {
		t.Errorf("the store was asked %d times, want 2", asked)
	}
	away = nil
	c.pass(time.Second)
	if got := status("/readyz"); got != 200 {
		t.Errorf("after the store came back: %d", got)
	}
	server.Drain()
	if ready, well := status("/readyz"), status("/healthz"); ready != 503 || well != 200 {
		t.Errorf("while stopping: readiness %d, health %d", ready, well)
	}
	if got := status("/openapi.json"); got != 200 {
		t.Errorf("requests must still be answered: %d", got)
	}
}

// deaf takes no answer.
type deaf struct{ http.ResponseWriter }

func (deaf) Write([]byte) (int, error) {
	return 0, &net.OpError{Op: "write", Net: "tcp", Err: errors.New("connection reset by peer")}
}

// TestWhoeverTakesNoAnswerIsNoFaultOfOurs: it would wake an operator for nothing.
func TestWhoeverTakesNoAnswerIsNoFaultOfOurs(t *testing.T) {
	h := newHarness(t, engine(echoName), nil)
	for _, path := range []string{"/openapi.json", "/"} {
		h.log.Reset()
		h.handler.ServeHTTP(deaf{httptest.NewRecorder()}, httptest.NewRequest(http.MethodGet, path, nil))
		if !strings.Contains(h.log.String(), `"level":"WARN"`) || !strings.Contains(h.log.String(), `"not_taken"`) {
			t.Errorf("%s: logged %s", path, h.log)
		}
	}
}
