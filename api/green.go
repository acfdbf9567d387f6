package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) listGreens(c echo.Context, _ request) error {
	page, err := s.config.Service.Greens(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createGreen(c echo.Context, in request) error {
	green, err := s.config.Service.CreateGreen(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeNew(c, c.Request().URL.Path, green, err)
}

func (s *Server) getGreen(c echo.Context, _ request) error {
	green, err := s.config.Service.Green(c.Request().Context(), c.Param("club_id"), c.Param("green_id"))
	return writeThing(c, green, err)
}

func (s *Server) replaceGreen(c echo.Context, in request) error {
	green, err := s.config.Service.ReplaceGreen(c.Request().Context(), c.Param("club_id"), c.Param("green_id"), in.match, in.document)
	return writeThing(c, green, err)
}

func (s *Server) archiveGreen(c echo.Context, in request) error {
	green, err := s.config.Service.ArchiveGreen(c.Request().Context(), c.Param("club_id"), c.Param("green_id"), in.match)
	return writeThing(c, green, err)
}

func (s *Server) restoreGreen(c echo.Context, in request) error {
	green, err := s.config.Service.RestoreGreen(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("green_id"), in.match)
	return writeThing(c, green, err)
}

func (s *Server) getTrend(c echo.Context, _ request) error {
	trend, err := s.config.Service.Trend(c.Request().Context(), c.Param("club_id"), c.Param("green_id"))
	return write(c, trend, err)
}
