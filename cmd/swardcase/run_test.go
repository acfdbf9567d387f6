package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/service"
)

// outcome is what one command line did.
type outcome struct {
	code           int
	stdout, stderr string
}

func runLine(t *testing.T, stdin string, args ...string) outcome {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code := run(t.Context(), args, strings.NewReader(stdin), &stdout, &stderr, func(string) string { return "" })
	return outcome{code, stdout.String(), stderr.String()}
}

func TestHelpIsThereForEverything(t *testing.T) {
	for _, line := range []string{"help", "--help", "-h"} {
		got := runLine(t, "", line)
		if got.code != 0 || got.stderr != "" {
			t.Errorf("%s: %+v", line, got)
		}
		for _, c := range commands {
			if !strings.Contains(got.stdout, c.name) {
				t.Errorf("%s does not mention %s", line, c.name)
			}
		}
	}
	for _, c := range commands {
		byWord, byFlag := runLine(t, "", "help", c.name), runLine(t, "", c.name, "--help")
		if diff := cmp.Diff(byWord, byFlag, cmp.AllowUnexported(outcome{})); diff != "" {
			t.Error(diff)
		}
		if byWord.code != 0 || byWord.stderr != "" || !strings.HasPrefix(byWord.stdout, "swardcase "+c.name) {
			t.Errorf("help %s: %+v", c.name, byWord)
		}
		for line := range strings.Lines(byWord.stdout) {
			if len(line) > 101 {
				t.Errorf("help %s has a line of over 100 characters: %s", c.name, line)
			}
		}
	}
}

func TestMisunderstoodLinesSayWhereToLook(t *testing.T) {
	tests := []struct {
		args []string
		want string
	}{
		{nil, "say what to do; see: swardcase help"},
		{[]string{"aprise"}, `there is no command "aprise"; see: swardcase help`},
		{[]string{"help", "aprise"}, `there is no command "aprise"; see: swardcase help`},
		{[]string{"serve", "--port", "1"}, "flag provided but not defined: -port; see: swardcase help serve"},
		{[]string{"serve", "here"}, `serve takes no arguments; "here" was given; see: swardcase help serve`},
	}
	for _, tt := range tests {
		got := runLine(t, "", tt.args...)
		if got.code != 1 || got.stdout != "" || got.stderr != "swardcase: "+tt.want+"\n" {
			t.Errorf("%q: %+v", tt.args, got)
		}
	}
}

func TestFlagsMayStandAnywhere(t *testing.T) {
	tests := []struct {
		args, arguments []string
		format          string
	}{
		{[]string{"a.json", "--format", "json"}, []string{"a.json"}, "json"},
		{[]string{"--format=json", "a.json"}, []string{"a.json"}, "json"},
		{[]string{"-", "--format", "json"}, []string{"-"}, "json"},
		{[]string{"--", "--format", "json"}, []string{"--format", "json"}, "text"},
		{[]string{"a", "--", "-b"}, []string{"a", "-b"}, "text"},
		{nil, nil, "text"},
	}
	for _, tt := range tests {
		flags := flag.NewFlagSet("x", flag.ContinueOnError)
		format := flags.String("format", "text", "")
		arguments, err := parse(flags, tt.args)
		if err != nil || *format != tt.format || !slices.Equal(arguments, tt.arguments) {
			t.Errorf("%q: %q %q %v", tt.args, arguments, *format, err)
		}
	}
}

func newTestService(t *testing.T) *service.Service {
	t.Helper()
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		t.Fatal(err)
	}
	return svc
}

func TestACaseIsReadFromAFileOrStandardInput(t *testing.T) {
	path := filepath.FromSlash("../../testdata/cases/small.json")
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	svc := newTestService(t)
	for _, argument := range []string{path, "-"} {
		p := &process{stdin: bytes.NewReader(body)}
		document, err := p.readCase(svc, "appraise", []string{argument})
		if err != nil || document.Schema() != service.CaseSchema {
			t.Errorf("%s: %v", argument, err)
		}
	}
}

