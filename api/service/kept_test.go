package service

import (
	"bytes"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gowebpki/jcs"
	"pgregory.net/rapid"
)

// TestIDsHaveTheFormOfVersion7 holds an id against the example of RFC 9562,
// appendix A.6: 22 February 2022 14:22:22 -05:00 is written 017f22e2-79b0, and
// with the random bits of the example the rest follows. Our counter starts in
// the lower half of its twelve bits, so that its first bit is 0 where the example
// has 1.
func TestIDsHaveTheFormOfVersion7(t *testing.T) {
	at := time.Date(2022, 2, 22, 14, 22, 22, 0, time.FixedZone("", -5*3600))
	random, _ := hex.DecodeString("0000000000000cc318c4dc0c0c07398f")
	line := &timeline{clock: func() time.Time { return at }, random: bytes.NewReader(random)}
	id, err := line.newID()
	if want := "017f22e2-79b0-74c3-98c4-dc0c0c07398f"; err != nil || id != want {
		t.Errorf("got %s, %v, want %s", id, err, want)
	}
	if _, err := line.newID(); err == nil {
		t.Error("an id was made without randomness")
	}
}

// TestIDsAndInstantsOnlyRise, whatever the clock does, and however many are made
// in one millisecond.
func TestIDsAndInstantsOnlyRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		now := time.UnixMilli(1_800_000_000_000)
		line := &timeline{clock: func() time.Time { return now }, random: rand.Reader}
		lastID, lastInstant := "", time.Time{}
		for range rapid.IntRange(1, 50).Draw(t, "steps") {
			now = now.Add(time.Duration(rapid.Int64Range(-5_000, 5_000).Draw(t, "milliseconds")) * time.Millisecond)
			for range rapid.SampledFrom([]int{1, 2, 5_000}).Draw(t, "ids") {
				id, err := line.newID()
				if err != nil || id <= lastID || len(id) != 36 || id[14] != '7' || !strings.ContainsRune("89ab", rune(id[19])) {
					t.Fatalf("%s after %s: %v", id, lastID, err)
				}
				lastID = id
			}
			instant := line.now()
			if instant.Before(lastInstant) || instant.Location() != time.UTC || instant.Nanosecond()%1000 != 0 {
				t.Fatalf("%s after %s", instant, lastInstant)
			}
			lastInstant = instant
		}
	})
}

func TestIDsAreUniqueAcrossCallers(t *testing.T) {
	line := &timeline{clock: time.Now, random: rand.Reader}
	made := make([][]string, 8)
	var group sync.WaitGroup
	for i := range made {
		group.Go(func() {
			for range 2_000 {
				id, _ := line.newID()
				made[i] = append(made[i], id)
			}
		})
	}
	group.Wait()
	all := slices.Concat(made...)
	slices.Sort(all)
	if n := len(slices.Compact(all)); n != 16_000 {
		t.Errorf("%d of 16000 ids differ", n)
	}
}

// TestCanonicalForm holds the library to the published examples: the sorting and
// escaping of RFC 8785 section 3.2.2 and 3.2.3 and the numbers of its appendix B.
func TestCanonicalForm(t *testing.T) {
	var examples []struct{ Source, Name, Input, Want string }
	text, err := os.ReadFile(filepath.FromSlash("../../testdata/store/canonical_form.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &examples); err != nil || len(examples) < 20 {
		t.Fatalf("%d examples: %v", len(examples), err)
	}
	for _, e := range examples {
		got, err := canonicalForm([]byte(e.Input))
		if err != nil || string(got) != e.Want {
			t.Errorf("%s, %s: got %s, want %s: %v", e.Source, e.Name, got, e.Want, err)
		}
	}
}

// TestAnotherLibraryGivesTheSameForm on documents of any shape.
func TestAnotherLibraryGivesTheSameForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var value func(depth int) any
		value = func(depth int) any {
			switch kind := rapid.IntRange(0, 5).Draw(t, "kind"); {
			case kind == 0:
				return rapid.Float64Range(-1e300, 1e300).Draw(t, "number")
			case kind == 1:
				return rapid.Int64Range(-1<<53, 1<<53).Draw(t, "whole number")
			case kind == 2 && depth < 4:
				members := map[string]any{}
				for range rapid.IntRange(0, 5).Draw(t, "members") {
					members[rapid.String().Draw(t, "name")] = value(depth + 1)
				}
				return members
			case kind == 3 && depth < 4:
				items := []any{}
				for range rapid.IntRange(0, 5).Draw(t, "items") {
					items = append(items, value(depth+1))
				}
				return items
			}
			return rapid.String().Draw(t, "text")
		}
		document, err := json.Marshal(map[string]any{"document": value(0)})
		if err != nil {
			t.Fatal(err)
		}
		ours, err := canonicalForm(document)
		theirs, theirErr := jcs.Transform(document)
		if err != nil || theirErr != nil || string(ours) != string(theirs) {
			t.Errorf("%s becomes %s (%v) and %s (%v)", document, ours, err, theirs, theirErr)
		}
	})
}

