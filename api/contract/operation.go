package contract

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"

	"swardcase/model/fault"
)

// Operation is one method on one path of the contract.
type Operation struct {
	ID     string
	Method string
	// Path is the contract's template, with {name} for each path parameter.
	Path string
	// BodySchema names the schema of the body, and is empty for an operation that
	// takes none. BodyMedia is the one media type that the body may have; only a
	// body of application/json is a document that can be checked.
	BodySchema string
	BodyMedia  string
	// TakesMatch says that the operation changes a version which If-Match names.
	TakesMatch bool

	parameters openapi3.Parameters
}

// HeaderIfMatch names the header with the versions that a change is meant for.
const HeaderIfMatch = "If-Match"

// Operations lists every operation, by path and method.
func (c *Contract) Operations() []Operation {
	var all []Operation
	for _, path := range slices.Sorted(maps.Keys(c.doc.Paths.Map())) {
		item := c.doc.Paths.Value(path)
		operations := item.Operations()
		for _, method := range slices.Sorted(maps.Keys(operations)) {
			op := operations[method]
			media, schema := body(op)
			parameters := slices.Concat(item.Parameters, op.Parameters)
			all = append(all, Operation{
				ID:         op.OperationID,
				Method:     method,
				Path:       path,
				BodySchema: schema,
				BodyMedia:  media,
				TakesMatch: parameters.GetByInAndName(openapi3.ParameterInHeader, HeaderIfMatch) != nil,
				parameters: parameters,
			})
		}
	}
	return all
}

// body gives the one media type that an operation takes, and its schema.
func body(op *openapi3.Operation) (media, schema string) {
	if op.RequestBody == nil {
		return "", ""
	}
	for media, content := range op.RequestBody.Value.Content {
		return media, nameOf(content.Schema)
	}
	return "", ""
}

// ParameterFault is a fault of a query, path or header parameter.
type ParameterFault struct {
	Parameter string
	fault.Fault
}

// BadParameters is every fault of a request's parameters.
type BadParameters []ParameterFault

// Error joins the faults, one a line.
func (b BadParameters) Error() string {
	lines := make([]string, len(b))
	for i, f := range b {
		lines[i] = f.Parameter + ": " + f.Detail + "; " + f.Remedy
	}
	return strings.Join(lines, "\n")
}

func (b *BadParameters) add(parameter string, value any, detail, remedy string) {
	*b = append(*b, ParameterFault{fault.Shorten(parameter), fault.New("", value, detail, remedy)})
}

// CheckParameters checks the query, the path values and the headers that the
// contract names. It refuses
// unknown query parameters and repeated ones, which the validator lets pass. A
// default of the contract is written into the request's query. The error is nil
// or BadParameters.
func (op Operation) CheckParameters(r *http.Request, pathValues map[string]string) error {
	query, err := url.ParseQuery(r.URL.RawQuery)
	if err != nil {
		var bad BadParameters
		bad.add("", r.URL.RawQuery, "the query string is malformed", "write name=value pairs joined by &, percent-encoded")
		return bad
	}
	bad := op.checkNames(query)
	input := &openapi3filter.RequestValidationInput{Request: r, PathParams: pathValues, QueryParams: query}
	for _, ref := range op.parameters {
		p := ref.Value
		if err := openapi3filter.ValidateParameter(r.Context(), input, p); err != nil && len(bad) < MaxFaults {
			bad = append(bad, parameterFault(p, given(p, r, query, pathValues), err))
		}
	}
	if len(bad) > 0 {
		return bad
	}
	return nil
}

func (op Operation) checkNames(query url.Values) BadParameters {
	var known []string
	for _, ref := range op.parameters {
		if ref.Value.In == openapi3.ParameterInQuery {
			known = append(known, ref.Value.Name)
		}
	}
	var bad BadParameters
	for _, name := range slices.Sorted(maps.Keys(query)) {
		switch {
		case len(bad) == MaxFaults:
			return bad
		case !slices.Contains(known, name):
			bad.add(name, query.Get(name), "is not a query parameter of this operation", unknownParameterRemedy(name, known))
		case !utf8.ValidString(query.Get(name)) || strings.ContainsRune(query.Get(name), 0):
			bad.add(name, query.Get(name), "is not plain text in UTF-8", "percent-encode UTF-8, without the character NUL")
		case len(query[name]) > 1:
			bad.add(name, query[name][1], "is given more than once", "keep one of them")
		}
	}
	return bad
}

func unknownParameterRemedy(name string, known []string) string {
	if likely := nearest(name, known); likely != "" {
		return "perhaps " + likely + " was meant; otherwise take it out"
	}
	if len(known) == 0 {
		return "take it out; this operation has no query parameters"
	}
	return "take it out; the query parameters here are " + strings.Join(known, ", ")
}

func given(p *openapi3.Parameter, r *http.Request, query url.Values, pathValues map[string]string) any {
	switch {
	case p.In == openapi3.ParameterInPath:
		return pathValues[p.Name]
	case p.In == openapi3.ParameterInHeader:
		return r.Header.Get(p.Name)
	case query.Has(p.Name):
		return query.Get(p.Name)
	}
	return nil
}

func parameterFault(p *openapi3.Parameter, value any, err error) ParameterFault {
	s := p.Schema.Value
	detail, remedy := "cannot be read as "+kindWord(s), "give "+describe(s)
	var several openapi3.MultiError
	var one *openapi3.SchemaError
	switch {
	case errors.Is(err, openapi3filter.ErrInvalidRequired):
		detail, remedy = "is required but missing", "add it: "+describe(s)
	case errors.Is(err, openapi3filter.ErrInvalidEmptyValue):
		detail = "is empty"
	case errors.As(err, &several):
		return parameterFault(p, value, several[0])
	case errors.As(err, &one):
		detail, remedy = finding{keyword: one.SchemaField, schema: one.Schema, value: one.Value}.words(p.Name)
	}
	return ParameterFault{p.Name, fault.New("", value, detail, remedy)}
}
