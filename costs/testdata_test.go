package costs

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/shopspring/decimal"
)

// load reads one table of published figures. Each row carries its source; a
// table without rows would check nothing and is an error.
func load[Row any](t *testing.T, name string) []Row {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "costs", name))
	if err != nil {
		t.Fatal(err)
	}
	var rows []Row
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(rows) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return rows
}

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func currency(t testing.TB, code string) Currency {
	t.Helper()
	c, ok := LookupCurrency(code)
	if !ok {
		t.Fatalf("no currency %s", code)
	}
	return c
}

// money makes an amount and fails the test where it cannot.
func money(t testing.TB, amount, code string) Money {
	t.Helper()
	m, err := ParseMoney(amount, currency(t, code))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// mustNot fails the test where problems were found.
func mustNot(t testing.TB, found []Problem) {
	t.Helper()
	for _, problem := range found {
		t.Error(problem)
	}
	if len(found) > 0 {
		t.FailNow()
	}
}

// wantFields checks that the problems name exactly these fields, in order.
func wantFields(t *testing.T, found []Problem, fields ...string) {
	t.Helper()
	if len(found) != len(fields) {
		t.Fatalf("got %d problems, want %d: %v", len(found), len(fields), found)
	}
	for i, problem := range found {
		if problem.Field != fields[i] {
			t.Errorf("problem %d is at %q, want %q (%v)", i, problem.Field, fields[i], problem)
		}
		if problem.Detail == "" || problem.Remedy == "" {
			t.Errorf("problem at %q lacks a detail or a remedy", problem.Field)
		}
	}
}
