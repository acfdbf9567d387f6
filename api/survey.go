package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) listSurveys(c echo.Context, _ request) error {
	page, err := s.config.Service.Surveys(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createSurvey(c echo.Context, in request) error {
	survey, err := s.config.Service.CreateSurvey(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeNew(c, c.Request().URL.Path, survey, err)
}

func (s *Server) getSurvey(c echo.Context, _ request) error {
	survey, err := s.config.Service.Survey(c.Request().Context(), c.Param("club_id"), c.Param("survey_id"))
	return writeThing(c, survey, err)
}

func (s *Server) replaceSurvey(c echo.Context, in request) error {
	survey, err := s.config.Service.ReplaceSurvey(c.Request().Context(), c.Param("club_id"), c.Param("survey_id"), in.match, in.document)
	return writeThing(c, survey, err)
}

func (s *Server) archiveSurvey(c echo.Context, in request) error {
	survey, err := s.config.Service.ArchiveSurvey(c.Request().Context(), c.Param("club_id"), c.Param("survey_id"), in.match)
	return writeThing(c, survey, err)
}

func (s *Server) restoreSurvey(c echo.Context, in request) error {
	survey, err := s.config.Service.RestoreSurvey(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("survey_id"), in.match)
	return writeThing(c, survey, err)
}

func (s *Server) importSurveys(c echo.Context, in request) error {
	report, err := s.config.Service.ImportSurveys(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.body)
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusCreated, report)
}