func TestWhatCannotBeReadHasItsExitCode(t *testing.T) {
	svc := newTestService(t)
	tests := []struct {
		name      string
		stdin     io.Reader
		arguments []string
		code      int
		want      string
	}{
		{"no file", nil, []string{"no-such.json"}, 1, "swardcase: open no-such.json"},
		{"no argument", nil, nil, 1, "swardcase: give one case, or - for standard input; 0 were given; see: swardcase help appraise\n"},
		{"endless", endless{}, []string{"-"}, 2, "swardcase: the document cannot be read\n\n(the whole document)\n  the document has 2097153 bytes, more than 2097152\n  remedy: send a smaller document\n"},
		{"faulty", strings.NewReader(`{"case_format":2,"site":{"latitude_deg":70,"climate":{}},"green":{"name":"A","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false},"survey":{"surveyed_on":"2026-02-12"}}`), []string{"-"}, 2, `swardcase: the document has faults

/case_format
  is not one of the values allowed
  given:  2
  remedy: use one of: 1

/site/latitude_deg
  is above the most allowed, 66
  given:  70
  remedy: give a number from -66 to 66
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := &process{stdin: tt.stdin}
			_, err := p.readCase(svc, "appraise", tt.arguments)
			var stderr bytes.Buffer
			reportError(&stderr, err)
			if !strings.HasPrefix(stderr.String(), tt.want) || service.ExitCode(err) != tt.code {
				t.Errorf("exit code %d, want %d, after:\n%s", service.ExitCode(err), tt.code, stderr.String())
			}
		})
	}
}

type endless struct{}

func (endless) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = ' '
	}
	return len(b), nil
}

func TestServeRefusesOtherThanLoopback(t *testing.T) {
	for _, address := range []string{"0.0.0.0:0", ":0", "192.0.2.1:0", "[::]:0"} {
		got := runLine(t, "", "serve", "--address", address)
		if got.code != 1 || !strings.Contains(got.stderr, "is not a loopback address; without keys anyone") {
			t.Errorf("%s: %+v", address, got)
		}
	}
	if got := runLine(t, "", "serve", "--address", "nonsense"); got.code != 1 || !strings.Contains(got.stderr, "that is no address with a port") {
		t.Errorf("nonsense: %+v", got)
	}
}

func TestABusyPortIsReplacedOnlyWhenAsked(t *testing.T) {
	busy, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer busy.Close()
	if _, err := listen(busy.Addr().String(), false); err == nil {
		t.Error("a busy port was taken")
	}
	free, err := listen(busy.Addr().String(), true)
	if err != nil {
		t.Fatal(err)
	}
	defer free.Close()
	if free.Addr().String() == busy.Addr().String() {
		t.Error("two listeners on one address")
	}
}

// TestServeAnswersAndStops starts the service as a user would, calls it, and
// ends its context as an interrupt would.
func TestServeAnswersAndStops(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	stdout := &watched{lines: make(chan string, 10)}
	code := make(chan int, 1)
	address := map[string]string{"SWARDCASE_ADDRESS": "127.0.0.1:0"}
	go func() {
		code <- run(ctx, []string{"serve"}, strings.NewReader(""), stdout, io.Discard, func(name string) string { return address[name] })
	}()
	base := regexp.MustCompile(`http://\S+`).FindString(<-stdout.lines)
	answer, err := http.Get(base + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	var health struct{ Status string }
	if err := json.NewDecoder(answer.Body).Decode(&health); err != nil || health.Status != "ok" {
		t.Errorf("answered %+v: %v", health, err)
	}
	stop()
	select {
	case got := <-code:
		if got != 0 {
			t.Errorf("stopped with %d", got)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("did not stop")
	}
	if _, err := http.Get(base + "/healthz"); err == nil {
		t.Error("still answering after the stop")
	}
}

// TestServeKeepsThingsInAFile stores a club, stops, and finds it again.
func TestServeKeepsThingsInAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	body := `{"name":"Thornmere Golf Club","site":{"latitude_deg":52,"climate":{"station":"oxford"}}}`
	for i, wantClubs := range []int{0, 1} {
		ctx, stop := context.WithCancel(t.Context())
		stdout := &watched{lines: make(chan string, 10)}
		code := make(chan int, 1)
		go func() {
			code <- run(ctx, []string{"serve", "--store", file, "--address", "127.0.0.1:0"}, strings.NewReader(""), stdout, io.Discard, func(string) string { return "" })
		}()
		base := regexp.MustCompile(`http://\S+`).FindString(<-stdout.lines)
		var clubs struct{ Items []json.RawMessage }
		answer, err := http.Get(base + "/v1/clubs")
		if err != nil {
			t.Fatal(err)
		}
		if err := json.NewDecoder(answer.Body).Decode(&clubs); err != nil || len(clubs.Items) != wantClubs {
			t.Errorf("run %d: %d clubs, want %d: %v", i, len(clubs.Items), wantClubs, err)
		}
		answer.Body.Close()
		if answer, err = http.Post(base+"/v1/clubs", "application/json", strings.NewReader(body)); err != nil || answer.StatusCode != 201 {
			t.Fatalf("run %d: %v, %v", i, answer, err)
		}
		answer.Body.Close()
		stop()
		if got := <-code; got != 0 {
			t.Errorf("run %d stopped with %d", i, got)
		}
	}
}

// watched hands on what is written to it.
type watched struct {
	mu    sync.Mutex
	lines chan string
}

func (w *watched) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.lines <- string(b)
	return len(b), nil
}
