package workbook

import (
	"bytes"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"swardcase/costs"
)

// TestTheSameAppraisalGivesTheSameBytes: a kept workbook can be compared.
func TestTheSameAppraisalGivesTheSameBytes(t *testing.T) {
	a := appraise(t, readCase(t, "../../../cmd/swardcase/demo/green_04.json"))
	var first, second bytes.Buffer
	if err := Write(&first, a); err != nil {
		t.Fatal(err)
	}
	if err := Write(&second, a); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two workbooks of one appraisal differ")
	}
}

// TestTextIsNeverAFormula: whatever a name begins with, its cell holds text, and is
// formatted as text, so that it stays text when somebody edits it.
func TestTextIsNeverAFormula(t *testing.T) {
	c := readCase(t, "../../../cmd/swardcase/demo/green_04.json")
	hostile := []string{`=HYPERLINK("http://example.invalid","open")`, "+1+1", "-2", "@SUM(A1)", "&Ltitle", "=1&<b>"}
	c.Title = hostile[0]
	book := costs.DemoPriceBook()
	for i := range book.Items {
		book.Items[i].Description = hostile[i%len(hostile)]
	}
	c.Money.PriceBook = &book
	for i := range c.Survey.Infiltration.RingTests {
		c.Survey.Infiltration.RingTests[i].Position = hostile[1+i%3]
	}
	path := t.TempDir() + "/hostile.xlsx"
	save(t, path, appraise(t, c))
	file := open(t, path)
	found := 0
	for _, name := range file.GetSheetList() {
		rows, err := file.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, value := range row {
				if !strings.ContainsAny(value[:min(1, len(value))], "=+-@&") || !isHostile(value, hostile) {
					continue
				}
				found++
				checkText(t, file, name, at(j, i+1))
			}
		}
	}
	if found < 50 {
		t.Errorf("only %d hostile cells were found", found)
	}
}

func isHostile(value string, hostile []string) bool {
	for _, text := range hostile {
		if value == text {
			return true
		}
	}
	return false
}

func checkText(t *testing.T, file *excelize.File, sheet, cell string) {
	t.Helper()
	formula, err := file.GetCellFormula(sheet, cell)
	if err != nil || formula != "" {
		t.Errorf("%s!%s is the formula %q (%v)", sheet, cell, formula, err)
	}
	kind, err := file.GetCellType(sheet, cell)
	if err != nil || kind != excelize.CellTypeInlineString && kind != excelize.CellTypeSharedString {
		t.Errorf("%s!%s is not text but %v (%v)", sheet, cell, kind, err)
	}
	number, err := file.GetCellStyle(sheet, cell)
	if err != nil {
		t.Fatal(err)
	}
	style, err := file.GetStyle(number)
	if err != nil || style.CustomNumFmt == nil && style.NumFmt != 49 || style.CustomNumFmt != nil && *style.CustomNumFmt != asText {
		t.Errorf("%s!%s is not formatted as text: %+v (%v)", sheet, cell, style, err)
	}
}

// TestAFootHoldsNoCommands: & begins a command in the foot of a page.
func TestAFootHoldsNoCommands(t *testing.T) {
	if got := footText(strings.Repeat("a&b", 40), 10); got != " a&&ba&&ba&&b…" {
		t.Errorf("%q", got)
	}
}

// TestEverySheetHasItsName: names of sheets are short and plain in every program.
func TestEverySheetHasItsName(t *testing.T) {
	path := t.TempDir() + "/names.xlsx"
	save(t, path, appraise(t, readCase(t, "../../../cmd/swardcase/demo/green_04.json")))
	want := []string{
		"Summary", "Bill partial, existing turf", "Bill partial, supplier turf", "Bill rebuild, seed", "Bill rebuild, supplier turf", "Bill rebuild, nursery turf",
		"Bill rebuild, existing turf", "Enabling and upkeep", "Cash flow", "Rates", "Terms", "Assumptions", "Survey",
	}
	got := open(t, path).GetSheetList()
	if strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("the sheets are %q", got)
	}
	for _, name := range got {
		if len(name) > 31 || strings.ContainsAny(name, `:\/?*[]`) {
			t.Errorf("%q is no name for a sheet", name)
		}
	}
}
