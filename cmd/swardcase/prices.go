package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"

	"swardcase/api/contract"
	"swardcase/costs"
	"swardcase/model"
)

var pricesCommand = command{
	name: "prices", arguments: "[FILE.csv]",
	summary: "Print the built-in price book, or one read from a table",
	detail: `
Without a file, prints the built-in book, a template to fill in: every rate in it
is invented and none is for tender. Put your own in their place. With a file, a
table with the columns of that template as csv, prints it as the price book that
a case holds under money.price_book; every bad row is named at once. FILE.csv
may be - for standard input. A book needs only the items that a case asks for;
those that it lacks are named, all at once, with their units.`,
	define: func(flags *flag.FlagSet) action {
		format := flags.String("format", "json", "print as `FORMAT`: json or csv")
		var heading costs.PriceBook
		flags.StringVar(&heading.Name, "name", "", "the `NAME` of the book in the file")
		flags.StringVar(&heading.Currency, "currency", "", "its currency, an ISO 4217 `CODE`")
		flags.StringVar(&heading.PriceDate, "price-date", "", "the `DATE` of its prices, YYYY-MM-DD")
		return func(_ context.Context, p *process, arguments []string) error {
			if len(arguments) > 1 {
				return &usageError{"prices", fmt.Sprintf("give one table at most; %d were given", len(arguments))}
			}
			if err := oneOf("prices", "format", *format, "json", "csv"); err != nil {
				return err
			}
			book := costs.DemoPriceBook()
			if len(arguments) == 1 {
				var err error
				if book, err = p.readPrices(arguments[0], heading); err != nil {
					return err
				}
			}
			if *format == "csv" {
				return book.WriteCSV(p.stdout)
			}
			return printJSON(p.stdout, book)
		}
	},
}

// readPrices reads a price book from a table. What is wrong is told by row, as
// a spreadsheet counts them, and column.
func (p *process) readPrices(path string, heading costs.PriceBook) (costs.PriceBook, error) {
	body, err := p.readFile(path, contract.MaxBytes)
	if err != nil {
		return costs.PriceBook{}, err
	}
	book, problems := costs.ReadPriceBookCSV(bytes.NewReader(body), heading)
	return book, model.AsFaults(problems).Err()
}
