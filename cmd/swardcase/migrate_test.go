package main

import (
	"path/filepath"
	"strings"
	"testing"
)

func TestMigrateGoesUpAndDown(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	steps := []struct {
		argument, want string
		times          int
	}{
		{"status", "pending", 8},
		{"up", "applied", 8},
		{"up", "up to date already", 1},
		{"status", "applied", 8},
		{"down", "taken back 00008", 1},
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
