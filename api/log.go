package api

import (
	"log/slog"
	"regexp"

	"github.com/labstack/echo/v4"

	"swardcase/api/problem"
	"swardcase/api/service"
	"swardcase/model/fault"
)

// requestName is what a caller's own request number may look like; anything
// else is replaced, since it goes into the log and into the answer.
var requestName = regexp.MustCompile(`^[A-Za-z0-9._-]{1,64}$`)

// identify gives each request its number and sets the headers of every answer.
func (s *Server) identify(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		id := c.Request().Header.Get(echo.HeaderXRequestID)
		if !requestName.MatchString(id) {
			id = s.config.NewRequestID()
		}
		header := c.Response().Header()
		header.Set(echo.HeaderXRequestID, id)
		header.Set(echo.HeaderXContentTypeOptions, "nosniff")
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
			slog.String("path", fault.Shorten(r.URL.Path)),
			slog.Int("status", answer.Status),
			slog.Int64("bytes", answer.Size),
			slog.Duration("took", s.config.Now().Sub(started)),
			slog.String("from", c.RealIP()),
		}
		// What is wrong with a case is the caller's business; what is wrong here
		// is ours, and this is the only place that says it.
		if err != nil && problem.KindOf(err) == service.Internal {
			level, attributes = slog.LevelError, append(attributes, slog.String("error", err.Error()))
		}
		s.config.Logger.LogAttrs(r.Context(), level, "request", attributes...)
		return nil
	}
}

// logPanic records a panic with its stack, and makes it an internal error
// whatever its value was.
func (s *Server) logPanic(c echo.Context, err error, stack []byte) error {
	s.config.Logger.Error("panic", "request_id", requestID(c), "error", err, "stack", string(stack))
	return &service.Error{Kind: service.Internal, Detail: "The fault is ours. Quote the request number when you report it.", Cause: err}
}
