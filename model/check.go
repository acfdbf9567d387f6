package model

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"swardcase/model/fault"
)

// CheckVerdict says what a saved appraisal turned out to be.
type CheckVerdict string

// The verdicts.
const (
	// Unchanged: its case gives the same result, to the penny.
	Unchanged CheckVerdict = "unchanged"
	// Altered: the same engine gives another result, so that somebody has changed
	// the document.
	Altered CheckVerdict = "altered"
	// EngineChanged: another version of the engine gives another result. Nothing
	// can be said about the document.
	EngineChanged CheckVerdict = "engine_changed"
)

// Check is a saved appraisal set against what its case gives today.
type Check struct {
	SavedEngineVersion string       `json:"saved_engine_version"`
	EngineVersion      string       `json:"engine_version"`
	Verdict            CheckVerdict `json:"verdict"`
	// Differences are in the order of the document; LeftOut is how many more there
	// are.
	Differences []Difference `json:"differences"`
	LeftOut     int          `json:"left_out"`
}

// Difference is one place at which the two differ.
type Difference struct {
	Pointer string `json:"pointer"`
	Saved   string `json:"saved"` // empty where the document has nothing there
	Now     string `json:"now"`   // empty where the result has nothing there
}

// mostDifferences bounds the list.
const mostDifferences = 200

// headOf reads the engine version and the case of a saved appraisal, by their
// exact names: the decoder of a struct would take any spelling of them.
func headOf(saved []byte) (version string, c Case, err error) {
	no := func(why string) (string, Case, error) {
		return "", Case{}, fault.List{fault.New("", nil, "this is no appraisal: "+why, "give what `swardcase appraise --format json` printed")}
	}
	var members map[string]json.RawMessage
	if json.Unmarshal(saved, &members) != nil {
		return no("it is no JSON object")
	}
	if json.Unmarshal(members["engine_version"], &version) != nil || version == "" {
		return no("it has no engine_version that is a text")
	}
	if members["case"] == nil || json.Unmarshal(members["case"], &c) != nil {
		return no("it has no case that can be read")
	}
	return version, c, nil
}

// CheckAppraisal appraises the case of a saved appraisal again and lists where
// the two differ. Texts and amounts are compared exactly; other numbers to one
// part in a thousand million, which is more than processors differ by and less
// than any figure in print. The error is a fault.List with pointers into the
// document where it has no case, or one that cannot be appraised.
func CheckAppraisal(saved []byte, keeper CurveKeeper) (Check, error) {
	version, c, err := headOf(saved)
	if err != nil {
		return Check{}, err
	}
	now, err := AppraiseWith(c, keeper)
	if err != nil {
		return Check{}, underCase(err)
	}
	text, err := json.Marshal(now)
	if err != nil {
		return Check{}, fmt.Errorf("write the result: %w", err)
	}
	check := Check{SavedEngineVersion: version, EngineVersion: EngineVersion, Verdict: Unchanged, Differences: []Difference{}}
	if err := check.compare(saved, text); err != nil {
		return Check{}, err
	}
	if len(check.Differences) > 0 {
		check.Verdict = Altered
		if check.SavedEngineVersion != EngineVersion {
			check.Verdict = EngineChanged
		}
	}
	return check, nil
}

// compare lists the differences of two documents.
func (c *Check) compare(saved, now []byte) error {
	var was, is any
	for _, part := range []struct {
		text []byte
		into *any
	}{{saved, &was}, {now, &is}} {
		decoder := json.NewDecoder(bytes.NewReader(part.text))
		decoder.UseNumber()
		if err := decoder.Decode(part.into); err != nil {
			return fmt.Errorf("read the appraisal: %w", err)
		}
	}
	c.walk("", was, is)
	return nil
}

// walk compares two parts of documents at one place.
func (c *Check) walk(at string, was, is any) {
	switch old := was.(type) {
	case map[string]any:
		if fresh, same := is.(map[string]any); same {
			c.walkObjects(at, old, fresh)
			return
		}
	case []any:
		if fresh, same := is.([]any); same {
			for i := range max(len(old), len(fresh)) {
				c.walk(at+"/"+strconv.Itoa(i), entry(old, i), entry(fresh, i))
			}
			return
		}
	case json.Number:
		if fresh, same := is.(json.Number); same && alike(old, fresh) {
			return
		}
	case string, bool, nil, missing:
		if scalar(is) && was == is {
			return
		}
	}
	if len(c.Differences) == mostDifferences {
		c.LeftOut++
		return
	}
	c.Differences = append(c.Differences, Difference{at, brief(was), brief(is)})
}

func (c *Check) walkObjects(at string, was, is map[string]any) {
	names := slices.AppendSeq(slices.Collect(maps.Keys(was)), maps.Keys(is))
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		if name == "engine_version" {
			continue // that it differs is told apart
		}
		c.walk(at+fault.Pointer(name), missingOr(was, name), missingOr(is, name))
	}
}

// scalar reports whether a value may be compared as it is.
func scalar(value any) bool {
	switch value.(type) {
	case map[string]any, []any:
		return false
	}
	return true
}

// missing stands where one document has nothing: null is something.
type missing struct{}

func missingOr(object map[string]any, name string) any {
	if value, has := object[name]; has {
		return value
	}
	return missing{}
}

func entry(list []any, i int) any {
	if i < len(list) {
		return list[i]
	}
	return missing{}
}

// alike compares two numbers.
func alike(a, b json.Number) bool {
	if a == b {
		return true
	}
	x, errA := a.Float64()
	y, errB := b.Float64()
	return errA == nil && errB == nil && math.Abs(x-y) <= 1e-9*max(1, math.Abs(x), math.Abs(y))
}

// brief writes a value on a line.
func brief(value any) string {
	if _, nothing := value.(missing); nothing {
		return ""
	}
	text, err := json.Marshal(value)
	if err != nil {
		return "?"
	}
	const most = 80
	if runes := []rune(string(text)); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return string(text)
}
