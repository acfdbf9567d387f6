package store

import (
	"context"

	"go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/trace"
)

// span opens a span below that of the request, where the context has one that is
// recorded. end closes it, with whether what it tells of failed and not how.
func span(ctx context.Context, name string) (within context.Context, end func(error)) {
	tracer := trace.SpanFromContext(ctx).TracerProvider().Tracer("swardcase/api/store")
	ctx, opened := tracer.Start(ctx, name)
	return ctx, func(err error) {
		if err != nil {
			opened.SetStatus(codes.Error, "")
		}
		opened.End()
	}
}
