package main

import (
	"io"
	"strings"
	"testing"
)

func TestVerdicts(t *testing.T) {
	const pass = `{"Action":"pass","Package":"p","Test":"TestA"}`
	tests := []struct {
		name, events, want string
		passed, failed     int
	}{
		{"all passed", pass + `{"Action":"pass","Package":"p"}`, "", 1, 0},
		{"nothing ran", `{"Action":"skip","Package":"p"}`, "no test ran", 0, 0},
		{"a package without tests", pass + `{"Action":"skip","Package":"q"}`, "", 1, 0},
		{"a skip", pass + `{"Action":"skip","Package":"p","Test":"TestB"}`, "1 were skipped", 1, 1},
		{"a failure", pass + `{"Action":"fail","Package":"p","Test":"TestB"}{"Action":"fail","Package":"p"}`, "1 failed", 1, 1},
		{"a package that ended early", pass + `{"Action":"fail","Package":"q"}`, "1 failed", 1, 1},
		{"cut short", `{"Action":`, "read the events", 0, 0},
	}
	for _, tt := range tests {
		r, err := read(strings.NewReader(tt.events))
		if err == nil {
			if got := len(r.failures) + len(r.skips); r.passed != tt.passed || got != tt.failed {
				t.Errorf("%s: %d passed, %d failed", tt.name, r.passed, got)
			}
			err = r.verdict(io.Discard)
		}
		if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}
