// Package contract checks documents and request parameters against the OpenAPI
// contract, and says what is wrong with them in the words of the trade: one
// fault for each error, with where it is, what was given and what to write
// instead. The command line and the server both read a case through it.
package contract

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"

	"swardcase/model/fault"
)

// MaxFaults is how many faults of one document are reported. When there are
// more, one further entry says so.
const MaxFaults = 100

// Contract is a loaded OpenAPI document. It is safe for concurrent use.
type Contract struct {
	doc      *openapi3.T
	meanings map[string]Meaning
}

// Meaning judges what a schema cannot say, such as how many decimal places a
// currency has. It is given any value that stands where the schema of its name
// is asked for, sound or not, and returns an empty detail when it has no
// complaint. The field is the member of the value that is at fault, or empty.
type Meaning func(value any) (field, detail, remedy string)

// New wraps a document that has been validated and will not change, with the
// meanings of its schemas by name.
func New(doc *openapi3.T, meanings map[string]Meaning) *Contract {
	return &Contract{doc: doc, meanings: meanings}
}

// Document is a body that has passed its check. The zero value holds nothing;
// only CheckDocument makes a full one.
type Document struct {
	schema string
	body   []byte
}

// Schema is the name of the schema that the document was checked against.
func (d Document) Schema() string { return d.schema }

// Decode fills target, a pointer to a type with the schema's JSON names. A
// value that the type refuses although the contract allows it comes back as a
// fault.List, since only the caller can mend it.
func (d Document) Decode(target any) error {
	err := json.Unmarshal(d.body, target)
	if err == nil {
		return nil
	}
	var list fault.List
	var one fault.Fault
	if errors.As(err, &list) {
		return list
	}
	if errors.As(err, &one) {
		return fault.List{one}
	}
	pointer := ""
	var mismatch *json.UnmarshalTypeError
	if errors.As(err, &mismatch) {
		pointer = "/" + strings.ReplaceAll(mismatch.Field, ".", "/")
	}
	return fault.List{fault.New(pointer, nil, NoMeaning, "check the dates and amounts")}
}

// NoMeaning is what Decode says of a value that its type refuses for a reason of
// its own. A Meaning for the value's schema says it better, and where.
const NoMeaning = "a value here has the right form but no meaning"

// CheckDocument reads one JSON document and checks it against the schema of
// that name. The error is an *Unreadable when the body cannot be trusted to
// mean one thing, and otherwise a fault.List in the order of the pointers.
func (c *Contract) CheckDocument(schemaName string, body []byte) (Document, error) {
	ref := c.doc.Components.Schemas[schemaName]
	if ref == nil {
		return Document{}, fmt.Errorf("the contract has no schema %q", schemaName)
	}
	tree, err := readStrictly(body)
	if err != nil {
		return Document{}, err
	}
	if err := c.check(schemaName, ref.Value, tree).Err(); err != nil {
		return Document{}, err
	}
	return Document{schema: schemaName, body: body}, nil
}

// check lists what is wrong with a value: one fault for each place, because
// the second complaint about one value (its pattern, after its length) adds
// nothing to mending it.
func (c *Contract) check(name string, schema *openapi3.Schema, value any) fault.List {
	all := collector{opened: map[string]bool{}, meanings: c.meanings}
	if err := schema.VisitJSON(value, openapi3.MultiErrors()); err != nil {
		all.collect(err)
	}
	all.beyondSchema(name, schema, value, nil)
	found := all.found
	slices.SortStableFunc(found, func(a, b finding) int { return comparePaths(a.path, b.path) })
	found = slices.CompactFunc(found, func(a, b finding) bool { return slices.Equal(a.path, b.path) })

	faults := make(fault.List, 0, min(len(found), MaxFaults+1))
	for _, f := range found[:min(len(found), MaxFaults+1)] {
		faults = append(faults, f.fault())
	}
	return Capped(faults)
}

// Capped cuts a list to MaxFaults and says so in one further entry.
func Capped(faults fault.List) fault.List {
	if len(faults) <= MaxFaults {
		return faults
	}
	more := fault.New("", nil, "there are more faults than the 100 shown", "mend these, then check again")
	return append(faults[:MaxFaults:MaxFaults], more)
}

// finding is one error with its place in the document: one of the validator's,
// or one whose words are already known.
type finding struct {
	path           []string
	keyword        string // the schema's keyword that failed
	schema         *openapi3.Schema
	value          any
	detail, remedy string // of a meaning
}

