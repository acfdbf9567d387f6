package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/service"
)

// answer describes a command that reads one case, asks the service one question
// of it and prints what comes back.
type answer[R any] struct {
	name, summary, detail string
	ask                   func(*service.Service, context.Context, contract.Document) (any, error)
	text                  func(R) string
	csv                   func(R) (string, error) // nil where the answer is no table
	weather               bool                    // whether a daily weather record changes the answer
}

// answerCommand makes a command whose answer is printed as text or as JSON.
func answerCommand[R any](name, summary, detail string,
	ask func(*service.Service, context.Context, contract.Document) (any, error), text func(R) string,
) command {
	return answer[R]{name: name, summary: summary, detail: detail, ask: ask, text: text}.command()
}

func (a answer[R]) command() command {
	formats := []string{"text", "json"}
	if a.csv != nil {
		formats = append(formats, "csv")
	}
	return command{
		name: a.name, arguments: "CASE.json", summary: a.summary, detail: a.detail,
		define: func(flags *flag.FlagSet) action {
			format := flags.String("format", "text", "print as `FORMAT`: "+strings.Join(formats, " or "))
			record := new(string)
			if a.weather {
				record = recordFlag(flags)
			}
			return func(ctx context.Context, p *process, arguments []string) error {
				if err := oneOf(a.name, "format", *format, formats...); err != nil {
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
				return a.print(p.stdout, *format, given)
			}
		},
	}
}

func (a answer[R]) print(w io.Writer, format string, given R) error {
	if format != "csv" {
		return printAs(w, format, given, a.text)
	}
	text, err := a.csv(given)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, text)
	return err
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
