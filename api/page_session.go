package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/pages"
	"swardcase/api/service"
)

// sameOrigin refuses what another site makes a browser send: by Sec-Fetch-Site
// (Fetch Metadata), or where a browser does not send that, by its Origin. It needs
// nothing kept and nothing in the pages, and holds for signing in too, where there
// is no session yet to tie a token to. What carries neither header comes from no
// browser, which might have been led here with somebody's cookie. Behind it stands
// the cookie itself, which is not sent with what another site posts.
var sameOrigin = http.NewCrossOriginProtection()

// visitor says who visits a page: whoever signed in, or who is on the machine
// itself while the service asks for no key.
func (s *Server) visitor(r *http.Request) (service.Caller, error) {
	return s.gate.BySession(r, pages.SessionOf(r, s.Encrypted(r)))
}

// orSignIn leads a visitor who is not signed in to where that is done, and from
// there back. What was sent with a form cannot be taken along: it is still in the
// visitor's window.
func (s *Server) orSignIn(c echo.Context, err error) error {
	r := c.Request()
	switch {
	case service.KindOf(err) != service.Unauthenticated:
		return err
	case r.Method == http.MethodGet, r.Method == http.MethodHead:
		c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
		return c.Redirect(http.StatusSeeOther, pages.SignInFor(r))
	}
	return &service.Error{
		Kind: service.Unauthenticated, Cause: err,
		Detail: "You are not signed in, or no longer. Nothing was stored: sign in in another window, then go back in this one and send the form again.",
	}
}
