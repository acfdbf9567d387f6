// Package openapi holds the service's contract: one OpenAPI 3.0.3 document that
// the server checks requests against, the tests check responses against, and
// callers can fetch.
//
// The version is 3.0.3 because the validator compiles a 3.1 schema anew for
// every request, which costs six times as much.
package openapi

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"sync"

	"github.com/getkin/kin-openapi/openapi3"
)

//go:embed openapi.yaml
var text []byte

// YAML returns a copy of the contract as it is written.
func YAML() []byte { return bytes.Clone(text) }

// Load returns the contract, parsed and validated once. Every caller gets the
// same document, so none may change it.
func Load() (*openapi3.T, error) { return load() }

// JSON returns the contract as indented JSON.
func JSON() ([]byte, error) {
	compact, err := asJSON()
	return bytes.Clone(compact), err
}

var load = sync.OnceValues(func() (*openapi3.T, error) {
	return Parse(text)
})

var asJSON = sync.OnceValues(func() ([]byte, error) {
	doc, err := Load()
	if err != nil {
		return nil, err
	}
	out, err := json.MarshalIndent(doc, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the contract as JSON: %w", err)
	}
	return append(out, '\n'), nil
})

// Parse reads and validates a contract. It follows no reference out of the
// document.
func Parse(document []byte) (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		return nil, fmt.Errorf("read the contract: %w", err)
	}
	if err := doc.Validate(context.Background()); err != nil {
		return nil, fmt.Errorf("validate the contract: %w", err)
	}
	return doc, nil
}