// TestTheHashIsOfTheMeaning: FIPS 180-4's SHA-256 of {"a":1,"b":[]} whatever its
// form. The digest was made with coreutils' sha256sum.
func TestTheHashIsOfTheMeaning(t *testing.T) {
	const want = "f87e4099e9be5e75094e0a4f46d3dc18a9c37429314a5a2490fb78d31e7e170c"
	for _, document := range []string{`{"a":1,"b":[]}`, " {\n\"b\": [ ], \"a\": 1.0}", `{"\u0062":[],"a":1e0}`} {
		if got, err := canonicalSHA256([]byte(document)); err != nil || got != want {
			t.Errorf("%s has the hash %s, want %s: %v", document, got, want, err)
		}
	}
	if other, _ := canonicalSHA256([]byte(`{"a":1,"b":[0]}`)); other == want {
		t.Error("another document has the same hash")
	}
	if _, err := canonicalSHA256([]byte(`{"a":`)); err == nil {
		t.Error("half a document has a hash")
	}
}

// TestIfMatch goes through RFC 9110, section 13.1.1: a list of tags, any at all,
// and weak tags, which never match a change.
func TestIfMatch(t *testing.T) {
	for header, want := range map[string]struct {
		kind   Kind
		passes []int64
	}{
		"":                          {kind: PreconditionRequired},
		"  ":                        {kind: PreconditionRequired},
		"*":                         {passes: []int64{1, 2, 3, 99}},
		`"2"`:                       {passes: []int64{2}},
		`"1" , "3"`:                 {passes: []int64{1, 3}},
		`W/"2"`:                     {},
		`2`:                         {},
		`"two"`:                     {},
		`"2`:                        {},
		"`2`":                       {},
		`'2'`:                       {},
		`"99999999999999999999999"`: {},
	} {
		match, err := ParseMatch(header)
		if want.kind != Internal {
			if KindOf(err) != want.kind {
				t.Errorf("%q: %v", header, err)
			}
			continue
		}
		for _, version := range []int64{1, 2, 3, 99} {
			if passed := match.check(version) == nil; passed != slices.Contains(want.passes, version) {
				t.Errorf("%q and version %d: %v", header, version, passed)
			}
		}
		if err := match.check(5); header != "*" && KindOf(err) != PreconditionFailed {
			t.Errorf("%q and version 5: %v", header, err)
		}
	}
}

// TestCasesAreComparedByPlace: what differs is named once, by its own pointer.
func TestCasesAreComparedByPlace(t *testing.T) {
	tests := []struct{ first, second, want string }{
		{`{"a":1}`, `{"a":1}`, ``},
		{`{"a":1,"b":[1,2]}`, `{"a":2,"b":[1,2,{"c":3}]}`, `/a 1 2; /b/2 - {"c":3}`},
		{`{"a":{"b":null}}`, `{"a":{}}`, `/a/b null -`},
		{`{"a":{"b":1}}`, `{"a":[1]}`, `/a {"b":1} [1]`},
		{`{"a":"x"}`, `{"a":{"x":1}}`, `/a "x" {"x":1}`},
		{`{"a/b":1,"m~n":2}`, `{"a/b":2,"m~n":3}`, `/a~1b 1 2; /m~0n 2 3`},
	}
	for _, tt := range tests {
		found, more, err := compareCases([]byte(tt.first), []byte(tt.second))
		if err != nil || more != 0 {
			t.Fatal(err)
		}
		var got []string
		for _, d := range found {
			got = append(got, fmt.Sprintf("%s %s %s", d.Pointer, orDash(d.First), orDash(d.Second)))
		}
		if strings.Join(got, "; ") != tt.want {
			t.Errorf("%s and %s differ at %q, want %q", tt.first, tt.second, got, tt.want)
		}
	}
	long := func(n int) []byte {
		return []byte("[" + strings.TrimSuffix(strings.Repeat(fmt.Sprint(n)+",", 250), ",") + "]")
	}
	if found, more, err := compareCases(long(1), long(2)); err != nil || len(found) != 200 || more != 50 {
		t.Errorf("%d and %d more: %v", len(found), more, err)
	}
}

func orDash(text *string) string {
	if text == nil {
		return "-"
	}
	return *text
}

// FuzzSheet: whatever is sent as a file, it is read or refused with lines, and
// each gathered survey can be written.
func FuzzSheet(f *testing.F) {
	f.Add([]byte("green,surveyed_on,thatch_depth_mm\n3,2027-02-01,20\n"))
	f.Add([]byte("green,surveyed_on,hits,points\n3,2027-02-01,\"2\n\"\"\",1e9\n,,,\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		sheet, faults := readSheet(file)
		for _, f := range faults {
			if f.Detail == "" || f.Remedy == "" {
				t.Errorf("a fault without words: %+v", f)
			}
		}
		rows := 0
		for _, g := range sheet.surveys {
			rows += g.rows
			if !json.Valid(g.document()) {
				t.Errorf("not JSON: %s", g.document())
			}
		}
		if len(faults) == 0 && rows != sheet.rows {
			t.Errorf("%d of %d rows were gathered", rows, sheet.rows)
		}
	})
}
