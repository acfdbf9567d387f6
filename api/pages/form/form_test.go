package form

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"swardcase/api/contract"
	"swardcase/model/fault"
	"swardcase/openapi"
)

func contractOf(t testing.TB) *contract.Contract {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	return contract.New(doc, nil)
}

// sample has a field of every kind.
func sample() Form {
	return Form{Schema: "GreenInput", Currency: "/upkeep/cost_per_year/currency", Sections: []Section{
		{Title: "One", Fields: []Field{
			{At: "/green/name", Label: "Name", Kind: Text},
			{At: "/green/age_years", Label: "Age", Kind: Number},
			{At: "/green/sprinklers", Label: "Sprinklers", Kind: Whole},
			{At: "/green/has_drains", Label: "Drains", Kind: YesNo},
			{At: "/green/outline/metres", Label: "Edge", Kind: Ring},
			{At: "/green/outline/spot_levels", Label: "Levels", Kind: Spots},
			{At: "/green/outfall/state", Label: "Outfall", Kind: Choice, Options: []Option{{"", ""}, {"free", "free"}}},
			{At: "page:all", Label: "All", Kind: Flag},
		}},
		{Title: "Two", Folded: true, Lists: []List{{
			At: "/green/soil_layers", Caption: "Layers", Entry: "Layer", Blank: 2, More: 3, Carried: []string{"/note"}, AllWhen: "page:all",
			Columns: []Field{
				{At: "/texture", Label: "Texture", Kind: Choice},
				{At: "/thickness_mm", Label: "Thickness", Kind: Number},
				{At: "/stony", Label: "Stony", Kind: Flag},
				{At: "/note", Label: "Note", Kind: Text},
			},
		}}},
		{Title: "Three", Years: []Year{{Caption: "Months", Columns: []Field{{At: "/upkeep/months", Label: "Worth", Kind: Amount}}}}},
	}}
}

func draftOf(t *testing.T, e Entries, base map[string]any) (Draft, string) {
	t.Helper()
	d, err := sample().Draft(e, base)
	if err != nil {
		t.Fatal(err)
	}
	return d, string(d.Body)
}

// TestEntriesBecomeADocument, with numbers as they are written by people, blank
// rows left out and a ring closed.
func TestEntriesBecomeADocument(t *testing.T) {
	d, got := draftOf(t, Entries{
		"/green/name": "14th", "/green/age_years": "+07.50", "/green/sprinklers": "many", "/green/has_drains": "no",
		"/green/outline/metres": "0 0\n\n[20, 0],\n20;20\n0\t20", "/green/outline/spot_levels": "1, 2, 24.5\n3, 4, −.5",
		"/green/soil_layers/0/note": "nothing but a note", "/green/soil_layers/2/texture": "clay", "/green/soil_layers/2/stony": "on",
	}, nil)
	want := `{"green":{"age_years":7.50,"has_drains":false,"name":"14th",` +
		`"outline":{"metres":[[0,0],[20,0],[20,20],[0,20],[0,0]],"spot_levels":[{"level_m":24.5,"x_m":1,"y_m":2},{"level_m":-0.5,"x_m":3,"y_m":4}]},` +
		`"soil_layers":[{"stony":true,"texture":"clay"}],"sprinklers":"many"}}`
	if diff := cmp.Diff(want, got); diff != "" || len(d.Faults) > 0 {
		t.Error(diff, d.Faults)
	}
}

// TestANumberThatIsTooLongStaysText, and does not make the whole document
// unreadable.
func TestANumberThatIsTooLongStaysText(t *testing.T) {
	long := strings.Repeat("9", longestNumber+1)
	if _, got := draftOf(t, Entries{"/green/age_years": long}, nil); got != `{"green":{"age_years":"`+long+`"}}` {
		t.Error(got)
	}
	if _, got := draftOf(t, Entries{"/green/age_years": "000" + long[1:]}, nil); got != `{"green":{"age_years":`+long[1:]+`}}` {
		t.Error(got)
	}
}

