package main

import (
	"context"
	"flag"
	"io"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// TestADatabaseIsMigratedBeforeItServes: the service refuses tables that are not
// there, and does not make them by itself.
func TestADatabaseIsMigratedBeforeItServes(t *testing.T) {
	address := storetest.Place(t, "postgres").URL
	env := func(name string) string {
		return map[string]string{"DATABASE_URL": address, "SWARDCASE_ADDRESS": "127.0.0.1:0"}[name]
	}
	line := func(args ...string) outcome {
		var stdout, stderr strings.Builder
		code := run(t.Context(), args, strings.NewReader(""), &stdout, &stderr, env)
		return outcome{code, stdout.String(), stderr.String()}
	}
	if got := line("serve"); got.code != 1 || !strings.Contains(got.stderr, "run swardcase migrate up") {
		t.Fatalf("before: %+v", got)
	}
	if got := line("migrate", "up"); got.code != 0 || !strings.Contains(got.stdout, "applied    00001_clubs.sql") {
		t.Fatalf("migrate up: %+v", got)
	}
	if got := line("backup", "copy.db"); got.code != 1 || !strings.Contains(got.stderr, "pg_dump") {
		t.Errorf("backup: %+v", got)
	}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	stdout := &watched{lines: make(chan string, 10)}
	code := make(chan int, 1)
	go func() { code <- run(ctx, []string{"serve"}, strings.NewReader(""), stdout, io.Discard, env) }()
	base := regexp.MustCompile(`http://\S+`).FindString(<-stdout.lines)
	for path, want := range map[string]int{"/readyz": 200, "/v1/clubs": 200, "/v1/clubs/01985e3c-0000-7000-8000-000000000001": 404} {
		answer, err := http.Get(base + path)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("%s answered %d, want %d", path, answer.StatusCode, want)
		}
	}
	stop()
	if got := <-code; got != 0 {
		t.Errorf("stopped with %d", got)
	}
}

// TestWhereThingsAreKept: the flag goes before the database, and that before the
// file that the environment names.
func TestWhereThingsAreKept(t *testing.T) {
	tests := []struct {
		flag, database, file string
		want                 store.Place
	}{
		{"", "", "", store.Place{}},
		{"a.db", "postgres://x", "b.db", store.Place{File: "a.db"}},
		{"", "postgres://x", "b.db", store.Place{URL: "postgres://x"}},
		{"", "", "b.db", store.Place{File: "b.db"}},
	}
	for _, tt := range tests {
		p := &process{env: func(name string) string {
			return map[string]string{"DATABASE_URL": tt.database, "SWARDCASE_STORE": tt.file}[name]
		}}
		var got store.Place
		c := command{name: "x", define: func(flags *flag.FlagSet) action {
			where := placeFlag(flags)
			return func(_ context.Context, p *process, _ []string) error {
				got = where(p)
				return nil
			}
		}}
		args := []string{}
		if tt.flag != "" {
			args = append(args, "--store", tt.flag)
		}
		if err := p.perform(t.Context(), c, args); err != nil || got != tt.want {
			t.Errorf("%+v gives %+v: %v", tt, got, err)
		}
	}
}

func TestAStoreThatCannotBeOpenedIsNamed(t *testing.T) {
	file := filepath.Join(t.TempDir(), "no", "such", "club.db")
	if got := runLine(t, "", "serve", "--store", file); got.code != 1 || !strings.Contains(got.stderr, "open the store") {
		t.Errorf("%+v", got)
	}
}
