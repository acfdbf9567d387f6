package costs

import (
	"encoding/csv"
	"fmt"
	"io"
)

// WriteCSV writes the bill as a table: a row for every line and every total,
// in the order of the bill. The column "row" says what a row is, so that a
// spreadsheet can sum the rows called line and find the subtotal. Amounts are
// plain decimals at the currency's places.
func (b Bill) WriteCSV(w io.Writer) error {
	table := billTable{writer: csv.NewWriter(w), currency: b.Currency.Code()}
	_ = table.writer.Write([]string{"row", "section", "item", "description", "quantity", "unit", "rate", "pct", "amount", "currency", "tax_class", "working"})
	for _, section := range b.Sections {
		for _, line := range section.Lines {
			table.write(billRow{
				row: "line", section: section.Section, item: line.Item, description: line.Description, quantity: plainNumber(line.Quantity),
				unit: string(line.Unit), rate: line.Rate.DecimalText(), amount: line.Amount, taxClass: line.TaxClass, working: line.Working,
			})
		}
		table.write(billRow{row: "section_subtotal", section: section.Section, amount: section.Subtotal})
	}
	table.write(billRow{row: "subtotal", amount: b.Subtotal})
	for _, added := range b.Preliminaries {
		table.write(billRow{row: "preliminaries", description: added.Name, pct: plainNumber(added.Pct), amount: added.Amount})
	}
	for _, added := range b.ProfessionalFees {
		table.write(billRow{row: "professional_fees", description: added.Name, pct: plainNumber(added.Pct), amount: added.Amount})
	}
	table.write(billRow{row: "contingency", pct: plainNumber(b.ContingencyPct), amount: b.Contingency})
	table.write(billRow{row: "net_total", amount: b.NetTotal})
	for _, line := range b.TaxLines {
		table.write(billRow{row: "tax", pct: plainNumber(line.RatePct), amount: line.Tax, taxClass: line.TaxClass, working: "on " + line.Taxable.DecimalText()})
	}
	table.write(billRow{row: "tax_recoverable", pct: plainNumber(b.TaxRecoverablePct), amount: b.TaxRecoverable})
	table.write(billRow{row: "capital", amount: b.Capital, working: "net total plus tax, less recoverable tax"})
	table.writer.Flush()
	if err := table.writer.Error(); err != nil { // the first error of all the writes
		return fmt.Errorf("costs: write bill: %w", err)
	}
	return nil
}

// billTable writes rows of a bill.
type billTable struct {
	writer   *csv.Writer
	currency string
}

// billRow is one row; what is empty stays empty.
type billRow struct {
	row, section, item, description, quantity, unit, rate, pct string
	amount                                                     Money
	taxClass                                                   TaxClass
	working                                                    string
}

func (t billTable) write(row billRow) {
	_ = t.writer.Write([]string{
		row.row, CellText(row.section), row.item, CellText(row.description), row.quantity, row.unit, row.rate, row.pct,
		row.amount.DecimalText(), t.currency, string(row.taxClass), CellText(row.working),
	})
}
