package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/costs"
)

// TestThePrintedPricesAreReadBack: the template is a price book as a case and a
// table hold one, and says itself that it is invented.
func TestThePrintedPricesAreReadBack(t *testing.T) {
	want := costs.DemoPriceBook()
	_, text, _ := runCommand(t, "", "prices")
	book, found := costs.DecodePriceBook(strings.NewReader(text))
	if diff := cmp.Diff(want, book); diff != "" || len(found) > 0 {
		t.Errorf("as JSON: %v\n%s", found, diff)
	}
	_, text, _ = runCommand(t, "", "prices", "--format", "csv")
	heading := want
	heading.Items = nil
	table, found := costs.ReadPriceBookCSV(strings.NewReader(text), heading)
	if diff := cmp.Diff(want, table); diff != "" || len(found) > 0 {
		t.Errorf("as a table: %v\n%s", found, diff)
	}
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "item,") && !strings.Contains(line, "invented") {
			t.Errorf("a rate is not marked invented: %s", line)
		}
	}
	if code, _, stderr := runCommand(t, "", "prices", "--format", "xml"); code != 1 || !strings.Contains(stderr, "json or csv") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}

// TestTheTemplateMakesACaseInAnotherCurrency follows the faults as a newcomer
// would: the printed book with the currency put right, and the tax rates.
func TestTheTemplateMakesACaseInAnotherCurrency(t *testing.T) {
	body, err := os.ReadFile("demo/green_04.json")
	if err != nil {
		t.Fatal(err)
	}
	var c map[string]any
	if err := json.Unmarshal([]byte(strings.ReplaceAll(string(body), `"GBP"`, `"EUR"`)), &c); err != nil {
		t.Fatal(err)
	}
	money := c["money"].(map[string]any)
	delete(money, "price_book")
	delete(money, "tax_rates")
	appraise := func() (int, string, string) {
		text, err := json.Marshal(c)
		if err != nil {
			t.Fatal(err)
		}
		return runCommand(t, string(text), "appraise", "-")
	}
	code, _, stderr := appraise()
	for _, says := range []string{"\n/money/price_book\n", "swardcase prices", "\n/money/tax_rates\n"} {
		if code != 2 || !strings.Contains(stderr, says) {
			t.Errorf("exit code %d, and %q is not in:\n%s", code, says, stderr)
		}
	}
	_, text, _ := runCommand(t, "", "prices")
	var book map[string]any
	if err := json.Unmarshal([]byte(text), &book); err != nil {
		t.Fatal(err)
	}
	book["currency"] = "EUR"
	money["price_book"] = book
	money["tax_rates"] = []map[string]any{{"tax_class": "standard", "rate_pct": 21}}
	if code, out, stderr := appraise(); code != 0 || !strings.Contains(out, "€") || strings.Contains(out, "£") {
		t.Errorf("exit code %d: %s%s", code, stderr, out)
	}
}

// TestATableOfPricesIsReadBack: the template as csv, read again, has the same
// items; bad rows are named all at once, by row and column.
func TestATableOfPricesIsReadBack(t *testing.T) {
	_, table, _ := runCommand(t, "", "prices", "--format", "csv")
	_, built, _ := runCommand(t, "", "prices")
	code, read, stderr := runCommand(t, table, "prices", "-", "--name", "Ours", "--currency", "GBP", "--price-date", "2027-01-31")
	if code != 0 {
		t.Fatal(stderr)
	}
	var from, to costs.PriceBook
	for text, book := range map[string]*costs.PriceBook{built: &from, read: &to} {
		if err := json.Unmarshal([]byte(text), book); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(from.Items, to.Items); diff != "" {
		t.Error(diff)
	}
	if to.Name != "Ours" || to.PriceDate != "2027-01-31" {
		t.Errorf("the heading is %q, %q", to.Name, to.PriceDate)
	}
	lines := strings.Split(table, "\n")
	for _, row := range []int{2, 5} {
		lines[row] = strings.Replace(lines[row], ".", ",,", 1)
	}
	code, _, stderr = runCommand(t, strings.Join(lines, "\n"), "prices", "-", "--name", "Ours", "--currency", "GBP", "--price-date", "2027-01-31")
	if code != 2 || !strings.Contains(stderr, "/rows/3") || !strings.Contains(stderr, "/rows/6") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}