// TestCarriedRowsCountWhenAllDo: a row of which only carried columns are filled in
// is an entry while the flag is set and anything else is filled in.
func TestCarriedRowsCountWhenAllDo(t *testing.T) {
	e := Entries{"/green/soil_layers/0/note": "a", "/green/soil_layers/1/note": "b", "/green/soil_layers/1/thickness_mm": "5", "/green/soil_layers/3/note": "d"}
	for _, tt := range []struct {
		flag string
		want string
	}{
		{"", `[{"note":"b","thickness_mm":5}]`},
		{"on", `[{"note":"a"},{"note":"b","thickness_mm":5},{"note":"d"}]`},
	} {
		e["page:all"] = tt.flag
		if _, got := draftOf(t, e, nil); !strings.Contains(got, tt.want) {
			t.Errorf("with %q: %s", tt.flag, got)
		}
	}
	delete(e, "/green/soil_layers/1/thickness_mm")
	if _, got := draftOf(t, e, nil); got != `{}` {
		t.Errorf("nothing was read, and the document is %s", got)
	}
}

// TestWhatAFormDoesNotShowIsKept, and what is emptied goes with what belongs to it.
func TestWhatAFormDoesNotShowIsKept(t *testing.T) {
	base := map[string]any{"green": map[string]any{
		"name": "old", "surrounds_m2": 12, "outfall": map[string]any{"state": "free", "fall_m": 2},
		"outline":     map[string]any{"metres": []any{}, "origin": map[string]any{"bearing_deg": 0}},
		"soil_layers": []any{map[string]any{"texture": "clay"}},
	}}
	_, got := draftOf(t, Entries{"/green/name": "new"}, base)
	if want := `{"green":{"name":"new","outfall":{"fall_m":2},"surrounds_m2":12}}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if fmt.Sprint(base["green"].(map[string]any)["name"]) != "old" {
		t.Error("what is stored was changed in place")
	}
	// Levels by longitude cannot be shown in lines; that their field is empty says
	// nothing of them.
	geo := map[string]any{"green": map[string]any{"outline": map[string]any{
		"geojson": map[string]any{"type": "Polygon"}, "spot_levels": []any{map[string]any{"longitude_deg": 1, "latitude_deg": 2, "level_m": 3}},
	}}}
	entries := sample().Fill(geo)
	if _, got := draftOf(t, entries, geo); !strings.Contains(got, `"spot_levels":[{"latitude_deg":2`) || !strings.Contains(got, `"geojson":{"type":"Polygon"}`) {
		t.Errorf("got %s from %v", got, entries)
	}
}

// TestWhatCannotBeReadIsNamedByLine
func TestWhatCannotBeReadIsNamedByLine(t *testing.T) {
	d, _ := draftOf(t, Entries{"/green/outline/metres": "1, 2\n3\nx y\n4, 5, 6\n1,5; 2", "/green/outline/spot_levels": "{"}, nil)
	var got []string
	for _, f := range d.Faults {
		got = append(got, f.Pointer+" "+f.Detail)
	}
	want := []string{
		"/green/outline/metres line 2 does not hold two numbers", "/green/outline/metres line 3 does not hold two numbers",
		"/green/outline/metres line 4 does not hold two numbers", "/green/outline/metres line 5 does not hold two numbers",
		"/green/outline/spot_levels line 1 does not hold three numbers",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if d, _ := draftOf(t, Entries{"/green/outline/metres": "{nonsense"}, nil); len(d.Faults) != 1 || !strings.Contains(d.Faults[0].Detail, "GeoJSON") {
		t.Error(d.Faults)
	}
	if d, _ := draftOf(t, Entries{"/green/outline/metres": strings.Repeat("x\n", 1000)}, nil); len(d.Faults) > maxLineFaults+1 {
		t.Errorf("%d lines are named", len(d.Faults))
	}
}

// TestAYearIsFilledInWholly or not at all.
func TestAYearIsFilledInWholly(t *testing.T) {
	e := Entries{"/upkeep/cost_per_year/currency": "GBP"}
	for i := range Months {
		e[fmt.Sprintf("/upkeep/months/%d", i)] = "£12"
	}
	d, got := draftOf(t, e, nil)
	if len(d.Faults) > 0 || strings.Count(got, `{"amount":"12","currency":"GBP"}`) != 12 {
		t.Errorf("%v %s", d.Faults, got)
	}
	delete(e, "/upkeep/months/3")
	if d, _ := draftOf(t, e, nil); len(d.Faults) != 1 || d.Faults[0].Pointer != "/upkeep/months/3" {
		t.Errorf("%v", d.Faults)
	}
}

// TestFilledInComesBack: any document that entries make fills the same form again
// to the same document.
func TestFilledInComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Entries{}
		for _, name := range []string{"/green/name", "/green/outfall/state", "/green/soil_layers/0/note", "/green/soil_layers/0/texture", "/green/soil_layers/4/texture"} {
			if rapid.Bool().Draw(t, name) {
				e[name] = rapid.StringMatching(`[a-z<&" é]{1,8}`).Draw(t, "text")
			}
		}
		for _, name := range []string{"/green/age_years", "/green/sprinklers", "/green/soil_layers/0/thickness_mm", "/green/soil_layers/3/thickness_mm"} {
			if rapid.Bool().Draw(t, name) {
				e[name] = rapid.StringMatching(`[+-]?[0-9]{1,4}(\.[0-9]{0,3})?|\.[0-9]|abc`).Draw(t, "number")
			}
		}
		if rapid.Bool().Draw(t, "edge") {
			for range rapid.IntRange(1, 6).Draw(t, "corners") {
				e["/green/outline/metres"] += fmt.Sprintf("%d, %.2f\n", rapid.IntRange(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y"))
			}
		}
		if rapid.Bool().Draw(t, "drains") {
			e["/green/has_drains"] = rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "answer")
		}
		f := sample()
		first, err := f.Draft(e, nil)
		if err != nil {
			t.Fatal(err)
		}
		tree, err := Tree(json.RawMessage(first.Body))
		if err != nil {
			t.Fatal(err)
		}
		second, err := f.Draft(f.Fill(tree), tree)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(first.Body), string(second.Body)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// TestCornersThatCoincideComeBack, although the last is as the first.
func TestCornersThatCoincideComeBack(t *testing.T) {
	for _, lines := range []string{"1, 2\n1, 2", "1, 2\n1, 2\n1, 2", "1, 2\n3, 4\n1, 2\n1, 2", "1, 2\n3, 4"} {
		_, first := draftOf(t, Entries{"/green/outline/metres": lines}, nil)
		tree, err := Tree(json.RawMessage(first))
		if err != nil {
			t.Fatal(err)
		}
		f := sample()
		if again, err := f.Draft(f.Fill(tree), nil); err != nil || string(again.Body) != first {
			t.Errorf("%q: %s became %s (%v)", lines, first, again.Body, err)
		}
	}
}

// TestAFaultStandsBesideItsField, found by its pointer alone: itself, the nearest
// round it, the first within it, or the head of the page.
func TestAFaultStandsBesideItsField(t *testing.T) {
	f := sample()
	e := Entries{"/green/name": "x", "/green/soil_layers/1/texture": "clay", "/green/outline/metres": "0,0\n1,1"}
	d, err := f.Draft(e, nil)
	if err != nil {
		t.Fatal(err)
	}
	for pointer, want := range map[string]string{
		"/green/name":                           "Name",
		"/green/soil_layers/0/thickness_mm":     "Layer 2, Thickness", // the blank row is no entry
		"/green/soil_layers/0/texture":          "Layer 2, Texture",
		"/green/soil_layers":                    "Layers",
		"/green/outline/metres/3":               "Edge",
		"/green/outline/origin/bearing_deg":     "Edge",
		"/green/outline":                        "Edge",
		"/green/outfall":                        "Outfall",
		"/upkeep/months/4/amount":               "Worth, May",
		"/green/surroundings/trees_to_fell":     "",
		"":                                      "",
		"/green":                                "",
		"/green/soil_layers/0/thickness_mm/odd": "Layer 2, Thickness",
	} {
		view := f.View(contractOf(t), e, d, fault.List{fault.New(pointer, "v", "is wrong", "mend it")})
		if len(view.Summary) != 1 || view.Summary[0].Label != want || (want == "") != (view.Summary[0].Anchor == "") {
			t.Errorf("%s went to %+v, want %q", pointer, view.Summary, want)
		}
	}
	view := f.View(contractOf(t), e, d, fault.List{fault.New("/green/outline/metres/3", "9", "the ring crosses itself", "draw it anew")})
	if got := view.Sections[0].Shown[4].Faults; len(got) != 1 || got[0] != "Line 4: The ring crosses itself. Draw it anew." {
		t.Errorf("got %q", got)
	}
}

// TestFaultsStandInTheOrderOfTheForm
func TestFaultsStandInTheOrderOfTheForm(t *testing.T) {
	d := Draft{Faults: fault.List{fault.New("/upkeep/months/0", nil, "a", "b")}}
	view := sample().View(contractOf(t), Entries{}, d, fault.List{
		fault.New("/nowhere", nil, "a", "b"), fault.New("/green/soil_layers/0/texture", nil, "a", "b"), fault.New("/green/name", nil, "a", "b"),
	})
	var got []string
	for _, c := range view.Summary {
		got = append(got, c.Label)
	}
	if diff := cmp.Diff([]string{"Name", "Layer 1, Texture", "Worth, January", ""}, got); diff != "" {
		t.Error(diff)
	}
	if !view.Sections[1].Open {
		t.Error("a folded section with a fault is shut")
	}
}

// TestWordsOfAFault
func TestWordsOfAFault(t *testing.T) {
	for want, f := range map[string]fault.Fault{
		"“20” is below the least allowed, 50. Give more.": fault.New("", 20, "is below the least allowed, 50", "give more"),
		"This is required but missing. Add it.":           fault.New("", nil, "is required but missing", "add it."),
		"The outline is missing. Give one.":               fault.New("", 3, "the outline is missing", "give one"),
		"Été. Ça.":                                        fault.New("", nil, "été", "ça"),
	} {
		if got := Words(f); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// TestDifferencesAreNamed by the labels of the fields.
func TestDifferencesAreNamed(t *testing.T) {
	got := sample().Differences(
		Entries{"/green/name": "a", "/green/soil_layers/0/texture": "clay", "page:all": "on"},
		Entries{"/green/name": "b", "/green/age_years": "3"},
	)
	want := []Difference{{"Name", "a", "b"}, {"Age", "", "3"}, {"Layer 1, Texture", "clay", ""}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestRowsAreAddedOnDemand, and hostile row numbers ask for none.
func TestRowsAreAddedOnDemand(t *testing.T) {
	f := sample()
	e := f.Read(map[string][]string{
		"/green/soil_layers/999999999/texture": {"x"}, "/green/soil_layers/-1/texture": {"x"}, "/green/soil_layers/1/texture": {" clay\r\n"}, "unknown": {"x"},
	})
	if diff := cmp.Diff(Entries{"/green/soil_layers/1/texture": "clay"}, e); diff != "" {
		t.Error(diff)
	}
	for _, want := range []int{5, 8} {
		f.AddRows(e, "/green/soil_layers")
		if got := len(f.View(contractOf(t), e, Draft{}, nil).Sections[1].Tables[0].Rows); got != want {
			t.Errorf("%d rows, want %d", got, want)
		}
	}
	for range 500 {
		f.AddRows(e, "/green/soil_layers")
	}
	if got := sample().Sections[1].Lists[0].rows(e); got > maxRows {
		t.Errorf("%d rows", got)
	}
}

// FuzzEntries: whatever is filled in becomes a document that can be read, and a
// page.
func FuzzEntries(f *testing.F) {
	f.Add("/green/outline/metres", "0,0\n1,1\n1,0", "/green/soil_layers/3/texture", "clay")
	f.Add("/green/outline/metres", `{"type":"Polygon","coordinates":[]}`, "/green/age_years", "1e999")
	f.Add("/green/outline/spot_levels", strings.Repeat("9", 400)+",1,2", "/upkeep/months/11", "£")
	c := contractOf(f)
	f.Fuzz(func(t *testing.T, name, text, other, more string) {
		form := sample()
		e := form.Read(map[string][]string{name: {text}, other: {more}})
		d, err := form.Draft(e, nil)
		if err != nil || !json.Valid(d.Body) {
			t.Fatalf("%v: %s", err, d.Body)
		}
		_, err = c.CheckDocument("GreenInput", d.Body)
		var faults fault.List
		if list, ok := err.(fault.List); ok { //nolint:errorlint // the check returns it as it is
			faults = list
		}
		form.View(c, e, d, faults)
	})
}
