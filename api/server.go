// Package api serves the contract over HTTP. Routes are taken from the contract
// itself; a request is checked against it before its handler runs; and every
// failure leaves as an RFC 9457 problem document with no internal text in it.
package api

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/netip"
	"strings"
	"sync/atomic"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
	"github.com/prometheus/client_golang/prometheus"
	"go.opentelemetry.io/otel/trace"

	"swardcase/api/access"
	"swardcase/api/contract"
	"swardcase/api/pages"
	"swardcase/api/service"
	"swardcase/openapi"
)

// Config is everything the server is given. Service, Logger, Now and
// NewRequestID are required.
type Config struct {
	Service *service.Service
	Logger  *slog.Logger
	Now     func() time.Time
	// NewRequestID gives a fresh name of letters and digits for each request.
	NewRequestID func() string
	// Ready says whether requests can be answered; nil asks the service.
	Ready func(context.Context) error
	// OpenToLocal says whether a caller without a key is taken for the user of this
	// machine, as long as the store holds no key: see access.OpenToLocal.
	OpenToLocal bool
	// Limits bounds what callers may ask.
	Limits Limits
	// TrustedProxies are those whose X-Forwarded-For and X-Forwarded-Proto are
	// believed. Without any, no such header is.
	TrustedProxies []netip.Prefix
	// Metrics and Traces are where the server reports to, when they are given.
	Metrics prometheus.Registerer
	Traces  trace.TracerProvider
}

// The server's time limits. A trial takes milliseconds: these only bound what a
// slow or hostile client can hold open.
const (
	requestTimeout    = 20 * time.Second
	readHeaderTimeout = 5 * time.Second
	readTimeout       = 15 * time.Second
	writeTimeout      = 30 * time.Second
	idleTimeout       = 60 * time.Second
	maxHeaderBytes    = 32 << 10
)

// Server answers HTTP requests.
type Server struct {
	config       Config
	echo         *echo.Echo
	limits       limits
	metrics      *metrics
	tracer       trace.Tracer
	stopping     atomic.Bool
	readiness    readiness
	contractJSON []byte
	contractYAML []byte
	pages        *pages.Pages
	gate         *access.Gate
}

// handler answers one operation whose request has passed its check.
type handler func(*Server, echo.Context, request) error

// handlers names the handler of each operation of the contract.
var handlers = map[string]handler{
	"getHealth":           (*Server).getHealth,
	"getReadiness":        (*Server).getReadiness,
	"getContractJSON":     (*Server).getContractJSON,
	"getContractYAML":     (*Server).getContractYAML,
	"postTrialCondition":  (*Server).postTrialCondition,
	"postTrialDesign":     (*Server).postTrialDesign,
	"postTrialAppraisal":  (*Server).postTrialAppraisal,
	"postTrialForecast":   (*Server).postTrialForecast,
	"postTrialBreakEven":  (*Server).postTrialBreakEven,
	"postTrialCoursePlan": (*Server).postTrialCoursePlan,

	"listClubs":   (*Server).listClubs,
	"createClub":  (*Server).createClub,
	"getClub":     (*Server).getClub,
	"replaceClub": (*Server).replaceClub,
	"archiveClub": (*Server).archiveClub,
	"restoreClub": (*Server).restoreClub,

	"listGreens":   (*Server).listGreens,
	"createGreen":  (*Server).createGreen,
	"getGreen":     (*Server).getGreen,
	"replaceGreen": (*Server).replaceGreen,
	"archiveGreen": (*Server).archiveGreen,
	"restoreGreen": (*Server).restoreGreen,
	"getTrend":     (*Server).getTrend,

	"listSurveys":   (*Server).listSurveys,
	"createSurvey":  (*Server).createSurvey,
	"getSurvey":     (*Server).getSurvey,
	"replaceSurvey": (*Server).replaceSurvey,
	"archiveSurvey": (*Server).archiveSurvey,
	"restoreSurvey": (*Server).restoreSurvey,
	"importSurveys": (*Server).importSurveys,

	"listPriceBooks":   (*Server).listPriceBooks,
	"createPriceBook":  (*Server).createPriceBook,
	"getPriceBook":     (*Server).getPriceBook,
	"replacePriceBook": (*Server).replacePriceBook,
	"archivePriceBook": (*Server).archivePriceBook,
	"restorePriceBook": (*Server).restorePriceBook,

	"listAppraisals":    (*Server).listAppraisals,
	"createAppraisal":   (*Server).createAppraisal,
	"getAppraisal":      (*Server).getAppraisal,
	"archiveAppraisal":  (*Server).archiveAppraisal,
	"restoreAppraisal":  (*Server).restoreAppraisal,
	"createReappraisal": (*Server).createReappraisal,
	"compareAppraisals": (*Server).compareAppraisals,
	"getWorkbook":       (*Server).getWorkbook,
	"getPaper":          (*Server).getPaper,

	"listAccessKeys":  (*Server).listAccessKeys,
	"createAccessKey": (*Server).createAccessKey,
	"getAccessKey":    (*Server).getAccessKey,
	"revokeAccessKey": (*Server).revokeAccessKey,

	"listShareLinks":     (*Server).listShareLinks,
	"createShareLink":    (*Server).createShareLink,
	"getShareLink":       (*Server).getShareLink,
	"revokeShareLink":    (*Server).revokeShareLink,
	"getSharedAppraisal": (*Server).getSharedAppraisal,

	"listCoursePlans":   (*Server).listCoursePlans,
	"createCoursePlan":  (*Server).createCoursePlan,
	"getCoursePlan":     (*Server).getCoursePlan,
	"getCoursePlanCase": (*Server).getCoursePlanCase,
	"cancelCoursePlan":  (*Server).cancelCoursePlan,
	"archiveCoursePlan": (*Server).archiveCoursePlan,
	"restoreCoursePlan": (*Server).restoreCoursePlan,

	"listAuditEntries": (*Server).listAuditEntries,
}

