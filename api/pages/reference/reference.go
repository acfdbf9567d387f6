// Package reference turns the contract of the API into what a reader of its
// documentation is shown: operations by topic, and every schema with its bounds in
// words. It adds nothing of its own: what is not in the contract is not here.
package reference

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// Reference is the whole of the documentation.
type Reference struct {
	Title, Version, About string
	// Topics are the tags of the contract, in its order.
	Topics []Topic
	// Schemas are by name.
	Schemas []Schema
	// Ways are how a caller can show who they are.
	Ways    []Way
	schemas map[string]int // places in Schemas
}

// Way is one way to show who asks.
type Way struct{ Name, Scheme, About string }

// Topic is a tag with its operations. Title is its name with a capital.
type Topic struct {
	Name, Title, Slug, About string
	Operations               []Operation
}

// New reads a contract that has been loaded.
func New(doc *openapi3.T) (*Reference, error) {
	r := &Reference{
		Title: doc.Info.Title, Version: doc.Info.Version, About: doc.Info.Description,
		Ways: ways(doc), schemas: map[string]int{},
	}
	for _, name := range slices.Sorted(maps.Keys(doc.Components.Schemas)) {
		r.schemas[name] = len(r.Schemas)
		r.Schemas = append(r.Schemas, schemaOf(name, doc.Components.Schemas[name].Value))
	}
	for _, tag := range doc.Tags {
		r.Topics = append(r.Topics, Topic{Name: tag.Name, Title: strings.ToUpper(tag.Name[:1]) + tag.Name[1:], Slug: slug(tag.Name), About: tag.Description})
	}
	for _, path := range slices.Sorted(maps.Keys(doc.Paths.Map())) {
		item := doc.Paths.Value(path)
		for _, method := range methods {
			if op := item.GetOperation(method); op != nil {
				if err := r.place(operationOf(method, path, item, op), op.Tags); err != nil {
					return nil, err
				}
			}
		}
	}
	r.findUses()
	return r, nil
}

// methods in the order in which the operations of one path are shown.
var methods = []string{"GET", "POST", "PUT", "PATCH", "DELETE"}

// place puts an operation under its topic.
func (r *Reference) place(op Operation, tags []string) error {
	for i := range r.Topics {
		if len(tags) == 1 && r.Topics[i].Name == tags[0] {
			r.Topics[i].Operations = append(r.Topics[i].Operations, op)
			return nil
		}
	}
	return fmt.Errorf("reference: %s has not exactly one tag that the contract explains", op.ID)
}

// Topic finds a topic by its slug.
func (r *Reference) Topic(slug string) (Topic, bool) {
	for _, topic := range r.Topics {
		if topic.Slug == slug {
			return topic, true
		}
	}
	return Topic{}, false
}

// Schema finds a schema by its name.
func (r *Reference) Schema(name string) (Schema, bool) {
	i, known := r.schemas[name]
	if !known {
		return Schema{}, false
	}
	return r.Schemas[i], true
}

// findUses tells every schema where it is used.
func (r *Reference) findUses() {
	use := func(schema string, by Use) {
		if i, known := r.schemas[schema]; known && !slices.Contains(r.Schemas[i].UsedBy, by) {
			r.Schemas[i].UsedBy = append(r.Schemas[i].UsedBy, by)
		}
	}
	for _, topic := range r.Topics {
		for _, op := range topic.Operations {
			by := Use{Words: op.Summary, Topic: topic.Slug, Operation: op.ID}
			if op.Body != nil {
				use(op.Body.Schema, by)
			}
			for _, answer := range op.Answers {
				use(answer.Schema, by)
			}
		}
	}
	for _, schema := range r.Schemas {
		for _, field := range schema.Fields {
			use(field.Form.Schema, Use{Words: schema.Name, Schema: schema.Name})
		}
		use(schema.Form.Schema, Use{Words: schema.Name, Schema: schema.Name})
	}
}

func ways(doc *openapi3.T) []Way {
	var out []Way
	for _, name := range slices.Sorted(maps.Keys(doc.Components.SecuritySchemes)) {
		scheme := doc.Components.SecuritySchemes[name].Value
		out = append(out, Way{Name: name, Scheme: scheme.Scheme, About: scheme.Description})
	}
	return out
}

// slug is a name as it stands in an address.
func slug(name string) string { return strings.ReplaceAll(name, " ", "-") }
