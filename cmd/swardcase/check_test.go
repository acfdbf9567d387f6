package main

import (
	"strings"
	"testing"
)

// TestCheckTellsTamperingFromAnotherEngine saves an appraisal as people do, and
// changes it as people might.
func TestCheckTellsTamperingFromAnotherEngine(t *testing.T) {
	code, saved, stderr := runCommand(t, "", "appraise", "../../testdata/cases/green_04.json", "--format", "json")
	if code != 0 {
		t.Fatal(stderr)
	}
	headline := `"close_call": false`
	tests := []struct {
		name, document string
		code           int
		says           string
	}{
		{"as it was", saved, 0, "Unchanged"},
		{"altered", strings.Replace(saved, headline, `"close_call": true`, 1), 1, "/recommendation/close_call"},
		{"another engine", strings.Replace(strings.Replace(saved, headline, `"close_call": true`, 1), `"engine_version": "`, `"engine_version": "0.`, 1), 0, "The engine has changed"},
		{"no appraisal", `{"a":1}`, 2, ""},
		{"a part that stands twice", strings.Replace(saved, `"engine_version"`, `"recommendation": {}, "engine_version"`, 1), 2, ""},
		{"another case, spelt as this one is not", strings.Replace(saved, `"engine_version"`, `"CASE": {}, "engine_version"`, 1), 1, "/CASE"},
		{"a faulty case", strings.Replace(saved, `"case_format": 1`, `"case_format": 7`, 1), 2, ""},
	}
	for _, tt := range tests {
		code, out, stderr := runCommand(t, tt.document, "check", "-")
		if code != tt.code || !strings.Contains(out, tt.says) {
			t.Errorf("%s: exit code %d, want %d; it says %q and %q", tt.name, code, tt.code, out, stderr)
		}
		for _, line := range strings.Split(out, "\n") {
			if len([]rune(line)) > textWidth {
				t.Errorf("%s: too long: %s", tt.name, line)
			}
		}
	}
	if code, _, _ := runCommand(t, "", "check"); code != 1 {
		t.Errorf("exit code %d without a file", code)
	}
}
