package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

func (s *Server) listCoursePlans(c echo.Context, _ request) error {
	page, err := s.config.Service.CoursePlans(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createCoursePlan(c echo.Context, in request) error {
	plan, err := s.config.Service.CreateCoursePlan(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeAccepted(c, c.Request().URL.Path, plan, err)
}

func (s *Server) getCoursePlan(c echo.Context, _ request) error {
	plan, err := s.config.Service.CoursePlan(c.Request().Context(), c.Param("club_id"), c.Param("course_plan_id"))
	return writeThing(c, plan, err)
}

func (s *Server) getCoursePlanCase(c echo.Context, _ request) error {
	course, err := s.config.Service.CoursePlanCase(c.Request().Context(), c.Param("club_id"), c.Param("course_plan_id"))
	return write(c, course, err)
}

func (s *Server) cancelCoursePlan(c echo.Context, in request) error {
	plan, err := s.config.Service.CancelCoursePlan(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("course_plan_id"))
	return writeThing(c, plan, err)
}

func (s *Server) archiveCoursePlan(c echo.Context, in request) error {
	plan, err := s.config.Service.ArchiveCoursePlan(c.Request().Context(), c.Param("club_id"), c.Param("course_plan_id"), in.match)
	return writeThing(c, plan, err)
}

func (s *Server) restoreCoursePlan(c echo.Context, in request) error {
	plan, err := s.config.Service.RestoreCoursePlan(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("course_plan_id"), in.match)
	return writeThing(c, plan, err)
}

// writeAccepted sends a new thing whose work has yet to be done, with the address
// at which to see how it stands.
func writeAccepted(c echo.Context, collection string, thing versioned, err error) error {
	return writeMade(c, http.StatusAccepted, collection, thing, err)
}
