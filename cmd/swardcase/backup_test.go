package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"swardcase/api/store"
)

func TestBackupAndRestore(t *testing.T) {
	folder := t.TempDir()
	file, copied, restored := filepath.Join(folder, "club.db"), filepath.Join(folder, "copy.db"), filepath.Join(folder, "back?.db")
	if got := runLine(t, "", "migrate", "up", "--store", file); got.code != 0 {
		t.Fatal(got)
	}
	for _, args := range [][]string{{"backup", copied, "--store", file}, {"restore", copied, "--store", restored}} {
		if got := runLine(t, "", args...); got.code != 0 || got.stderr != "" {
			t.Errorf("%v: %+v", args, got)
		}
		if got := runLine(t, "", args...); got.code != 1 || !strings.Contains(got.stderr, "is there already") {
			t.Errorf("%v for the second time: %+v", args, got)
		}
	}
	all, err := store.Migrations(t.Context(), store.Place{File: restored})
	if err != nil || len(all) == 0 || !all[len(all)-1].Applied {
		t.Errorf("the restored store has %v: %v", all, err)
	}
}

func TestWhatIsNoBackupIsNotRestored(t *testing.T) {
	folder := t.TempDir()
	text, empty, file := filepath.Join(folder, "text"), filepath.Join(folder, "empty"), filepath.Join(folder, "club.db")
	if err := os.WriteFile(text, []byte(strings.Repeat("not a store\n", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(empty, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{text, empty, filepath.Join(folder, "nothing")} {
		if got := runLine(t, "", "restore", bad, "--store", file); got.code != 1 || got.stdout != "" {
			t.Errorf("%s: %+v", bad, got)
		}
	}
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) != 2 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
	for want, args := range map[string][]string{
		"give the file of the copy": {"backup", "--store", file},
		"say which store":           {"restore", "copy.db"},
		"no such file or directory": {"backup", "copy.db", "--store", filepath.Join(folder, "nothing.db")},
	} {
		if got := runLine(t, "", args...); got.code != 1 || !strings.Contains(got.stderr, want) {
			t.Errorf("%v: %+v", args, got)
		}
	}
}
