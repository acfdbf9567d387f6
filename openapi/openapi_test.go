package openapi_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"swardcase/openapi"
)

// openObjects are the schemas that may leave their fields open, with the reason.
var openObjects = map[string]string{
	"ContractDocument": "its fields are those of the OpenAPI specification",
	"GeoJSONGreen":     "RFC 7946 lets a GeoJSON object carry foreign members; what is not a polygon is refused by the model",
	"AuditedThing":     "it holds a thing of any kind, in the form that the engine of its day gave it",
}

func TestContractIsSound(t *testing.T) {
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, complaint := range lint(doc) {
		t.Error(complaint)
	}
}

func TestJSONFormIsTheSameContract(t *testing.T) {
	text, err := openapi.JSON()
	if err != nil {
		t.Fatal(err)
	}
	again, err := openapi.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	first, _ := json.Marshal(doc)
	second, _ := json.Marshal(again)
	if string(first) != string(second) {
		t.Error("the JSON form does not read back as the same contract")
	}
}

func TestCopiesCannotChangeTheContract(t *testing.T) {
	openapi.YAML()[0] = 'X'
	if openapi.YAML()[0] == 'X' {
		t.Error("YAML returns the embedded bytes themselves")
	}
}

// TestLintSeesEachFlaw keeps the lint itself honest: each flaw is put into a
// contract that is otherwise sound, and must be the one thing complained of.
func TestLintSeesEachFlaw(t *testing.T) {
	tests := []struct{ name, schema, want string }{
		{"sound", `{type: object, additionalProperties: false, properties: {a: {type: boolean}}}`, ""},
		{"open object", `{type: object, properties: {a: {type: boolean}}}`, "additionalProperties"},
		{"object inside", `{type: object, additionalProperties: false, properties: {a: {type: object, additionalProperties: false}}}`, "unnamed object"},
		{"object inside a list", `{type: array, maxItems: 2, items: {type: object, additionalProperties: false}}`, "unnamed object"},
		{"32-bit number", `{type: number, minimum: 0, maximum: 1}`, "format"},
		{"number without least", `{type: number, format: double, maximum: 1}`, "minimum"},
		{"integer without most", `{type: integer, minimum: 0}`, "maximum"},
		{"unbounded text", `{type: string}`, "maxLength"},
		{"enumerated text", `{type: string, enum: [a]}`, ""},
		{"pattern without words", `{type: string, maxLength: 3, pattern: '^a$'}`, "description"},
		{"unbounded list", `{type: array, items: {type: boolean}}`, "maxItems"},
		{"no type", `{description: anything}`, "type"},
		{"combined", `{type: string, maxLength: 3, allOf: [{$ref: '#/components/schemas/Other'}]}`, "allOf"},
		{"required but unknown", `{type: object, additionalProperties: false, required: [b], properties: {a: {type: boolean}}}`, "not among"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			doc, err := openapi3.NewLoader().LoadFromData([]byte(`{openapi: 3.0.3, info: {title: t, version: "1"}, paths: {}, components: {schemas: {Other: {type: boolean}, Flawed: ` + tt.schema + `}}}`))
			if err != nil {
				t.Fatal(err)
			}
			got := strings.Join(lint(doc), "\n")
			if tt.want == "" && got != "" || !strings.Contains(got, tt.want) || strings.Count(got, "\n") > 0 {
				t.Errorf("lint said %q, want one complaint about %q", got, tt.want)
			}
		})
	}
}

// lint lists what breaks the house rules for a contract, in a fixed order.
func lint(doc *openapi3.T) []string {
	var l linter
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		l.schema(name, doc.Components.Schemas[name], true)
	}
	for _, path := range doc.Paths.InMatchingOrder() {
		operations := doc.Paths.Value(path).Operations()
		for _, method := range slices.Sorted(maps.Keys(operations)) {
			l.operation(method+" "+path, operations[method])
		}
	}
	return l.complaints
}

type linter struct{ complaints []string }

func (l *linter) add(where, format string, args ...any) {
	l.complaints = append(l.complaints, where+": "+fmt.Sprintf(format, args...))
}

func (l *linter) operation(where string, op *openapi3.Operation) {
	if op.OperationID == "" {
		l.add(where, "has no operationId")
	}
	for _, parameter := range op.Parameters {
		l.schema(where+" "+parameter.Value.Name, parameter.Value.Schema, false)
	}
	if op.RequestBody != nil {
		l.content(where+" request", op.RequestBody.Value.Content)
	}
	for _, status := range slices.Sorted(maps.Keys(op.Responses.Map())) {
		l.content(where+" "+status, op.Responses.Value(status).Value.Content)
	}
}

// content insists that a body is a named schema.
func (l *linter) content(where string, content openapi3.Content) {
	for _, media := range slices.Sorted(maps.Keys(content)) {
		if content[media].Schema == nil || content[media].Schema.Ref == "" {
			l.add(where, "%s body has no named schema", media)
		}
	}
}

// schema checks one schema; top is true for the named ones. References are not
// followed, since what they lead to is named and checked on its own.
func (l *linter) schema(where string, ref *openapi3.SchemaRef, top bool) {
	if ref.Ref != "" {
		return
	}
	s := ref.Value
	if len(s.OneOf)+len(s.AnyOf)+len(s.AllOf) > 0 || s.Not != nil {
		l.add(where, "uses oneOf, anyOf, allOf or not, which the tools read in different ways")
	}
	if s.Pattern != "" && s.Description == "" {
		l.add(where, "has a pattern but no description that says it in words")
	}
	switch {
	case s.Type.Is(openapi3.TypeObject):
		l.object(where, s, top)
	case s.Type.Is(openapi3.TypeArray):
		if s.MaxItems == nil {
			l.add(where, "has no maxItems")
		}
		l.schema(where+"[]", s.Items, false)
	case s.Type.Is(openapi3.TypeNumber), s.Type.Is(openapi3.TypeInteger):
		l.number(where, s)
	case s.Type.Is(openapi3.TypeString):
		if s.MaxLength == nil && len(s.Enum) == 0 {
			l.add(where, "has no maxLength")
		}
	case s.Type.Is(openapi3.TypeBoolean):
	default:
		l.add(where, "has no single type")
	}
}

func (l *linter) object(where string, s *openapi3.Schema, top bool) {
	if !top {
		l.add(where, "is an unnamed object")
	}
	closed := s.AdditionalProperties.Has != nil && !*s.AdditionalProperties.Has
	switch excused := openObjects[where] != ""; {
	case !closed && !excused:
		l.add(where, "does not say additionalProperties: false")
	case closed && excused:
		l.add(where, "is closed now: take it off the list of open objects")
	}
	for _, name := range s.Required {
		if s.Properties[name] == nil {
			l.add(where, "requires %q, which is not among its properties", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		l.schema(where+"."+name, s.Properties[name], false)
	}
}

func (l *linter) number(where string, s *openapi3.Schema) {
	if s.Type.Is(openapi3.TypeNumber) && s.Format != "double" {
		l.add(where, "is a number without format: double, which code generators read as 32 bits")
	}
	if len(s.Enum) > 0 {
		return
	}
	if s.Min == nil {
		l.add(where, "has no minimum")
	}
	if s.Max == nil {
		l.add(where, "has no maximum")
	}
}
