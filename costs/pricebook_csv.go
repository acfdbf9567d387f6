package costs

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// Columns of a price book as a table. A row with a from_quantity is a quantity
// break of the item of the same code above it; its unit, tax class and texts
// may be left empty. A currency, where the table has that column, must be the
// book's in every row.
var (
	bookColumns         = []string{"item", "unit", "low", "likely", "high", "tax_class"}
	optionalBookColumns = []string{"description", "source", "minimum_charge", "minimum_charge_per_visit", "from_quantity", "currency"}
)

// ReadPriceBookCSV reads the items of a price book from a table with a header
// row, under a heading that gives the book's name, currency, date, note and
// indices. Everything wrong is listed at once: fields of the heading are
// relative to the price book, fields of items are "/rows", the row's number as
// a spreadsheet counts it, and the column.
func ReadPriceBookCSV(r io.Reader, heading PriceBook) (PriceBook, []Problem) {
	read, unreadable := readTable(r, bookColumns, optionalBookColumns, maxItems*(1+maxBreaks))
	if read.column == nil {
		return PriceBook{}, unreadable
	}
	reader := bookReader{table: read, book: heading, first: map[string]int{}}
	reader.book.Items = nil
	reader.found = unreadable
	reader.currency, _ = LookupCurrency(heading.Currency)
	for _, row := range read.rows {
		if len(reader.found) >= maxProblems {
			break
		}
		reader.row(row)
	}
	reader.checkHeading(heading)
	if len(reader.found) > 0 {
		return PriceBook{}, reader.found
	}
	return reader.book, nil
}

// bookReader turns the rows of a table into the items of a book.
type bookReader struct {
	table    table
	book     PriceBook
	currency Currency
	first    map[string]int // place in the book of each item
	found    problems
}

// row reads one item or quantity break.
func (b *bookReader) row(row tableRow) {
	at := fmt.Sprintf("/rows/%d", row.number)
	cell := func(column string) string { return b.table.cell(row, column) }
	if code := cell("currency"); code != "" && code != b.book.Currency {
		b.found.add(at+"/currency", code, "the row is not in "+b.book.Currency+", the currency of the price book", "give every rate in one currency; nothing is converted here")
	}
	if cell("from_quantity") != "" {
		b.breakRow(row, at)
		return
	}
	item := PriceItem{
		Item: cell("item"), Description: textOfCell(cell("description")), Unit: Unit(cell("unit")),
		Low: DecimalAmount(cell("low")), Likely: DecimalAmount(cell("likely")), High: DecimalAmount(cell("high")),
		TaxClass: TaxClass(cell("tax_class")), Source: textOfCell(cell("source")),
		MinimumCharge: DecimalAmount(cell("minimum_charge")), MinimumChargePerVisit: DecimalAmount(cell("minimum_charge_per_visit")),
	}
	b.found.under(at, item.validate(b.currency))
	if _, twice := b.first[item.Item]; twice {
		b.found.add(at+"/item", item.Item, "this item is already priced in a row above", "keep one of the two, or give the second a from_quantity")
		return
	}
	if len(b.book.Items) == maxItems {
		b.found.add(at+"/item", item.Item, fmt.Sprintf("a price book has at most %d items", maxItems), "drop those no bill names")
		return
	}
	b.first[item.Item] = len(b.book.Items)
	b.book.Items = append(b.book.Items, item)
}

