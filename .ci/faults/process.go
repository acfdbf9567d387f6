package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"time"

	"swardcase/.ci/served"
)

// process is a running service, and its caller.
type process struct {
	*caller
	*served.Service
}

// unlimited turns off what would keep so many callers of one address or key out.
var unlimited = []string{
	"--address-rate", "0", "--address-under-way", "0", "--address-connections", "0", "--under-way", "0", "--key-rate", "0",
}

// serve starts a service over a place, with more flags, and waits until it is
// ready.
func (l *lab) serve(ctx context.Context, where place, more ...string) (*process, error) {
	s, err := l.Serve(where.setting(), slices.Concat(unlimited, more)...)
	if err != nil {
		return nil, err
	}
	p := &process{newCaller(s.URL, l.clients), s}
	return p, p.waitReady(ctx)
}

func (p *process) waitReady(ctx context.Context) error {
	for range 600 {
		if a, err := p.send(ctx, http.MethodGet, "/readyz", nil); err == nil && a.status == http.StatusOK {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
	return fmt.Errorf("the service did not get ready: %s", p.Said())
}

// newFile is a path for a SQLite store of its own.
func (l *lab) newFile(name string) (place, error) {
	folder, err := os.MkdirTemp(l.Scratch, name+"-")
	return place{file: filepath.Join(folder, "store.db")}, err
}

// together runs all of them and joins their errors.
func together(all ...func() error) error {
	failed := make(chan error, len(all))
	for _, f := range all {
		go func() { failed <- f() }()
	}
	var err error
	for range all {
		err = errors.Join(err, <-failed)
	}
	return err
}
