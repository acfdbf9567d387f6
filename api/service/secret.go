package service

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base32"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
)

// What a secret begins with says what it is for, to a person who finds one and to
// a program that looks for secrets in places where they should not be.
const (
	keyPrefix     = "swc_"
	sessionPrefix = "sws_"
	sharePrefix   = "swl_"
)

// The parts of a secret: 256 random bits, and 32 bits of the SHA-256 over prefix
// and random bits, by which a slip of the pen is told without asking the store.
const (
	secretBytes = 32
	checkBytes  = 4
)

// secretText writes the bytes in letters and digits that a double click selects.
var secretText = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// newSecret makes a secret, and the hash that is kept in place of it. A plain
// SHA-256 serves: a salt and a slow hash protect what a person could guess, and
// nobody guesses 256 random bits.
func newSecret(random io.Reader, prefix string) (secret, hash string, err error) {
	var bits [secretBytes]byte
	if _, err := io.ReadFull(random, bits[:]); err != nil {
		return "", "", fmt.Errorf("read random bytes for a secret: %w", err)
	}
	secret = prefix + secretText.EncodeToString(append(bits[:], checkOf(prefix, bits[:])...))
	return secret, sha256Hex(secret), nil
}

func checkOf(prefix string, bits []byte) []byte {
	sum := sha256.Sum256(append([]byte(prefix), bits...))
	return sum[:checkBytes]
}

// hashOf gives the hash under which a secret of this kind is kept; ok is false
// for text that cannot be one.
func hashOf(prefix, secret string) (hash string, ok bool) {
	text, is := strings.CutPrefix(secret, prefix)
	bits, err := secretText.DecodeString(text)
	// The decoder passes over line ends, which the length tells.
	if !is || err != nil || len(bits) != secretBytes+checkBytes || len(text) != secretText.EncodedLen(len(bits)) {
		return "", false
	}
	if string(checkOf(prefix, bits[:secretBytes])) != string(bits[secretBytes:]) {
		return "", false
	}
	return sha256Hex(secret), true
}

// bySecret finds what is kept under the hash of a secret. Text that is no secret of
// the kind and a secret that is not known get one and the same answer, which is
// none.
func bySecret[R any](ctx context.Context, prefix, secret string, none error, find func(context.Context, string) (R, string, error)) (R, error) {
	var nothing R
	hash, is := hashOf(prefix, secret)
	if !is {
		return nothing, none
	}
	found, kept, err := find(ctx, hash)
	switch {
	case KindOf(err) == NotFound:
		return nothing, none
	case err != nil:
		return nothing, err
	case !sameHash(hash, kept):
		return nothing, none
	}
	return found, nil
}

// sameHash compares in a time that says nothing of where two hashes differ.
func sameHash(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// sha256Hex is the SHA-256 of a text in hexadecimal.
func sha256Hex[T string | []byte](text T) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
