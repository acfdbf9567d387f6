package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialDesign(c echo.Context, in request) error {
	report, err := s.config.Service.DesignWorks(c.Request().Context(), in.document)
	return write(c, report, err)
}
