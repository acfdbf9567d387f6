package api

import (
	"net"
	"net/http"
	"net/netip"
	"strings"

	"github.com/labstack/echo/v4"
)

// addressOf says whose address a request is counted and logged under. Without
// trusted proxies it is the peer's own, whatever the request's headers claim.
// Behind them it is the last address in X-Forwarded-For that is no proxy's: each
// proxy adds the one it was called from, so that what a caller wrote there itself
// stands before it and is not reached.
func addressOf(trusted []netip.Prefix) echo.IPExtractor {
	if len(trusted) == 0 {
		return echo.ExtractIPDirect()
	}
	// The library trusts these three by itself; here only what is listed is.
	options := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, prefix := range trusted {
		prefix = prefix.Masked()
		options = append(options, echo.TrustIPRange(&net.IPNet{
			IP:   prefix.Addr().AsSlice(),
			Mask: net.CIDRMask(prefix.Bits(), prefix.Addr().BitLen()),
		}))
	}
	return echo.ExtractIPFromXFFHeader(options...)
}

// fromProxy says whether the peer itself is a trusted proxy.
func (s *Server) fromProxy(r *http.Request) bool {
	peer, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return false
	}
	for _, prefix := range s.config.TrustedProxies {
		if prefix.Contains(peer.Addr().Unmap().WithZone("")) {
			return true
		}
	}
	return false
}

// Encrypted says whether a request came over TLS, here or at a trusted proxy,
// which says so in X-Forwarded-Proto. A cookie may then be kept to TLS.
func (s *Server) Encrypted(r *http.Request) bool {
	return r.TLS != nil || s.fromProxy(r) && strings.EqualFold(r.Header.Get(echo.HeaderXForwardedProto), "https")
}
