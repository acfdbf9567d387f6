package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialCoursePlan(c echo.Context, in request) error {
	plan, err := s.config.Service.TryCoursePlan(c.Request().Context(), in.document)
	return write(c, plan, err)
}
