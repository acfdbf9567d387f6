package service

import (
	"bytes"
	"fmt"

	"github.com/go-json-experiment/json/jsontext"
)

// canonicalForm is a JSON document in the one form that RFC 8785 gives it.
func canonicalForm(document []byte) ([]byte, error) {
	canonical := jsontext.Value(bytes.Clone(document))
	if err := canonical.Canonicalize(); err != nil {
		return nil, fmt.Errorf("put the document into its canonical form: %w", err)
	}
	return canonical, nil
}

// canonicalSHA256 is the SHA-256, in hexadecimal, of a JSON document's canonical
// form. Two documents that mean the same have the same, whatever the order of
// their members and the form of their numbers.
func canonicalSHA256(document []byte) (string, error) {
	canonical, err := canonicalForm(document)
	if err != nil {
		return "", err
	}
	return sha256Hex(canonical), nil
}
