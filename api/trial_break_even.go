package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialBreakEven(c echo.Context, in request) error {
	answer, err := s.config.Service.BreakEven(c.Request().Context(), in.document)
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusOK, answer)
}
