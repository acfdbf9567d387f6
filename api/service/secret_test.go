package service

import (
	"bytes"
	"crypto/rand"
	"errors"
	"io"
	"strings"
	"testing"
)

// TestASecretIsItsOwn: with 32 bytes from 0 to 31 as the random ones, the text is
// that of Python's base64.b32encode over them and the first four bytes of
// hashlib.sha256(b"swc_" + them), in small letters and without padding; the hash
// is hashlib.sha256 of the whole text.
func TestASecretIsItsOwn(t *testing.T) {
	var bits [32]byte
	for i := range bits {
		bits[i] = byte(i)
	}
	secret, hash, err := newSecret(bytes.NewReader(bits[:]), keyPrefix)
	const wantSecret = "swc_aaaqeayeaudaocajbifqydiob4ibceqtcqkrmfyydenbwha5dyprvowzkm"
	const wantHash = "cf164e977ac01bed4931c5ea2e8d9fe20983bdef7abf57371ab288ba8637446a"
	if err != nil || secret != wantSecret || hash != wantHash {
		t.Errorf("got %s with the hash %s, want %s with %s: %v", secret, hash, wantSecret, wantHash, err)
	}
	if _, _, err := newSecret(bytes.NewReader(bits[:31]), keyPrefix); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("a secret was made of too little: %v", err)
	}
}

// FuzzHashOf: a secret has its hash under its own prefix only, and whatever else
// is sent is refused or has no other form.
func FuzzHashOf(f *testing.F) {
	for _, prefix := range []string{keyPrefix, sessionPrefix, sharePrefix} {
		secret, hash, err := newSecret(rand.Reader, prefix)
		if err != nil {
			f.Fatal(err)
		}
		for _, other := range []string{keyPrefix, sessionPrefix, sharePrefix} {
			if got, is := hashOf(other, secret); is != (other == prefix) || is && got != hash {
				f.Errorf("%s under %s: %s, %v", prefix, other, got, is)
			}
		}
		f.Add(secret)
	}
	f.Add("swc_")
	f.Add("swc_\n" + strings.Repeat("a", 58))
	f.Add("swc_aaaqeayeaudaocajbifqydiob4ibceqtcqkrmfyydenbwha5dyprvowzkm\n")
	f.Fuzz(func(t *testing.T, text string) {
		hash, is := hashOf(keyPrefix, text)
		if is && (hash != sha256Hex(text) || len(text) != len(keyPrefix)+58) || !is && hash != "" {
			t.Errorf("%q has the hash %q, %v", text, hash, is)
		}
	})
}

// TestRolesHoldOneAnother: of a club's roles each has what those below it have,
// and the others have nothing in a club.
func TestRolesHoldOneAnother(t *testing.T) {
	order := []Role{RoleViewer, RoleEditor, RoleOwner}
	for i, role := range order {
		for j, least := range order {
			if role.Holds(least) != (i >= j) {
				t.Errorf("%s holds %s: %v", role, least, role.Holds(least))
			}
		}
	}
	for _, other := range []Role{RoleOperator, RoleLocal, "", "king"} {
		for _, role := range append(order, other) {
			if other.Holds(role) || role.Holds(other) {
				t.Errorf("%q and %q hold one another", other, role)
			}
		}
	}
}
