package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialAppraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.Appraise(c.Request().Context(), in.document)
	return write(c, appraisal, err)
}
