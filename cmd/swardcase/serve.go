package main

import (
	"context"
	"crypto/rand"
	"errors"
	"flag"
	"fmt"
	"net"
	"net/http"
	"time"

	"swardcase/api"
	"swardcase/api/service"
	"swardcase/api/store"
)

const defaultAddress = "127.0.0.1:8480"

var serveCommand = command{
	name:    "serve",
	summary: "Serve the API and the pages over HTTP",
	detail: `
The contract is at /openapi.json and /openapi.yaml of the served address. Every
request needs a key of the store (see swardcase help key). As long as the store
holds none, the service listens on a loopback address only, and takes whoever
calls it there for the user of this machine. It stops on interrupt, after the
requests under way. Every flag has an environment variable, SWARDCASE_ and its
name in capitals.
` + placeHelp + `
With none of them nothing is kept, and only trial requests are answered.`,
	define: func(flags *flag.FlagSet) action {
		where := placeFlag(flags)
		read := settingFlags(flags)
		return func(ctx context.Context, p *process, arguments []string) (err error) {
			if err := noArguments("serve", arguments); err != nil {
				return err
			}
			settings, err := read(p.env)
			if err != nil {
				return err
			}
			place := where(p)
			svc, leave, err := openService(ctx, place)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, leave()) }()
			if settings.openToLocal, err = settings.mayBeOpen(ctx, svc, place != store.Place{}); err != nil {
				return err
			}
			listener, err := listen(settings.address, false)
			if err != nil {
				return err
			}
			return p.serveAs(ctx, settings, listener, svc)
		}
	},
}

// serve is serveAs with the usual settings on a loopback address, and a log for
// the eyes.
func (p *process) serve(ctx context.Context, listener *net.TCPListener, svc *service.Service) error {
	usual, err := readSettings(func(setting) string { return "" })
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	usual.logFormat, usual.openToLocal = "text", true
	return p.serveAs(ctx, usual, listener, svc)
}

// serveAs answers requests until the context ends, and then lets those under way
// finish. It closes the listener.
func (p *process) serveAs(ctx context.Context, c configuration, listener *net.TCPListener, svc *service.Service) (err error) {
	defer listener.Close()
	logger := newLogger(p.stderr, c)
	traces, endTraces, err := openTraces(ctx, c.traceEndpoint, logger)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, endTraces()) }()
	registry := newRegistry()
	svc.LimitComputations(c.mostAtOnce())
	server, err := api.New(api.Config{
		Service: svc, Logger: logger, Now: time.Now, NewRequestID: rand.Text,
		Limits: c.limits, TrustedProxies: c.trusted, Metrics: registry, Traces: traces,
		OpenToLocal: c.openToLocal,
	})
	if err != nil {
		return err
	}
	stopWorkers, err := c.startWorkers(ctx, svc, logger, registry)
	if err != nil {
		return err
	}
	defer stopWorkers()
	public, err := c.overTLS(c.bounded(listener))
	if err != nil {
		return err
	}
	doors := []door{{server.HTTPServer(), public}}
	if c.privateAddress != "" {
		private, err := net.Listen("tcp", c.privateAddress)
		if err != nil {
			return fmt.Errorf("listen on the private address: %w", err)
		}
		doors = append(doors, door{privateServer(registry, server.Handler(), isLoopback(c.privateAddress), logger), private})
		fmt.Fprintf(p.stdout, "swardcase is measured on http://%s/metrics\n", private.Addr())
	}
	scheme := "http"
	if c.certificate != "" {
		scheme = "https"
	}
	fmt.Fprintf(p.stdout, "swardcase is listening on %s://%s\n", scheme, listener.Addr())
	return c.answer(ctx, server, doors)
}

// door is a server with its listener.
type door struct {
	server   *http.Server
	listener net.Listener
}

// answer opens the doors, the public one first, and closes them when the context
// ends: the service says that it is not ready, goes on as long as a proxy needs to
// notice, takes no more requests, and finishes those under way. What takes longer
// than the deadline is cut off, and said.
func (c configuration) answer(ctx context.Context, server *api.Server, doors []door) error {
	ended := make(chan error, len(doors))
	for _, d := range doors {
		go func() { ended <- d.server.Serve(d.listener) }()
	}
	var failed error
	select {
	case err := <-ended:
		failed = fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
		server.Drain()
		doors[0].server.SetKeepAlivesEnabled(false)
		time.Sleep(c.drainDelay)
	}
	deadline, cancel := context.WithTimeout(context.Background(), c.stopDeadline)
	defer cancel()
	for _, d := range doors {
		if err := d.server.Shutdown(deadline); err != nil {
			failed = errors.Join(failed, fmt.Errorf("requests were cut off after %s: %w", c.stopDeadline, err), d.server.Close())
		}
	}
	return failed
}
