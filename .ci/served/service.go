package served

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"syscall"

	"swardcase/api/store/storetest"
)

// Service is a running service, as a process of its own that ends with this one.
type Service struct {
	URL     string // without a slash at the end
	Process *os.Process
	Ended   chan error // gives what the process ended with, once
	Log     string     // the file of what it wrote to its standard error
}

var listening = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// Serve starts a service over a place, at an address that it picks unless more
// arguments say another, and waits until it says where it listens.
func (b *Binary) Serve(place string, more ...string) (*Service, error) {
	log, err := os.CreateTemp(b.Scratch, "log-")
	if err != nil {
		return nil, err
	}
	defer log.Close()
	// It outlives an interrupt of this command, so that it can be stopped in order.
	command := b.Command(context.Background(), place, append([]string{"serve", "--address", "127.0.0.1:0"}, more...)...)
	command.Stderr = log
	output, err := command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	ended, err := storetest.StartBound(command, syscall.SIGKILL)
	if err != nil {
		return nil, err
	}
	s := &Service{Process: command.Process, Ended: ended, Log: log.Name()}
	for lines := bufio.NewScanner(output); s.URL == "" && lines.Scan(); {
		s.URL = listening.FindString(lines.Text())
	}
	if s.URL == "" {
		return nil, fmt.Errorf("the service did not say where it listens: %s", s.Said())
	}
	return s, nil
}

// Kill ends it at once, with no chance to tidy up, as a loss of power would but
// for what the kernel has.
func (s *Service) Kill() error {
	if err := s.Process.Kill(); err != nil {
		return err
	}
	<-s.Ended
	return nil
}

// Stop asks it to end, and insists that it ends well and had no error of its own.
func (s *Service) Stop() error {
	if err := s.Process.Signal(os.Interrupt); err != nil {
		return err
	}
	ended := <-s.Ended
	if ended != nil {
		ended = fmt.Errorf("interrupted, the service ended with %w: %s", ended, s.Said())
	}
	return errors.Join(s.innocent(), ended)
}

// innocent fails when the service logged an error, which is a fault of ours.
func (s *Service) innocent() error {
	text, err := os.ReadFile(s.Log)
	if err != nil {
		return err
	}
	var first string
	errorLines := 0
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, "level=ERROR") || strings.Contains(line, `"level":"ERROR"`) {
			errorLines++
			if first == "" {
				first = line
			}
		}
	}
	if errorLines > 0 {
		return fmt.Errorf("the service logged %d errors, first %.600s", errorLines, first)
	}
	return nil
}

// Said is the end of what it wrote to its standard error.
func (s *Service) Said() string {
	text, err := os.ReadFile(s.Log)
	if err != nil {
		return err.Error()
	}
	return string(text[max(0, len(text)-2000):])
}
