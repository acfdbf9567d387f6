package model

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func check(t testing.TB, saved string) Check {
	t.Helper()
	c, err := CheckAppraisal([]byte(saved), testCurves)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestASavedAppraisalIsUnchanged(t *testing.T) {
	for _, name := range []string{"green_04", "money", "kidney"} {
		c := readCase(t, name)
		draws := leastDraws
		c.Confidence = &ConfidenceSettings{Draws: &draws, Seed: 3}
		if got := check(t, asJSON(t, mustAppraise(t, c))); got.Verdict != Unchanged || len(got.Differences) > 0 {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestOnePennyIsSeen changes one amount by a penny wherever it stands.
func TestOnePennyIsSeen(t *testing.T) {
	saved := asJSON(t, mustAppraise(t, readCase(t, "green_14")))
	rapid.Check(t, func(t *rapid.T) {
		const mark = `{"amount":"`
		places := strings.Count(saved, mark)
		at := 0
		for range rapid.IntRange(1, places).Draw(t, "place") {
			at += strings.Index(saved[at:], mark) + len(mark)
		}
		end := at + strings.Index(saved[at:], `"`)
		digit := byte('1')
		if saved[end-1] == digit {
			digit = '2'
		}
		got, err := CheckAppraisal([]byte(saved[:end-1]+string(digit)+saved[end:]), testCurves)
		if err != nil {
			return // the case itself was spoilt
		}
		if got.Verdict != Altered || len(got.Differences) == 0 {
			t.Fatalf("a penny at %d went unseen: %s", at, saved[max(0, at-60):end])
		}
	})
}

func TestAnotherEngineIsNoTampering(t *testing.T) {
	saved := asJSON(t, mustAppraise(t, readCase(t, "green_14")))
	older := strings.ReplaceAll(saved, `"engine_version":"`+EngineVersion+`"`, `"engine_version":"0"`)
	if got := check(t, older); got.Verdict != Unchanged || got.SavedEngineVersion != "0" {
		t.Errorf("another version with the same result: %+v", got)
	}
	older = strings.Replace(older, `"close_call":false`, `"close_call":true`, 1)
	got := check(t, older)
	if got.Verdict != EngineChanged || len(got.Differences) != 1 || got.Differences[0].Pointer != "/recommendation/close_call" {
		t.Errorf("got %+v", got)
	}
}

// TestWhatIsAddedOrTakenOutIsSeen goes through the kinds of difference.
func TestWhatIsAddedOrTakenOutIsSeen(t *testing.T) {
	tests := []struct{ name, saved, now, pointer string }{
		{"taken out", `{"a":{}}`, `{"a":{"b":1}}`, "/a/b"},
		{"added", `{"a":[1,2]}`, `{"a":[1]}`, "/a/1"},
		{"null is not nothing", `{"a":null}`, `{}`, "/a"},
		{"another kind", `{"a":"1"}`, `{"a":1}`, "/a"},
		{"an object for a text", `{"a":"1"}`, `{"a":{}}`, "/a"},
		{"a list for null", `{"a":null}`, `{"a":[]}`, "/a"},
		{"a number", `{"a":1.0001}`, `{"a":1.0002}`, "/a"},
		{"the last bits", `{"a":1.00000000001}`, `{"a":1.00000000002}`, ""},
		{"a name with a slash", `{"a/b":true}`, `{"a/b":false}`, "/a~1b"},
	}
	for _, tt := range tests {
		var c Check
		if err := c.compare([]byte(tt.saved), []byte(tt.now)); err != nil {
			t.Fatal(err)
		}
		if tt.pointer == "" && len(c.Differences) > 0 || tt.pointer != "" && (len(c.Differences) != 1 || c.Differences[0].Pointer != tt.pointer) {
			t.Errorf("%s: %+v, want a difference at %q", tt.name, c.Differences, tt.pointer)
		}
	}
}

func TestWhatIsNoAppraisalIsSaid(t *testing.T) {
	for _, text := range []string{``, `[]`, `{}`, `{"engine_version":"1"}`, `{"engine_version":1,"case":{}}`, `{"engine_version":"1","Case":{"case_format":1}}`, `{"engine_version":"1","case":[]}`, `{"engine_version":"1","case":{"case_format":1}}`} {
		_, err := CheckAppraisal([]byte(text), testCurves)
		if len(listOf(err)) == 0 || strings.Contains(err.Error(), "json:") {
			t.Errorf("%q: %v", text, err)
		}
	}
}
