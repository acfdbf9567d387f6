package reference

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// Schema is one named shape.
type Schema struct {
	Name, About string
	Form        Form
	// Fields are those of an object: the required ones first, then by name.
	Fields []Field
	// Open is true where fields that are not listed may stand, too.
	Open    bool
	Example string
	UsedBy  []Use
}

// Field is one field of an object.
type Field struct {
	Name     string
	Required bool
	Form     Form
	About    string
	Default  string
}

// Form is what a value looks like, in words. Where it is made of another schema,
// Schema names that, and Before and After are the words on either side.
type Form struct {
	Before, Schema, After string
	// Values are all that it may be, where they are few.
	Values []string
	// Pattern is how text is written, as a regular expression.
	Pattern string
}

// Use is where a schema is used: by an operation, or by another schema.
type Use struct {
	Words            string
	Topic, Operation string
	Schema           string
}

func schemaOf(name string, s *openapi3.Schema) Schema {
	out := Schema{Name: name, About: s.Description, Form: plainForm(s), Example: indented(s.Example)}
	out.Open = s.Type.Is(openapi3.TypeObject) && (s.AdditionalProperties.Has == nil || *s.AdditionalProperties.Has)
	for _, field := range slices.Sorted(maps.Keys(s.Properties)) {
		property := s.Properties[field]
		out.Fields = append(out.Fields, Field{
			Name: field, Required: slices.Contains(s.Required, field), Form: formOf(property),
			About: property.Value.Description, Default: asJSON(property.Value.Default),
		})
	}
	slices.SortStableFunc(out.Fields, func(a, b Field) int {
		switch {
		case a.Required == b.Required:
			return 0
		case a.Required:
			return -1
		}
		return 1
	})
	return out
}

// formOf is the form of a value that may be of a named schema.
func formOf(ref *openapi3.SchemaRef) Form {
	if ref == nil {
		return Form{}
	}
	if name := nameOf(ref); name != "" {
		return Form{Schema: name}
	}
	return plainForm(ref.Value)
}

// plainForm describes a schema itself.
func plainForm(s *openapi3.Schema) Form {
	out := Form{Pattern: s.Pattern}
	switch {
	case len(s.Enum) > 0:
		out.Before = "one of"
		for _, value := range s.Enum {
			if value != nil {
				out.Values = append(out.Values, strings.Trim(asJSON(value), `"`))
			}
		}
	case s.Type.Is(openapi3.TypeObject):
		out.Before = "object"
	case s.Type.Is(openapi3.TypeArray):
		out = listForm(s)
	case s.Type.Is(openapi3.TypeString):
		out.Before = textForm(s)
	case s.Type.Is(openapi3.TypeNumber):
		out.Before = "number" + bounds(s)
	case s.Type.Is(openapi3.TypeInteger):
		out.Before = "whole number" + bounds(s)
	case s.Type.Is(openapi3.TypeBoolean):
		out.Before = "true or false"
	}
	if s.Nullable {
		out.After += ", or null"
	}
	return out
}

// listForm describes a list by how long it is and what it holds.
func listForm(s *openapi3.Schema) Form {
	out := Form{Before: "list of " + span(float64(s.MinItems), asFloat(s.MaxItems))}
	inner := formOf(s.Items)
	if inner.Schema != "" {
		out.Schema = inner.Schema
		return out
	}
	out.Before += ", each " + inner.Before
	out.Schema, out.After, out.Values, out.Pattern = inner.Schema, inner.After, inner.Values, inner.Pattern
	return out
}

func textForm(s *openapi3.Schema) string {
	switch {
	case s.Format == "binary":
		return "file of " + span(0, asFloat(s.MaxLength)) + " bytes"
	case s.Format != "":
		return "text, a " + strings.ReplaceAll(s.Format, "-", " and ")
	case s.MaxLength != nil:
		return "text of " + span(float64(s.MinLength), asFloat(s.MaxLength)) + " characters"
	}
	return "text"
}

func bounds(s *openapi3.Schema) string {
	switch {
	case s.Min != nil && s.Max != nil:
		return " from " + plain(*s.Min) + " to " + plain(*s.Max)
	case s.Min != nil:
		return " from " + plain(*s.Min)
	case s.Max != nil:
		return " up to " + plain(*s.Max)
	}
	return ""
}

// span is a range of whole numbers in words.
func span(least float64, most *float64) string {
	switch {
	case most == nil:
		return plain(least) + " or more"
	case least == *most:
		return "exactly " + plain(least)
	case least == 0:
		return "up to " + plain(*most)
	}
	return fmt.Sprintf("%s to %s", plain(least), plain(*most))
}

func asFloat(n *uint64) *float64 {
	if n == nil {
		return nil
	}
	value := float64(*n)
	return &value
}

func plain(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }

// nameOf is the name of a schema that is referred to; empty for one written out.
func nameOf(ref *openapi3.SchemaRef) string {
	if ref == nil {
		return ""
	}
	name, is := strings.CutPrefix(ref.Ref, "#/components/schemas/")
	if !is {
		return ""
	}
	return name
}
