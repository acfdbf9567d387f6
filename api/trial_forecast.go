package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialForecast(c echo.Context, in request) error {
	forecast, err := s.config.Service.Forecast(c.Request().Context(), in.document)
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusOK, forecast)
}
