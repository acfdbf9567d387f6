package api

import (
	"bytes"
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/pages/print"
	"swardcase/api/report/workbook"
)

func (s *Server) listAppraisals(c echo.Context, _ request) error {
	page, err := s.config.Service.Appraisals(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createAppraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.CreateAppraisal(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeNew(c, c.Request().URL.Path, appraisal, err)
}

func (s *Server) getAppraisal(c echo.Context, _ request) error {
	appraisal, err := s.config.Service.Appraisal(c.Request().Context(), c.Param("club_id"), c.Param("appraisal_id"))
	return writeThing(c, appraisal, err)
}

// getWorkbook makes the workbook anew each time: it takes less than reading a kept
// one would.
func (s *Server) getWorkbook(c echo.Context, _ request) error {
	result, err := s.config.Service.AppraisalResult(c.Request().Context(), c.Param("club_id"), c.Param("appraisal_id"))
	if err != nil {
		return err
	}
	var file bytes.Buffer
	if err := workbook.Write(&file, result); err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="appraisal-`+c.Param("appraisal_id")+`.xlsx"`)
	return send(c, http.StatusOK, workbook.MediaType, file.Bytes())
}

// getPaper prints the page of an appraisal as the committee's paper.
func (s *Server) getPaper(c echo.Context, _ request) error {
	ctx := c.Request().Context()
	appraisal, err := s.config.Service.Appraisal(ctx, c.Param("club_id"), c.Param("appraisal_id"))
	if err != nil {
		return err
	}
	file, err := s.pages.PaperOfStored(ctx, appraisal)
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderContentDisposition, `inline; filename="appraisal-`+appraisal.ID+`.pdf"`)
	return send(c, http.StatusOK, print.MediaType, file)
}

func (s *Server) archiveAppraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.ArchiveAppraisal(c.Request().Context(), c.Param("club_id"), c.Param("appraisal_id"), in.match)
	return writeThing(c, appraisal, err)
}

func (s *Server) restoreAppraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.RestoreAppraisal(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("appraisal_id"), in.match)
	return writeThing(c, appraisal, err)
}

func (s *Server) createReappraisal(c echo.Context, in request) error {
	appraisal, err := s.config.Service.Reappraise(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("appraisal_id"), in.document)
	return writeNew(c, "/v1/clubs/"+c.Param("club_id")+"/appraisals", appraisal, err)
}

func (s *Server) compareAppraisals(c echo.Context, _ request) error {
	comparison, err := s.config.Service.CompareAppraisals(c.Request().Context(), c.Param("club_id"), c.QueryParam("first_id"), c.QueryParam("second_id"))
	return write(c, comparison, err)
}
