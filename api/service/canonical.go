package service

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"github.com/gowebpki/jcs"
)

// canonicalSHA256 is the SHA-256, in hexadecimal, of a JSON document's canonical
// form (RFC 8785). Two documents that mean the same have the same, whatever the
// order of their members and the form of their numbers.
func canonicalSHA256(document []byte) (string, error) {
	canonical, err := jcs.Transform(document)
	if err != nil {
		return "", fmt.Errorf("put the document into its canonical form: %w", err)
	}
	sum := sha256.Sum256(canonical)
	return hex.EncodeToString(sum[:]), nil
}
