package main

import (
	"context"
	"crypto/rand"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"syscall"
	"time"

	"swardcase/api"
	"swardcase/api/service"
)

const (
	defaultAddress = "127.0.0.1:8480"
	// stopTimeout is how long requests that are under way may take to finish
	// once the service is told to stop.
	stopTimeout = 10 * time.Second
)

var serveCommand = command{
	name:    "serve",
	summary: "Serve the API over HTTP",
	detail: `
The contract is at /openapi.json and /openapi.yaml of the served address. The
service knows no keys yet, so that it listens on a loopback address only and
refuses any other. The environment variable SWARDCASE_ADDRESS stands in for
--address. It stops on interrupt, after the requests under way.
` + placeHelp + `
With none of them nothing is kept, and only trial requests are answered.`,
	define: func(flags *flag.FlagSet) action {
		address := flags.String("address", "", "the loopback `HOST:PORT` to listen on (usually "+defaultAddress+")")
		where := placeFlag(flags)
		return func(ctx context.Context, p *process, arguments []string) (err error) {
			if err := noArguments("serve", arguments); err != nil {
				return err
			}
			svc, leave, err := openService(ctx, where(p))
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, leave()) }()
			listener, err := listen(firstOf(*address, p.env("SWARDCASE_ADDRESS"), defaultAddress), false)
			if err != nil {
				return err
			}
			return p.serve(ctx, listener, svc)
		}
	},
}

func firstOf(choices ...string) string {
	for _, choice := range choices {
		if choice != "" {
			return choice
		}
	}
	return ""
}

// listen opens a loopback address. With orFree, a port that is taken is
// replaced by a free one.
func listen(address string, orFree bool) (net.Listener, error) {
	resolved, err := net.ResolveTCPAddr("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("the address %q cannot be used: %w", address, err)
	}
	// An empty host means every interface, which a nil IP stands for.
	if !resolved.IP.IsLoopback() {
		return nil, fmt.Errorf("%q is not a loopback address; without keys anyone who reaches the service may use it, "+
			"so that it listens on loopback only, such as %s", address, defaultAddress)
	}
	listener, err := net.ListenTCP("tcp", resolved)
	if orFree && errors.Is(err, syscall.EADDRINUSE) {
		resolved.Port = 0
		listener, err = net.ListenTCP("tcp", resolved)
	}
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w", address, err)
	}
	return listener, nil
}

// serve answers requests until the context ends, and then lets those under way
// finish.
func (p *process) serve(ctx context.Context, listener net.Listener, svc *service.Service) error {
	server, err := api.New(api.Config{
		Service:      svc,
		Logger:       slog.New(slog.NewTextHandler(p.stderr, nil)),
		Now:          time.Now,
		NewRequestID: rand.Text,
	})
	if err != nil {
		return err
	}
	httpServer := server.HTTPServer()
	ended := make(chan error, 1)
	go func() { ended <- httpServer.Serve(listener) }()
	fmt.Fprintf(p.stdout, "swardcase is listening on http://%s\n", listener.Addr())
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	return stopServer(httpServer)
}

func stopServer(server *http.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), stopTimeout)
	defer cancel()
	if err := server.Shutdown(ctx); err != nil {
		return fmt.Errorf("stop serving: %w", err)
	}
	return nil
}
