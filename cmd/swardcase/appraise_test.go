package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"swardcase/model"
)

// TestTheBillAsATableAddsUp sums the lines of the exported bill to its subtotal,
// and what is added to them to its net total.
func TestTheBillAsATableAddsUp(t *testing.T) {
	for _, name := range []string{"money", "green_04"} {
		code, out, stderr := runCommand(t, "", "appraise", "../../testdata/cases/"+name+".json", "--format", "csv")
		if code != 0 {
			t.Fatal(stderr)
		}
		rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		column := map[string]int{}
		for i, title := range rows[0] {
			column[title] = i
		}
		sums := map[string]decimal.Decimal{}
		for _, row := range rows[1:] {
			amount, err := decimal.NewFromString(row[column["amount"]])
			if err != nil {
				t.Fatal(err)
			}
			sums[row[0]] = sums[row[0]].Add(amount)
		}
		if !sums["line"].Equal(sums["subtotal"]) || !sums["line"].Equal(sums["section_subtotal"]) || sums["line"].IsZero() {
			t.Errorf("%s: lines come to %s, sections to %s, the subtotal is %s", name, sums["line"], sums["section_subtotal"], sums["subtotal"])
		}
		if net := sums["subtotal"].Add(sums["preliminaries"]).Add(sums["professional_fees"]).Add(sums["contingency"]); !net.Equal(sums["net_total"]) {
			t.Errorf("%s: subtotal and additions come to %s, the net total is %s", name, net, sums["net_total"])
		}
		if capital := sums["net_total"].Add(sums["tax"]).Sub(sums["tax_recoverable"]); !capital.Equal(sums["capital"]) {
			t.Errorf("%s: net total and tax come to %s, the capital is %s", name, capital, sums["capital"])
		}
	}
}

// TestWhatIsSaidOfTheLikelyCostIsCounted: half of the draws exceed the figure that
// is named, and without draws no share is claimed.
func TestWhatIsSaidOfTheLikelyCostIsCounted(t *testing.T) {
	_, body, _ := runCommand(t, "", "resolve", "demo/green_14.json")
	for draws, want := range map[string]string{
		"2000": "Half of the draws cost more than £",
		"0":    "No draws were made",
	} {
		_, out, stderr := runCommand(t, withDraws(t, body, draws), "appraise", "-")
		if !strings.Contains(strings.Join(strings.Fields(out), " "), want) {
			t.Errorf("%s draws: it does not say %q: %s%s", draws, want, out, stderr)
		}
	}
}

func withDraws(t *testing.T, body, draws string) string {
	t.Helper()
	var document map[string]any
	if err := json.Unmarshal([]byte(body), &document); err != nil {
		t.Fatal(err)
	}
	document["confidence"] = map[string]any{"draws": json.Number(draws)}
	anew, err := json.Marshal(document)
	if err != nil {
		t.Fatal(err)
	}
	return string(anew)
}

// TestTheCashFlowAsATableAddsUp sums every option's discounted years to its net
// present value, and the differences to that against the present programme.
func TestTheCashFlowAsATableAddsUp(t *testing.T) {
	const file = "demo/green_11.json"
	code, out, stderr := runCommand(t, "", "appraise", file, "--format", "csv", "--table", "cash_flow")
	if code != 0 {
		t.Fatal(stderr)
	}
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	sums := map[string]decimal.Decimal{}
	for _, row := range rows[1:] {
		for i, cell := range row {
			if amount, err := decimal.NewFromString(cell); err == nil {
				sums[row[0]+" "+rows[0][i]] = sums[row[0]+" "+rows[0][i]].Add(amount)
			}
		}
	}
	_, text, stderr := runCommand(t, "", "appraise", file, "--format", "json")
	var a model.Appraisal
	if err := json.Unmarshal([]byte(text), &a); err != nil {
		t.Fatal(err, stderr)
	}
	for _, o := range a.Options {
		flow, name := o.Money.CashFlow, string(o.Option)
		if !sums[name+" discounted"].Equal(flow.NetPresentValue.Amount()) || !sums[name+" discounted_difference"].Equal(o.Money.AgainstPresent.NetPresentValue.Amount()) {
			t.Errorf("%s: %s and %s, want %s and %s", name, sums[name+" discounted"], sums[name+" discounted_difference"], flow.NetPresentValue, o.Money.AgainstPresent.NetPresentValue)
		}
		net := sums[name+" income"]
		for _, less := range []string{"enabling", "capital", "aftercare", "upkeep", "renewal", "income_lost"} {
			net = net.Sub(sums[name+" "+less])
		}
		if !net.Equal(flow.Net.Amount()) {
			t.Errorf("%s: the kinds come to %s, the net is %s", name, net, flow.Net)
		}
	}
}

// TestAWorkbookGoesToAFile or to standard output, the same both ways.
func TestAWorkbookGoesToAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "green.xlsx")
	code, out, stderr := runCommand(t, "", "appraise", "demo/green_04.json", "--format", "xlsx", "--output", file)
	if code != 0 || out != "" {
		t.Fatal(code, out, stderr)
	}
	written, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	_, out, stderr = runCommand(t, "", "appraise", "demo/green_04.json", "--format", "xlsx")
	if out != string(written) || !strings.HasPrefix(out, "PK\x03\x04") {
		t.Errorf("%d bytes in the file, %d printed: %s", len(written), len(out), stderr)
	}
	code, _, stderr = runCommand(t, "", "appraise", "demo/green_04.json", "--format", "csv", "--table", "years")
	if code != 1 || !strings.Contains(stderr, "bill or cash_flow") {
		t.Errorf("an unknown table: %d, %s", code, stderr)
	}
}
