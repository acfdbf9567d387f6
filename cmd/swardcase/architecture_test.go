package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The tests in this file guard the shape of the project: which folders there
// are, who may import whom, how long a file may grow, and words that must not
// get into it. Each rule's reason is in DEVELOPERS.md.

const (
	projectRoot = "../.."
	module      = "swardcase/"
)

// topLevel is everything that may lie in the top folder, beside dotfiles.
var topLevel = []string{
	"api", "cmd", "costs", "migrations", "model", "openapi", "testdata",
	"DEVELOPERS.md", "README.md", "compose.yaml", "go.mod", "go.sum",
}

// mayImport says which packages of ours each package may import, by the longest
// prefix that fits it. A pattern that ends in /... takes in what lies below; one
// that does not fit any rule may import nothing of ours.
var mayImport = map[string][]string{
	"cmd/swardcase":    {"cmd/swardcase/...", "api/...", "model/...", "costs"},
	"api":              {"api/...", "model/fault", "openapi"},
	"api/access":       {"api/service"},
	"api/contract":     {"model/fault", "openapi"},
	"api/jobs":         {"api/service"},
	"api/pages":        {"api/access", "api/contract", "api/pages/...", "api/problem", "api/report/...", "api/service", "model/...", "costs", "openapi"},
	"api/pages/chart":  {},
	"api/pages/print":  {"api/pages/browsertest", "api/service"},
	"api/problem":      {"api/contract", "api/service", "model/fault"},
	"api/report":       {"model/...", "costs"},
	"api/service":      {"api/contract", "model/...", "costs", "openapi"},
	"api/store":        {"api/service", "api/store/...", "costs", "migrations"},
	"model":            {"model/...", "costs"},
	"model/fault":      {},
	"model/published":  {}, // for tests
	"costs":            {},
	"openapi":          {},
	"migrations":       {},
	"model/survey":     leaves,
	"model/condition":  leaves,
	"model/outline":    leaves,
	"model/layered":    leaves,
	"model/aeration":   leaves,
	"model/climate":    leaves,
	"model/water":      leaves,
	"model/sward":      leaves,
	"model/programme":  append([]string{"model/programme/choice"}, leaves...),
	"model/confidence": leaves,
	"model/assumption": {"model/fault"},
	// The plan of a course is put as a problem of choices; the published problems
	// of that kind are for tests and comparisons.
	"model/programme/choice":   {},
	"model/programme/knapsack": {"model/programme/choice"},
	"model/programme/seeded":   {"model/programme"},
	// The comparison commands hold the model to something outside the project.
	".ci/calccheck":   {"model/...", "costs"},
	".ci/hostile":     {".ci/served", "openapi", "api/store/storetest"},
	".ci/drawcompare": {"model/assumption", "model/confidence"},
	".ci/plancompare": {"model/programme/..."},
	// This one breaks things under the service; it takes a clock to set back.
	".ci/faults": {".ci/served", "api", "api/service", "api/store/..."},
	".ci/load":   {".ci/served", "api/store/storetest"},
	".ci/served": {"api/store/storetest"}, // what those that try the built service share
	// This one has many plans made, and makes the tables for it.
	".ci/planload": {".ci/served", "api/store", "api/store/storetest"},

	"api/pages/reference": {},
	"api/report/workbook": {"api/report", "model/...", "costs"},
}

// leaves are what a sub-package of the model may import: never the model nor
// another of its parts, so that each can be read and checked alone.
var leaves = []string{"model/fault", "model/assumption"}

// testsMayImport is what tests may use on top: the contract, to check that what
// a package writes keeps to it, the reader of published tables, and courses made from a seed.
var testsMayImport = []string{"openapi", "model/fault", "model/assumption", "model/published", "model/programme/seeded"}

func TestTopFolderHoldsOnlyWhatIsListed(t *testing.T) {
	entries, err := os.ReadDir(projectRoot)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		if name := entry.Name(); !strings.HasPrefix(name, ".") && !slices.Contains(topLevel, name) {
			t.Errorf("%s does not belong in the top folder", name)
		}
	}
}

