// Package published reads what lies under testdata: the printed tables and worked
// examples that the model is held to. Only tests import it.
package published

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// File is the path of a file under testdata, from the folder of any package.
func File(t testing.TB, name string) string {
	t.Helper()
	root := "."
	for range 8 {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			return filepath.Join(root, "testdata", filepath.FromSlash(name))
		}
		root = filepath.Join(root, "..")
	}
	t.Fatal("no go.mod above the package: where is testdata?")
	return ""
}

// Rows reads a table below its header. Lines that start with # cite its source.
func Rows(t testing.TB, name string) [][]string {
	t.Helper()
	return read(t, name)[1:]
}

// Records reads a table as one record a row, by the names of its columns.
func Records(t testing.TB, name string) []map[string]string {
	t.Helper()
	table := read(t, name)
	var records []map[string]string
	for _, row := range table[1:] {
		record := map[string]string{}
		for i, column := range table[0] {
			record[column] = row[i]
		}
		records = append(records, record)
	}
	return records
}

// read gives a table with its header; one without rows is no check of anything.
func read(t testing.TB, name string) [][]string {
	t.Helper()
	file, err := os.Open(File(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	table, err := reader.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(table) < 2 {
		t.Fatalf("%s holds no rows", name)
	}
	return table
}

// JSON reads a document into a pointer.
func JSON(t testing.TB, name string, into any) {
	t.Helper()
	text, err := os.ReadFile(File(t, name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// Number reads a cell.
func Number(t testing.TB, text string) float64 {
	t.Helper()
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return value
}
