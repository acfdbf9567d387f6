package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/paulmach/orb/geojson"

	"swardcase/model"
)

const kidneyCase = "../../testdata/cases/kidney.json"

func TestEachFormOfADesign(t *testing.T) {
	tests := []struct {
		args  []string
		check func(string) bool
	}{
		{nil, func(out string) bool {
			return strings.Contains(out, "herringbone") && strings.Contains(out, "lateral 1     main 1")
		}},
		{[]string{"--layout", "perimeter_main"}, func(out string) bool { return strings.Contains(out, "Runs: perimeter main") }},
		{[]string{"--option", "layered_rebuild/existing_turf"}, func(out string) bool {
			return strings.Contains(out, "Lifting the existing turf: cut at 20 mm") && strings.Contains(out, "Stored flat in one layer, without overlap")
		}},
		{[]string{"--format", "json"}, func(out string) bool {
			var report model.DesignReport
			return json.Unmarshal([]byte(out), &report) == nil && len(report.Options) == 6 && report.Outline.Chosen == "herringbone"
		}},
		{[]string{"--format", "svg"}, func(out string) bool {
			return strings.HasPrefix(out, "<svg ") && strings.Contains(out, "Drain layout, herringbone")
		}},
		{[]string{"--format", "svg", "--layout", "slits"}, func(out string) bool { return strings.Contains(out, "Laterals at 1.50 m centres") }},
		{[]string{"--format", "svg", "--drawing", "section", "--option", "partial_renovation/supplier_turf"}, func(out string) bool {
			return strings.HasPrefix(out, "<svg ") && strings.Contains(out, "Slit sand")
		}},
		{[]string{"--format", "geojson"}, func(out string) bool {
			runs, err := geojson.UnmarshalFeatureCollection([]byte(out))
			return err == nil && len(runs.Features) > 10 && runs.Features[0].ID == "outline"
		}},
	}
	for _, tt := range tests {
		code, out, stderr := runCommand(t, "", append([]string{"design", kidneyCase}, tt.args...)...)
		if code != 0 || !tt.check(out) {
			t.Errorf("%q: exit code %d: %s%.600s", tt.args, code, stderr, out)
		}
	}
}

// TestWhatADesignCannotShow tells a case that must be mended (2) from a command
// line that must (1).
func TestWhatADesignCannotShow(t *testing.T) {
	tests := []struct {
		args []string
		code int
		says string
	}{
		{[]string{"../../testdata/cases/small.json", "--format", "svg"}, 2, "/green/outline"},
		{[]string{"../../testdata/cases/small.json", "--layout", "herringbone"}, 2, "/green/outline"},
		{[]string{"../../testdata/cases/small.json", "--format", "geojson"}, 2, "/green/outline"},
		{[]string{kidneyCase, "--layout", "maze"}, 1, "herringbone or perimeter_main or slits"},
		{[]string{kidneyCase, "--option", "layered_rebuild/moss"}, 1, "layered_rebuild/seed"},
		{[]string{kidneyCase, "--format", "dxf"}, 1, "text or json or svg or geojson"},
		{[]string{kidneyCase, "--drawing", "front"}, 1, "plan or section"},
	}
	for _, tt := range tests {
		code, out, stderr := runCommand(t, "", append([]string{"design"}, tt.args...)...)
		if code != tt.code || out != "" || !strings.Contains(stderr, tt.says) {
			t.Errorf("%q: exit code %d, want %d: %s%.200s", tt.args, code, tt.code, stderr, out)
		}
	}
}

// TestAMetreOutlineNeedsItsOriginForGeoJSON: the refusal says what to give.
func TestAMetreOutlineNeedsItsOriginForGeoJSON(t *testing.T) {
	_, resolved, _ := runCommand(t, "", "resolve", kidneyCase)
	var c map[string]any
	if err := json.Unmarshal([]byte(resolved), &c); err != nil {
		t.Fatal(err)
	}
	delete(c["green"].(map[string]any)["outline"].(map[string]any), "origin")
	body, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	code, out, stderr := runCommand(t, string(body), "design", "-", "--format", "geojson")
	if code != 2 || out != "" || !strings.Contains(stderr, "/green/outline/origin") || !strings.Contains(stderr, "bearing_deg") {
		t.Errorf("exit code %d: %s%s", code, stderr, out)
	}
}
