package contract

import (
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// Property is what the contract says of one place in a document.
type Property struct {
	// Wanted says what to write there, as in a remedy: "a number from 50 to 3000".
	Wanted string
	// Range says within what bounds a number lies; empty for all else, without both
	// bounds, and where they are too wide to tell anything.
	Range       string
	Description string
	// Required is true where no document can do without it.
	Required bool
	// MaxLength is how many characters text may have; 0 where nothing is said.
	MaxLength uint64
	// MaxItems is how many entries a list may have; 0 where nothing is said.
	MaxItems uint64
	// Values are those allowed, where they are listed.
	Values []string
}

// PropertyAt looks a place up by its JSON pointer in documents of a schema; any
// number stands for every entry of a list.
func (c *Contract) PropertyAt(schemaName, pointer string) (Property, bool) {
	ref := c.doc.Components.Schemas[schemaName]
	if ref == nil {
		return Property{}, false
	}
	schema, required := ref.Value, true
	for token := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		inner := property(schema, token)
		if inner == nil {
			if _, err := strconv.Atoi(token); err != nil || schema.Items == nil {
				return Property{}, false
			}
			inner = schema.Items.Value
			required = false
		}
		required = required && slices.Contains(schema.Required, token)
		schema = inner
	}
	return propertyOf(schema, required), true
}

// boundless is where a bound only keeps hostile numbers out, and tells nobody
// anything.
const boundless = 1e6

func propertyOf(s *openapi3.Schema, required bool) Property {
	out := Property{Wanted: describe(s), Description: s.Description, Required: required}
	if s.Min != nil && s.Max != nil && *s.Max < boundless {
		out.Range = number(*s.Min) + " to " + number(*s.Max)
	}
	if s.MaxLength != nil {
		out.MaxLength = *s.MaxLength
	}
	if s.MaxItems != nil {
		out.MaxItems = *s.MaxItems
	}
	if len(s.Enum) > 0 {
		out.Values = enumWords(s)
	}
	return out
}
