package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
)

// served is a running service, with a club in it that the load is for.
type served struct {
	address string
	command *exec.Cmd
	club    string
	parts   map[string]json.RawMessage
}

var listening = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

func (b *bench) migrate(ctx context.Context, place string) error {
	command := exec.CommandContext(ctx, b.program, "migrate", "up")
	command.Env = append(os.Environ(), place)
	if output, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("migrate: %w: %s", err, output)
	}
	return nil
}

// serve starts a service over a place and stores a club.
func (b *bench) serve(ctx context.Context, place string) (*served, error) {
	s := &served{command: exec.CommandContext(ctx, b.program, "serve", "--address", "127.0.0.1:0")}
	// All callers have one address here, so that the limits by address are off.
	s.command.Env = append(os.Environ(), place, "SWARDCASE_ADDRESS_RATE=0", "SWARDCASE_ADDRESS_UNDER_WAY=0", "SWARDCASE_ADDRESS_CONNECTIONS=0")
	output, err := s.command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.command.Start(); err != nil {
		return nil, err
	}
	lines := bufio.NewScanner(output)
	for s.address == "" && lines.Scan() {
		s.address = listening.FindString(lines.Text())
	}
	if s.address == "" {
		return nil, errors.Join(errors.New("the service did not say where it listens"), s.command.Wait())
	}
	text, err := os.ReadFile(filepath.Join("testdata", "cases", "green_14.json"))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &s.parts); err != nil {
		return nil, err
	}
	s.club, err = s.make(ctx, "/v1/clubs", fmt.Sprintf(`{"name":"Thornmere Golf Club","site":%s}`, s.parts["site"]))
	return s, err
}

func (s *served) end() {
	_ = s.command.Process.Signal(os.Interrupt) // it may have ended already
	_ = s.command.Wait()
}

// make stores one thing and gives its id.
func (s *served) make(ctx context.Context, path, body string) (string, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, s.address+path, strings.NewReader(body))
	if err != nil {
		return "", err
	}
	r.Header.Set("Content-Type", "application/json")
	response, err := http.DefaultClient.Do(r)
	if err != nil {
		return "", err
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	if err != nil {
		return "", err
	}
	if response.StatusCode != http.StatusCreated {
		return "", fmt.Errorf("%s answered %d: %.500s", path, response.StatusCode, text)
	}
	var made struct {
		ID string `json:"id"`
	}
	return made.ID, json.Unmarshal(text, &made)
}

// newGreen stores a green of its own name, and a survey of it to appraise by.
func (s *served) newGreen(ctx context.Context, name string) (green, survey string, err error) {
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
	if green, err = s.make(ctx, at+"/greens", fmt.Sprintf(`{"green":%s,"upkeep":%s}`, named, s.parts["upkeep"])); err != nil {
		return "", "", err
	}
	survey, err = s.make(ctx, at+"/surveys", fmt.Sprintf(`{"green_id":%q,"survey":%s}`, green, s.parts["survey"]))
	return green, survey, err
}
