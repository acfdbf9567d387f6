package main

import (
	"context"
	"flag"
	"fmt"

	"swardcase/costs"
)

var pricesCommand = command{
	name:    "prices",
	summary: "Print the built-in price book, a template to fill in",
	detail: `
Every rate in it is invented and none is for tender. Put your own in their place,
and your own name, currency, date and sources: as JSON it is what a case holds
under money.price_book. A book needs only the items that a case asks for; those
that it lacks are named, all at once, with their units.`,
	define: func(flags *flag.FlagSet) action {
		format := flags.String("format", "json", "print as `FORMAT`: json or csv")
		return func(_ context.Context, p *process, arguments []string) error {
			if len(arguments) > 0 {
				return &usageError{"prices", fmt.Sprintf("prices takes no arguments; %q was given", arguments[0])}
			}
			if err := oneOf("prices", "format", *format, "json", "csv"); err != nil {
				return err
			}
			book := costs.DemoPriceBook()
			if *format == "csv" {
				return book.WriteCSV(p.stdout)
			}
			return printJSON(p.stdout, book)
		}
	},
}
