package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/exporters/otlp/otlptrace/otlptracehttp"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"

	"swardcase/model"
)

// traceTimeout bounds each sending of traces, and the last one at the stop.
const traceTimeout = 5 * time.Second

// openTraces gives where traces are reported to: nowhere, without an endpoint.
// close sends what is left. Traces that cannot be sent are dropped.
func openTraces(ctx context.Context, endpoint string, logger *slog.Logger) (provider trace.TracerProvider, end func() error, err error) {
	if endpoint == "" {
		return nil, func() error { return nil }, nil
	}
	exporter, err := otlptracehttp.New(
		ctx,
		otlptracehttp.WithEndpointURL(strings.TrimSuffix(endpoint, "/")+"/v1/traces"),
		// No proxy of the environment, no later version of the protocol: the way to
		// the collector is exactly the one that was set.
		otlptracehttp.WithHTTPClient(&http.Client{Timeout: traceTimeout, Transport: &http.Transport{Protocols: http1()}}),
	)
	if err != nil {
		return nil, nil, fmt.Errorf("prepare the traces: %w", err)
	}
	// The library says what it could not send to one place for the whole process.
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) { logger.Warn("traces were not sent", "error", err) }))
	about := resource.NewSchemaless(
		attribute.String("service.name", "swardcase"),
		attribute.String("service.version", model.EngineVersion),
	)
	traces := sdktrace.NewTracerProvider(sdktrace.WithBatcher(exporter), sdktrace.WithResource(about))
	end = func() error {
		ctx, cancel := context.WithTimeout(context.Background(), traceTimeout)
		defer cancel()
		err := traces.Shutdown(ctx)
		if errors.Is(err, context.DeadlineExceeded) {
			return nil // a collector that is away does not fail the stop
		}
		return err
	}
	return traces, end, nil
}
