package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
	"go.opentelemetry.io/otel/trace/noop"
)

func tracerOf(provider trace.TracerProvider) trace.Tracer {
	if provider == nil {
		provider = noop.NewTracerProvider()
	}
	return provider.Tracer("swardcase/api")
}

// trace opens a span for each request. It holds the pattern of the route and
// never the path, in which a share link may lie. Only a trusted proxy may hand a
// trace on: a caller could otherwise have all its requests recorded.
func (s *Server) trace(next echo.HandlerFunc) echo.HandlerFunc {
	var w3c propagation.TraceContext
	return func(c echo.Context) error {
		r := c.Request()
		ctx := r.Context()
		if s.fromProxy(r) {
			ctx = w3c.Extract(ctx, propagation.HeaderCarrier(r.Header))
		}
		method, route := methodOf(r), routeOf(c)
		ctx, span := s.tracer.Start(ctx, method+" "+route, trace.WithSpanKind(trace.SpanKindServer), trace.WithAttributes(
			attribute.String("http.request.method", method),
			attribute.String("http.route", route),
			attribute.String("swardcase.request_id", requestID(c)),
		))
		defer span.End()
		c.SetRequest(r.WithContext(ctx))
		err := next(c)
		status := c.Response().Status
		span.SetAttributes(attribute.Int("http.response.status_code", status))
		if status >= http.StatusInternalServerError {
			span.SetStatus(codes.Error, http.StatusText(status))
		}
		return err
	}
}
