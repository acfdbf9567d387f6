package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// leftOut are the parts of the report that README.md only names, by heading.
var leftOut = map[string]string{
	"Diagnosis":             "[the diagnosis]",
	"How far it could move": "[how far each figure could move]",
	"Cautions":              "[the cautions]",
}

var (
	// example is the worked example of README.md: what the named line prints.
	example = regexp.MustCompile("(?s)\\(`go run ./cmd/swardcase appraise cmd/swardcase/(demo/[a-z0-9_]+\\.json)`\\):\n\n```text\n(.*?)```\n")
	// part is the start of a part of a report: its heading and the line below it.
	part = regexp.MustCompile(`(?m)^(\S.*)\n-+$`)
)

// inPart puts the line in brackets in the place of each part that is left out.
func inPart(t *testing.T, report string) string {
	t.Helper()
	var out strings.Builder
	starts := part.FindAllStringSubmatchIndex(report, -1)
	out.WriteString(report[:starts[0][0]])
	named := 0
	for i, at := range starts {
		end := len(report)
		if i+1 < len(starts) {
			end = starts[i+1][0]
		}
		if line, is := leftOut[report[at[2]:at[3]]]; is {
			out.WriteString(line + "\n\n")
			named++
			continue
		}
		out.WriteString(report[at[0]:end])
	}
	if named != len(leftOut) {
		t.Errorf("%d parts are left out, want %d: a heading has changed", named, len(leftOut))
	}
	return strings.TrimSpace(out.String()) + "\n"
}

// TestTheWorkedExampleIsWhatIsPrinted holds README.md to the program; run
// with -update it writes the example anew.
func TestTheWorkedExampleIsWhatIsPrinted(t *testing.T) {
	const file = projectRoot + "/README.md"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := example.FindSubmatchIndex(text)
	if at == nil {
		t.Fatal("README.md has no worked example")
	}
	code, report, stderr := runCommand(t, "", "appraise", string(text[at[2]:at[3]]))
	if code != 0 {
		t.Fatal(stderr)
	}
	want := inPart(t, report)
	if *update {
		anew := string(text[:at[4]]) + want + string(text[at[5]:])
		if err := os.WriteFile(file, []byte(anew), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(want, string(text[at[4]:at[5]])); diff != "" {
		t.Errorf("README.md does not show what is printed (run with -update):\n%s", diff)
	}
}
