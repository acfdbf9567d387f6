package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) getContractJSON(c echo.Context, _ request) error {
	return send(c, http.StatusOK, echo.MIMEApplicationJSON, s.contractJSON)
}

func (s *Server) getContractYAML(c echo.Context, _ request) error {
	return send(c, http.StatusOK, "application/yaml", s.contractYAML)
}
