package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// readyTimeout is longer than the service takes to find out.
const readyTimeout = 4 * time.Second

var readyCommand = command{
	name:      "ready",
	arguments: "URL",
	summary:   "Ask a running service whether it can answer",
	detail: `
It calls /readyz below the address, such as http://127.0.0.1:8480, and ends with 0
when the service is ready. It stands in for curl where there is none, as in the
health check of a container.`,
	define: func(*flag.FlagSet) action {
		return func(ctx context.Context, p *process, arguments []string) error {
			if len(arguments) != 1 {
				return &usageError{"ready", "give the address of one service"}
			}
			at, err := url.Parse(arguments[0])
			if err != nil || at.Host == "" || at.Scheme != "http" && at.Scheme != "https" {
				return &usageError{"ready", fmt.Sprintf("%q is no address of a service; write it as http://127.0.0.1:8480", arguments[0])}
			}
			return p.askReady(ctx, strings.TrimSuffix(at.String(), "/")+"/readyz")
		}
	},
}

func (p *process) askReady(ctx context.Context, address string) error {
	ctx, cancel := context.WithTimeout(ctx, readyTimeout)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return err
	}
	client := &http.Client{Transport: &http.Transport{Protocols: http1(), DisableKeepAlives: true}}
	answer, err := client.Do(request)
	if err != nil {
		return fmt.Errorf("not ready: %w", err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("not ready: %s answered %d", address, answer.StatusCode)
	}
	_, err = io.WriteString(p.stdout, "ready\n")
	return err
}
