package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/model/fault"
)

const mimeProblem = "application/problem+json"

// Problem is an RFC 9457 problem document. Type says what kind it is, Instance
// which request it came from; Errors has one entry for each fault.
type Problem struct {
	Type     string         `json:"type"`
	Title    string         `json:"title"`
	Status   int            `json:"status"`
	Detail   string         `json:"detail,omitempty"`
	Instance string         `json:"instance"`
	Errors   []ProblemEntry `json:"errors,omitempty"`
}

// ProblemEntry is one fault. Parameter names the query, path or header when
// the fault is not in the body; Pointer is then empty.
type ProblemEntry struct {
	fault.Fault
	Parameter string `json:"parameter,omitempty"`
}

// problemOf describes an error to a caller. Nothing of the error's own text is
// used unless it was written for a caller.
func problemOf(err error, requestID, allow string) Problem {
	kind := kindOf(err)
	outcome := kind.Outcome()
	p := Problem{
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

// kindOf sorts echo's own errors, which come from its router, and leaves the
// rest to the service.
func kindOf(err error) service.Kind {
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

func entriesOf(err error) []ProblemEntry {
	var entries []ProblemEntry
	var parameters contract.BadParameters
	if kindOf(err) == service.BadParameters && errors.As(err, &parameters) {
		for _, f := range parameters {
			entries = append(entries, ProblemEntry{f.Fault, f.Parameter})
		}
		return entries
	}
	faults := service.Faults(err)
	if kindOf(err) != service.FaultyImport { // its caller is promised every bad row
		faults = contract.Capped(faults)
	}
	for _, f := range faults {
		entries = append(entries, ProblemEntry{Fault: f})
	}
	return entries
}

// writeProblem is the one way in which a failure leaves the server.
func (s *Server) writeProblem(err error, c echo.Context) {
	if c.Response().Committed {
		return // the answer is already on its way; the access log has the error
	}
	header := c.Response().Header()
	p := problemOf(err, requestID(c), header.Get(echo.HeaderAllow))
	body, marshalErr := json.Marshal(p)
	if marshalErr != nil { // cannot happen: a problem holds only text and whole numbers
		body = fmt.Appendf(nil, `{"type":%q,"title":%q,"status":%d,"instance":%q}`, p.Type, p.Title, p.Status, p.Instance)
	}
	if seconds := kindOf(err).Outcome().RetryAfterS; seconds > 0 {
		header.Set(echo.HeaderRetryAfter, strconv.Itoa(seconds))
	}
	if err := send(c, p.Status, mimeProblem, append(body, '\n')); err != nil {
		s.config.Logger.Warn("the problem document could not be sent", "request_id", requestID(c), "error", err)
	}
}
