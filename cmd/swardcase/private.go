package main

import (
	"log/slog"
	"net"
	"net/http"
	"net/http/pprof"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// newRegistry holds the metrics of the process and of Go, beside those of the
// service.
func newRegistry() *prometheus.Registry {
	registry := prometheus.NewRegistry()
	registry.MustRegister(
		collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
		collectors.NewBuildInfoCollector(),
	)
	return registry
}

// The private server's time limits: a profile may take a minute.
const (
	privateReadTimeout  = 10 * time.Second
	privateWriteTimeout = 2 * time.Minute
)

// privateServer serves what only operators may see. There are no keys on it, so
// that profiles, which can cost seconds of the processor and show the command
// line, are served on loopback only.
func privateServer(metrics *prometheus.Registry, service http.Handler, loopback bool, logger *slog.Logger) *http.Server {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(metrics, promhttp.HandlerOpts{
		MaxRequestsInFlight: 4,
		ErrorLog:            slog.NewLogLogger(logger.Handler(), slog.LevelWarn),
	}))
	mux.Handle("GET /healthz", service)
	mux.Handle("GET /readyz", service)
	if loopback {
		mux.HandleFunc("GET /debug/pprof/", pprof.Index)
		mux.HandleFunc("GET /debug/pprof/cmdline", pprof.Cmdline)
		mux.HandleFunc("GET /debug/pprof/profile", pprof.Profile)
		mux.HandleFunc("GET /debug/pprof/symbol", pprof.Symbol)
		mux.HandleFunc("GET /debug/pprof/trace", pprof.Trace)
	}
	return &http.Server{
		Handler:           ownHostOnly(mux, loopback),
		ReadHeaderTimeout: privateReadTimeout,
		ReadTimeout:       privateReadTimeout,
		WriteTimeout:      privateWriteTimeout,
		MaxHeaderBytes:    16 << 10,
		Protocols:         http1(),
		ErrorLog:          slog.NewLogLogger(logger.Handler(), slog.LevelWarn),
	}
}

// ownHostOnly refuses a request for another host than a literal address or
// localhost. A page in a browser on this machine could otherwise have a name of
// its own point here and read the answers.
func ownHostOnly(next http.Handler, loopback bool) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host, _, err := net.SplitHostPort(r.Host)
		if err != nil {
			host = r.Host
		}
		if loopback && host != "localhost" && net.ParseIP(host) == nil {
			http.Error(w, "Call this by its address.", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}
