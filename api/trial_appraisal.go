package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialAppraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.Appraise(c.Request().Context(), in.document)
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusOK, appraisal)
}
