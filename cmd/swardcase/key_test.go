package main

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"swardcase/api/store"
	"swardcase/api/store/storetest"
)

// TestKeysAreMadeListedAndRevoked on the command line and used over HTTP, over
// each engine; a database is served by a login that owns nothing.
func TestKeysAreMadeListedAndRevoked(t *testing.T) {
	for _, engine := range storetest.Engines {
		t.Run(engine, func(t *testing.T) {
			place := storetest.Place(t, engine)
			if _, err := store.Migrate(t.Context(), place); err != nil {
				t.Fatal(err)
			}
			l := &lines{t: t, place: storetest.Served(t, place)}
			if got := l.run("key", "list"); got.stdout != "there are no keys\n" {
				t.Errorf("at first: %+v", got)
			}
			operator := strings.TrimSpace(l.run("key", "issue", "--operator", "--label", "the host").stdout)
			base := l.serve()
			l.call(base, "GET", "/v1/clubs", "", "", 401)
			l.call(base, "POST", "/v1/clubs", operator, `{"name":"Thornmere Golf Club","site":{"latitude_deg":52,"climate":{"station":"oxford"}}}`, 201)
			made := l.run("key", "issue", "--club", "Thornmere Golf Club", "--role", "owner", "--label", "the secretary", "--days", "30")
			owner := strings.TrimSpace(made.stdout)
			if !regexp.MustCompile(`^swc_[a-z2-7]{58}\n$`).MatchString(made.stdout) || !strings.Contains(made.stderr, "of an owner of Thornmere Golf Club, until 20") {
				t.Errorf("made: %+v", made)
			}
			l.call(base, "GET", "/v1/clubs", owner, "", 200)
			listed := l.run("key", "list", "--club", "Thornmere Golf Club").stdout
			id := regexp.MustCompile(`^\S+`).FindString(listed)
			if strings.Count(listed, "\n") != 1 || !strings.Contains(listed, "Thornmere Golf Club: the secretary") || strings.Contains(listed, owner) {
				t.Errorf("listed: %s", listed)
			}
			if got := l.run("key", "list").stdout; strings.Count(got, "\n") != 2 || !strings.Contains(got, "until it is revoked     -: the host") {
				t.Errorf("all: %s", got)
			}
			if got := l.run("key", "revoke", id).stdout; !strings.HasPrefix(got, id+" is revoked on ") {
				t.Errorf("revoked: %s", got)
			}
			l.call(base, "GET", "/v1/clubs", owner, "", 401)
			l.call(base, "GET", "/v1/clubs", operator, "", 200)
		})
	}
}

// lines runs command lines over one place.
type lines struct {
	t     *testing.T
	place store.Place
}

func (l *lines) env(name string) string {
	return map[string]string{"DATABASE_URL": l.place.URL, "SWARDCASE_STORE": l.place.File, "SWARDCASE_ADDRESS": "127.0.0.1:0"}[name]
}

func (l *lines) run(args ...string) outcome {
	l.t.Helper()
	var stdout, stderr strings.Builder
	code := run(l.t.Context(), args, strings.NewReader(""), &stdout, &stderr, l.env)
	if code != 0 {
		l.t.Fatalf("%q ended with %d: %s", args, code, stderr.String())
	}
	return outcome{code, stdout.String(), stderr.String()}
}

// serve starts the service and stops it with the test.
func (l *lines) serve() (base string) {
	l.t.Helper()
	ctx, stop := context.WithCancel(l.t.Context())
	stdout, code := &watched{lines: make(chan string, 10)}, make(chan int, 1)
	go func() { code <- run(ctx, []string{"serve"}, strings.NewReader(""), stdout, io.Discard, l.env) }()
	l.t.Cleanup(func() {
		stop()
		if got := <-code; got != 0 {
			l.t.Errorf("stopped with %d", got)
		}
	})
	return regexp.MustCompile(`http://\S+`).FindString(<-stdout.lines)
}

