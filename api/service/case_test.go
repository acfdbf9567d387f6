package service_test

import (
	"bytes"
	"encoding/json"
	"regexp"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/model"
	"swardcase/openapi"
)

// TestTheModelsCaseHasEveryFieldOfTheContract builds a document with every field
// that the contract knows, reads it as the model's case and writes it again:
// nothing may be unknown on the way in, nor missing or changed on the way out.
func TestTheModelsCaseHasEveryFieldOfTheContract(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	sameFields[model.Case](t, doc, service.CaseSchema)
	sameFields[model.CourseCase](t, doc, service.CourseSchema)
}

func sameFields[C any](t *testing.T, doc *openapi3.T, schema string) {
	t.Helper()
	want := fullest(t, doc.Components.Schemas[schema].Value)
	body, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := contract.New(doc, nil).CheckDocument(schema, body); err != nil {
		t.Fatalf("the document made from the contract does not meet it: %v", err)
	}
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.DisallowUnknownFields()
	var c C
	if err := decoder.Decode(&c); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	var got any
	if err := json.Unmarshal(again, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the model's case and the contract's %s differ (- contract, + model):\n%s", schema, diff)
	}
}

// texts has one text for each pattern of the contract.
var texts = []string{"2026-01-31", "2026-01", "12.50", "GBP", "abc"}

// fullest gives a value with every field, of the types that encoding/json reads
// into: as large as the schema lets it be, so that nothing is zero.
func fullest(t *testing.T, s *openapi3.Schema) any {
	t.Helper()
	switch {
	case len(s.Enum) > 0:
		return s.Enum[len(s.Enum)-1]
	case s.Type.Is(openapi3.TypeObject):
		object := map[string]any{}
		for name, property := range s.Properties {
			object[name] = fullest(t, property.Value)
		}
		return object
	case s.Type.Is(openapi3.TypeArray):
		list := []any{}
		for range max(1, s.MinItems) {
			list = append(list, fullest(t, s.Items.Value))
		}
		return list
	case s.Type.Is(openapi3.TypeBoolean):
		return true
	case s.Type.Is(openapi3.TypeString):
		for _, text := range texts {
			if regexp.MustCompile(s.Pattern).MatchString(text) && uint64(len(text)) <= *s.MaxLength {
				return text
			}
		}
		t.Fatalf("no text fits the pattern %s", s.Pattern)
	}
	return *s.Max
}
