package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) listAuditEntries(c echo.Context, _ request) error {
	page, err := s.config.Service.AuditEntries(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}
