package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/mattn/go-isatty"

	"swardcase/api/contract"
	"swardcase/api/service"
)

// answer describes a command that reads one case, asks the service one question
// of it and prints what comes back.
type answer[R any] struct {
	name, summary, detail string
	ask                   func(*service.Service, context.Context, contract.Document) (any, error)
	text                  func(R) string
	tables                []csvTable[R]            // what can be had as csv, the usual one first
	xlsx                  func(io.Writer, R) error // nil where there is no workbook
	pdf                   printPaper[R]            // nil where there is no paper
	weather               bool                     // whether a daily weather record changes the answer
}

// printPaper prints an answer to a case as a paper.
type printPaper[R any] func(context.Context, *service.Service, contract.Document, R) ([]byte, error)

// csvTable is one table of an answer.
type csvTable[R any] struct {
	name  string
	write func(R) (string, error)
}

// printing is how an answer is to be printed.
type printing struct{ format, table, output string }

// answerCommand makes a command whose answer is printed as text or as JSON.
func answerCommand[R any](name, summary, detail string,
	ask func(*service.Service, context.Context, contract.Document) (any, error), text func(R) string,
) command {
	return answer[R]{name: name, summary: summary, detail: detail, ask: ask, text: text}.command()
}

func (a answer[R]) command() command {
	return command{
		name: a.name, arguments: "CASE.json", summary: a.summary, detail: a.detail,
		define: func(flags *flag.FlagSet) action {
			how := a.printingFlags(flags)
			record := new(string)
			if a.weather {
				record = recordFlag(flags)
			}
			return func(ctx context.Context, p *process, arguments []string) error {
				if err := a.check(how); err != nil {
					return err
				}
				svc, document, err := p.openCase(a.name, arguments)
				if err != nil {
					return err
				}
				if document, err = p.withRecord(svc, document, *record); err != nil {
					return err
				}
				given, err := service.As[R](a.ask(svc, ctx, document))
				if err != nil {
					return err
				}
				if how.format == "pdf" {
					file, err := a.pdf(ctx, svc, document, given)
					if err != nil {
						return err
					}
					return how.deliver(p, a.name, file)
				}
				return a.print(p, how, given)
			}
		},
	}
}

// printingFlags declares how the answer can be printed.
func (a answer[R]) printingFlags(flags *flag.FlagSet) *printing {
	how := &printing{}
	flags.StringVar(&how.format, "format", "text", "print as `FORMAT`: "+strings.Join(a.formats(), " or "))
	if len(a.tables) > 1 {
		flags.StringVar(&how.table, "table", a.tables[0].name, "with csv, which `TABLE`: "+strings.Join(a.tableNames(), " or "))
	}
	if a.xlsx != nil {
		flags.StringVar(&how.output, "output", "", "write to `FILE` and not to standard output")
	}
	return how
}

func (a answer[R]) formats() []string {
	formats := []string{"text", "json"}
	if len(a.tables) > 0 {
		formats = append(formats, "csv")
	}
	if a.xlsx != nil {
		formats = append(formats, "xlsx")
	}
	if a.pdf != nil {
		formats = append(formats, "pdf")
	}
	return formats
}

func (a answer[R]) tableNames() []string {
	names := make([]string, len(a.tables))
	for i, table := range a.tables {
		names[i] = table.name
	}
	return names
}

func (a answer[R]) check(how *printing) error {
	if err := oneOf(a.name, "format", how.format, a.formats()...); err != nil || len(a.tables) < 2 {
		return err
	}
	return oneOf(a.name, "table", how.table, a.tableNames()...)
}

// print writes the answer out whole or not at all.
func (a answer[R]) print(p *process, how *printing, given R) error {
	var out bytes.Buffer
	if err := a.write(&out, how, given); err != nil {
		return err
	}
	return how.deliver(p, a.name, out.Bytes())
}

// deliver writes the whole answer of a command to the file that was named, or else
// to standard output.
func (how *printing) deliver(p *process, command string, whole []byte) error {
	if how.output != "" {
		return os.WriteFile(how.output, whole, 0o644)
	}
	if (how.format == "xlsx" || how.format == "pdf") && isTerminal(p.stdout) {
		return &usageError{command, "a workbook or a paper is no text for a terminal: name a file with --output"}
	}
	_, err := p.stdout.Write(whole)
	return err
}

func (a answer[R]) write(w io.Writer, how *printing, given R) error {
	switch how.format {
	case "csv":
		table := a.tables[max(0, slices.Index(a.tableNames(), how.table))]
		text, err := table.write(given)
		if err != nil {
			return err
		}
		_, err = io.WriteString(w, text)
		return err
	case "xlsx":
		return a.xlsx(w, given)
	}
	return printAs(w, how.format, given, a.text)
}

// isTerminal reports whether somebody looks at what is written there.
func isTerminal(w io.Writer) bool {
	file, is := w.(*os.File)
	return is && isatty.IsTerminal(file.Fd())
}

// printAs writes what a command found as JSON, or else as text.
func printAs[R any](w io.Writer, format string, found R, text func(R) string) error {
	if format == "json" {
		return printJSON(w, found)
	}
	_, err := io.WriteString(w, text(found))
	return err
}

// oneOf refuses a flag's value that is not among the allowed ones.
func oneOf(command, flagName, value string, allowed ...string) error {
	if slices.Contains(allowed, value) {
		return nil
	}
	return &usageError{command, fmt.Sprintf("--%s is %q; give %s", flagName, value, strings.Join(allowed, " or "))}
}

// printJSON writes an answer the way people read it: indented, and with signs
// such as < and & as themselves.
func printJSON(w io.Writer, answer any) error {
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(answer)
}
