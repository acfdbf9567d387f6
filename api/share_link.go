package api

import (
	"github.com/labstack/echo/v4"

	"swardcase/api/access"
	"swardcase/api/service"
)

// newShareLink is the one answer that holds the secret of a link. It is null where
// the answer to an Idempotency-Key is given again.
type newShareLink struct {
	service.ShareLink
	Secret *string `json:"secret"`
}

func (s *Server) listShareLinks(c echo.Context, _ request) error {
	f := filterOf(c)
	f.AppraisalID = c.Param("appraisal_id")
	page, err := s.config.Service.ShareLinks(c.Request().Context(), f)
	return write(c, page, err)
}

func (s *Server) createShareLink(c echo.Context, in request) error {
	made, err := s.config.Service.CreateShareLink(c.Request().Context(), callOf(c, in), c.Param("club_id"), c.Param("appraisal_id"), in.document)
	return writeSecret(c, made, newShareLink{made.ShareLink, orNull(made.Secret)}, err)
}

func (s *Server) getShareLink(c echo.Context, _ request) error {
	link, err := s.config.Service.ShareLink(c.Request().Context(), c.Param("club_id"), c.Param("appraisal_id"), c.Param("share_link_id"))
	return write(c, link, err)
}

func (s *Server) revokeShareLink(c echo.Context, _ request) error {
	link, err := s.config.Service.RevokeShareLink(c.Request().Context(), c.Param("club_id"), c.Param("appraisal_id"), c.Param("share_link_id"))
	return write(c, link, err)
}

// getSharedAppraisal takes the secret of a link where others take a key: an
// address gets into logs and histories, a header does not.
func (s *Server) getSharedAppraisal(c echo.Context, _ request) error {
	secret, _ := access.Bearer(c.Request().Header.Get(echo.HeaderAuthorization))
	shared, err := s.config.Service.SharedAppraisal(c.Request().Context(), secret)
	return write(c, shared, err)
}
