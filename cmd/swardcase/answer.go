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

// answerCommand makes a command that reads one case, asks the service one
// question of it, and prints the answer as text or as JSON.
func answerCommand[R any](name, summary, detail string,
	ask func(*service.Service, context.Context, contract.Document) (any, error), text func(R) string,
) command {
	return command{
		name: name, arguments: "CASE.json", summary: summary, detail: detail,
		define: func(flags *flag.FlagSet) action {
			format := flags.String("format", "text", "print as `FORMAT`: text or json")
			return func(ctx context.Context, p *process, arguments []string) error {
				if err := oneOf(name, "format", *format, "text", "json"); err != nil {
					return err
				}
				svc, err := service.New(service.ModelEngine())
				if err != nil {
					return err
				}
				document, err := p.readCase(svc, name, arguments)
				if err != nil {
					return err
				}
				answer, err := service.As[R](ask(svc, ctx, document))
				if err != nil {
					return err
				}
				if *format == "json" {
					return printJSON(p.stdout, answer)
				}
				_, err = io.WriteString(p.stdout, text(answer))
				return err
			}
		},
	}
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
