package contract_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/api/contract"
	"swardcase/model/fault"
	"swardcase/openapi"
)

func load(t testing.TB) *contract.Contract {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	return contract.New(doc, nil)
}

func seed(t testing.TB) []byte {
	t.Helper()
	body, err := os.ReadFile(filepath.FromSlash("../../testdata/cases/small.json"))
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// changed gives the seed case with one value replaced, at a path of names and
// list positions; a nil value removes the field.
func changed(t testing.TB, value any, path ...any) []byte {
	t.Helper()
	var tree any
	if err := json.Unmarshal(seed(t), &tree); err != nil {
		t.Fatal(err)
	}
	at := tree
	for _, step := range path[:len(path)-1] {
		switch step := step.(type) {
		case string:
			at = at.(map[string]any)[step]
		case int:
			at = at.([]any)[step]
		}
	}
	switch last := path[len(path)-1].(type) {
	case string:
		if value == nil {
			delete(at.(map[string]any), last)
		} else {
			at.(map[string]any)[last] = value
		}
	case int:
		at.([]any)[last] = value
	}
	body, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	return body
}

func TestASoundCasePasses(t *testing.T) {
	document, err := load(t).CheckDocument("Case", seed(t))
	if err != nil {
		t.Fatal(err)
	}
	var back struct {
		CaseFormat int `json:"case_format"`
	}
	if err := document.Decode(&back); err != nil || back.CaseFormat != 1 || document.Schema() != "Case" {
		t.Errorf("decoded %+v: %v", back, err)
	}
}

// TestTextThatAScreenObeysIsRefused: control characters but new line and tab, and
// the embeddings, overrides and isolates of Unicode Standard Annex 9. Letters that
// are written from the right, and joiners, are ordinary text.
func TestTextThatAScreenObeysIsRefused(t *testing.T) {
	places := map[string][]any{
		"/green/name": {"green", "name"}, "/title": {"title"},
		"/survey/thatch_depth/readings/1/position": {"survey", "thatch_depth", "readings", 1, "position"},
	}
	for at, path := range places {
		for _, r := range []rune{0, 0x1b, '\r', 0x7f, 0x80, 0x9b, 0x9f, 0x202a, 0x202e, 0x2066, 0x2069} {
			_, err := load(t).CheckDocument("Case", changed(t, "a"+string(r)+"b", path...))
			var faults fault.List
			if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Pointer != at || faults[0].Remedy == "" || faults[0].Value != "a b" {
				t.Errorf("%U at %s: %v", r, at, err)
			}
		}
		for _, sound := range []string{"a\nb", "a\tb", "הירוק", "a\u200db"} {
			if _, err := load(t).CheckDocument("Case", changed(t, sound, path...)); err != nil {
				t.Errorf("%q at %s: %v", sound, at, err)
			}
		}
	}
}

func TestEachFaultNamesPlaceValueAndRemedy(t *testing.T) {
	type path = []any
	null := json.RawMessage("null")
	tests := []struct {
		name  string
		path  path
		value any
		want  fault.Fault
	}{
		{"too small", path{"green", "area_m2"}, 12.5, fault.Fault{
			Pointer: "/green/area_m2", Value: "12.5",
			Detail: "is below the least allowed, 50", Remedy: "give a number from 50 to 3000",
		}},
		{"too large", path{"survey", "thatch_depth", "readings", 1, "depth_mm"}, 500, fault.Fault{
			Pointer: "/survey/thatch_depth/readings/1/depth_mm", Value: "500",
			Detail: "is above the most allowed, 200", Remedy: "give a number from 0 to 200",
		}},
		{"text for a number", path{"green", "area_m2"}, "420 m2", fault.Fault{
			Pointer: "/green/area_m2", Value: "420 m2",
			Detail: "is not a number", Remedy: "give a number from 50 to 3000",
		}},
		{"number for text", path{"green", "name"}, 7, fault.Fault{
			Pointer: "/green/name", Value: "7",
			Detail: "is not text in quotation marks", Remedy: "give text of 1 to 120 characters",
		}},
		{"null", path{"green", "name"}, null, fault.Fault{
			Pointer: "/green/name", Value: "null",
			Detail: "must not be null", Remedy: "leave the field out, or give text of 1 to 120 characters",
		}},
		{"missing", path{"green", "age_years"}, nil, fault.Fault{
			Pointer: "/green/age_years",
			Detail:  "is required but missing", Remedy: "add it: a number from 0 to 300",
		}},
		{"typing error", path{"green", "area_m"}, 420, fault.Fault{
			Pointer: "/green/area_m", Value: "420",
			Detail: "is not a field of this object", Remedy: "perhaps area_m2 was meant; otherwise take the field out",
		}},
		{"unknown field", path{"requirements", "colour"}, "green", fault.Fault{
			Pointer: "/requirements/colour", Value: "green",
			Detail: "is not a field of this object",
			Remedy: "take it out; the fields here are capital_ceiling, least_index, least_months_playable, most_annual_meadow_grass_pct, most_months_out_of_play",
		}},
		{"near an allowed value", path{"green", "soil_layers", 0, "texture"}, "sandy_lome", fault.Fault{
			Pointer: "/green/soil_layers/0/texture", Value: "sandy_lome",
			Detail: "is not one of the values allowed",
			Remedy: "perhaps sandy_loam was meant; use one of: sand, loamy_sand, sandy_loam, loam, silt_loam, silt, sandy_clay_loam, clay_loam, silty_clay_loam, sandy_clay, silty_clay, clay, gravel, peat",
		}},
		{"unknown case format", path{"case_format"}, 2, fault.Fault{
			Pointer: "/case_format", Value: "2",
			Detail: "is not one of the values allowed", Remedy: "use one of: 1",
		}},
		{"whole number with a fraction", path{"green", "surroundings", "walk_on_points"}, 2.5, fault.Fault{
			Pointer: "/green/surroundings/walk_on_points", Value: "2.5",
			Detail: "is not a whole number written without a point or an exponent",
			Remedy: "give a whole number written without a point or an exponent from 1 to 20",
		}},
		{"whole number with a point", path{"green", "surroundings", "walk_on_points"}, json.RawMessage("2.0"), fault.Fault{
			Pointer: "/green/surroundings/walk_on_points", Value: "2.0",
			Detail: "is not a whole number written without a point or an exponent",
			Remedy: "give a whole number written without a point or an exponent from 1 to 20",
		}},
		{"no such day", path{"survey", "surveyed_on"}, "2026-02-31", fault.Fault{
			Pointer: "/survey/surveyed_on", Value: "2026-02-31",
			Detail: "is not a valid date", Remedy: "give text of this form: A calendar date, YYYY-MM-DD",
		}},
		{"amount with a separator", path{"upkeep", "cost_per_year", "amount"}, "5,200.00", fault.Fault{
			Pointer: "/upkeep/cost_per_year/amount", Value: "5,200.00",
			Detail: "is not written as it must be",
			Remedy: `give text such as "1234.50"`,
		}},
		{"amount as a number", path{"upkeep", "cost_per_year", "amount"}, 5200, fault.Fault{
			Pointer: "/upkeep/cost_per_year/amount", Value: "5200",
			Detail: "is not text in quotation marks",
			Remedy: `give text such as "1234.50"`,
		}},
		{"empty text", path{"title"}, "", fault.Fault{
			Pointer: "/title",
			Detail:  "is shorter than 1 character", Remedy: "give text of 1 to 120 characters",
		}},
		{"long text", path{"title"}, strings.Repeat("x", 121), fault.Fault{
			Pointer: "/title", Value: strings.Repeat("x", 59) + "…",
			Detail: "is longer than 120 characters", Remedy: "give text of 1 to 120 characters",
		}},
		{"short list", path{"site", "climate", "monthly_normals", "rain_mm"}, []int{1, 2}, fault.Fault{
			Pointer: "/site/climate/monthly_normals/rain_mm", Value: "a list of 2",
			Detail: "has fewer than 12 values", Remedy: "give a list of exactly 12 values",
		}},
		{"empty list of entries", path{"survey", "thatch_depth", "readings"}, []int{}, fault.Fault{
			Pointer: "/survey/thatch_depth/readings", Value: "a list of 0",
			Detail: "has fewer than 1 entry", Remedy: "give a list of 1 to 200 entries",
		}},
		{"list for an object", path{"green", "outfall"}, []int{}, fault.Fault{
			Pointer: "/green/outfall", Value: "a list of 0",
			Detail: "is not an object", Remedy: "give an object with at least state",
		}},
		{"text for yes or no", path{"green", "has_drains"}, "yes", fault.Fault{
			Pointer: "/green/has_drains", Value: "yes",
			Detail: "is not true or false", Remedy: "give true or false",
		}},
	}
	c := load(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := c.CheckDocument("Case", changed(t, tt.value, tt.path...))
			var faults fault.List
			if !errors.As(err, &faults) {
				t.Fatalf("got %v", err)
			}
			if diff := cmp.Diff(fault.List{tt.want}, faults); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAllFaultsComeAtOnceInOrder(t *testing.T) {
	body := `{"case_format":1,"site":{"latitude_deg":99,"climate":{}},"survey":{"surveyed_on":"2026-02-12","pits":[` +
		strings.Repeat(`{"depth_mm":600},`, 9) + `{"depth_mm":1},{}]},"zebra":1,"aardvark":2}`
	_, err := load(t).CheckDocument("Case", []byte(body))
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatal(err)
	}
	var got []string
	for _, f := range faults {
		got = append(got, f.Pointer)
	}
	want := []string{"/aardvark", "/green", "/site/latitude_deg", "/survey/pits/9/depth_mm", "/survey/pits/10/depth_mm", "/zebra"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestHostileFieldsAreBounded: fifty thousand unknown fields, interleaved with
// bad known ones, give a short answer.
func TestHostileFieldsAreBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"case_format":"x","green":1,"site":2,"survey":3`)
	for i := range 40_000 {
		fmt.Fprintf(&b, `,"%c%d":0`, 'a'+rune(i%26), i)
	}
	b.WriteString("}")
	_, err := load(t).CheckDocument("Case", []byte(b.String()))
	var faults fault.List
	if !errors.As(err, &faults) || len(faults) != contract.MaxFaults+1 {
		t.Fatalf("got %d faults, want %d", len(faults), contract.MaxFaults+1)
	}
	if last := faults[contract.MaxFaults]; last.Pointer != "" || !strings.Contains(last.Detail, "more faults") {
		t.Errorf("the last entry is %+v", last)
	}
}

// TestMeaningsAddToTheSchema: a meaning is asked wherever its schema is, and the
// schema's own complaint about a place comes before the meaning's.
func TestMeaningsAddToTheSchema(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	c := contract.New(doc, map[string]contract.Meaning{
		"Position": func(value any) (field, detail, remedy string) {
			if value == "front" {
				return "", "is not a place here", "walk round again"
			}
			return "", "", ""
		},
		"Outfall": func(any) (field, detail, remedy string) { return "state", "cannot be so", "look again" },
	})
	_, err = c.CheckDocument("Case", changed(t, "nowhere", "green", "outfall", "state"))
	var faults fault.List
	if !errors.As(err, &faults) {
		t.Fatal(err)
	}
	var got []string
	for _, f := range faults {
		got = append(got, f.Pointer+" "+f.Detail)
	}
	want := []string{
		"/green/outfall/state is not one of the values allowed",
		"/survey/infiltration/ring_tests/0/position is not a place here",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestUnknownSchemaIsOurFault(t *testing.T) {
	_, err := load(t).CheckDocument("NoSuchThing", []byte("{}"))
	var faults fault.List
	if err == nil || errors.As(err, &faults) {
		t.Errorf("got %v, want an error that no caller is blamed for", err)
	}
}

type refusing struct{}

func (*refusing) UnmarshalJSON([]byte) error {
	return fault.New("/upkeep", nil, "no", "mend it")
}

func TestDecodeErrorsBlameTheDocument(t *testing.T) {
	document, err := load(t).CheckDocument("Case", seed(t))
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name    string
		target  any
		pointer string
	}{
		{"wrong kind", &struct {
			Green struct {
				Name int `json:"name"`
			} `json:"green"`
		}{}, "/green/name"},
		{"the type's own fault", &struct {
			Upkeep refusing `json:"upkeep"`
		}{}, "/upkeep"},
	}
	for _, tt := range tests {
		var faults fault.List
		if err := document.Decode(tt.target); !errors.As(err, &faults) || faults[0].Pointer != tt.pointer {
			t.Errorf("%s: got %v", tt.name, err)
		}
	}
}

// TestFaultsNeverDependOnMapOrder: the same body gives the same list.
func TestFaultsNeverDependOnMapOrder(t *testing.T) {
	c := load(t)
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfDistinct(rapid.StringMatching(`[0-9a-c]{1,3}`), rapid.ID).Draw(t, "names")
		members := make([]string, len(names))
		for i, name := range names {
			members[i] = fmt.Sprintf(`%q:{"x":1}`, name)
		}
		body := []byte("{" + strings.Join(members, ",") + "}")
		_, first := c.CheckDocument("Case", body)
		_, second := c.CheckDocument("Case", body)
		if first.Error() != second.Error() {
			t.Fatalf("two answers:\n%v\n\n%v", first, second)
		}
	})
}

func BenchmarkCheckCase(b *testing.B) {
	c, body := load(b), seed(b)
	b.SetBytes(int64(len(body)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.CheckDocument("Case", body); err != nil {
			b.Fatal(err)
		}
	}
}
