package main

import (
	"context"
	"flag"

	"swardcase/api/service"
	"swardcase/model/assumption"
)

var assumptionsCommand = command{
	name:    "assumptions",
	summary: "List every assumption with its range and source",
	detail: `
A case may replace any of them under "assumptions": the name, a likely value,
and if wished a low and a high one and the reason.`,
	define: func(flags *flag.FlagSet) action {
		format := flags.String("format", "text", "print as `FORMAT`: text or json")
		return func(_ context.Context, p *process, arguments []string) error {
			if err := noArguments("assumptions", arguments); err != nil {
				return err
			}
			if err := oneOf("assumptions", "format", *format, "text", "json"); err != nil {
				return err
			}
			return printAs(p.stdout, *format, service.Assumptions(), assumptionsText)
		}
	},
}

// assumptionsText prints three lines an assumption: name and values, meaning,
// and what it rests on.
func assumptionsText(list []assumption.Assumption) string {
	var p page
	p.title("Assumptions: low, likely, high")
	for _, a := range list {
		unit := a.Unit
		if unit == "1" {
			unit = ""
		}
		p.line("")
		p.line("%s", a.Name)
		p.line("  %g, %g, %g %s", a.Low, a.Likely, a.High, unit)
		p.hanging("  ", a.Meaning)
		rests := a.Basis.Words()
		if a.Source != "" {
			rests += ": " + a.Source
		}
		p.hanging("  ", rests)
	}
	return p.String()
}
