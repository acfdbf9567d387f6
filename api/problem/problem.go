// Package problem turns a failure into the RFC 9457 problem document that a
// caller gets, whether it is sent as JSON or shown on a page. Nothing internal
// goes into one.
package problem

import (
	"errors"
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/model/fault"
)

// Media is the media type of a problem document.
const Media = "application/problem+json"

// Document is an RFC 9457 problem document. Type says what kind it is, Instance
// which request it came from; Errors has one entry for each fault.
type Document struct {
	Type     string  `json:"type"`
	Title    string  `json:"title"`
	Status   int     `json:"status"`
	Detail   string  `json:"detail,omitempty"`
	Instance string  `json:"instance"`
	Errors   []Entry `json:"errors,omitempty"`
}

// Entry is one fault. Parameter names the query, path or header when the fault
// is not in the body; Pointer is then empty.
type Entry struct {
	fault.Fault
	Parameter string `json:"parameter,omitempty"`
}

// Of describes an error to a caller. Nothing of the error's own text is
// used unless it was written for a caller.
func Of(err error, requestID, allow string) Document {
	kind := KindOf(err)
	outcome := kind.Outcome()
	p := Document{
		Type:     outcome.Type,
		Title:    outcome.Title,
		Status:   outcome.Status,
		Instance: "/requests/" + requestID,
		Errors:   entriesOf(err),
	}
	var known *service.Error
	switch {
	case errors.As(err, &known):
		p.Detail = known.Detail
	case len(p.Errors) > 0:
		p.Detail = "Each fault is listed under errors, with its remedy."
	case kind == service.NotFound:
		p.Detail = "The addresses are listed in /openapi.json."
	case kind == service.MethodNotAllowed:
		p.Detail = "Methods allowed here: " + allow + "."
	case kind == service.Internal:
		p.Detail = "The fault is ours. Quote the request number when you report it."
	}
	return p
}

// KindOf sorts echo's own errors, which come from its router, and leaves the
// rest to the service.
func KindOf(err error) service.Kind {
	var fromEcho *echo.HTTPError
	if !errors.As(err, &fromEcho) {
		return service.KindOf(err)
	}
	switch fromEcho.Code {
	case http.StatusNotFound:
		return service.NotFound
	case http.StatusMethodNotAllowed:
		return service.MethodNotAllowed
	}
	return service.Internal
}

func entriesOf(err error) []Entry {
	var entries []Entry
	var parameters contract.BadParameters
	if KindOf(err) == service.BadParameters && errors.As(err, &parameters) {
		for _, f := range parameters {
			entries = append(entries, Entry{f.Fault, f.Parameter})
		}
		return entries
	}
	faults := service.Faults(err)
	if KindOf(err) != service.FaultyImport { // its caller is promised every bad row
		faults = contract.Capped(faults)
	}
	for _, f := range faults {
		entries = append(entries, Entry{Fault: f})
	}
	return entries
}
