package costs

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Tables for spreadsheets: comma-separated values with a header row, in UTF-8.

// formulaMarks are the characters at the start of a cell that a spreadsheet may
// take for a formula.
const formulaMarks = "=+-@\t\r"

// CellText makes free text safe to open in a spreadsheet: where it starts with a
// character that would make a formula of it, or with an apostrophe, an
// apostrophe is put before it. textOfCell takes it off again.
func CellText(text string) string {
	if text != "" && strings.ContainsRune(formulaMarks+"'", rune(text[0])) {
		return "'" + text
	}
	return text
}

// textOfCell undoes CellText; an apostrophe that CellText did not write stays.
func textOfCell(cell string) string {
	if len(cell) >= 2 && cell[0] == '\'' && strings.ContainsRune(formulaMarks+"'", rune(cell[1])) {
		return cell[1:]
	}
	return cell
}

// table is a file of comma-separated values read whole: its rows by column
// name. Rows are counted as a spreadsheet counts them, the header being row 1.
type table struct {
	column map[string]int
	rows   []tableRow
}

type tableRow struct {
	number int
	cells  []string
}

// cell returns a row's cell in a column, without spaces around it, empty where
// the table has no such column.
func (t table) cell(row tableRow, column string) string {
	if at, ok := t.column[column]; ok {
		return strings.TrimSpace(row.cells[at])
	}
	return ""
}

// readTable reads a table of at most 1 MiB that has the required columns and
// none but these and the optional ones. Every row that cannot be read is named;
// fields are "/rows" and the row's number.
func readTable(r io.Reader, required, optional []string, maxRows int) (table, []Problem) {
	var found problems
	text, err := io.ReadAll(io.LimitReader(r, maxBookBytes+1))
	switch {
	case err != nil:
		found.add("", nil, "the table cannot be read: "+err.Error(), "check the file")
		return table{}, found
	case len(text) > maxBookBytes:
		found.add("", nil, "the table is larger than 1 MiB", "keep only the rows that are needed")
		return table{}, found
	}
	reader := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff")))
	reader.FieldsPerRecord = -1 // rows of another length are reported here
	header, err := reader.Read()
	if err != nil {
		found.add("/rows/1", nil, "the table has no header row", "start with the row "+strings.Join(required, ","))
		return table{}, found
	}
	read := table{column: columns(&found, header, required, optional)}
	if len(found) > 0 {
		return table{}, found
	}
	for number := 2; len(found) < maxProblems; number++ {
		cells, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		at := fmt.Sprintf("/rows/%d", number)
		switch {
		case err != nil:
			found.add(at, nil, "the row cannot be read: "+shorten(err), "put text that holds commas or quotes in quotes, each quote inside doubled")
		case len(cells) != len(header):
			found.add(at, len(cells), fmt.Sprintf("the row does not have the %d cells of the header", len(header)), "give each column a cell, empty where there is nothing")
		case len(read.rows) == maxRows:
			found.add("/rows", number, fmt.Sprintf("the table has more than %d rows", maxRows), "keep only the rows that are needed")
			return table{}, found
		default:
			read.rows = append(read.rows, tableRow{number, cells})
		}
	}
	return read, found
}

// columns reads the header.
func columns(found *problems, header, required, optional []string) map[string]int {
	allowed := map[string]bool{}
	for _, name := range required {
		allowed[name] = true
	}
	for _, name := range optional {
		allowed[name] = true
	}
	at := map[string]int{}
	for i, cell := range header {
		name := strings.ToLower(strings.TrimSpace(cell))
		_, twice := at[name]
		switch {
		case !allowed[name]:
			found.add("/rows/1", name, "this column is not known", "use "+strings.Join(append(append([]string{}, required...), optional...), ", "))
		case twice:
			found.add("/rows/1", name, "this column stands twice", "keep one of them")
		}
		at[name] = i
		if len(*found) >= maxProblems {
			return at
		}
	}
	for _, name := range required {
		if _, ok := at[name]; !ok {
			found.add("/rows/1", name, "this column is missing", "add the column, with a comma between columns")
		}
	}
	return at
}
