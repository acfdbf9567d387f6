package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/service"
)

// Health is the answer of a service that is well; one that is not answers with
// a problem document.
type Health struct {
	Status string `json:"status"`
}

func (s *Server) getHealth(c echo.Context, _ request) error {
	return writeJSON(c, http.StatusOK, Health{Status: "ok"})
}

func (s *Server) getReadiness(c echo.Context, _ request) error {
	if err := s.config.Ready(c.Request().Context()); err != nil {
		return &service.Error{Kind: service.Unavailable, Detail: "The service is not ready; try again in a moment.", Cause: err}
	}
	return writeJSON(c, http.StatusOK, Health{Status: "ok"})
}
