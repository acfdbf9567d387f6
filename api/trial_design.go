package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialDesign(c echo.Context, in request) error {
	report, err := s.config.Service.DesignWorks(c.Request().Context(), in.document)
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusOK, report)
}
