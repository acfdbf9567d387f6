package access

import (
	"context"
	"errors"
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

// ByKey names the holder of the key in an Authorization header, or the local
// caller where none is given and none is needed. A wrong key is refused even then.
func (g *Gate) ByKey(ctx context.Context, header string) (service.Caller, error) {
	if header == "" {
		return g.Local(ctx)
	}
	secret, is := Bearer(header)
	if !is {
		return service.Caller{}, errNoKey()
	}
	return g.service.KeyCaller(ctx, secret)
}

// BySession names whoever signed in, by the secret of the session, or the local
// caller where nobody signed in and nobody has to.
func (g *Gate) BySession(ctx context.Context, secret string) (service.Caller, error) {
	if secret == "" {
		return g.Local(ctx)
	}
	return g.service.SessionCaller(ctx, secret)
}

// Local names the local caller while the gate is open, and otherwise refuses.
func (g *Gate) Local(ctx context.Context) (service.Caller, error) {
	if !g.open.Load() {
		return service.Caller{}, errNoKey()
	}
	has, err := g.service.HasKeys(ctx)
	if err != nil {
		return service.Caller{}, err
	}
	if has {
		g.open.Store(false)
		return service.Caller{}, errNoKey()
	}
	return service.LocalCaller("local"), nil
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