func TestImportsPointOneWay(t *testing.T) {
	checked := 0
	walk(t, ".go", func(path string, text []byte) {
		file, err := parser.ParseFile(token.NewFileSet(), path, text, parser.ImportsOnly)
		if err != nil {
			t.Error(err)
			return
		}
		checked++
		from := filepath.ToSlash(filepath.Dir(path))
		for _, spec := range file.Imports {
			imported, _ := strconv.Unquote(spec.Path.Value)
			to, ours := strings.CutPrefix(imported, module)
			if ours && !allowed(from, to, strings.HasSuffix(path, "_test.go")) {
				t.Errorf("%s imports %s, which %s may not", path, to, from)
			}
		}
	})
	if checked < 20 {
		t.Errorf("only %d files were looked at", checked)
	}
}

// allowed says whether a package may import another; a test may import its own
// package.
func allowed(from, to string, test bool) bool {
	patterns := mayImport[owner(from)]
	if test {
		patterns = slices.Concat(patterns, testsMayImport)
		if from == to {
			return true
		}
	}
	return slices.ContainsFunc(patterns, func(pattern string) bool { return fits(pattern, to) })
}

func owner(path string) string {
	for path != "." && path != "" {
		if _, known := mayImport[path]; known {
			return path
		}
		path = filepath.ToSlash(filepath.Dir(path))
	}
	return ""
}

func fits(pattern, path string) bool {
	below, tree := strings.CutSuffix(pattern, "/...")
	return path == below || tree && strings.HasPrefix(path, below+"/")
}

func TestTheImportRulesBite(t *testing.T) {
	for _, tt := range []struct {
		from, to string
		test     bool
		want     bool
	}{
		{"cmd/swardcase", "api/service", false, true},
		{"api", "api/service", false, true},
		{"api", "model", false, false},
		{"api/service", "api", false, false},
		{"model", "model/survey", false, true},
		{"model", "api/service", false, false},
		{"model/survey", "model", false, false},
		{"model/survey", "model/condition", false, false},
		{"model/survey", "model/fault", false, true},
		{"model/survey/anything", "model", false, false},
		{"costs", "model/fault", false, false},
		{"costs", "costs", true, true},
		{"newcomer", "model", false, false},
	} {
		if got := allowed(tt.from, tt.to, tt.test); got != tt.want {
			t.Errorf("%s importing %s (test %v): %v, want %v", tt.from, tt.to, tt.test, got, tt.want)
		}
	}
}

// maxLines is how long a Go file may grow before it holds two subjects.
const maxLines = 500

// longFiles are the exceptions, each with its reason.
var longFiles = map[string]string{}

func TestFilesStayShort(t *testing.T) {
	walk(t, ".go", func(path string, text []byte) {
		lines := strings.Count(string(text), "\n")
		_, excused := longFiles[path]
		switch {
		case lines > maxLines && !excused:
			t.Errorf("%s has %d lines, more than %d", path, lines, maxLines)
		case lines <= maxLines && excused:
			t.Errorf("%s is no longer long: take it off the list", path)
		}
	})
}

// forbidden are words that must not get into the project. They are put together
// here so that this file does not hold them.
var forbidden = map[string]string{
	"/" + "work/":             "a path of one machine",
	"/tmp/" + "brief":         "a path of one machine",
	"/" + "root/":             "a path of one machine",
	"proxy." + "golang.org":   "the address of a package registry",
	"sum." + "golang.org":     "the address of a package registry",
	"registry." + "npmjs":     "the address of a package registry",
	"pypi" + ".org":           "the address of a package registry",
	"https://" + "github.com": "the address of a code host",
	"https://" + "gitlab.com": "the address of a code host",
	"<<<<" + "<<<":            "an unfinished merge",
	"DO NOT " + "MERGE":       "a mark of unfinished work",
	"TO" + "DO":               "a mark of unfinished work",
	"FIX" + "ME":              "a mark of unfinished work",
}

func TestNoForbiddenWords(t *testing.T) {
	walk(t, "", func(path string, text []byte) {
		for word, reason := range forbidden {
			if strings.Contains(string(text), word) {
				t.Errorf("%s holds %q: %s", path, word, reason)
			}
		}
	})
}

// walk calls visit for every file of the project with that ending, with its path
// from the top folder. It leaves out git's own folder and caches.
func walk(t *testing.T, ending string, visit func(path string, text []byte)) {
	t.Helper()
	err := filepath.WalkDir(projectRoot, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (entry.Name() == ".git" || entry.Name() == ".cache") {
			return fs.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(path, ending) {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(projectRoot, path)
		if err != nil {
			return err
		}
		visit(filepath.ToSlash(relative), text)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
