package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"swardcase/.ci/served"
)

// service is the program under attack, with its usual settings but where said.
type service struct {
	*served.Service
	address string // HOST:PORT
}

// serve starts a service over a file of its own, or over the database that a
// setting names.
func (l *lab) serve(place string, flags ...string) (*service, error) {
	if place == "" {
		folder, err := os.MkdirTemp(l.Scratch, "store-")
		if err != nil {
			return nil, err
		}
		place = "SWARDCASE_STORE=" + filepath.Join(folder, "store.db")
	}
	s, err := l.Serve(place, flags...)
	if err != nil {
		return nil, err
	}
	return &service{s, strings.TrimPrefix(s.URL, "http://")}, nil
}

// residentMiB is how much memory the process has in use now, and at its most.
func (s *service) residentMiB() (now, most int) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.Process.Pid))
	if err != nil {
		return 0, 0
	}
	value := func(name string) int {
		_, rest, _ := strings.Cut(string(text), "\n"+name+":")
		fields := strings.Fields(rest)
		if len(fields) == 0 {
			return 0
		}
		kilobytes, _ := strconv.Atoi(fields[0])
		return kilobytes >> 10
	}
	return value("VmRSS"), value("VmHWM")
}

// client calls from an address of this machine.
type client struct {
	base string
	http *http.Client
}

func (s *service) client(from string) *client {
	dialer := &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}, Timeout: 10 * time.Second}
	return &client{s.URL, &http.Client{
		Transport: &http.Transport{DialContext: dialer.DialContext, MaxIdleConnsPerHost: 100},
		Timeout:   60 * time.Second,
	}}
}

type answer struct {
	status int
	header http.Header
	body   []byte
	took   time.Duration
}

// send makes a request; headers come in pairs.
func (c *client) send(ctx context.Context, method, path string, body []byte, headers ...string) (answer, error) {
	start := time.Now()
	response, text, err := served.Send(ctx, c.http, method, c.base+path, body, headers...)
	if err != nil {
		return answer{}, err
	}
	return answer{response.StatusCode, response.Header, text, time.Since(start)}, nil
}

// refusal insists that an answer is a proper refusal: a problem document of some
// kind but a fault of the service's own, which repeats little of what was sent.
func (a answer) refusal() error {
	var problem struct {
		Status int `json:"status"`
		Errors []struct {
			Value string `json:"value"`
		} `json:"errors"`
	}
	if a.status < 400 || a.status >= 500 {
		return fmt.Errorf("it was answered %d: %.300s", a.status, a.body)
	}
	if err := json.Unmarshal(a.body, &problem); err != nil || problem.Status != a.status {
		return fmt.Errorf("the refusal is no problem document: %d %.300s", a.status, a.body)
	}
	for _, e := range problem.Errors {
		if len([]rune(e.Value)) > 60 {
			return fmt.Errorf("the refusal repeats %d characters of a value", len(e.Value))
		}
	}
	return nil
}

// goodClient calls as an honest one would until it is told to stop, and gives
// what each call took. Any answer but 200 is an error.
func (s *service) goodClient(ctx context.Context, body []byte) (took []time.Duration, err error) {
	c := s.client("127.0.0.99")
	for ctx.Err() == nil {
		for _, call := range []struct{ method, path string }{{http.MethodGet, "/v1/clubs"}, {http.MethodPost, "/v1/trial-conditions"}} {
			var send []byte
			if call.method == http.MethodPost {
				send = body
			}
			a, err := c.send(context.WithoutCancel(ctx), call.method, call.path, send)
			if err != nil || a.status != http.StatusOK {
				return took, errors.Join(fmt.Errorf("a good client's %s was answered %d: %.300s", call.path, a.status, a.body), err)
			}
			took = append(took, a.took)
		}
		time.Sleep(30 * time.Millisecond) // well below the limit of an address
	}
	return took, nil
}

// percentiles are the median, the 99th of a hundred, and the slowest.
func percentiles(took []time.Duration) string {
	if len(took) == 0 {
		return "nothing was measured"
	}
	took = slices.Sorted(slices.Values(took))
	at := func(share float64) time.Duration {
		return took[int(share*float64(len(took)-1))].Round(100 * time.Microsecond)
	}
	return fmt.Sprintf("median %s, 99 of 100 within %s, slowest %s (%d calls)", at(0.5), at(0.99), at(1), len(took))
}

func smallCase() ([]byte, error) {
	return os.ReadFile(filepath.Join("testdata", "cases", "small.json"))
}
