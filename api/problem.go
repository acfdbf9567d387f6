package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"swardcase/api/pages"
	"swardcase/api/problem"
)

// writeProblem is the one way in which a failure leaves the server: as a problem
// document, or as the page made from it for whoever would rather read a page.
func (s *Server) writeProblem(err error, c echo.Context) {
	if c.Response().Committed {
		return // the answer is already on its way; the access log has the error
	}
	header := c.Response().Header()
	p := problem.Of(err, requestID(c), header.Get(echo.HeaderAllow))
	if seconds := problem.KindOf(err).Outcome().RetryAfterS; seconds > 0 && header.Get(echo.HeaderRetryAfter) == "" {
		header.Set(echo.HeaderRetryAfter, strconv.Itoa(seconds))
	}
	if p.Status == http.StatusUnauthorized {
		header.Set(echo.HeaderWWWAuthenticate, `Bearer realm="swardcase"`)
	}
	if pages.WantsPage(c.Request()) {
		pageErr := s.pages.ShowProblem(s.visitOf(c), p)
		if pageErr == nil {
			return
		}
		s.config.Logger.Error("the problem could not be shown as a page", "request_id", requestID(c), "error", pageErr)
	}
	body, marshalErr := json.Marshal(p)
	if marshalErr != nil { // cannot happen: a problem holds only text and whole numbers
		body = fmt.Appendf(nil, `{"type":%q,"title":%q,"status":%d,"instance":%q}`, p.Type, p.Title, p.Status, p.Instance)
	}
	if err := send(c, p.Status, problem.Media, append(body, '\n')); err != nil {
		s.config.Logger.Warn("the problem document could not be sent", "request_id", requestID(c), "error", err)
	}
}
