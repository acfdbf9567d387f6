package service

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"swardcase/costs"
	"swardcase/model/fault"
)

// AppraisalComparison sets two stored appraisals side by side: what differs in
// their cases, and what each made of every option.
type AppraisalComparison struct {
	First  AppraisalSummary `json:"first"`
	Second AppraisalSummary `json:"second"`
	// SameCase and SameEngine say where a difference can come from.
	SameCase   bool `json:"same_case"`
	SameEngine bool `json:"same_engine"`
	// Differences are the places where the resolved cases differ, at most
	// maxDifferences of them; MoreDifferences counts the rest.
	Differences     []CaseDifference   `json:"differences"`
	MoreDifferences int                `json:"more_differences"`
	Options         []OptionComparison `json:"options"`
}

// CaseDifference is one place where two cases differ; nil stands for nothing
// there. Values are shortened.
type CaseDifference struct {
	Pointer string  `json:"pointer"`
	First   *string `json:"first"`
	Second  *string `json:"second"`
}

// OptionComparison is what two appraisals made of one option; nil where one of
// them does not know it.
type OptionComparison struct {
	Option string         `json:"option"`
	First  *OptionOutcome `json:"first"`
	Second *OptionOutcome `json:"second"`
}

// OptionOutcome is an option's outcome in a few figures.
type OptionOutcome struct {
	MonthsPlayableYear5 float64     `json:"months_playable_year_5"`
	Capital             costs.Money `json:"capital"`
	NetPresentValue     costs.Money `json:"net_present_value"`
	Passes              bool        `json:"passes"`
}

const maxDifferences = 200

// CompareAppraisals compares two appraisals of one club.
func (s *Service) CompareAppraisals(ctx context.Context, clubID, firstID, secondID string) (AppraisalComparison, error) {
	first, err := s.Appraisal(ctx, clubID, firstID)
	if err != nil {
		return AppraisalComparison{}, err
	}
	second, err := s.Appraisal(ctx, clubID, secondID)
	if err != nil {
		return AppraisalComparison{}, err
	}
	out := AppraisalComparison{
		First: first.AppraisalSummary, Second: second.AppraisalSummary,
		SameCase: first.CaseSHA256 == second.CaseSHA256, SameEngine: first.EngineVersion == second.EngineVersion,
	}
	if out.Differences, out.MoreDifferences, err = compareCases(first.Case, second.Case); err != nil {
		return out, err
	}
	out.Options, err = compareOptions(first.Result, second.Result)
	return out, err
}

func compareCases(first, second []byte) ([]CaseDifference, int, error) {
	a, err := tree(first)
	if err != nil {
		return nil, 0, err
	}
	b, err := tree(second)
	if err != nil {
		return nil, 0, err
	}
	d := differ{found: []CaseDifference{}}
	d.compare(nil, a, b)
	return d.found, d.more, nil
}

// tree reads a document with its numbers as they are written.
func tree(document []byte) (any, error) {
	decoder := json.NewDecoder(bytes.NewReader(document))
	decoder.UseNumber()
	var value any
	if err := decoder.Decode(&value); err != nil {
		return nil, fmt.Errorf("read a stored case: %w", err)
	}
	return value, nil
}

// differ walks two documents of one shape. Both come from the engine, so that
// equal numbers are written alike.
type differ struct {
	found []CaseDifference
	more  int
}

// absent is what stands where a document has nothing.
type absent struct{}

func (d *differ) compare(path []any, a, b any) {
	switch first := a.(type) {
	case map[string]any:
		if second, ok := b.(map[string]any); ok {
			names := maps.Clone(first)
			maps.Copy(names, second)
			for _, name := range slices.Sorted(maps.Keys(names)) {
				d.compare(append(path, name), member(first, name), member(second, name))
			}
			return
		}
	case []any:
		if second, ok := b.([]any); ok {
			for i := range max(len(first), len(second)) {
				d.compare(append(path, i), entry(first, i), entry(second, i))
			}
			return
		}
	default:
		if _, object := b.(map[string]any); !object {
			if _, list := b.([]any); !list && a == b {
				return
			}
		}
	}
	d.add(path, a, b)
}

func (d *differ) add(path []any, a, b any) {
	if len(d.found) == maxDifferences {
		d.more++
		return
	}
	d.found = append(d.found, CaseDifference{fault.Pointer(path...), shownValue(a), shownValue(b)})
}

func member(object map[string]any, name string) any {
	if value, ok := object[name]; ok {
		return value
	}
	return absent{}
}

func entry(list []any, i int) any {
	if i < len(list) {
		return list[i]
	}
	return absent{}
}

func shownValue(value any) *string {
	if value == (absent{}) {
		return nil
	}
	text, err := json.Marshal(value)
	if err != nil { // cannot happen: the value was read from JSON
		text = []byte("?")
	}
	short := fault.Shorten(string(text))
	return &short
}

// storedOption is as much of an option of a stored result as is compared. It is
// read on its own, since an older engine may have written the rest differently.
type storedOption struct {
	Option   string `json:"option"`
	Forecast struct {
		MonthsPlayableYear5 float64 `json:"months_playable_year_5"`
	} `json:"forecast"`
	Money struct {
		Capital        costs.Money `json:"capital"`
		AgainstPresent struct {
			NetPresentValue costs.Money `json:"net_present_value"`
		} `json:"against_present"`
	} `json:"money"`
	Passes bool `json:"passes"`
}

func compareOptions(first, second []byte) ([]OptionComparison, error) {
	out := []OptionComparison{}
	place := map[string]int{}
	for side, document := range [][]byte{first, second} {
		var result struct {
			Options []storedOption `json:"options"`
		}
		if err := json.Unmarshal(document, &result); err != nil {
			return nil, fmt.Errorf("read a stored result: %w", err)
		}
		for _, o := range result.Options {
			if _, known := place[o.Option]; !known {
				place[o.Option] = len(out)
				out = append(out, OptionComparison{Option: o.Option})
			}
			outcome := &OptionOutcome{o.Forecast.MonthsPlayableYear5, o.Money.Capital, o.Money.AgainstPresent.NetPresentValue, o.Passes}
			if at := &out[place[o.Option]]; side == 0 {
				at.First = outcome
			} else {
				at.Second = outcome
			}
		}
	}
	return out, nil
}
