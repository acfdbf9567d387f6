package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"

	"swardcase/.ci/served"
)

// target is a running service, with a club in it that the load is for.
type target struct {
	*served.Service
	club  string
	parts map[string]json.RawMessage
}

// serve starts a service over a place and stores a club.
func (b *bench) serve(ctx context.Context, place string) (*target, error) {
	// All callers have one address here, so that the limits by address are off.
	service, err := b.Serve(place, "--address-rate", "0", "--address-under-way", "0", "--address-connections", "0")
	if err != nil {
		return nil, err
	}
	s := &target{Service: service}
	text, err := os.ReadFile(filepath.Join("testdata", "cases", "green_14.json"))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &s.parts); err != nil {
		return nil, err
	}
	s.club, err = s.make(ctx, "/v1/clubs", fmt.Appendf(nil, `{"name":"Thornmere Golf Club","site":%s}`, s.parts["site"]))
	return s, err
}

func (s *target) end() {
	_ = s.Stop() // it may have ended already
}

// make stores one thing and gives its id.
func (s *target) make(ctx context.Context, path string, body []byte) (string, error) {
	return s.Post(ctx, http.StatusCreated, path, body)
}

// newGreen stores a green of its own name, and a survey of it to appraise by.
func (s *target) newGreen(ctx context.Context, name string) (green, survey string, err error) {
	var fields map[string]any
	if err := json.Unmarshal(s.parts["green"], &fields); err != nil {
		return "", "", err
	}
	fields["name"] = name
	named, err := json.Marshal(fields)
	if err != nil {
		return "", "", err
	}
	at := "/v1/clubs/" + s.club
	if green, err = s.make(ctx, at+"/greens", fmt.Appendf(nil, `{"green":%s,"upkeep":%s}`, named, s.parts["upkeep"])); err != nil {
		return "", "", err
	}
	survey, err = s.make(ctx, at+"/surveys", fmt.Appendf(nil, `{"green_id":%q,"survey":%s}`, green, s.parts["survey"]))
	return green, survey, err
}
