package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"sync"
	"time"
)

// slowKind is one way of taking one's time.
type slowKind struct {
	name string
	// open is sent at once, and then drip again and again.
	open, drip string
	every      time.Duration
	// within is when the service must have cut it off.
	within time.Duration
}

var slowKinds = []slowKind{
	{"send their headers slowly", "GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\n", "X-A: b\r\n", time.Second, 8 * time.Second},
	{
		"send their bodies slowly", "POST /v1/trial-conditions HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 1000000\r\n\r\n{",
		" ", time.Second, 20 * time.Second,
	},
	{"never send a byte", "", "", time.Second, 8 * time.Second},
	{"never read their answers", "", "GET /openapi.json HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n", 50 * time.Millisecond, 60 * time.Second},
}

// slowClients keeps many connections of each kind open at once, and calls as a
// good client meanwhile.
func slowClients(ctx context.Context, l *lab) (err error) {
	// The limits by address are off, so that it is the time limits that are tried.
	s, err := l.serve("", "--address-rate", "0", "--address-under-way", "0")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Stop()) }()
	body, err := smallCase()
	if err != nil {
		return err
	}
	good, stop := context.WithCancel(ctx)
	calls := make(chan error, 1)
	var took []time.Duration
	go func() {
		var err error
		took, err = s.goodClient(good, body)
		calls <- err
	}()
	lasted := make([]time.Duration, len(slowKinds))
	failed := make([]error, len(slowKinds))
	var group sync.WaitGroup
	for i, kind := range slowKinds {
		group.Go(func() { lasted[i], failed[i] = s.crawl(ctx, kind, l.slow) })
	}
	group.Wait()
	stop()
	if err := errors.Join(<-calls, errors.Join(failed...)); err != nil {
		return err
	}
	for i, kind := range slowKinds {
		fmt.Printf("  %d clients that %s: the last was cut off after %s\n", l.slow, kind.name, lasted[i].Round(100*time.Millisecond))
		if lasted[i] < 2*time.Second { // it was refused for another reason
			err = errors.Join(err, fmt.Errorf("clients that %s were not let in", kind.name))
		}
		if lasted[i] > kind.within {
			err = errors.Join(err, fmt.Errorf("clients that %s were kept for %s", kind.name, lasted[i]))
		}
	}
	_, most := s.residentMiB()
	fmt.Printf("  a good client beside all of them: %s; memory %d MiB at most\n", percentiles(took), most)
	return err
}

// crawl opens so many slow connections and waits until all of them are ended by
// the service. It gives how long the longest lived.
func (s *service) crawl(ctx context.Context, kind slowKind, clients int) (longest time.Duration, err error) {
	lived := make([]time.Duration, clients)
	failed := make([]error, clients)
	var group sync.WaitGroup
	for i := range clients {
		group.Go(func() { lived[i], failed[i] = s.crawlOnce(ctx, kind, i) })
	}
	group.Wait()
	for i := range clients {
		longest = max(longest, lived[i])
	}
	return longest, errors.Join(failed...)
}

func (s *service) crawlOnce(ctx context.Context, kind slowKind, i int) (time.Duration, error) {
	dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 0, 1, byte(1+i%200))}}
	connection, err := dialer.DialContext(ctx, "tcp", s.address)
	if err != nil {
		return 0, err
	}
	defer connection.Close()
	if kind.name == "never read their answers" {
		_ = connection.(*net.TCPConn).SetReadBuffer(4096) // so that it fills at once
	}
	start := time.Now()
	if _, err := io.WriteString(connection, kind.open); err != nil {
		return 0, err
	}
	ended := make(chan struct{})
	if kind.name != "never read their answers" {
		go func() {
			_, _ = io.Copy(io.Discard, connection) // ends when the service ends it
			close(ended)
		}()
	}
	limit := time.NewTimer(kind.within + 10*time.Second)
	defer limit.Stop()
	for {
		select {
		case <-ended:
			return time.Since(start), nil
		case <-limit.C:
			return time.Since(start), nil
		case <-ctx.Done():
			return 0, ctx.Err()
		case <-time.After(kind.every):
		}
		_ = connection.SetWriteDeadline(time.Now().Add(kind.every))
		if _, err := io.WriteString(connection, kind.drip); err != nil {
			var late net.Error
			if errors.As(err, &late) && late.Timeout() {
				continue // our own limit: the service no longer reads, but has not ended it
			}
			return time.Since(start), nil
		}
	}
}