// breakRow reads a quantity break of an item above it.
func (b *bookReader) breakRow(row tableRow, at string) {
	cell := func(column string) string { return b.table.cell(row, column) }
	place, ok := b.first[cell("item")]
	if !ok {
		b.found.add(at+"/item", cell("item"), "a quantity break of an item that no row above prices", "put the item's own row, without a from_quantity, first")
		return
	}
	item := &b.book.Items[place]
	for _, same := range []struct{ column, want string }{{"unit", string(item.Unit)}, {"tax_class", string(item.TaxClass)}} {
		if got := cell(same.column); got != "" && got != same.want {
			b.found.add(at+"/"+same.column, got, "the item's own row says "+same.want, "leave the cell empty or write the same")
		}
	}
	for _, column := range []string{"minimum_charge", "minimum_charge_per_visit"} {
		if cell(column) != "" {
			b.found.add(at+"/"+column, cell(column), "a minimum charge is the item's and not a quantity break's", "put it in the item's own row")
		}
	}
	from, err := DecimalAmount(cell("from_quantity")).Decimal()
	if err != nil {
		b.found.add(at+"/from_quantity", cell("from_quantity"), "this is not a quantity", "write a plain number with a point and at most 3 places")
		return
	}
	item.QuantityBreaks = append(item.QuantityBreaks, QuantityBreak{
		FromQuantity: from.InexactFloat64(), Low: DecimalAmount(cell("low")), Likely: DecimalAmount(cell("likely")), High: DecimalAmount(cell("high")),
	})
	// The breaks before this one were checked with their own rows.
	charges := PriceItem{QuantityBreaks: item.QuantityBreaks}.validateCharges(b.currency)
	last := fmt.Sprintf("/quantity_breaks/%d", len(item.QuantityBreaks)-1)
	for _, problem := range charges {
		if field, ok := cutPointer(problem.Field, last); ok {
			problem.Field = at + field
			b.found = append(b.found, problem)
		}
	}
	if len(item.QuantityBreaks) > maxBreaks {
		b.found.add(at+"/from_quantity", cell("from_quantity"), fmt.Sprintf("an item has at most %d quantity breaks", maxBreaks), "keep those that a green can reach")
		item.QuantityBreaks = item.QuantityBreaks[:maxBreaks]
	}
}

// cutPointer returns the part of a field below a prefix.
func cutPointer(field, prefix string) (below string, ok bool) {
	if len(field) > len(prefix) && field[:len(prefix)] == prefix && field[len(prefix)] == '/' {
		return field[len(prefix):], true
	}
	return "", false
}

// checkHeading checks what the table does not hold, and that it held something.
func (b *bookReader) checkHeading(heading PriceBook) {
	heading.Items = []PriceItem{{Item: "any", Unit: Each, Low: "0", Likely: "0", High: "0", TaxClass: ZeroRated}}
	b.found.under("", heading.Validate())
	if len(b.table.rows) == 0 {
		b.found.add("/rows", nil, "the table has no rows below its header", "give at least one item")
	}
}

// WriteCSV writes the items as a table that ReadPriceBookCSV reads again. The
// heading (name, date, note, indices) is not in the table, but for the currency.
func (b PriceBook) WriteCSV(w io.Writer) error {
	writer := csv.NewWriter(w)
	_ = writer.Write([]string{"item", "description", "unit", "from_quantity", "low", "likely", "high", "currency", "tax_class", "minimum_charge", "minimum_charge_per_visit", "source"})
	for _, item := range b.Items {
		_ = writer.Write([]string{
			item.Item, CellText(item.Description), string(item.Unit), "", string(item.Low), string(item.Likely), string(item.High),
			b.Currency, string(item.TaxClass), string(item.MinimumCharge), string(item.MinimumChargePerVisit), CellText(item.Source),
		})
		for _, quantityBreak := range item.QuantityBreaks {
			_, from, err := thousandths(quantityBreak.FromQuantity)
			if err != nil {
				return fmt.Errorf("costs: write price book: quantity break of %s: %w", item.Item, err)
			}
			_ = writer.Write([]string{
				item.Item, "", string(item.Unit), plainNumber(from), string(quantityBreak.Low), string(quantityBreak.Likely), string(quantityBreak.High),
				b.Currency, string(item.TaxClass), "", "", "",
			})
		}
	}
	writer.Flush()
	if err := writer.Error(); err != nil { // the first error of all the writes
		return fmt.Errorf("costs: write price book: %w", err)
	}
	return nil
}

// plainNumber writes a number without an exponent.
func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
