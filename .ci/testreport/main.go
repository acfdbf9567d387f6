// Command testreport reads what `go test -json` writes and fails on any test
// that failed or was skipped: a skip in the full check means that something was
// not installed and so was not tested. It writes "PASSED FAILED" to the file it
// is given.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
)

type event struct {
	Action  string
	Package string
	Test    string
	Output  string
}

// report is what became of the tests.
type report struct {
	passed   int
	failures []string // names, of tests and of packages that failed without one
	skips    []string
	output   map[string]*strings.Builder // by name
	broken   map[string]bool             // packages in which a test failed
}

func main() {
	r, err := read(os.Stdin)
	if err == nil && len(os.Args) == 2 {
		err = os.WriteFile(os.Args[1], fmt.Appendf(nil, "%d %d\n", r.passed, len(r.failures)+len(r.skips)), 0o600)
	}
	if err == nil {
		err = r.verdict(os.Stdout)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "testreport:", err)
		os.Exit(1)
	}
}

func read(stream io.Reader) (*report, error) {
	r := &report{output: map[string]*strings.Builder{}, broken: map[string]bool{}}
	decoder := json.NewDecoder(stream)
	for {
		var e event
		switch err := decoder.Decode(&e); {
		case errors.Is(err, io.EOF):
			return r, nil
		case err != nil:
			return nil, fmt.Errorf("read the events: %w", err)
		}
		r.add(e)
	}
}

func (r *report) add(e event) {
	name := strings.TrimSpace(e.Package + " " + e.Test)
	switch {
	case e.Action == "output" || e.Action == "build-output":
		if r.output[name] == nil {
			r.output[name] = &strings.Builder{}
		}
		r.output[name].WriteString(e.Output)
	case e.Action == "pass" && e.Test != "":
		r.passed++
	case e.Action == "skip" && e.Test != "":
		r.skips = append(r.skips, name)
	case e.Action == "fail" && e.Test != "":
		r.broken[e.Package] = true
		r.failures = append(r.failures, name)
	case e.Action == "fail" && !r.broken[e.Package]:
		r.failures = append(r.failures, name) // it did not build, or ended early
	case e.Action == "build-fail":
		r.failures = append(r.failures, "build")
	}
}

// verdict prints what went wrong and fails if anything did.
func (r *report) verdict(out io.Writer) error {
	for _, name := range slices.Concat(r.failures, r.skips) {
		fmt.Fprintf(out, "--- %s\n", name)
		if text := r.output[name]; text != nil {
			fmt.Fprint(out, text.String())
		}
	}
	switch {
	case len(r.failures) > 0:
		if text := r.output[""]; text != nil {
			fmt.Fprint(out, text.String())
		}
		return fmt.Errorf("%d failed", len(r.failures))
	case len(r.skips) > 0:
		return fmt.Errorf("%d were skipped; install what they name", len(r.skips))
	case r.passed == 0:
		return errors.New("no test ran")
	}
	return nil
}
