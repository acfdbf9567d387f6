package api

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
)

// metrics counts what the server does. Every label has few values, whatever is
// asked: the pattern of a route and never its path, a known method or "other".
type metrics struct {
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	underWay prometheus.Gauge
	refused  *prometheus.CounterVec
	panics   prometheus.Counter
}

// durationBuckets reach from what is only looked up to what a request may take.
var durationBuckets = []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 20}

// newMetrics registers the server's metrics, or keeps them to itself when there
// is nowhere to register them.
func newMetrics(to prometheus.Registerer) (*metrics, error) {
	if to == nil {
		to = prometheus.NewRegistry()
	}
	m := &metrics{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "swardcase_requests_total", Help: "Requests answered, by method, route and status.",
		}, []string{"method", "route", "status"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "swardcase_request_duration_seconds", Help: "Time from the head of a request to the end of its answer.",
			Buckets: durationBuckets,
		}, []string{"method", "route"}),
		underWay: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "swardcase_requests_under_way", Help: "Requests that are being answered.",
		}),
		refused: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "swardcase_requests_refused_total", Help: "Requests refused, by the limit that refused them.",
		}, []string{"limit"}),
		panics: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "swardcase_panics_total", Help: "Requests that ended in a panic.",
		}),
	}
	for _, each := range []prometheus.Collector{m.requests, m.seconds, m.underWay, m.refused, m.panics} {
		if err := to.Register(each); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// knownMethods are those that are counted by their own name.
var knownMethods = []string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodDelete}

func methodOf(r *http.Request) string {
	if slices.Contains(knownMethods, r.Method) {
		return r.Method
	}
	return "other"
}

// routeOf is the pattern that a request was matched to, "none" where there is none.
func routeOf(c echo.Context) string {
	if c.Path() == "" {
		return "none"
	}
	return c.Path()
}

// count keeps the metrics of each request.
func (s *Server) count(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		s.metrics.underWay.Inc()
		defer s.metrics.underWay.Dec()
		started := s.config.Now()
		err := next(c)
		method, route := methodOf(c.Request()), routeOf(c)
		s.metrics.requests.WithLabelValues(method, route, strconv.Itoa(c.Response().Status)).Inc()
		s.metrics.seconds.WithLabelValues(method, route).Observe(s.config.Now().Sub(started).Seconds())
		return err
	}
}

func (s *Server) refused(limit string) { s.metrics.refused.WithLabelValues(limit).Inc() }
