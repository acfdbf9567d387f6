package reference_test

import (
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/go-cmp/cmp"

	"swardcase/api/pages/reference"
	"swardcase/openapi"
)

func ofContract(t *testing.T) (*openapi3.T, *reference.Reference) {
	t.Helper()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	r, err := reference.New(doc)
	if err != nil {
		t.Fatal(err)
	}
	return doc, r
}

// TestNothingOfTheContractIsMissing counts operations, parameters, schemas and
// fields on both sides.
func TestNothingOfTheContractIsMissing(t *testing.T) {
	doc, r := ofContract(t)
	operations := map[string]bool{}
	for _, topic := range r.Topics {
		if len(topic.Operations) == 0 {
			t.Errorf("the topic %s has no operation", topic.Name)
		}
		for _, op := range topic.Operations {
			operations[op.ID] = true
			item := doc.Paths.Value(op.Path)
			want := item.GetOperation(op.Method)
			if got := len(op.Parameters); got != len(item.Parameters)+len(want.Parameters) {
				t.Errorf("%s has %d parameters", op.ID, got)
			}
			if got := len(op.Answers) + len(op.Refusals); got != want.Responses.Len() {
				t.Errorf("%s has %d answers", op.ID, got)
			}
			if (op.Body != nil) != (want.RequestBody != nil) {
				t.Errorf("%s: its body is missing, or there is one too many", op.ID)
			}
		}
	}
	for _, item := range doc.Paths.Map() {
		for _, op := range item.Operations() {
			if !operations[op.OperationID] {
				t.Errorf("%s is not shown", op.OperationID)
			}
		}
	}
	for name, ref := range doc.Components.Schemas {
		schema, known := r.Schema(name)
		if !known || len(schema.Fields) != len(ref.Value.Properties) {
			t.Errorf("the schema %s has %d fields, want %d", name, len(schema.Fields), len(ref.Value.Properties))
		}
		if len(schema.UsedBy) == 0 && name != "Problem" { // the answer of every refusal
			t.Errorf("nothing uses the schema %s", name)
		}
	}
}

// TestFormsInWords holds the words to schemas of every kind.
func TestFormsInWords(t *testing.T) {
	tests := []struct {
		schema string
		want   reference.Form
	}{
		{`{type: number, format: double, minimum: -1.5, maximum: 20}`, reference.Form{Before: "number from -1.5 to 20"}},
		{`{type: integer, minimum: 1, maximum: 1000000, nullable: true}`, reference.Form{Before: "whole number from 1 to 1000000", After: ", or null"}},
		{`{type: string, maxLength: 40}`, reference.Form{Before: "text of up to 40 characters"}},
		{`{type: string, minLength: 1, maxLength: 9, pattern: '^a+$'}`, reference.Form{Before: "text of 1 to 9 characters", Pattern: "^a+$"}},
		{`{type: string, minLength: 3, maxLength: 3}`, reference.Form{Before: "text of exactly 3 characters"}},
		{`{type: string, format: binary, maxLength: 9}`, reference.Form{Before: "file of up to 9 bytes"}},
		{`{type: string, format: date, maxLength: 10}`, reference.Form{Before: "text, a date"}},
		{`{type: string, enum: [a, b]}`, reference.Form{Before: "one of", Values: []string{"a", "b"}}},
		{`{type: integer, enum: [1, 2]}`, reference.Form{Before: "one of", Values: []string{"1", "2"}}},
		{`{type: boolean}`, reference.Form{Before: "true or false"}},
		{`{type: array, minItems: 2, maxItems: 5, items: {type: boolean}}`, reference.Form{Before: "list of 2 to 5, each true or false"}},
		{`{type: array, maxItems: 5, items: {$ref: '#/components/schemas/Other'}, nullable: true}`, reference.Form{Before: "list of up to 5", Schema: "Other", After: ", or null"}},
		{`{type: array, minItems: 12, maxItems: 12, items: {type: string, enum: [a]}}`, reference.Form{Before: "list of exactly 12, each one of", Values: []string{"a"}}},
	}
	for _, tt := range tests {
		doc, err := openapi3.NewLoader().LoadFromData([]byte(`{openapi: 3.0.3, info: {title: t, version: "1"}, paths: {}, components: {schemas: {Other: {type: boolean}, Shown: {type: object, properties: {it: ` + tt.schema + `}}}}}`))
		if err != nil {
			t.Fatal(err)
		}
		r, err := reference.New(doc)
		if err != nil {
			t.Fatal(err)
		}
		shown, _ := r.Schema("Shown")
		if diff := cmp.Diff(tt.want, shown.Fields[0].Form); diff != "" {
			t.Errorf("%s: %s", tt.schema, diff)
		}
	}
}

// TestAnOperationIsUnderOneTopic, or the contract does not say where.
func TestAnOperationIsUnderOneTopic(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData([]byte(`{openapi: 3.0.3, info: {title: t, version: "1"}, tags: [{name: a}], components: {}, paths: {/x: {get: {operationId: x, tags: [b], responses: {"200": {description: d}}}}}}`))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := reference.New(doc); err == nil || !strings.Contains(err.Error(), "x has not exactly one tag") {
		t.Errorf("got %v", err)
	}
}

// TestACallFromACommandLine has what the operation asks for.
func TestACallFromACommandLine(t *testing.T) {
	_, r := ofContract(t)
	examples := map[string]string{}
	for _, topic := range r.Topics {
		for _, op := range topic.Operations {
			examples[op.ID] = op.Example
		}
	}
	for id, want := range map[string]string{
		"getHealth":   "curl \\\n  \"$ADDRESS/healthz\"",
		"replaceClub": "curl -X PUT \\\n  -H \"Authorization: Bearer $KEY\" \\\n  -H 'If-Match: \"1\"' \\\n  -H \"Content-Type: application/json\" \\\n  --data-binary @FILE.json \\\n  \"$ADDRESS/v1/clubs/CLUB_ID\"",
		"getWorkbook": "curl \\\n  -H \"Authorization: Bearer $KEY\" \\\n  -OJ \\\n  \"$ADDRESS/v1/clubs/CLUB_ID/appraisals/APPRAISAL_ID/workbook\"",
	} {
		if diff := cmp.Diff(want, examples[id]); diff != "" {
			t.Errorf("%s: %s", id, diff)
		}
	}
}
