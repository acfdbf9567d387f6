package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/access"
	"swardcase/api/pages"
	"swardcase/api/service"
)

// maxFormBytes is how long a form may be that is sent from a page: a survey of
// some hundred readings, or an outline pasted in.
const maxFormBytes = 256 << 10

// routePages registers every page beside the operations of the contract.
func (s *Server) routePages() error {
	for _, route := range pages.Routes() {
		need, err := access.Of(route.ID)
		if err != nil {
			return err
		}
		s.add(route.Method, route.Path, s.visit(route, need))
	}
	return nil
}

// visit hands a request to a page.
func (s *Server) visit(route pages.Route, need access.Need) echo.HandlerFunc {
	return func(c echo.Context) error {
		r := c.Request()
		if err := sameOrigin.Check(r); err != nil {
			return &service.Error{Kind: service.Forbidden, Detail: "The form was sent from another site: open it here and send it again.", Cause: err}
		}
		if err := s.admit(c, need, s.visitor); err != nil {
			return s.orSignIn(c, err)
		}
		r = c.Request()
		r.Body = http.MaxBytesReader(c.Response(), r.Body, maxFormBytes)
		visit := s.visitOf(c)
		if err := visit.CheckIDs(); err != nil {
			return err
		}
		return route.Handle(s.pages, visit)
	}
}

func (s *Server) visitOf(c echo.Context) pages.Visit {
	return pages.Visit{Context: c, RequestID: requestID(c), Encrypted: s.Encrypted(c.Request())}
}
