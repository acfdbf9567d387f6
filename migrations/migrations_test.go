package migrations_test

import (
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/migrations"
)

func names(t *testing.T, folder fs.FS) []string {
	t.Helper()
	list, err := fs.Glob(folder, "*.sql")
	if err != nil || len(list) == 0 {
		t.Fatalf("no migrations: %v", err)
	}
	return list
}

func TestEnginesHaveTheSameMigrations(t *testing.T) {
	if diff := cmp.Diff(names(t, migrations.Postgres()), names(t, migrations.SQLite())); diff != "" {
		t.Errorf("the folders differ (- PostgreSQL, + SQLite):\n%s", diff)
	}
}

// TestNumbersFollowOneAnother: a gap would let a later migration slip in before
// one that databases have already run.
func TestNumbersFollowOneAnother(t *testing.T) {
	for i, name := range names(t, migrations.SQLite()) {
		want := regexp.MustCompile(`^\d{5}_[a-z_]+\.sql$`)
		if !want.MatchString(name) || name[:5] != fmt.Sprintf("%05d", i+1) {
			t.Errorf("migration %d is called %s", i+1, name)
		}
	}
}

// TestEveryConstraintHasAName: the store tells what went wrong by that name.
func TestEveryConstraintHasAName(t *testing.T) {
	bare := regexp.MustCompile(`(?i)(primary key|unique|check|references|foreign key)`)
	for engine, folder := range map[string]fs.FS{"PostgreSQL": migrations.Postgres(), "SQLite": migrations.SQLite()} {
		for _, name := range names(t, folder) {
			text, err := fs.ReadFile(folder, name)
			if err != nil {
				t.Fatal(err)
			}
			for number, line := range strings.Split(string(text), "\n") {
				code, _, _ := strings.Cut(line, "--")
				if bare.MatchString(code) && !strings.Contains(strings.ToLower(code), "constraint ") && !strings.Contains(strings.ToLower(code), "create unique index ") {
					t.Errorf("%s %s:%d has a constraint without a name: %s", engine, name, number+1, strings.TrimSpace(line))
				}
			}
		}
	}
}
