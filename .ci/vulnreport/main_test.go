package main

import (
	"io"
	"strings"
	"testing"
)

func TestOnlyReachedAndUnacceptedVulnerabilitiesFail(t *testing.T) {
	const (
		reached = `{"config":{}}{"finding":{"osv":"GO-1","trace":[{"module":"m","function":"f"}]}}`
		beside  = `{"config":{}}{"finding":{"osv":"GO-1","trace":[{"module":"m"}]}}`
	)
	tests := []struct{ name, findings, list, want string }{
		{"not accepted", reached, "", "1 entries"},
		{"accepted", reached, "# a note\n\nGO-1 always it is never called\n", ""},
		{"accepted with this Go", reached, "GO-1 go1.26.8 mended in the next", ""},
		{"accepted with another Go", reached, "GO-1 go1.26.7 mended in the next", "1 entries"},
		{"not reached", beside, "", ""},
		{"stale", beside, "GO-1 always it is never called", "1 entries"},
		{"stale only with another Go", beside, "GO-1 go1.26.7 mended in the next", ""},
		{"no reason", beside, "GO-1 always", "no identifier, scope and reason"},
		{"no scan", "", "", "wrote nothing"},
	}
	for _, tt := range tests {
		found, err := readFindings(strings.NewReader(tt.findings))
		var accepted map[string]string
		if err == nil {
			accepted, err = readAccepted(strings.NewReader(tt.list), "go1.26.8")
		}
		if err == nil {
			err = compare(found, accepted, io.Discard)
		}
		if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}
