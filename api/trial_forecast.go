package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) postTrialForecast(c echo.Context, in request) error {
	forecast, err := s.config.Service.Forecast(c.Request().Context(), in.document)
	return write(c, forecast, err)
}
