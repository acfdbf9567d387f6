// Package served is what the commands beside it share that try the built service
// from outside: the program, the services that are started from it, and requests
// to them.
package served

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
)

// Main runs a command, which an interrupt ends, and says on the standard error how
// it failed.
func Main(name string, run func(context.Context) error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx)
	stop()
	if err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n", name, err)
		os.Exit(1)
	}
}

// Binary is the program under test, and a folder for what it keeps.
type Binary struct {
	Program string
	Scratch string
}

// Flag adds the flag that names the program.
func (b *Binary) Flag() {
	flag.StringVar(&b.Program, "program", "", "the built swardcase; usually it is built first")
}

// Use runs f with the folder, and with the program built where none was named.
// The folder is removed afterwards.
func (b *Binary) Use(ctx context.Context, name string, f func() error) (err error) {
	if b.Scratch, err = os.MkdirTemp("", "swardcase-"+name+"-"); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(b.Scratch)) }()
	if b.Program == "" {
		b.Program = filepath.Join(b.Scratch, "swardcase")
		if output, err := exec.CommandContext(ctx, "go", "build", "-o", b.Program, "./cmd/swardcase").CombinedOutput(); err != nil {
			return fmt.Errorf("build swardcase: %w: %s", err, output)
		}
	}
	if b.Program, err = filepath.Abs(b.Program); err != nil {
		return err
	}
	return f()
}

// Command is the program with arguments, over the place that a setting such as
// DATABASE_URL=... names, and with no other setting of this process's own.
func (b *Binary) Command(ctx context.Context, place string, arguments ...string) *exec.Cmd {
	command := exec.CommandContext(ctx, b.Program, arguments...)
	command.Env, command.Dir = append(BareEnvironment(), place), b.Scratch
	return command
}

// Migrate makes the tables of a place.
func (b *Binary) Migrate(ctx context.Context, place string) error {
	if output, err := b.Command(ctx, place, "migrate", "up").CombinedOutput(); err != nil {
		return fmt.Errorf("migrate: %w: %s", err, output)
	}
	return nil
}

// BareEnvironment is this process's own, without what would lead a service to
// another place.
func BareEnvironment() []string {
	var kept []string
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "SWARDCASE_") && !strings.HasPrefix(pair, "DATABASE_URL=") {
			kept = append(kept, pair)
		}
	}
	return kept
}
