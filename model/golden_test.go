package model

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"os"
	"strconv"
	"testing"
)

var update = flag.Bool("update", false, "record the results of a new engine version")

const goldenFile = "../testdata/model/engine.json"

// golden is what one engine version makes of the demonstration's cases.
type golden struct {
	EngineVersion string            `json:"engine_version"`
	Results       map[string]string `json:"results"` // SHA-256 of each appraisal, numbers cut to nine digits
}

// TestAChangedResultNeedsANewEngineVersion: whoever changes what a case gives
// must say so by raising EngineVersion, so that a stored appraisal can be told
// from one that was tampered with.
func TestAChangedResultNeedsANewEngineVersion(t *testing.T) {
	got := golden{EngineVersion: EngineVersion, Results: map[string]string{}}
	for _, name := range demoCases {
		got.Results[name] = digest(t, mustAppraise(t, readDrawnCase(t, name)))
	}
	var want golden
	body, err := os.ReadFile(goldenFile)
	if err == nil {
		err = json.Unmarshal(body, &want)
	}
	if *update {
		writeGolden(t, want, got)
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	if got.EngineVersion != want.EngineVersion {
		t.Fatalf("EngineVersion is %s, recorded is %s: run go test ./model -run EngineVersion -update", got.EngineVersion, want.EngineVersion)
	}
	for name, sum := range got.Results {
		if sum != want.Results[name] {
			t.Errorf("%s gives another result under the same EngineVersion %s: raise it, then run this test with -update", name, EngineVersion)
		}
	}
}

// writeGolden refuses to record other results under a version that has some.
func writeGolden(t *testing.T, had, now golden) {
	t.Helper()
	for name, sum := range now.Results {
		if had.EngineVersion == now.EngineVersion && had.Results[name] != sum {
			t.Fatalf("%s: results of version %s are recorded already; raise EngineVersion first", name, now.EngineVersion)
		}
	}
	text, err := json.MarshalIndent(now, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(goldenFile, append(text, '\n'), 0o644); err != nil {
		t.Fatal(err)
	}
}

// digest is the SHA-256 of a result with its numbers cut to nine digits: the
// last bits of a float differ from one processor to another.
func digest(t *testing.T, result Appraisal) string {
	t.Helper()
	result.EngineVersion, result.Condition.EngineVersion = "", ""
	var tree any
	if err := json.Unmarshal([]byte(asJSON(t, result)), &tree); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(asJSON(t, cut(tree))))
	return hex.EncodeToString(sum[:])
}

func cut(value any) any {
	switch v := value.(type) {
	case map[string]any:
		for key := range v {
			v[key] = cut(v[key])
		}
	case []any:
		for i := range v {
			v[i] = cut(v[i])
		}
	case float64:
		return strconv.FormatFloat(v, 'g', 9, 64)
	}
	return value
}
