package access

import (
	"errors"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync/atomic"

	"swardcase/api/service"
)

// OpenToLocal says whether a service may start, and whether it may take callers
// without a key for the user of its own machine. That is so on a loopback
// address, as long as its store holds no key. On any other address it has to have
// a key to ask for.
func OpenToLocal(loopback, keeps, hasKeys bool) (bool, error) {
	switch {
	case hasKeys:
		return false, nil
	case loopback:
		return true, nil
	case !keeps:
		return false, errors.New("without keys anyone who reaches the service may use it, and keys need a store: " +
			"give it one, or a loopback address")
	}
	return false, errors.New("without keys anyone who reaches the service may use it, and its store holds none: " +
		"make the first with swardcase key issue --operator, or give it a loopback address")
}

// Gate finds out who asks.
type Gate struct {
	service *service.Service
	open    atomic.Bool
}

// NewGate makes the gate of a service. One that is open to local callers shuts
// for good with the first key that its store holds.
func NewGate(svc *service.Service, openToLocal bool) *Gate {
	g := &Gate{service: svc}
	g.open.Store(openToLocal)
	return g
}

// ByKey names the holder of the key in the Authorization header, or the local
// caller where none is given and none is needed. A wrong key is refused even then.
func (g *Gate) ByKey(r *http.Request) (service.Caller, error) {
	header := r.Header.Get("Authorization")
	if header == "" {
		return g.Local(r)
	}
	secret, is := Bearer(header)
	if !is {
		return service.Caller{}, errNoKey()
	}
	return g.service.KeyCaller(r.Context(), secret)
}

// BySession names whoever signed in, by the secret of the session, or the local
// caller where nobody signed in and nobody has to.
func (g *Gate) BySession(r *http.Request, secret string) (service.Caller, error) {
	if secret == "" {
		return g.Local(r)
	}
	return g.service.SessionCaller(r.Context(), secret)
}

// Local names the local caller while the gate is open, and otherwise refuses. The
// request must be for a loopback address by number or as localhost: a page in a
// browser on this machine could have a name of its own point here, and a proxy
// could bring in the world.
func (g *Gate) Local(r *http.Request) (service.Caller, error) {
	if !g.open.Load() {
		return service.Caller{}, errNoKey()
	}
	if !isLoopback(r.Host) {
		return service.Caller{}, &service.Error{
			Kind:   service.Unauthenticated,
			Detail: "Without a key it answers only to its own address, such as http://127.0.0.1:8480.",
		}
	}
	has, err := g.service.HasKeys(r.Context())
	if err != nil {
		return service.Caller{}, err
	}
	if has {
		g.open.Store(false)
		return service.Caller{}, errNoKey()
	}
	return service.LocalCaller("local"), nil
}

func isLoopback(hostPort string) bool {
	host, _, err := net.SplitHostPort(hostPort)
	if err != nil {
		host = strings.Trim(hostPort, "[]")
	}
	address, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && address.Unmap().IsLoopback()
}

// Bearer reads a header of the form that RFC 6750, section 2.1, gives it.
func Bearer(header string) (secret string, is bool) {
	scheme, secret, _ := strings.Cut(header, " ")
	secret = strings.TrimSpace(secret)
	return secret, strings.EqualFold(scheme, "Bearer") && secret != ""
}

func errNoKey() error {
	return &service.Error{Kind: service.Unauthenticated, Detail: "Send a key in the header Authorization: Bearer swc_…"}
}
