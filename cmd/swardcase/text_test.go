package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"swardcase/model"
)

var update = flag.Bool("update", false, "write the texts that people read anew; review what changed")

// runCommand runs one command line without a terminal.
func runCommand(t *testing.T, stdin string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errors bytes.Buffer
	code = run(context.Background(), args, strings.NewReader(stdin), &out, &errors, func(string) string { return "" })
	return code, out.String(), errors.String()
}

// TestTextsThatPeopleRead holds the printed reports to the reviewed ones.
func TestTextsThatPeopleRead(t *testing.T) {
	tests := map[string][]string{
		"demo.txt":               {"demo", "--once"},
		"condition_green_14.txt": {"condition", "demo/green_14.json"},
		"break_even_green_14.txt": {
			"break-even", "demo/green_14.json", "--input", "worth_of_playable_month_ratio",
			"--option", "layered_rebuild/seed", "--from", "0.1", "--to", "10",
		},
		"explain_green_14.txt":  {"explain", "demo/green_14.json", "--figure", "options.layered_rebuild/seed.capital"},
		"forecast_green_11.txt": {"forecast", "demo/green_11.json"},
		"design_green_14.txt":   {"design", "demo/green_14.json"},
		"design_kidney.txt":     {"design", "../../testdata/cases/kidney.json", "--layout", "slits", "--option", "partial_renovation/existing_turf"},
		"design_materials.txt":  {"design", "../../testdata/cases/materials.json", "--option", "layered_rebuild/existing_turf"},
		"plan_six_greens.txt":   {"plan", "../../testdata/courses/six_greens.json"},
		"help.txt":              {"help"},
	}
	for name, args := range tests {
		t.Run(name, func(t *testing.T) {
			code, got, stderr := runCommand(t, "", args...)
			if code != 0 {
				t.Fatalf("exit code %d: %s", code, stderr)
			}
			file := filepath.Join("..", "..", "testdata", "text", name)
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestEveryLineFitsThePage covers the reports, the assumptions and all help.
func TestEveryLineFitsThePage(t *testing.T) {
	lines := [][]string{{"demo", "--once"}, {"assumptions"}, {"climates"}, {"help"}}
	for _, name := range []string{"green_04", "green_11", "green_14"} {
		for _, command := range []string{"condition", "appraise", "forecast", "design"} {
			lines = append(lines, []string{command, "demo/" + name + ".json"})
		}
	}
	for _, figure := range []string{"capital", "yearly_upkeep", "equal_annual_cost", "net_present_value", "payback_years", "months_playable_year_5", "index_year_5"} {
		lines = append(lines, []string{"explain", "../../testdata/cases/money.json", "--figure", "options.partial_renovation/supplier_turf." + figure})
	}
	lines = append(lines, []string{
		"break-even", "demo/green_14.json", "--input", "/money/tax_recoverable_pct", "--from", "0", "--to", "100",
		"--option", "layered_rebuild/seed", "--less", "layered_rebuild/nursery_turf",
	})
	for _, name := range []string{"kidney", "geojson", "materials", "small"} {
		for _, option := range model.OptionsWithWorks() {
			lines = append(lines, []string{"design", "../../testdata/cases/" + name + ".json", "--option", string(option)})
		}
	}
	lines = append(lines, []string{"plan", "../../testdata/courses/six_greens.json"})
	for _, c := range commands {
		lines = append(lines, []string{c.name, "--help"}, []string{"help", c.name})
	}
	for _, args := range lines {
		code, out, stderr := runCommand(t, "", args...)
		if code != 0 || out == "" {
			t.Errorf("%v: exit code %d: %s", args, code, stderr)
		}
		for _, line := range strings.Split(out, "\n") {
			if utf8.RuneCountInString(line) > textWidth {
				t.Errorf("%v: %d characters: %s", args, utf8.RuneCountInString(line), line)
			}
		}
	}
}

func TestExitCodesTellABadCaseFromAllElse(t *testing.T) {
	tests := []struct {
		name  string
		stdin string
		args  []string
		want  int
		says  string
	}{
		{"a sound case", "", []string{"appraise", "demo/green_04.json"}, 0, ""},
		{"not JSON", "{", []string{"appraise", "-"}, 2, "remedy"},
		{"a field that the contract does not know", `{"case_format":1,"grean":{}}`, []string{"condition", "-"}, 2, "/grean"},
		{"no such file", "", []string{"appraise", "demo/none.json"}, 1, "none.json"},
		{"no such format", "", []string{"appraise", "--format", "xml", "demo/green_04.json"}, 1, "text or json"},
		{"no such input", "", []string{"break-even", "demo/green_14.json", "--input", "the_moon", "--option", "layered_rebuild/seed"}, 2, "/question/input"},
		{"no question", "", []string{"break-even", "demo/green_14.json"}, 1, "--input"},
		{"no number", "", []string{"break-even", "demo/green_14.json", "--input", "price_level", "--option", "layered_rebuild/seed", "--from", "low"}, 1, "--from"},
		{"not a number", "", []string{"break-even", "demo/green_14.json", "--input", "price_level", "--option", "layered_rebuild/seed", "--from", "NaN"}, 1, "--from"},
		{"beyond what a case may have", "", []string{"break-even", "demo/green_14.json", "--input", "/money/contingency_pct", "--option", "layered_rebuild/seed", "--to", "90"}, 2, "/question/to"},
		{"beyond it by itself", "", []string{"break-even", "demo/green_14.json", "--input", "/requirements/least_months_playable", "--option", "layered_rebuild/seed"}, 2, "/question/to"},
		{"no such command", "", []string{"plough"}, 1, "plough"},
	}
	for _, tt := range tests {
		code, _, stderr := runCommand(t, tt.stdin, tt.args...)
		if code != tt.want || !strings.Contains(stderr, tt.says) {
			t.Errorf("%s: exit code %d, want %d; it says %q", tt.name, code, tt.want, stderr)
		}
	}
}

// TestAResolvedCaseCanBePipedBack: resolve | appraise gives what appraise gives.
func TestAResolvedCaseCanBePipedBack(t *testing.T) {
	_, resolved, _ := runCommand(t, "", "resolve", "demo/green_11.json")
	code, again, stderr := runCommand(t, resolved, "appraise", "-")
	if code != 0 {
		t.Fatal(stderr)
	}
	_, plain, _ := runCommand(t, "", "appraise", "demo/green_11.json")
	if diff := cmp.Diff(plain, again); diff != "" {
		t.Error(diff)
	}
}
