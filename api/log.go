package api

import (
	"errors"
	"log/slog"
	"net"
	"regexp"
	"strings"

	"github.com/labstack/echo/v4"
	"go.opentelemetry.io/otel/trace"

	"swardcase/api/problem"
	"swardcase/api/service"
	"swardcase/model/fault"
)

// requestName is what a caller's own request number may look like; anything
// else is replaced, since it goes into the log and into the answer.
var requestName = regexp.MustCompile(`^[A-Za-z0-9._-]{1,64}$`)

// answerHeaders are set on every answer before its handler runs. A handler that
// needs another value, as a page needs a policy for its own script and style,
// sets it anew.
var answerHeaders = map[string]string{
	echo.HeaderXContentTypeOptions:   "nosniff",
	echo.HeaderContentSecurityPolicy: "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
	echo.HeaderXFrameOptions:         "DENY",
	echo.HeaderReferrerPolicy:        "no-referrer",
	"Cross-Origin-Opener-Policy":     "same-origin",
	"Cross-Origin-Resource-Policy":   "same-origin",
	echo.HeaderCacheControl:          "no-store",
}

// strictTransport keeps browsers to TLS for half a year, once they have used it.
const strictTransport = "max-age=15552000"

// identify gives each request its number and sets the headers of every answer.
func (s *Server) identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		id := c.Request().Header.Get(echo.HeaderXRequestID)
		if !requestName.MatchString(id) {
			id = s.config.NewRequestID()
		}
		header := c.Response().Header()
		header.Set(echo.HeaderXRequestID, id)
		for name, value := range answerHeaders {
			header.Set(name, value)
		}
		if s.Encrypted(c.Request()) {
			header.Set(echo.HeaderStrictTransportSecurity, strictTransport)
		}
		return next(c)
	}
}

func requestID(c echo.Context) string {
	return c.Response().Header().Get(echo.HeaderXRequestID)
}

// logAccess writes one line for each request. It also turns an error into its
// problem document, so that the line has the status that was sent.
func (s *Server) logAccess(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		started := s.config.Now()
		err := next(c)
		if err != nil {
			c.Error(err)
		}
		r, answer := c.Request(), c.Response()
		level, attributes := slog.LevelInfo, []slog.Attr{
			slog.String("request_id", requestID(c)),
			slog.String("method", fault.Shorten(r.Method)),
			slog.String("route", routeOf(c)),
			slog.String("path", loggedPath(r.URL.Path, c.Path() != "")),
			slog.Int("status", answer.Status),
			slog.Int64("bytes", answer.Size),
			slog.Duration("took", s.config.Now().Sub(started)),
			slog.String("from", c.RealIP()),
		}
		if caller, known := service.CallerOf(r.Context()); known && caller.KeyID != "" {
			attributes = append(attributes, slog.String("key_id", caller.KeyID))
		}
		if span := trace.SpanContextFromContext(r.Context()); span.HasTraceID() {
			attributes = append(attributes, slog.String("trace_id", span.TraceID().String()))
		}
		// What is wrong with a case is the caller's business; what is wrong here
		// is ours, and this is the only place that says it.
		switch {
		case err == nil || problem.KindOf(err) != service.Internal:
		case answer.Committed && isOfConnection(err):
			level, attributes = slog.LevelWarn, append(attributes, slog.String("not_taken", err.Error()))
		default:
			level, attributes = slog.LevelError, append(attributes, slog.String("error", err.Error()))
		}
		s.config.Logger.LogAttrs(r.Context(), level, "request", attributes...)
		return nil
	}
}

// isOfConnection tells a failure to send an answer, which whoever asked did not
// wait for or did not read.
func isOfConnection(err error) bool {
	var failed *net.OpError
	return errors.As(err, &failed)
}

var uuid = regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)

// maxLoggedSegment is longer than any part of our own paths but an id, and
// shorter than any secret.
const maxLoggedSegment = 24

// loggedPath is a path as it goes into the log. A long part that is no id may be
// the secret of a share link, at its own address or at a mistyped one. The path of
// a route has few parts and is kept whole, with its ids.
func loggedPath(path string, known bool) string {
	segments := strings.Split(path, "/")
	for i, segment := range segments {
		if len(segment) > maxLoggedSegment && !uuid.MatchString(segment) {
			segments[i] = "[hidden]"
		}
	}
	path = strings.Join(segments, "/")
	if known {
		return strings.ToValidUTF8(path, " ")
	}
	return fault.Shorten(path)
}

// logPanic records a panic with its stack, and makes it an internal error
// whatever its value was.
func (s *Server) logPanic(c echo.Context, err error, stack []byte) error {
	s.metrics.panics.Inc()
	s.config.Logger.Error("panic", "request_id", requestID(c), "error", err, "stack", string(stack))
	return &service.Error{Kind: service.Internal, Detail: "The fault is ours. Quote the request number when you report it.", Cause: err}
}
