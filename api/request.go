package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"swardcase/api/access"
	"swardcase/api/contract"
	"swardcase/api/service"
)

// request is what a handler gets: the body as it came and, where it is JSON, as a
// checked document; and the versions that a change is meant for. Parameters are
// read from the echo context, where their check has left defaults.
type request struct {
	body     []byte
	document contract.Document
	match    service.Match
}

// accept asks who calls, and checks a request against its operation, before the
// handler sees it.
func (s *Server) accept(op contract.Operation, need access.Need, handle handler) echo.HandlerFunc {
	return func(c echo.Context) error {
		if err := s.admit(c, need, s.gate.ByKey); err != nil {
			return err
		}
		if err := op.CheckParameters(c.Request(), pathValues(c)); err != nil {
			return err
		}
		var in request
		var err error
		if op.BodyMedia != "" {
			held := s.limits.bodies.hold()
			defer held.release()
			if in.body, err = readBody(c, op.BodyMedia, held); err != nil {
				return err
			}
		}
		if op.BodyMedia == echo.MIMEApplicationJSON {
			if in.document, err = s.config.Service.CheckDocument(c.Request().Context(), op.BodySchema, in.body); err != nil {
				return err
			}
		}
		if op.TakesMatch {
			if in.match, err = service.ParseMatch(c.Request().Header.Get(headerIfMatch)); err != nil {
				return err
			}
		}
		return handle(s, c, in)
	}
}

// admit lets a caller in who may use the route, and puts the caller's name into
// the context, where every use case asks for it.
func (s *Server) admit(c echo.Context, need access.Need, whoAsks func(*http.Request) (service.Caller, error)) error {
	if need.Anyone {
		return nil
	}
	r := c.Request()
	caller, err := whoAsks(r)
	if err != nil {
		return err
	}
	c.SetRequest(r.WithContext(service.WithCaller(r.Context(), caller)))
	if caller.KeyID != "" {
		if wait := s.limits.keys.take(caller.KeyID, s.config.Now()); wait > 0 {
			return s.tooMany(c, "key_rate", wait, "Requests with one key are limited.")
		}
	}
	return need.Check(caller, c.Param("club_id"))
}

func pathValues(c echo.Context) map[string]string {
	values := make(map[string]string, len(c.ParamNames()))
	for _, name := range c.ParamNames() {
		values[name] = c.Param(name)
	}
	return values
}

// mimeCSV is the media type of an imported file (RFC 4180).
const mimeCSV = "text/csv"

// maxBytes is how long a body of each media type may be.
var maxBytes = map[string]int64{
	echo.MIMEApplicationJSON: contract.MaxBytes,
	mimeCSV:                  service.MaxImportBytes,
}

// readBody reads a body within its limit. The media type is looked at first, so
// that a refused body is not read.
func readBody(c echo.Context, media string, held *heldBody) ([]byte, error) {
	r := c.Request()
	if !hasMedia(r.Header, media) {
		return nil, &service.Error{Kind: service.UnsupportedMedia, Detail: "Send " + media + " in UTF-8, not compressed."}
	}
	body, err := io.ReadAll(held.counting(http.MaxBytesReader(c.Response(), r.Body, maxBytes[media])))
	var tooLarge *http.MaxBytesError
	switch {
	case errors.Is(err, errBodiesFull):
		return nil, &service.Error{Kind: service.Unavailable, Detail: "Too many long documents are on their way; try again in a moment.", Cause: err}
	case errors.As(err, &tooLarge):
		return nil, &service.Error{Kind: service.TooLarge, Detail: fmt.Sprintf("It may have up to %d bytes.", maxBytes[media]), Cause: err}
	case err != nil:
		return nil, &service.Error{Kind: service.Unreadable, Detail: "The body did not arrive whole.", Cause: err}
	}
	return body, nil
}

func hasMedia(header http.Header, want string) bool {
	media, parameters, err := mime.ParseMediaType(header.Get(echo.HeaderContentType))
	charset := strings.ToLower(parameters["charset"])
	encoding := strings.ToLower(header.Get(echo.HeaderContentEncoding))
	return err == nil && media == want &&
		(charset == "" || charset == "utf-8") && (encoding == "" || encoding == "identity")
}

// writeJSON sends a value. It is written out before the status is sent, so that
// a value which cannot be written becomes a problem and not half an answer.
func writeJSON(c echo.Context, status int, value any) error {
	body, err := json.Marshal(value)
	if err != nil {
		return fmt.Errorf("write the answer as JSON: %w", err)
	}
	return send(c, status, echo.MIMEApplicationJSON, append(body, '\n'))
}

// send writes a whole body. Its length is stated, so that an answer to HEAD
// states it too.
func send(c echo.Context, status int, media string, body []byte) error {
	c.Response().Header().Set(echo.HeaderContentLength, strconv.Itoa(len(body)))
	return c.Blob(status, media, body)
}
