package main

import (
	"context"
	"flag"
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
			svc, document, err := p.openCase("resolve", arguments)
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
