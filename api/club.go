package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) listClubs(c echo.Context, _ request) error {
	page, err := s.config.Service.Clubs(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createClub(c echo.Context, in request) error {
	club, err := s.config.Service.CreateClub(c.Request().Context(), callOf(c, in), in.document)
	return writeNew(c, c.Request().URL.Path, club, err)
}

func (s *Server) getClub(c echo.Context, _ request) error {
	club, err := s.config.Service.Club(c.Request().Context(), c.Param("club_id"))
	return writeThing(c, club, err)
}

func (s *Server) replaceClub(c echo.Context, in request) error {
	club, err := s.config.Service.ReplaceClub(c.Request().Context(), c.Param("club_id"), in.match, in.document)
	return writeThing(c, club, err)
}

func (s *Server) archiveClub(c echo.Context, in request) error {
	club, err := s.config.Service.ArchiveClub(c.Request().Context(), c.Param("club_id"), in.match)
	return writeThing(c, club, err)
}

func (s *Server) restoreClub(c echo.Context, in request) error {
	club, err := s.config.Service.RestoreClub(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.match)
	return writeThing(c, club, err)
}
