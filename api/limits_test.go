package api_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"swardcase/api"
)

// clock is moved by hand.
type clock struct {
	mutex sync.Mutex
	now   time.Time
}

func (c *clock) Now() time.Time {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.now
}

func (c *clock) pass(d time.Duration) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.now = c.now.Add(d)
}

// call asks for the contract from an address, which is limited as most things are.
func call(h *harness, from string, headers ...string) *httptest.ResponseRecorder {
	return callAt(h, "/openapi.yaml", from, headers...)
}

func callAt(h *harness, path, from string, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.RemoteAddr = from
	for i := 0; i < len(headers); i += 2 {
		r.Header.Add(headers[i], headers[i+1])
	}
	return h.do(r)
}

func TestOneAddressAsksTooOften(t *testing.T) {
	c := &clock{now: time.Unix(1_800_000_000, 0)}
	metrics := prometheus.NewRegistry()
	h := newHarness(t, engine(echoName), func(config *api.Config) {
		config.Now, config.Metrics = c.Now, metrics
		config.Limits.Address = api.Rate{PerSecond: 0.5, Burst: 3}
	})
	for range 3 {
		wantStatus(t, call(h, "192.0.2.1:1000"), 200)
	}
	w := call(h, "192.0.2.1:2000") // another port of the same address
	wantStatus(t, w, http.StatusTooManyRequests)
	if got := w.Header().Get("Retry-After"); got != "2" {
		t.Errorf("Retry-After is %q, want 2: one request every two seconds", got)
	}
	if !strings.Contains(w.Body.String(), `"type":"/problems/too-many-requests"`) {
		t.Error(w.Body)
	}
	wantStatus(t, call(h, "192.0.2.2:1000"), 200) // somebody else
	for _, path := range []string{"/healthz", "/readyz"} {
		wantStatus(t, callAt(h, path, "192.0.2.1:1000"), 200) // a proxy's question
	}
	c.pass(time.Second)
	wantStatus(t, call(h, "192.0.2.1:1000"), http.StatusTooManyRequests)
	c.pass(time.Second) // as long as was said, whatever was asked meanwhile
	wantStatus(t, call(h, "192.0.2.1:1000"), 200)
	if got := gathered(t, metrics, "swardcase_requests_refused_total"); got != 2 {
		t.Errorf("%v requests are counted as refused, want 2", got)
	}
}

// TestAnIPv6NetworkIsOneSender: a single customer is commonly given 2^64 addresses.
func TestAnIPv6NetworkIsOneSender(t *testing.T) {
	c := &clock{now: time.Unix(1_800_000_000, 0)}
	h := newHarness(t, engine(echoName), func(config *api.Config) {
		config.Now, config.Limits.Address = c.Now, api.Rate{PerSecond: 1, Burst: 2}
	})
	for i, want := range []int{200, 200, 429, 429} {
		wantStatus(t, call(h, fmt.Sprintf("[2001:db8:0:1::%x]:1000", i+1)), want)
	}
	wantStatus(t, call(h, "[2001:db8:0:2::1]:1000"), 200)
	for _, want := range []int{200, 200, 429} { // an IPv4 address in its IPv6 form
		wantStatus(t, call(h, "[::ffff:192.0.2.9]:1000"), want)
	}
	wantStatus(t, call(h, "192.0.2.9:1000"), 429)
}

// TestManyAddressesTakeBoundedMemory: the table of senders does not grow with
// them, and the newest are those that it knows.
func TestManyAddressesTakeBoundedMemory(t *testing.T) {
	c := &clock{now: time.Unix(1_800_000_000, 0)}
	h := newHarness(t, engine(echoName), func(config *api.Config) {
		config.Logger, config.Now, config.Limits.Address = discard(), c.Now, api.Rate{PerSecond: 0.001, Burst: 1}
	})
	address := func(i int) string { return fmt.Sprintf("10.%d.%d.%d:1", i>>16&255, i>>8&255, i&255) }
	ask := func(i int) int {
		r := httptest.NewRequest(http.MethodGet, "/nothing", nil)
		r.RemoteAddr = address(i)
		w := httptest.NewRecorder()
		h.handler.ServeHTTP(w, r)
		return w.Code
	}
	const senders = 25_000
	for i := range senders {
		if got := ask(i); got != 404 {
			t.Fatalf("the first request of %s got %d", address(i), got)
		}
	}
	if got := ask(senders - 1); got != 429 {
		t.Errorf("the newest sender got %d", got)
	}
	if got := ask(0); got != 404 {
		t.Errorf("the oldest sender got %d: it should have been forgotten", got)
	}
}

