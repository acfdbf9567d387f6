package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"testing"
)

// UniqueColumns lets a test compare the table with what the database has.
func UniqueColumns() []string { return slices.Sorted(maps.Keys(uniqueColumns)) }

// LimitPages bounds how far the SQLite file may grow.
func (s *Store) LimitPages(t *testing.T, pages int) {
	t.Helper()
	if _, err := s.db.(*sqlite).writer.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages)); err != nil {
		t.Fatal(err)
	}
}

// Query runs a query that gives one row of text through the store's adapter.
func (s *Store) Query(ctx context.Context, sql string, args ...any) (string, error) {
	var text string
	err := s.db.tx(ctx, true, func(q querier) error { return q.row(ctx, sql, args, &text) })
	return text, err
}

// ErrNoRow is what a query for one row gives when there is none.
var ErrNoRow = errNoRow