// collector gathers findings; opened holds the objects whose unknown fields
// are already listed.
type collector struct {
	found    []finding
	opened   map[string]bool
	meanings map[string]Meaning
}

// collect flattens the validator's nested errors. It never prints them: their
// text holds the schema and the whole value.
func (c *collector) collect(err error) {
	var several openapi3.MultiError
	var one *openapi3.SchemaError
	switch {
	case errors.As(err, &several):
		for _, each := range several {
			c.collect(each)
		}
	case errors.As(err, &one) && one.SchemaField == "properties":
		c.unknownFields(one)
	case errors.As(err, &one):
		c.found = append(c.found, finding{path: one.JSONPointer(), keyword: one.SchemaField, schema: one.Schema, value: one.Value})
	default:
		c.found = append(c.found, finding{})
	}
}

// unknownFields lists an object's unknown fields. The validator complains once
// for each of them and names it only in its text; the first complaint is
// enough to find them all.
func (c *collector) unknownFields(err *openapi3.SchemaError) {
	path := err.JSONPointer()
	if at := strings.Join(path, "/"); !c.opened[at] {
		c.opened[at] = true
		object, _ := err.Value.(map[string]any)
		for name, value := range object {
			if err.Schema.Properties[name] == nil {
				c.found = append(c.found, finding{path: append(slices.Clone(path), name), keyword: "properties", schema: err.Schema, value: value})
			}
		}
	}
}

// beyondSchema finds what the validator lets pass: what a meaning complains of,
// integers written with a point or an exponent, and text that a screen would obey
// rather than show. The validator takes 3.0 for an integer; Go's decoder, and
// OpenAPI 3.0, do not.
func (c *collector) beyondSchema(name string, schema *openapi3.Schema, value any, path []string) {
	if judge := c.meanings[name]; judge != nil {
		c.judge(judge, value, path)
	}
	switch value := value.(type) {
	case json.Number:
		if _, err := strconv.ParseInt(string(value), 10, 64); err != nil && schema.Type.Is(openapi3.TypeInteger) {
			c.found = append(c.found, finding{path: slices.Clone(path), keyword: "type", schema: schema, value: value})
		}
	case string:
		if at := strings.IndexFunc(value, fault.Unseen); at >= 0 {
			unseen, _ := utf8.DecodeRuneInString(value[at:])
			c.found = append(c.found, finding{
				path: slices.Clone(path), value: value,
				detail: fmt.Sprintf("holds the character %U, which cannot be seen and may change how the rest is shown", unseen),
				remedy: "take it out; control characters other than new line and tab, and marks that turn the direction of writing, are refused",
			})
		}
	case []any:
		if schema.Items != nil {
			for i, entry := range value {
				c.beyondSchema(nameOf(schema.Items), schema.Items.Value, entry, append(path, strconv.Itoa(i)))
			}
		}
	case map[string]any:
		for field, member := range value {
			if property := schema.Properties[field]; property != nil {
				c.beyondSchema(nameOf(property), property.Value, member, append(path, field))
			}
		}
	}
}

func (c *collector) judge(judge Meaning, value any, path []string) {
	field, detail, remedy := judge(value)
	if detail == "" {
		return
	}
	path = slices.Clone(path)
	if object, ok := value.(map[string]any); ok && field != "" {
		path, value = append(path, field), object[field]
	}
	c.found = append(c.found, finding{path: path, value: value, detail: detail, remedy: remedy})
}

// nameOf gives the name of the schema that is referred to, or "".
func nameOf(ref *openapi3.SchemaRef) string {
	return strings.TrimPrefix(ref.Ref, schemaPrefix)
}

// schemaPrefix is what stands before a schema's name in a reference.
const schemaPrefix = "#/components/schemas/"

// comparePaths orders places as a reader meets them: list entries by number,
// then fields by name, and an object before what lies inside it.
func comparePaths(a, b []string) int {
	return slices.CompareFunc(a, b, func(x, y string) int {
		i, errX := strconv.Atoi(x)
		j, errY := strconv.Atoi(y)
		switch {
		case errX == nil && errY == nil:
			return cmp.Or(cmp.Compare(i, j), cmp.Compare(x, y))
		case errX == nil:
			return -1
		case errY == nil:
			return 1
		}
		return cmp.Compare(x, y)
	})
}
