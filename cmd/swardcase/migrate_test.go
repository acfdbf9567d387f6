package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

func TestMigrateGoesUpAndDown(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	written, err := filepath.Glob("../../migrations/sqlite/*.sql")
	if err != nil || len(written) == 0 {
		t.Fatalf("no migrations: %v", err)
	}
	all := len(written)
	steps := []struct {
		argument, want string
		times          int
	}{
		{"status", "pending", all},
		{"up", "applied", all},
		{"up", "up to date already", 1},
		{"status", "applied", all},
		{"down", fmt.Sprintf("taken back %05d", all), 1},
		{"status", "pending", 1},
	}
	for _, step := range steps {
		got := runLine(t, "", "migrate", step.argument, "--store", file)
		if got.code != 0 || got.stderr != "" || strings.Count(got.stdout, step.want) != step.times {
			t.Errorf("migrate %s: %+v, want %d times %q", step.argument, got, step.times, step.want)
		}
	}
}

func TestMigrateSaysWhatItLacks(t *testing.T) {
	for want, args := range map[string][]string{
		"say up, down or status":                         {"migrate", "--store", "x.db"},
		"there is no migrate sideways":                   {"migrate", "sideways", "--store", "x.db"},
		"say which store: --store FILE, or DATABASE_URL": {"migrate", "up"},
	} {
		if got := runLine(t, "", args...); got.code != 1 || !strings.Contains(got.stderr, want) {
			t.Errorf("%v: %+v", args, got)
		}
	}
}
