package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"
)

// process is a running service.
type process struct {
	*caller
	os    *os.Process
	ended chan error
	log   string // the file of what it wrote to its standard error
}

var listening = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// unlimited turns off what would keep so many callers of one address or key out.
var unlimited = []string{
	"--address-rate", "0", "--address-under-way", "0", "--address-connections", "0", "--under-way", "0", "--key-rate", "0",
}

// serve starts a service over a place, with more flags, and waits until it is
// ready.
func (l *lab) serve(ctx context.Context, where place, more ...string) (*process, error) {
	log, err := os.CreateTemp(l.scratch, "log-")
	if err != nil {
		return nil, err
	}
	defer log.Close()
	command := exec.Command(l.program, slices.Concat([]string{"serve", "--address", "127.0.0.1:0"}, unlimited, more)...)
	command.Env = append(bareEnvironment(), where.environment()...)
	command.Dir, command.Stderr = l.scratch, log
	// It dies with this process. The kernel watches the thread that started it.
	command.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	output, err := command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	started := make(chan error, 1)
	p := &process{ended: make(chan error, 1), log: log.Name()}
	go func() {
		runtime.LockOSThread()
		err := command.Start()
		started <- err
		if err == nil {
			p.ended <- command.Wait()
		}
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	p.os = command.Process
	lines := bufio.NewScanner(output)
	for p.caller == nil && lines.Scan() {
		if address := listening.FindString(lines.Text()); address != "" {
			p.caller = newCaller(address, l.clients)
		}
	}
	if p.caller == nil {
		return nil, fmt.Errorf("the service did not say where it listens: %s", p.said())
	}
	return p, p.waitReady(ctx)
}

// bareEnvironment is this process's own, without what would lead a service to
// another place.
func bareEnvironment() []string {
	var kept []string
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "SWARDCASE_") && !strings.HasPrefix(pair, "DATABASE_URL=") {
			kept = append(kept, pair)
		}
	}
	return kept
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
	return fmt.Errorf("the service did not get ready: %s", p.said())
}

// kill ends it at once, with no chance to tidy up.
func (p *process) kill() error {
	if err := p.os.Kill(); err != nil {
		return err
	}
	<-p.ended
	return nil
}

// stop asks it to end, and insists that it ends well and had no error of its own.
func (p *process) stop() error {
	if err := p.os.Signal(os.Interrupt); err != nil {
		return err
	}
	if err := <-p.ended; err != nil {
		return fmt.Errorf("interrupted, the service ended with %w: %s", err, p.said())
	}
	return p.innocent()
}

// innocent fails when the service logged an error, which is a fault of ours.
func (p *process) innocent() error {
	text, err := os.ReadFile(p.log)
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
		return fmt.Errorf("the service logged %d errors, first %s", errorLines, first)
	}
	return nil
}

// said is the end of what it wrote to its standard error.
func (p *process) said() string {
	text, err := os.ReadFile(p.log)
	if err != nil {
		return err.Error()
	}
	return string(text[max(0, len(text)-2000):])
}

// migrate makes the tables of a place.
func (l *lab) migrate(ctx context.Context, where place) error {
	command := exec.CommandContext(ctx, l.program, "migrate", "up")
	command.Env = append(bareEnvironment(), where.environment()...)
	if output, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("migrate: %w: %s", err, output)
	}
	return nil
}

// newFile is a path for a SQLite store of its own.
func (l *lab) newFile(name string) (place, error) {
	folder, err := os.MkdirTemp(l.scratch, name+"-")
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
