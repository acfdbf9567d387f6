// Command vulnreport reads what `govulncheck -format json` writes and fails on
// any known vulnerability that our code reaches and that is not on the list of
// accepted ones, and on any entry of that list which is no longer needed.
//
// Each line of the list is an identifier, a scope and a reason. The scope is
// "always", or the Go version with which alone the finding appears: those of the
// standard library go away with a newer Go, and the entry is then passed over.
package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
)

func main() {
	if err := run(os.Args[1:], os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "vulnreport:", err)
		os.Exit(1)
	}
}

func run(args []string, findings io.Reader, out io.Writer) error {
	if len(args) != 2 {
		return errors.New("give the list of accepted vulnerabilities and the Go version")
	}
	list, err := os.Open(args[0])
	if err != nil {
		return err
	}
	defer list.Close()
	accepted, err := readAccepted(list, args[1])
	if err != nil {
		return err
	}
	found, err := readFindings(findings)
	if err != nil {
		return err
	}
	return compare(found, accepted, out)
}

// readAccepted gives the reason for each identifier that is accepted with this
// Go version.
func readAccepted(list io.Reader, goVersion string) (map[string]string, error) {
	accepted := map[string]string{}
	lines := bufio.NewScanner(list)
	for lines.Scan() {
		line := strings.TrimSpace(lines.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		fields := strings.SplitN(line, " ", 3)
		if len(fields) != 3 || strings.TrimSpace(fields[2]) == "" {
			return nil, fmt.Errorf("%q has no identifier, scope and reason", line)
		}
		if fields[1] == "always" || fields[1] == goVersion {
			accepted[fields[0]] = fields[2]
		}
	}
	return accepted, lines.Err()
}

// readFindings gives the module of each vulnerability that our code reaches: one
// whose trace begins with a function. The others lie in code we never call.
func readFindings(stream io.Reader) (map[string]string, error) {
	found := map[string]string{}
	decoder := json.NewDecoder(stream)
	for messages := 0; ; messages++ {
		var message struct {
			Finding *struct {
				OSV   string
				Trace []struct{ Module, Function string }
			}
		}
		switch err := decoder.Decode(&message); {
		case errors.Is(err, io.EOF) && messages == 0:
			return nil, errors.New("the scanner wrote nothing")
		case errors.Is(err, io.EOF):
			return found, nil
		case err != nil:
			return nil, fmt.Errorf("read the findings: %w", err)
		}
		if f := message.Finding; f != nil && len(f.Trace) > 0 && f.Trace[0].Function != "" {
			found[f.OSV] = f.Trace[0].Module
		}
	}
}

func compare(found, accepted map[string]string, out io.Writer) error {
	bad := 0
	for _, id := range slices.Sorted(maps.Keys(found)) {
		reason, ok := accepted[id]
		if !ok {
			bad++
			reason = "NOT ACCEPTED"
		}
		fmt.Fprintf(out, "%s in %s: %s\n", id, found[id], reason)
	}
	for _, id := range slices.Sorted(maps.Keys(accepted)) {
		if _, still := found[id]; !still {
			bad++
			fmt.Fprintf(out, "%s is accepted but no longer found: take it off the list\n", id)
		}
	}
	if bad > 0 {
		return fmt.Errorf("%d entries need attention", bad)
	}
	return nil
}
