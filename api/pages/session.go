package pages

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"swardcase/api/problem"
	"swardcase/api/service"
)

// The cookie of a session. Over TLS its name begins with __Host-, so that a
// browser takes it only from this very host, over TLS and for every path (RFC
// 6265bis, section 4.1.3.2); without TLS, which is for one's own machine, no
// browser would take such a name.
const (
	sessionCookie       = "swardcase"
	sessionCookieSecure = "__Host-swardcase"
)

const (
	signInAddress  = "/sign-in"
	signOutAddress = "/sign-out"
)

func cookieName(encrypted bool) string {
	if encrypted {
		return sessionCookieSecure
	}
	return sessionCookie
}

// SessionOf is the secret of the session that a browser shows; empty for none.
func SessionOf(r *http.Request, encrypted bool) string {
	cookie, err := r.Cookie(cookieName(encrypted))
	if err != nil {
		return ""
	}
	return cookie.Value
}

// SignInFor is where somebody signs in who asked for a page, and comes back from.
func SignInFor(r *http.Request) string {
	return signInAddress + "?" + url.Values{toField: {r.URL.RequestURI()}}.Encode()
}

// The fields of the page on which one signs in.
const (
	keyField = "key"
	toField  = "to"
)

// signInView is the page on which one signs in.
type signInView struct {
	To    string
	Fault string
	// Local says that nobody has to sign in here.
	Local bool
}

// showSignIn asks for a key.
func (p *Pages) showSignIn(v Visit) error {
	has, err := p.service.HasKeys(v.Request().Context())
	if err != nil {
		return err
	}
	return p.showSignInAgain(v, http.StatusOK, signInView{To: localAddress(v.QueryParam(toField)), Local: !has})
}

func (p *Pages) showSignInAgain(v Visit, status int, shown signInView) error {
	title := "Sign in"
	if shown.Fault != "" {
		title = "Not signed in: " + title
	}
	return p.show(v, status, "sign_in", Frame{Title: title, Body: shown})
}

// takeSignIn exchanges a key for a session. A session that the browser had before
// ends, so that nobody goes on in one that another has begun.
func (p *Pages) takeSignIn(v Visit) error {
	sent, err := v.form()
	if err != nil {
		return err
	}
	ctx, to := v.Request().Context(), localAddress(sent.Get(toField))
	session, err := p.service.SignIn(ctx, strings.TrimSpace(sent.Get(keyField)))
	if err != nil && service.KindOf(err) == service.Unauthenticated {
		return p.showSignInAgain(v, http.StatusUnauthorized, signInView{To: to, Fault: problem.Of(err, v.RequestID, "").Detail})
	}
	if err != nil {
		return err
	}
	if before := SessionOf(v.Request(), v.Encrypted); before != "" {
		if err := p.service.SignOut(ctx, before); err != nil {
			return err
		}
	}
	v.setSession(session.Secret, session.ExpiresAt)
	if to == "" {
		to = homeOf(session.Caller)
	}
	return v.Redirect(http.StatusSeeOther, to)
}

// homeOf is where a caller begins.
func homeOf(caller service.Caller) string {
	if caller.ClubID == "" {
		return clubsAddress
	}
	return clubAddress(caller.ClubID)
}

// takeSignOut ends the session in the store and in the browser.
func (p *Pages) takeSignOut(v Visit) error {
	if secret := SessionOf(v.Request(), v.Encrypted); secret != "" {
		if err := p.service.SignOut(v.Request().Context(), secret); err != nil {
			return err
		}
	}
	v.setSession("", time.Unix(0, 0))
	return v.Redirect(http.StatusSeeOther, signInAddress)
}

// setSession writes the cookie of a session; an empty secret takes it away. Lax
// lets a link in a letter open a page of the club, and sends nothing along with
// what another site posts.
func (v Visit) setSession(secret string, expires time.Time) {
	cookie := &http.Cookie{
		Name: cookieName(v.Encrypted), Value: secret, Path: "/", Expires: expires,
		HttpOnly: true, Secure: v.Encrypted, SameSite: http.SameSiteLaxMode,
	}
	if secret == "" {
		cookie.MaxAge = -1
	}
	v.SetCookie(cookie)
	v.Response().Header().Set(echo.HeaderCacheControl, "no-store")
}

// localAddress gives an address of these pages as it is, and nothing for any
// other: a link that leads elsewhere after signing in would lend its look to
// whoever made it. Browsers read a backslash as a slash, and leave out control
// characters.
func localAddress(address string) string {
	parsed, err := url.Parse(address)
	switch {
	case err != nil, parsed.IsAbs(), parsed.Host != "", parsed.User != nil:
		return ""
	case !strings.HasPrefix(address, "/"), strings.HasPrefix(address, "//"):
		return ""
	case strings.ContainsFunc(address, func(r rune) bool { return r <= ' ' || r == '\\' || r == 0x7f }):
		return ""
	}
	return address
}
