package fault_test

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"swardcase/model/fault"
)

func TestPointerEscapesAsRFC6901(t *testing.T) {
	// RFC 6901 (Bryan, Zyp and Nottingham, 2013), section 5: the members
	// "a/b" and "m~n" are reached by /a~1b and /m~0n.
	tests := []struct {
		tokens []any
		want   string
	}{
		{nil, ""},
		{[]any{"foo", 0}, "/foo/0"},
		{[]any{"a/b"}, "/a~1b"},
		{[]any{"m~n"}, "/m~0n"},
		{[]any{""}, "/"},
	}
	for _, tt := range tests {
		if got := fault.Pointer(tt.tokens...); got != tt.want {
			t.Errorf("Pointer(%v) = %q, want %q", tt.tokens, got, tt.want)
		}
	}
}

func TestShortenIsBoundedAndPrintable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raw := string(rapid.SliceOf(rapid.Byte()).Draw(t, "raw"))
		got := fault.Shorten(raw)
		if utf8.RuneCountInString(got) > 60 || !utf8.ValidString(got) {
			t.Fatalf("Shorten(%q) = %q", raw, got)
		}
		if strings.ContainsAny(got, "\n\r\t\x00") {
			t.Fatalf("control character survives in %q", got)
		}
	})
}

func TestListIsAnErrorOnlyWhenSomethingIsWrong(t *testing.T) {
	var list fault.List
	if list.Err() != nil {
		t.Fatal("an empty list is an error")
	}
	var part fault.List
	part.Add("/area_m2", -3.0, "must be above 0", "give the area in square metres")
	list.Under("/green", part)
	var as fault.List
	if err := list.Err(); !errors.As(err, &as) || as[0].Pointer != "/green/area_m2" {
		t.Fatalf("got %v", list)
	}
	want := `/green/area_m2: must be above 0 (given "-3"); give the area in square metres`
	if got := list.Error(); got != want {
		t.Errorf("Error() = %q, want %q", got, want)
	}
}
