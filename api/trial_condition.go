package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialCondition(c echo.Context, in request) error {
	report, err := s.config.Service.JudgeCondition(c.Request().Context(), in.document)
	return write(c, report, err)
}