// TestForgedHeadersChangeNoLimit: a caller cannot be somebody else by saying so,
// with no proxy trusted, nor beyond one that is.
func TestForgedHeadersChangeNoLimit(t *testing.T) {
	forged := func(i int) []string {
		return []string{
			"X-Forwarded-For", fmt.Sprintf("203.0.113.%d", i), "X-Real-Ip", fmt.Sprintf("203.0.113.%d", i),
			"Forwarded", fmt.Sprintf("for=203.0.113.%d", i), "True-Client-Ip", fmt.Sprintf("203.0.113.%d", i),
			"X-Forwarded-Proto", "https",
		}
	}
	for name, tt := range map[string]struct {
		trusted []string
		peer    string
		added   []string // what the proxy adds below what the caller sent
		want    string   // the address in the log
	}{
		"no proxy":                {nil, "192.0.2.1:1", nil, "192.0.2.1"},
		"no proxy, on loopback":   {nil, "127.0.0.1:1", nil, "127.0.0.1"},
		"beside the proxy":        {[]string{"10.0.0.0/24"}, "192.0.2.1:1", nil, "192.0.2.1"},
		"beside, on loopback":     {[]string{"10.0.0.0/24"}, "127.0.0.1:1", nil, "127.0.0.1"},
		"beside, private":         {[]string{"10.0.0.0/24"}, "10.0.1.1:1", nil, "10.0.1.1"},
		"through the proxy":       {[]string{"10.0.0.0/24"}, "10.0.0.2:1", []string{"X-Forwarded-For", "192.0.2.1"}, "192.0.2.1"},
		"through two proxies":     {[]string{"10.0.0.0/24"}, "10.0.0.2:1", []string{"X-Forwarded-For", "192.0.2.1, 10.0.0.3"}, "192.0.2.1"},
		"through an IPv6 proxy":   {[]string{"fd00::/64"}, "[fd00::2]:1", []string{"X-Forwarded-For", "2001:db8::1"}, "2001:db8::1"},
		"nonsense from the proxy": {[]string{"10.0.0.0/24"}, "10.0.0.2:1", []string{"X-Forwarded-For", "unknown"}, "10.0.0.2"},
	} {
		t.Run(name, func(t *testing.T) {
			c := &clock{now: time.Unix(1_800_000_000, 0)}
			h := newHarness(t, engine(echoName), func(config *api.Config) {
				config.Now, config.Limits.Address = c.Now, api.Rate{PerSecond: 1, Burst: 3}
				for _, prefix := range tt.trusted {
					config.TrustedProxies = append(config.TrustedProxies, netip.MustParsePrefix(prefix))
				}
			})
			for i, want := range []int{200, 200, 200, 429, 429} {
				w := call(h, tt.peer, append(forged(i+1), tt.added...)...)
				wantStatus(t, w, want)
				if encrypted := w.Header().Get("Strict-Transport-Security") != ""; encrypted != (tt.added != nil) {
					t.Errorf("taken for encrypted: %v", encrypted)
				}
			}
			log := h.log.String()
			if strings.Contains(log, "203.0.113") || strings.Count(log, `"from":"`+tt.want+`"`) != 5 {
				t.Errorf("the log says\n%s", log)
			}
		})
	}
}

// TestRequestsUnderWayAreBounded holds requests in the engine and counts who may
// still come.
func TestRequestsUnderWayAreBounded(t *testing.T) {
	entered, leave := make(chan bool), make(chan bool)
	wait := func(fakeCase) (any, error) {
		entered <- true
		<-leave
		return map[string]any{"name": "done"}, nil
	}
	metrics := prometheus.NewRegistry()
	h := newHarness(t, engine(wait), func(config *api.Config) {
		config.Logger, config.Metrics = discard(), metrics
		config.Limits.AddressUnderWay, config.Limits.UnderWay = 2, 3
	})
	body := []byte(smallCase(t))
	var group sync.WaitGroup
	start := func(from string) {
		group.Go(func() {
			r := jsonRequest("/v1/trial-conditions", body)
			r.RemoteAddr = from
			w := httptest.NewRecorder()
			h.handler.ServeHTTP(w, r)
			if w.Code != 200 {
				t.Errorf("the request of %s got %d", from, w.Code)
			}
		})
		<-entered
	}
	start("192.0.2.1:1")
	start("192.0.2.1:2")
	w := call(h, "192.0.2.1:3")
	wantStatus(t, w, 429)
	if w.Header().Get("Retry-After") != "1" {
		t.Errorf("Retry-After is %q", w.Header().Get("Retry-After"))
	}
	start("192.0.2.2:1")
	wantStatus(t, call(h, "192.0.2.3:1"), 503)
	wantStatus(t, callAt(h, "/readyz", "192.0.2.3:1"), 200)
	if got := gathered(t, metrics, "swardcase_requests_under_way"); got != 3 {
		t.Errorf("%v requests are counted as under way, want 3", got)
	}
	close(leave)
	group.Wait()
	wantStatus(t, call(h, "192.0.2.1:3"), 200)
}

// gathered adds up the values of one metric.
func gathered(t *testing.T, from prometheus.Gatherer, name string) float64 {
	t.Helper()
	if problems, err := testutil.GatherAndLint(from, name); err != nil || len(problems) > 0 {
		t.Errorf("%v %v", problems, err)
	}
	families, err := from.Gather()
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, family := range families {
		if family.GetName() == name {
			for _, each := range family.GetMetric() {
				sum += each.GetCounter().GetValue() + each.GetGauge().GetValue()
			}
		}
	}
	return sum
}
