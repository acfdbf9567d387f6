package pages

import (
	"slices"
	"strings"
	"testing"

	"swardcase/api/contract"
	"swardcase/api/pages/form"
	"swardcase/openapi"
)

func forms() map[string]form.Form {
	return map[string]form.Form{
		"club": clubForm(), "green": greenForm(), "survey": surveyForm(), "appraisal": appraisalForm(nil, nil), "price book": priceBookForm(),
	}
}

// TestEveryFieldIsInTheContract: a form asks for nothing that the contract does not
// know, and a choice offers all that the contract allows and nothing else.
func TestEveryFieldIsInTheContract(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	c := contract.New(doc, nil)
	for name, f := range forms() {
		checked := 0
		check := func(pointer string, field form.Field) {
			if strings.HasPrefix(pointer, "page:") {
				return
			}
			checked++
			property, known := c.PropertyAt(f.Schema, pointer)
			if !known {
				t.Errorf("%s: the contract has nothing at %s of %s", name, pointer, f.Schema)
			}
			if field.Kind != form.Choice || len(property.Values) == 0 {
				return
			}
			var offered []string
			for _, option := range field.Options {
				if option.Value != "" {
					offered = append(offered, option.Value)
				}
			}
			slices.Sort(offered)
			slices.Sort(property.Values)
			if !slices.Equal(offered, property.Values) {
				t.Errorf("%s: %s offers %v, and the contract allows %v", name, pointer, offered, property.Values)
			}
		}
		for _, section := range f.Sections {
			for _, field := range section.Fields {
				check(field.At, field)
			}
			for _, list := range section.Lists {
				for _, column := range list.Columns {
					check(list.At+"/0"+column.At, column)
				}
				property, _ := c.PropertyAt(f.Schema, list.At)
				if property.MaxItems == 0 || uint64(list.Blank) > property.MaxItems {
					t.Errorf("%s: %s begins with %d rows, and may have %d", name, list.At, list.Blank, property.MaxItems)
				}
			}
			for _, year := range section.Years {
				for _, column := range year.Columns {
					check(column.At+"/11", column)
				}
			}
		}
		if _, known := c.PropertyAt(f.Schema, f.Currency); f.Currency != "" && !known {
			t.Errorf("%s: no currency at %s", name, f.Currency)
		}
		if checked < 3 {
			t.Errorf("%s: only %d fields were looked at", name, checked)
		}
	}
}

// TestNoTwoFieldsShareAnID, or a label would name the wrong one.
func TestNoTwoFieldsShareAnID(t *testing.T) {
	for name, f := range forms() {
		seen := map[string]string{}
		for _, section := range f.Sections {
			for _, field := range section.Fields {
				if other, twice := seen[form.ID(field.At)]; twice {
					t.Errorf("%s: %s and %s have one id", name, field.At, other)
				}
				seen[form.ID(field.At)] = field.At
			}
		}
	}
}

// TestOnlyOwnAddressesAreReturnedTo after signing in.
func TestOnlyOwnAddressesAreReturnedTo(t *testing.T) {
	for _, own := range []string{"/clubs", "/clubs/1/greens/2?order=name", "/"} {
		if got := localAddress(own); got != own {
			t.Errorf("%q became %q", own, got)
		}
	}
	for _, foreign := range []string{
		"", "clubs", "//elsewhere.example/x", "https://elsewhere.example", "javascript:alert(1)", "/\\elsewhere.example", "/\t/elsewhere.example",
		"/%zz", "/ /x", "///elsewhere.example", "/\x7fx", "?x",
	} {
		if got := localAddress(foreign); got != "" {
			t.Errorf("%q became %q", foreign, got)
		}
	}
}
