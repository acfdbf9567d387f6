package contract

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestStrictReadingRefuses(t *testing.T) {
	tests := []struct {
		name, body, pointer, detail string
	}{
		{"nothing", " \n", "", "empty"},
		{"not JSON", `{"a":1,}`, "", "not JSON"},
		{"unquoted name", `{a:1}`, "", "not JSON"},
		{"not a number", `{"a":NaN}`, "/a", "not JSON"},
		{"leading zero", `{"a":01}`, "", "not JSON near byte 6"},
		{"cut short", `{"a":[1,2`, "/a", "too early"},
		{"cut inside text", `{"a":"b`, "/a", "too early"},
		{"two documents", `{} {}`, "", "follows the document"},
		{"trailing garbage", `{}]`, "", "not JSON"},
		{"bad UTF-8", "{\"a\":\"\xff\"}", "", "not UTF-8 at byte 6"},
		{"byte order mark", "\ufeff{}", "", "not UTF-8 at byte 0"},
		{"lone high half", `{"a":"\ud83d"}`, "", "surrogate pair stands alone at byte 6"},
		{"lone low half", `{"a":"\ude00\ud83d"}`, "", "surrogate pair stands alone at byte 6"},
		{"same name twice", `{"b":[{"a":1,"a":2}]}`, "/b/0/a", "twice"},
		{"same name, escaped", `{"a":1,"\u0061":2}`, "/a", "twice"},
		{"long number", `{"a":` + strings.Repeat("1", 41) + `}`, "/a", "longer than 40"},
		{"long fraction", `[0.` + strings.Repeat("1", 40) + `]`, "/0", "longer than 40"},
		{"great exponent", `{"a":1e31}`, "/a", "exponent"},
		{"small exponent", `{"a":1E-31}`, "/a", "exponent"},
		{"exponent that overflows an int", `{"a":1e99999999999999999999}`, "/a", "exponent"},
		{"long amount", `{"a":"` + strings.Repeat("9", 41) + `"}`, "/a", "number of more than 40"},
		{"too deep", strings.Repeat("[", 33) + strings.Repeat("]", 33), strings.Repeat("/0", 32), "32 deep"},
		{"too many values", "[" + strings.Repeat("0,", maxTokens) + "0]", "", "more than 120000 brackets, names and values"},
		{"too many bytes", strings.Repeat(" ", MaxBytes+1), "", "more than 2097152"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := readStrictly([]byte(tt.body))
			var refusal *Unreadable
			if !errors.As(err, &refusal) {
				t.Fatalf("accepted, or a plain error: %v", err)
			}
			f := refusal.Faults[0]
			if f.Pointer != tt.pointer || !strings.Contains(f.Detail, tt.detail) || f.Remedy == "" {
				t.Errorf("got %+v, want %q at %q", f, tt.detail, tt.pointer)
			}
		})
	}
}

func TestStrictReadingAccepts(t *testing.T) {
	for _, body := range []string{
		`{}`, ` [ ] `, `null`, `"\ud83d\ude00"`, `"\\ud83d"`, `"\\\\ud83d"`, `1e30`, `-1.5E-30`,
		strings.Repeat("1", 40), `{"a":1,"A":2}`, `["2026-01-05, 2026-01-12, 2026-01-19, 2026-01-26"]`,
		strings.Repeat("[", 32) + strings.Repeat("]", 32),
	} {
		if _, err := readStrictly([]byte(body)); err != nil {
			t.Errorf("%s: %v", body, err)
		}
	}
}

func TestStrictReadingReportsEveryAmbiguity(t *testing.T) {
	_, err := readStrictly([]byte(`{"a":1,"a":1e99,"b":{"c":1,"c":2}}`))
	var refusal *Unreadable
	if !errors.As(err, &refusal) {
		t.Fatal(err)
	}
	var got []string
	for _, f := range refusal.Faults {
		got = append(got, f.Pointer)
	}
	if diff := cmp.Diff([]string{"/a", "/a", "/b/c"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestStrictReadingOfManyAmbiguitiesIsBounded(t *testing.T) {
	_, err := readStrictly([]byte(`{"a":0` + strings.Repeat(`,"a":0`, 5000) + `}`))
	var refusal *Unreadable
	if !errors.As(err, &refusal) || len(refusal.Faults) != MaxFaults+1 {
		t.Fatalf("got %d faults, want %d", len(refusal.Faults), MaxFaults+1)
	}
	if last := refusal.Faults[MaxFaults]; !strings.Contains(last.Detail, "more faults") {
		t.Errorf("the last entry is %+v", last)
	}
}

// FuzzStrictReading compares with encoding/json: whatever the strict reader
// takes must be valid JSON and mean the same there.
func FuzzStrictReading(f *testing.F) {
	for _, seed := range []string{`{"a":[1,2.5e3,"x",true,null]}`, `{"a":1,"a":2}`, `"\ud83d\ude00"`, "\xff", `[[[[]]]]`, `{"a":1} x`, `01`, `{`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		tree, err := readStrictly(body)
		var refusal *Unreadable
		if err != nil {
			if !errors.As(err, &refusal) || len(refusal.Faults) == 0 {
				t.Fatalf("a refusal without faults: %v", err)
			}
			return
		}
		decoder := json.NewDecoder(strings.NewReader(string(body)))
		decoder.UseNumber()
		var want any
		if err := decoder.Decode(&want); err != nil || !json.Valid(body) {
			t.Fatalf("accepted what encoding/json refuses: %v", err)
		}
		if diff := cmp.Diff(want, tree); diff != "" {
			t.Fatal(diff)
		}
	})
}
