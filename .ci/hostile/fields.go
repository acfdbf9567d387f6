package main

import (
	"maps"
	"regexp"
	"slices"

	"github.com/getkin/kin-openapi/openapi3"
)

var braces = regexp.MustCompile(`\{[a-z_]+\}`)

// deepest bounds the walk through schemas that hold themselves.
const deepest = 12

// textFields lists the places of all texts that a schema allows, whether the
// example has them or not: names of members, and 0 for the first of a list.
func textFields(schema *openapi3.Schema, example any, at []any) [][]any {
	if len(at) > deepest {
		return nil
	}
	switch {
	case schema.Type.Is(openapi3.TypeString):
		return [][]any{slices.Clone(at)}
	case schema.Type.Is(openapi3.TypeArray) && schema.Items != nil:
		list, _ := example.([]any)
		var first any
		if len(list) > 0 {
			first = list[0]
		}
		return textFields(schema.Items.Value, first, append(at, 0))
	}
	object, _ := example.(map[string]any)
	var found [][]any
	for _, name := range slices.Sorted(maps.Keys(schema.Properties)) {
		found = append(found, textFields(schema.Properties[name].Value, object[name], append(at, name))...)
	}
	return found
}

// with is a copy of a document with a text at a place, and with what must be
// there for the place to be.
func with(document any, at []any, text string) any {
	if len(at) == 0 {
		return text
	}
	if name, is := at[0].(string); is {
		object, _ := document.(map[string]any)
		object = maps.Clone(object)
		if object == nil {
			object = map[string]any{}
		}
		object[name] = with(object[name], at[1:], text)
		return object
	}
	list, _ := document.([]any)
	list = slices.Clone(list)
	if len(list) == 0 {
		list = []any{nil}
	}
	list[0] = with(list[0], at[1:], text)
	return list
}
