package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"swardcase/api/service"
)

// commands is every subcommand, in the order in which help lists them. To add
// one, write it in a file of its own name and put it here.
var commands = []command{
	demoCommand,
	appraiseCommand,
	conditionCommand,
	designCommand,
	forecastCommand,
	planCommand,
	breakEvenCommand,
	explainCommand,
	checkCommand,
	resolveCommand,
	assumptionsCommand,
	pricesCommand,
	climatesCommand,
	serveCommand,
	readyCommand,
	keyCommand,
	migrateCommand,
	backupCommand,
	restoreCommand,
}

// command is one subcommand. define declares its flags and returns what to do
// once they are parsed.
type command struct {
	name      string
	arguments string // as shown in help, such as CASE.json
	summary   string // one line
	detail    string // the rest of its help, in lines of up to 80 characters
	define    func(*flag.FlagSet) action
}

// action does a command's work with the arguments that are not flags.
type action func(ctx context.Context, p *process, arguments []string) error

// process is what a command may touch of the world outside.
type process struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	env            func(string) string
}

// usageError is a command line that cannot be understood.
type usageError struct {
	command string
	text    string
}

func (e *usageError) Error() string {
	return strings.TrimSpace(e.text + "; see: swardcase help " + e.command)
}

// noArguments refuses arguments to a command that takes none.
func noArguments(command string, arguments []string) error {
	if len(arguments) == 0 {
		return nil
	}
	return &usageError{command, fmt.Sprintf("%s takes no arguments; %q was given", command, arguments[0])}
}

// run carries out one command line and returns the exit code: 0 when it was
// done, 2 when the case has faults, 1 otherwise.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, env func(string) string) int {
	p := &process{stdin: stdin, stdout: stdout, stderr: stderr, env: env}
	err := p.dispatch(ctx, args)
	if err != nil {
		reportError(stderr, err)
	}
	return service.ExitCode(err)
}

func (p *process) dispatch(ctx context.Context, args []string) error {
	switch {
	case len(args) == 0:
		return &usageError{text: "say what to do"}
	case args[0] == "-h" || args[0] == "--help" || args[0] == "-help" || args[0] == "help" && len(args) == 1:
		return p.printOverview()
	case args[0] == "help":
		args = []string{args[1], "--help"}
	}
	at := slices.IndexFunc(commands, func(c command) bool { return c.name == args[0] })
	if at < 0 {
		return &usageError{text: fmt.Sprintf("there is no command %q", args[0])}
	}
	return p.perform(ctx, commands[at], args[1:])
}

func (p *process) perform(ctx context.Context, c command, args []string) error {
	flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	do := c.define(flags)
	arguments, err := parse(flags, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return p.printHelp(c, flags)
	case err != nil:
		return &usageError{c.name, err.Error()}
	}
	return do(ctx, p, arguments)
}

// parse reads flags wherever they stand. The flag package stops at the first
// argument that is not one, so that in `CASE.json --format json` it would miss
// the format.
func parse(flags *flag.FlagSet, args []string) (arguments []string, err error) {
	for {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		rest := flags.Args()
		if read := len(args) - len(rest); len(rest) == 0 || read > 0 && args[read-1] == "--" {
			return append(arguments, rest...), nil
		}
		arguments, args = append(arguments, rest[0]), rest[1:]
	}
}

func (p *process) printOverview() error {
	var b strings.Builder
	b.WriteString("swardcase makes the case for or against rebuilding a golf green.\n\nCommands:\n")
	for _, c := range commands {
		fmt.Fprintf(&b, "  %-12s %s\n", c.name, c.summary)
	}
	b.WriteString("\n`swardcase help COMMAND` says more about one of them.\n")
	b.WriteString("Exit codes: 0 done, 2 the case has faults, 1 anything else.\n")
	_, err := io.WriteString(p.stdout, b.String())
	return err
}

// The help of a flag stands beside it in lines of up to helpWidth characters.
const (
	helpMargin = 29
	helpWidth  = 68
)

func (p *process) printHelp(c command, flags *flag.FlagSet) error {
	var b strings.Builder
	title := strings.TrimSpace(strings.Join([]string{"swardcase", c.name, c.arguments}, " "))
	fmt.Fprintf(&b, "%s\n%s.\n", title, c.summary)
	if c.detail != "" {
		fmt.Fprintf(&b, "\n%s\n", strings.TrimSpace(c.detail))
	}
	some := false
	flags.VisitAll(func(f *flag.Flag) {
		if !some {
			b.WriteString("\nFlags:\n")
			some = true
		}
		kind, usage := flag.UnquoteUsage(f)
		if f.DefValue != "" && f.DefValue != "false" {
			usage += " (usually " + f.DefValue + ")"
		}
		name := strings.TrimSpace("--" + f.Name + " " + kind)
		for _, line := range folded(strings.TrimPrefix(usage, kind+": "), helpWidth) {
			fmt.Fprintf(&b, "  %-*s %s\n", helpMargin, name, line)
			name = ""
		}
	})
	_, err := io.WriteString(p.stdout, b.String())
	return err
}

// folded breaks text into lines.
func folded(text string, width int) []string {
	var lines []string
	for _, word := range words(text, width) {
		last := len(lines) - 1
		if last < 0 || utf8.RuneCountInString(lines[last])+1+utf8.RuneCountInString(word) > width {
			lines = append(lines, word)
			continue
		}
		lines[last] += " " + word
	}
	return lines
}
