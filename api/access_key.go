package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/service"
)

// newAccessKey is the one answer that holds the secret of a key. It is null where
// the answer to an Idempotency-Key is given again.
type newAccessKey struct {
	service.AccessKey
	Secret *string `json:"secret"`
}

func (s *Server) listAccessKeys(c echo.Context, _ request) error {
	page, err := s.config.Service.AccessKeys(c.Request().Context(), filterOf(c))
	return write(c, page, err)
}

func (s *Server) createAccessKey(c echo.Context, in request) error {
	made, err := s.config.Service.CreateAccessKey(c.Request().Context(), callOf(c, in), c.Param("club_id"), in.document)
	return writeSecret(c, made, newAccessKey{made.AccessKey, orNull(made.Secret)}, err)
}

func (s *Server) getAccessKey(c echo.Context, _ request) error {
	key, err := s.config.Service.AccessKey(c.Request().Context(), c.Param("club_id"), c.Param("access_key_id"))
	return write(c, key, err)
}

func (s *Server) revokeAccessKey(c echo.Context, _ request) error {
	key, err := s.config.Service.RevokeAccessKey(c.Request().Context(), c.Param("club_id"), c.Param("access_key_id"))
	return write(c, key, err)
}

// writeSecret sends a new thing with its secret, which no cache may keep.
func writeSecret(c echo.Context, made interface{ Identity() string }, answer any, err error) error {
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	c.Response().Header().Set(echo.HeaderLocation, c.Request().URL.Path+"/"+made.Identity())
	return writeJSON(c, http.StatusCreated, answer)
}

func orNull(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
