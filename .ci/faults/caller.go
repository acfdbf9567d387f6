package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"time"

	"swardcase/.ci/served"
)

// caller calls one service.
type caller struct {
	address string
	client  *http.Client
	key     string // of the API; none where the service is open
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   []byte
}

const callTimeout = 90 * time.Second

func newCaller(address string, clients int) *caller {
	return &caller{address: address, client: &http.Client{
		Transport: &http.Transport{MaxIdleConnsPerHost: clients, DisableCompression: true},
		Timeout:   callTimeout,
	}}
}

// send makes a request; headers come in pairs.
func (c *caller) send(ctx context.Context, method, path string, body []byte, headers ...string) (answer, error) {
	if c.key != "" {
		headers = append(slices.Clip(headers), "Authorization", "Bearer "+c.key)
	}
	response, text, err := served.Send(ctx, c.client, method, c.address+path, body, headers...)
	if err != nil {
		return answer{}, err
	}
	return answer{response.StatusCode, response.Header, text}, nil
}

// want makes a request that must be answered with a status.
func (c *caller) want(ctx context.Context, status int, method, path string, body []byte, headers ...string) (answer, error) {
	a, err := c.send(ctx, method, path, body, headers...)
	if err == nil && a.status != status {
		err = fmt.Errorf("%s %s answered %d, not %d: %.500s", method, path, a.status, status, a.body)
	}
	return a, err
}

// problem is as much of a problem document as is looked at.
type problem struct {
	Type   string `json:"type"`
	Status int    `json:"status"`
}

// properRefusal insists that a refusal is a problem document that says the same
// status, and that one that will pass says when to try again.
func (a answer) properRefusal() error {
	var p problem
	if err := json.Unmarshal(a.body, &p); err != nil || p.Status != a.status || a.header.Get("Content-Type") != "application/problem+json" {
		return fmt.Errorf("a refusal with status %d is no problem document: %.300s", a.status, a.body)
	}
	switch {
	case a.status == http.StatusInternalServerError:
		return fmt.Errorf("the service was at fault: %.300s", a.body)
	case a.status == http.StatusServiceUnavailable && a.header.Get("Retry-After") == "":
		return fmt.Errorf("503 without Retry-After: %.300s", a.body)
	}
	return nil
}

// underWay tells a refusal because of an earlier request with the key.
func (a answer) underWay() bool {
	var p problem
	return a.status == http.StatusConflict && json.Unmarshal(a.body, &p) == nil && p.Type == "/problems/under-way"
}
