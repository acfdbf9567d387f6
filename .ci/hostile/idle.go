package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"time"

	"golang.org/x/sync/errgroup"

	"swardcase/api/store/storetest"
)

// perAddress is how many idle connections come from one address: below the usual
// limit of an address, so that all of them are let in.
const perAddress = 250

// idleConnections has a second process open many connections, which each ask once
// and then say nothing more, and calls as a good client meanwhile.
func idleConnections(ctx context.Context, l *lab) (err error) {
	s, err := l.serve("")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Stop()) }()
	body, err := smallCase()
	if err != nil {
		return err
	}
	alone, err := s.measureFor(ctx, body, 5*time.Second)
	if err != nil {
		return err
	}
	before, _ := s.residentMiB()
	held, release, err := l.startHolding(ctx, s.address)
	if err != nil {
		return err
	}
	beside, err := s.measureFor(ctx, body, 10*time.Second)
	during, most := s.residentMiB()
	err = errors.Join(err, release())
	fmt.Printf("  a good client alone: %s; memory %d MiB\n", percentiles(alone), before)
	fmt.Printf("  beside %d idle connections of a second process: %s; memory %d MiB, %d MiB at most, %.1f KiB a connection\n",
		held, percentiles(beside), during, most, float64(during-before)*1024/float64(max(held, 1)))
	if err != nil {
		return err
	}
	if held < l.idle {
		return fmt.Errorf("only %d of %d idle connections were held", held, l.idle)
	}
	return s.oneAddress(ctx)
}

func (s *service) measureFor(ctx context.Context, body []byte, lasts time.Duration) ([]time.Duration, error) {
	ctx, cancel := context.WithTimeout(ctx, lasts)
	defer cancel()
	return s.goodClient(ctx, body)
}

// startHolding starts the second process and waits until it holds what it can.
func (l *lab) startHolding(ctx context.Context, address string) (held int, release func() error, err error) {
	self, err := os.Executable()
	if err != nil {
		return 0, nil, err
	}
	command := exec.CommandContext(ctx, self, "-hold", address, "-idle", strconv.Itoa(l.idle))
	command.Stderr = os.Stderr
	input, err := command.StdinPipe()
	if err != nil {
		return 0, nil, err
	}
	output, err := command.StdoutPipe()
	if err != nil {
		return 0, nil, err
	}
	ended, err := storetest.StartBound(command, syscall.SIGKILL)
	if err != nil {
		return 0, nil, err
	}
	release = func() error { return errors.Join(input.Close(), <-ended) }
	line, err := bufio.NewReader(output).ReadString('\n')
	if err == nil {
		held, err = strconv.Atoi(strings.TrimSpace(line))
	}
	if err != nil {
		return 0, nil, errors.Join(err, release())
	}
	return held, release, nil
}

// holdIdle is the second process: it opens the connections, asks once on each,
// says how many were answered, and holds them until its input ends.
func holdIdle(ctx context.Context, address string, connections int) error {
	open := make([]net.Conn, connections)
	var group errgroup.Group
	group.SetLimit(64)
	for i := range connections {
		group.Go(func() error {
			open[i] = holdOne(ctx, address, i)
			return nil
		})
	}
	_ = group.Wait() // what could not be opened is nil
	held := 0
	for _, connection := range open {
		if connection != nil {
			held++
		}
	}
	fmt.Println(held)
	_, err := io.Copy(io.Discard, os.Stdin)
	return err
}

func holdOne(ctx context.Context, address string, i int) net.Conn {
	from := net.IPv4(127, 1, byte(i/perAddress>>8), byte(1+i/perAddress&255))
	dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: from}, Timeout: 30 * time.Second}
	connection, err := dialer.DialContext(ctx, "tcp", address)
	if err != nil {
		return nil
	}
	_ = connection.SetDeadline(time.Now().Add(30 * time.Second))
	if _, err := io.WriteString(connection, "GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n"); err == nil {
		var answer *http.Response
		if answer, err = http.ReadResponse(bufio.NewReader(connection), nil); err == nil && answer.StatusCode == http.StatusOK {
			return connection
		}
	}
	_ = connection.Close()
	return nil
}

// usualConnections is how many one address may have open, as README.md states.
const usualConnections = 1000

// oneAddress opens more connections from one address than it may, and insists that
// another address is none the worse.
func (s *service) oneAddress(ctx context.Context) error {
	const more = usualConnections + 200
	dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.IPv4(127, 2, 0, 1)}}
	answered := 0
	for range more {
		connection, err := dialer.DialContext(ctx, "tcp", s.address)
		if err != nil {
			continue
		}
		defer connection.Close()
		_ = connection.SetDeadline(time.Now().Add(10 * time.Second))
		if _, err := io.WriteString(connection, "GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n"); err != nil {
			continue
		}
		if n, _ := connection.Read(make([]byte, 512)); n > 0 {
			answered++
		}
	}
	a, err := s.client("127.0.0.98").send(ctx, http.MethodGet, "/openapi.yaml", nil)
	fmt.Printf("  of %d connections of one address %d were let in; another address was answered %d\n", more, answered, a.status)
	if err != nil || answered != usualConnections || a.status != http.StatusOK {
		return errors.Join(fmt.Errorf("%d connections of one address were let in, not %d", answered, usualConnections), err)
	}
	return nil
}
