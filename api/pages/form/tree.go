package form

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
)

// A tree is a document as decoded JSON: objects are map[string]any, arrays []any,
// numbers json.Number.

// Tree decodes any value that can be written as JSON into a tree of its own.
func Tree(value any) (map[string]any, error) {
	text, err := json.Marshal(value)
	if err != nil {
		return nil, err
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	var tree map[string]any
	err = decoder.Decode(&tree)
	return tree, err
}

func tokens(pointer string) []string {
	return strings.Split(strings.TrimPrefix(pointer, "/"), "/")
}

// lookUp finds the value at a place.
func lookUp(tree any, path []string) (any, bool) {
	for _, token := range path {
		switch within := tree.(type) {
		case map[string]any:
			inner, there := within[token]
			if !there {
				return nil, false
			}
			tree = inner
		case []any:
			i, err := strconv.Atoi(token)
			if err != nil || i < 0 || i >= len(within) {
				return nil, false
			}
			tree = within[i]
		default:
			return nil, false
		}
	}
	return tree, true
}

// put writes a value at a place, making the objects on the way.
func put(tree map[string]any, path []string, value any) {
	for _, token := range path[:len(path)-1] {
		inner, ok := tree[token].(map[string]any)
		if !ok {
			inner = map[string]any{}
			tree[token] = inner
		}
		tree = inner
	}
	tree[path[len(path)-1]] = value
}

// drop takes a place out, and the objects on the way that it leaves empty.
func drop(tree map[string]any, path []string) {
	if len(path) == 1 {
		delete(tree, path[0])
		return
	}
	inner, ok := tree[path[0]].(map[string]any)
	if !ok {
		return
	}
	drop(inner, path[1:])
	if len(inner) == 0 {
		delete(tree, path[0])
	}
}

// without gives a copy of a tree that lacks a place.
func without(tree map[string]any, pointers ...string) map[string]any {
	copied, err := Tree(tree)
	if err != nil || copied == nil { // a tree can always be written
		copied = map[string]any{}
	}
	for _, pointer := range pointers {
		drop(copied, tokens(pointer))
	}
	return copied
}

// Into decodes a tree into a value of its own type.
func Into(tree map[string]any, value any) error {
	text, err := json.Marshal(tree)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, value)
}
