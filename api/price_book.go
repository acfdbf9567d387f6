package api

import (
	"github.com/labstack/echo/v4"
)

func (s *Server) listPriceBooks(c echo.Context, _ request) error {
	page, err := s.config.Service.PriceBooks(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createPriceBook(c echo.Context, in request) error {
	book, err := s.config.Service.CreatePriceBook(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeNew(c, c.Request().URL.Path, book, err)
}

func (s *Server) getPriceBook(c echo.Context, _ request) error {
	book, err := s.config.Service.PriceBook(c.Request().Context(), c.Param("club_id"), c.Param("price_book_id"))
	return writeThing(c, book, err)
}

func (s *Server) replacePriceBook(c echo.Context, in request) error {
	book, err := s.config.Service.ReplacePriceBook(c.Request().Context(), c.Param("club_id"), c.Param("price_book_id"), in.match, in.document)
	return writeThing(c, book, err)
}

func (s *Server) archivePriceBook(c echo.Context, in request) error {
	book, err := s.config.Service.ArchivePriceBook(c.Request().Context(), c.Param("club_id"), c.Param("price_book_id"), in.match)
	return writeThing(c, book, err)
}

func (s *Server) restorePriceBook(c echo.Context, in request) error {
	book, err := s.config.Service.RestorePriceBook(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("price_book_id"), in.match)
	return writeThing(c, book, err)
}
