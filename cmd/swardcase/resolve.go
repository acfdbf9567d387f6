package main

import (
	"context"
	"flag"

	"swardcase/api/service"
)

var resolveCommand = command{
	name: "resolve", arguments: "CASE.json",
	summary: "Print a case with every default written in",
	detail: `
The output is itself a case: climate normals, present programme, value scales,
terms of money, price book and every assumption stand in it, so that it can be
read, edited and appraised again to the same result.`,
	define: func(flags *flag.FlagSet) action {
		record := recordFlag(flags)
		return func(ctx context.Context, p *process, arguments []string) error {
			svc, err := service.New(service.ModelEngine())
			if err != nil {
				return err
			}
			document, err := p.readCase(svc, "resolve", arguments)
			if err != nil {
				return err
			}
			if document, err = p.withRecord(svc, document, *record); err != nil {
				return err
			}
			resolved, err := svc.ResolveCase(ctx, document)
			if err != nil {
				return err
			}
			return printJSON(p.stdout, resolved)
		}
	},
}
