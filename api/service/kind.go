package service

import (
	"context"
	"errors"
	"net/http"

	"swardcase/api/contract"
	"swardcase/model/fault"
)

// Kind is what sort of failure an error is. The table below is the only place
// that says what becomes of each: the server takes the status, the type and the
// title from it, the command line the exit code.
type Kind int

// The kinds. The zero value is the one that tells a caller least.
const (
	Internal Kind = iota
	Unreadable
	Faulty
	BadParameters
	NotFound
	MethodNotAllowed
	TooLarge
	UnsupportedMedia
	TimedOut
	Unavailable
	FaultyImport
	Conflict
	UnderWay
	KeyReused
	PreconditionFailed
	PreconditionRequired
	StoreFull
	NoStore
	TooManyRequests
	Unauthenticated
	Forbidden
	NoPrinter
)

// Outcome is what the world outside sees of a kind.
type Outcome struct {
	Status   int    // of the HTTP answer
	Type     string // of the problem document: stable, a relative reference
	Title    string // of the problem document: the same for every occurrence
	ExitCode int    // of the command
	// RetryAfterS is when to try again, in seconds; 0 when trying again is no use.
	RetryAfterS int
}

// Exit codes: a script can tell a case that must be mended from all else.
const (
	exitFailed     = 1
	exitFaultyCase = 2
)

// retrySoonS is long enough for a store to come back from a restart, and for a
// burst of requests to pass.
const retrySoonS = 2

var outcomes = map[Kind]Outcome{
	Internal:             {http.StatusInternalServerError, "/problems/internal", "Something went wrong here", exitFailed, 0},
	Unreadable:           {http.StatusBadRequest, "/problems/unreadable", "The document cannot be read", exitFaultyCase, 0},
	Faulty:               {http.StatusUnprocessableEntity, "/problems/faulty-document", "The document has faults", exitFaultyCase, 0},
	BadParameters:        {http.StatusBadRequest, "/problems/bad-parameters", "The request's parameters have faults", exitFailed, 0},
	NotFound:             {http.StatusNotFound, "/problems/not-found", "There is nothing at this address", exitFailed, 0},
	MethodNotAllowed:     {http.StatusMethodNotAllowed, "/problems/method-not-allowed", "This address does not take this method", exitFailed, 0},
	TooLarge:             {http.StatusRequestEntityTooLarge, "/problems/too-large", "The document is too large", exitFaultyCase, 0},
	UnsupportedMedia:     {http.StatusUnsupportedMediaType, "/problems/unsupported-media-type", "The body is of a kind that is not taken here", exitFailed, 0},
	TimedOut:             {http.StatusServiceUnavailable, "/problems/timed-out", "The answer took too long", exitFailed, retrySoonS},
	Unavailable:          {http.StatusServiceUnavailable, "/problems/unavailable", "The service cannot answer now", exitFailed, retrySoonS},
	FaultyImport:         {http.StatusUnprocessableEntity, "/problems/faulty-import", "The file has faults, and nothing of it was stored", exitFaultyCase, 0},
	Conflict:             {http.StatusConflict, "/problems/conflict", "This clashes with what is stored", exitFailed, 0},
	UnderWay:             {http.StatusConflict, "/problems/under-way", "A request with this key is still under way", exitFailed, retrySoonS},
	KeyReused:            {http.StatusUnprocessableEntity, "/problems/idempotency-key-reused", "This key came with another body before", exitFailed, 0},
	PreconditionFailed:   {http.StatusPreconditionFailed, "/problems/precondition-failed", "It has changed since it was read", exitFailed, 0},
	PreconditionRequired: {http.StatusPreconditionRequired, "/problems/precondition-required", "Say which version this is meant for", exitFailed, 0},
	StoreFull:            {http.StatusInsufficientStorage, "/problems/store-full", "The store is full", exitFailed, 0},
	Unauthenticated:      {http.StatusUnauthorized, "/problems/unauthenticated", "It is not known who asks", exitFailed, 0},
	Forbidden:            {http.StatusForbidden, "/problems/forbidden", "Your key does not go as far as this", exitFailed, 0},
	NoStore:              {http.StatusNotImplemented, "/problems/no-store", "This service runs without a store", exitFailed, 0},
	NoPrinter:            {http.StatusNotImplemented, "/problems/no-printer", "This service cannot print", exitFailed, 0},
	TooManyRequests:      {http.StatusTooManyRequests, "/problems/too-many-requests", "Too many requests came from you", exitFailed, retrySoonS},
}

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{
		Internal, Unreadable, Faulty, BadParameters, NotFound, MethodNotAllowed,
		TooLarge, UnsupportedMedia, TimedOut, Unavailable, FaultyImport,
		Conflict, UnderWay, KeyReused, PreconditionFailed, PreconditionRequired,
		StoreFull, NoStore, TooManyRequests, Unauthenticated, Forbidden, NoPrinter,
	}
}

// Outcome looks the kind up.
func (k Kind) Outcome() Outcome { return outcomes[k] }

// Error is a failure whose kind is known where it happens. Detail is written
// for the caller; Cause is for the log and is never sent.
type Error struct {
	Kind   Kind
	Detail string
	Cause  error
}

// Error gives the detail and the cause.
func (e *Error) Error() string {
	if e.Cause == nil {
		return e.Detail
	}
	return e.Detail + ": " + e.Cause.Error()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Cause }

// KindOf sorts any error. What it does not know is internal.
func KindOf(err error) Kind {
	var known *Error
	var unreadable *contract.Unreadable
	var parameters contract.BadParameters
	var faults fault.List
	var single fault.Fault
	switch {
	case errors.As(err, &known):
		return known.Kind
	case errors.As(err, &unreadable):
		return Unreadable
	case errors.As(err, &parameters):
		return BadParameters
	case errors.As(err, &faults), errors.As(err, &single):
		return Faulty
	case errors.Is(err, context.DeadlineExceeded):
		return TimedOut
	case errors.Is(err, context.Canceled):
		return Unavailable
	}
	return Internal
}

// ExitCode is the exit code of a command that ended with this error.
func ExitCode(err error) int {
	if err == nil {
		return 0
	}
	return KindOf(err).Outcome().ExitCode
}

// Faults gives the faults of a document that an error tells its caller of. A
// fault inside an error of any other kind is not for the caller.
func Faults(err error) fault.List {
	var unreadable *contract.Unreadable
	var faults fault.List
	var single fault.Fault
	switch kind := KindOf(err); {
	case kind != Unreadable && kind != Faulty && kind != FaultyImport:
		return nil
	case errors.As(err, &unreadable):
		return unreadable.Faults
	case errors.As(err, &faults):
		return faults
	case errors.As(err, &single):
		return fault.List{single}
	}
	return nil
}
