package store_test

import (
	"errors"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestArgumentsGoByTheirNumber: a driver that goes by order of appearance gives
// wrong rows without a word.
func TestArgumentsGoByTheirNumber(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		tests := []struct {
			sql  string
			args []any
			want string
		}{
			{`SELECT CAST($2 AS text) || CAST($1 AS text)`, []any{"a", "b"}, "ba"},
			{`SELECT CAST($1 AS text) || CAST($1 AS text)`, []any{"a"}, "aa"},
			{`SELECT CAST($3 AS text) || CAST($1 AS text) || CAST($2 AS text) || CAST($1 AS text)`, []any{"a", "b", "c"}, "caba"},
		}
		for _, tt := range tests {
			if got, err := s.Query(t.Context(), tt.sql, tt.args...); err != nil || got != tt.want {
				t.Errorf("%s gave %q, want %q: %v", tt.sql, got, tt.want, err)
			}
		}
		if _, err := s.Query(t.Context(), `SELECT name FROM clubs`); !errors.Is(err, store.ErrNoRow) {
			t.Errorf("no row gave %v", err)
		}
	})
}

// constraintOf is the name of a constraint that PostgreSQL tells beside its text.
func constraintOf(err error) string {
	var told *pgconn.PgError
	if errors.As(err, &told) {
		return told.ConstraintName
	}
	return ""
}