// New builds the server. It fails when the contract and the handlers differ, and
// when the table of access does not say who may use a route.
func New(config Config) (*Server, error) {
	if config.Service == nil || config.Logger == nil || config.Now == nil || config.NewRequestID == nil {
		return nil, errors.New("the server needs a service, a logger, a clock and a source of request names")
	}
	if config.Ready == nil {
		config.Ready = config.Service.Ready
	}
	asJSON, err := openapi.JSON()
	if err != nil {
		return nil, err
	}
	metrics, err := newMetrics(config.Metrics)
	if err != nil {
		return nil, fmt.Errorf("register the metrics: %w", err)
	}
	s := &Server{
		config: config, echo: echo.New(), contractJSON: asJSON, contractYAML: openapi.YAML(),
		gate: access.NewGate(config.Service, config.OpenToLocal), limits: newLimits(config.Limits), metrics: metrics, tracer: tracerOf(config.Traces),
	}
	if s.pages, err = pages.New(config.Service); err != nil {
		return nil, err
	}
	s.prepare()
	if err := s.route(config.Service.Contract()); err != nil {
		return nil, err
	}
	if err := s.routePages(); err != nil {
		return nil, err
	}
	return s, nil
}

// prepare sets up what every request passes through, outermost first.
func (s *Server) prepare() {
	e := s.echo
	e.HideBanner, e.HidePort = true, true
	e.Logger.SetOutput(io.Discard) // our own logger says all that is worth saying
	e.IPExtractor = addressOf(s.config.TrustedProxies)
	e.HTTPErrorHandler = s.writeProblem
	e.Use(
		s.identify,
		s.trace,
		s.count,
		s.logAccess,
		middleware.RecoverWithConfig(middleware.RecoverConfig{
			DisableStackAll:     true,
			DisableErrorHandler: true,
			LogErrorFunc:        s.logPanic,
		}),
		s.limitAddress,
		middleware.ContextTimeoutWithConfig(middleware.ContextTimeoutConfig{
			Timeout:      requestTimeout,
			ErrorHandler: func(err error, _ echo.Context) error { return err },
		}),
	)
}

// route registers one route for each operation of the contract, and HEAD beside
// each GET, as RFC 9110 section 9.1 asks.
func (s *Server) route(c *contract.Contract) error {
	operations := c.Operations()
	if len(operations) != len(handlers) {
		return fmt.Errorf("the contract has %d operations, the server %d handlers", len(operations), len(handlers))
	}
	for _, op := range operations {
		handle := handlers[op.ID]
		if handle == nil {
			return fmt.Errorf("operation %q of the contract has no handler", op.ID)
		}
		need, err := access.Of(op.ID)
		if err != nil {
			return err
		}
		s.add(op.Method, op.Path, s.accept(op, need, handle))
	}
	return nil
}

// add registers a handler at a path written as in the contract.
func (s *Server) add(method, path string, handle echo.HandlerFunc) {
	path = strings.NewReplacer("{", ":", "}", "").Replace(path)
	s.echo.Add(method, path, handle)
	if method == http.MethodGet {
		s.echo.HEAD(path, handle)
	}
}

// Handler is the server as a plain handler.
func (s *Server) Handler() http.Handler { return s.echo }

// HTTPServer is the server with its time limits, ready to be given a listener. It
// speaks HTTP/1.1 only: a proxy speaks whatever its callers like, and what many
// streams in one connection can cost is then its concern.
func (s *Server) HTTPServer() *http.Server {
	protocols := &http.Protocols{}
	protocols.SetHTTP1(true)
	return &http.Server{
		Protocols:         protocols,
		Handler:           s.echo,
		ReadHeaderTimeout: readHeaderTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		MaxHeaderBytes:    maxHeaderBytes,
		ErrorLog:          slog.NewLogLogger(s.config.Logger.Handler(), slog.LevelWarn),
	}
}
