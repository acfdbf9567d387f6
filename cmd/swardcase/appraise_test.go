package main

import (
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
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
