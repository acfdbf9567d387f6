package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialBreakEven(c echo.Context, in request) error {
	answer, err := s.config.Service.BreakEven(c.Request().Context(), in.document)
	return write(c, answer, err)
}
