package main

import (
	"context"
	"embed"
	"flag"
	"fmt"
	"io"
	"io/fs"

	"swardcase/api/service"
	"swardcase/model"
)

// demoCases are three greens of an invented club: one that upkeep can rescue,
// one whose top is spoilt over a base that drains, and one that no upkeep can
// mend. They differ by their measurements.
//
//go:embed demo/*.json
var demoCases embed.FS

var demoCommand = command{
	name:    "demo",
	summary: "Appraise three greens of an invented club, then serve the API",
	detail: `
Club, greens, readings and prices are invented. It serves on ` + defaultAddress + `, or on a free
port where that one is busy, until it is interrupted.`,
	define: func(flags *flag.FlagSet) action {
		once := flags.Bool("once", false, "print the three appraisals and stop")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := noArguments("demo", arguments); err != nil {
				return err
			}
			svc, err := service.New(service.ModelEngine())
			if err != nil {
				return err
			}
			if err := p.printDemo(ctx, svc); err != nil || *once {
				return err
			}
			listener, err := listen(defaultAddress, true)
			if err != nil {
				return err
			}
			return p.serve(ctx, listener, svc)
		}
	},
}

// printDemo appraises the demonstration's greens in the order of their names.
func (p *process) printDemo(ctx context.Context, svc *service.Service) error {
	names, err := fs.Glob(demoCases, "demo/*.json")
	if err != nil {
		return err
	}
	for i, name := range names {
		body, err := demoCases.ReadFile(name)
		if err != nil {
			return err
		}
		document, err := svc.ReadCase(body)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		appraisal, err := service.As[model.Appraisal](svc.Appraise(ctx, document))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		text := appraisalText(appraisal)
		if i > 0 {
			text = "\n\n" + text
		}
		if _, err := io.WriteString(p.stdout, text); err != nil {
			return err
		}
	}
	return nil
}
