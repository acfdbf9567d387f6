package reference

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// Operation is one method on one path.
type Operation struct {
	ID, Method, Path string
	Summary, About   string
	Parameters       []Parameter
	Body             *Body
	// Answers are those of success; Refusals are the statuses of problems.
	Answers  []Answer
	Refusals []string
	// Open is true where no key is asked for at all.
	Open bool
	// Example is how it is called from a command line.
	Example string
}

// Parameter is a value in the path, the query or a header.
type Parameter struct {
	Name, In string
	Required bool
	Form     Form
	About    string
	Default  string
}

// Body is what a request brings.
type Body struct {
	Media, Schema string
	Example       string // as JSON; empty where the contract gives none
}

// Answer is what a successful request gets.
type Answer struct {
	Status, About string
	Media, Schema string
	Headers       []Parameter
}

func operationOf(method, path string, item *openapi3.PathItem, op *openapi3.Operation) Operation {
	out := Operation{
		ID: op.OperationID, Method: method, Path: path, Summary: strings.TrimSuffix(op.Summary, "."), About: op.Description,
		Open: op.Security != nil && len(*op.Security) == 0,
	}
	for _, parameter := range slices.Concat(item.Parameters, op.Parameters) {
		p := parameter.Value
		out.Parameters = append(out.Parameters, Parameter{
			Name: p.Name, In: p.In, Required: p.Required, Form: formOf(p.Schema),
			About: cmp.Or(p.Description, p.Schema.Value.Description), Default: asJSON(p.Schema.Value.Default),
		})
	}
	if op.RequestBody != nil {
		for media, content := range op.RequestBody.Value.Content {
			out.Body = &Body{Media: media, Schema: nameOf(content.Schema), Example: exampleOf(content)}
		}
	}
	for _, status := range slices.Sorted(maps.Keys(op.Responses.Map())) {
		response := op.Responses.Value(status).Value
		if status[0] != '2' {
			out.Refusals = append(out.Refusals, status)
			continue
		}
		out.Answers = append(out.Answers, answerOf(status, response))
	}
	out.Example = out.call()
	return out
}

func answerOf(status string, response *openapi3.Response) Answer {
	answer := Answer{Status: status}
	if response.Description != nil {
		answer.About = *response.Description
	}
	for media, content := range response.Content {
		answer.Media, answer.Schema = media, nameOf(content.Schema)
	}
	for _, name := range slices.Sorted(maps.Keys(response.Headers)) {
		header := response.Headers[name].Value
		answer.Headers = append(answer.Headers, Parameter{Name: name, In: "header", Form: formOf(header.Schema), About: header.Description})
	}
	return answer
}

// call writes the operation as a command. What is in capitals is to be filled in.
func (o Operation) call() string {
	lines := []string{"curl"}
	if o.Method != "GET" {
		lines[0] += " -X " + o.Method
	}
	if !o.Open {
		lines = append(lines, `-H "Authorization: Bearer $KEY"`)
	}
	address := "$ADDRESS" + fillIn(o.Path)
	var query []string
	for _, p := range o.Parameters {
		switch {
		case p.In == "header" && p.Name == "If-Match":
			lines = append(lines, `-H 'If-Match: "1"'`)
		case p.In == "header":
			lines = append(lines, `-H "`+p.Name+`: A-NAME-OF-YOUR-OWN"`)
		case p.In == "query" && p.Required:
			query = append(query, p.Name+"="+strings.ToUpper(p.Name))
		}
	}
	if len(query) > 0 {
		address += "?" + strings.Join(query, "&")
	}
	if o.Body != nil {
		ending := strings.ToUpper(o.Body.Media[strings.LastIndex(o.Body.Media, "/")+1:])
		lines = append(lines, `-H "Content-Type: `+o.Body.Media+`"`, "--data-binary @FILE."+strings.ToLower(ending))
	}
	for _, answer := range o.Answers {
		if answer.Media != "" && !strings.Contains(answer.Media, "json") && !strings.Contains(answer.Media, "yaml") {
			lines = append(lines, "-OJ")
		}
	}
	return strings.Join(append(lines, `"`+address+`"`), " \\\n  ")
}

// fillIn writes the parameters of a path in capitals.
func fillIn(path string) string {
	parts := strings.Split(path, "/")
	for i, part := range parts {
		if name, is := strings.CutPrefix(part, "{"); is {
			parts[i] = strings.ToUpper(strings.TrimSuffix(name, "}"))
		}
	}
	return strings.Join(parts, "/")
}

// exampleOf is the example of a body, or else that of its schema.
func exampleOf(content *openapi3.MediaType) string {
	example := content.Example
	if example == nil && content.Schema != nil {
		example = content.Schema.Value.Example
	}
	if text, is := example.(string); is {
		return text
	}
	return indented(example)
}

func indented(value any) string {
	if value == nil {
		return ""
	}
	text, err := json.MarshalIndent(value, "", "  ")
	if err != nil {
		return "" // it was read from JSON
	}
	return string(text)
}

func asJSON(value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case float64:
		return plain(v)
	}
	text, err := json.Marshal(value)
	if err != nil {
		return "" // it was read from JSON
	}
	return string(text)
}