func (l *lines) call(base, method, path, key, body string, want int) {
	l.t.Helper()
	r, err := http.NewRequestWithContext(l.t.Context(), method, base+path, strings.NewReader(body))
	if err != nil {
		l.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	if key != "" {
		r.Header.Set("Authorization", "Bearer "+key)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		l.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, _ := io.ReadAll(answer.Body)
	if answer.StatusCode != want {
		l.t.Errorf("%s %s answered %d, want %d: %s", method, path, answer.StatusCode, want, text)
	}
}

func TestKeyLinesThatCannotBe(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	for want, args := range map[string][]string{
		"say issue, list or revoke":              {},
		`"issue me" is not understood`:           {"issue", "me"},
		"say whose key":                          {"issue", "--label", "a", "--role", "owner"},
		"an operator belongs to no club":         {"issue", "--operator", "--club", "x", "--label", "a"},
		`there is no club called "x"`:            {"issue", "--club", "x", "--role", "owner", "--label", "a"},
		"/label\n":                               {"issue", "--operator", "--label", "a\u202e"},
		"/valid_days\n":                          {"issue", "--operator", "--label", "a", "--days", "-1"},
		`there is no key "x"`:                    {"revoke", "x"},
		"The club has no such club.":             {"list", "--club", "01985e3c-0000-7000-8000-000000000009"},
		"say which store: --store FILE, or DATA": {"list", "--store", ""},
	} {
		args = append([]string{"key", "--store", file}, args...)
		if got := runLine(t, "", args...); got.code == 0 || got.stdout != "" || !strings.Contains(got.stderr, want) {
			t.Errorf("%q: %+v, want %q", args, got, want)
		}
	}
}

// TestServeElsewhereNeedsAKey: without a store, or without a key in it, an address
// that others reach is refused with what to do.
func TestServeElsewhereNeedsAKey(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	got := runLine(t, "", "serve", "--store", file, "--address", "0.0.0.0:0")
	if got.code != 1 || !strings.Contains(got.stderr, "swardcase key issue --operator") {
		t.Errorf("without a key: %+v", got)
	}
	l := &lines{t: t, place: store.Place{File: file}}
	l.run("key", "issue", "--operator", "--label", "the host")
	ctx, stop := context.WithCancel(t.Context())
	stdout, code := &watched{lines: make(chan string, 10)}, make(chan int, 1)
	go func() {
		code <- run(ctx, []string{"serve", "--address", "0.0.0.0:0"}, strings.NewReader(""), stdout, io.Discard, l.env)
	}()
	base := regexp.MustCompile(`http://\S+`).FindString(<-stdout.lines)
	_, port, _ := strings.Cut(strings.TrimPrefix(base, "http://"), "]:")
	l.call("http://127.0.0.1:"+port, "GET", "/v1/clubs", "", "", 401)
	l.call("http://127.0.0.1:"+port, "GET", "/healthz", "", "", 200)
	stop()
	if got := <-code; got != 0 {
		t.Errorf("stopped with %d", got)
	}
}

// TestMigrateLetsALoginServe that owns nothing, and refuses one that owns the
// tables.
func TestMigrateLetsALoginServe(t *testing.T) {
	place := storetest.Place(t, "postgres")
	l := &lines{t: t, place: place}
	if got := l.run("migrate", "up").stdout; !strings.Contains(got, "there is no login swardcase_server: make one") {
		t.Errorf("without a login: %s", got)
	}
	var stdout, stderr strings.Builder
	address, err := url.Parse(place.URL)
	if err != nil {
		t.Fatal(err)
	}
	owner := address.User.Username()
	if owner == "" {
		owner = address.Query().Get("user")
	}
	for role, want := range map[string]string{owner: "must not serve", "nobody_here": "no such login"} {
		code := run(t.Context(), []string{"migrate", "up", "--server-role", role}, strings.NewReader(""), &stdout, &stderr, l.env)
		if code == 0 || !strings.Contains(stderr.String(), want) {
			t.Errorf("%s: %d, %s", role, code, stderr.String())
		}
	}
	served := storetest.Served(t, place)
	role := regexp.MustCompile(`test_\w+_server`).FindString(served.URL)
	if got := l.run("migrate", "up", "--server-role", role).stdout; !strings.Contains(got, role+" may serve") {
		t.Errorf("with a login: %s", got)
	}
}
