package service

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/fault"
)

// breakEvenSchema is the contract's name for a question about a case.
const breakEvenSchema = "BreakEvenRequest"

// ReadBreakEven checks a case with a question against the contract.
func (s *Service) ReadBreakEven(body []byte) (contract.Document, error) {
	return s.contract.CheckDocument(breakEvenSchema, body)
}

// BreakEven finds where an input turns the answer. Where the input is a field of
// the case, both ends of the search must be values that a case may have there.
func (s *Service) BreakEven(ctx context.Context, document contract.Document) (any, error) {
	answer, err := s.compute(ctx, s.engine.BreakEven, document)
	if err != nil {
		return nil, err
	}
	if found, is := answer.(model.BreakEven); is && strings.HasPrefix(found.Input, "/") {
		err = s.checkSearch(document, found)
	}
	return answer, err
}

// checkSearch puts both ends of a search into the case and asks the contract,
// since the model takes any number that a case could hold.
func (s *Service) checkSearch(document contract.Document, found model.BreakEven) error {
	var q struct {
		Case json.RawMessage `json:"case"`
	}
	if err := document.Decode(&q); err != nil {
		return err
	}
	var faults fault.List
	for _, end := range []struct {
		name  string
		value float64
	}{{"from", found.From}, {"to", found.To}} {
		patched, pointer, err := withNumber(q.Case, found.Input, end.value)
		if err != nil {
			return err
		}
		var list fault.List
		if _, err := s.contract.CheckDocument(CaseSchema, patched); !errors.As(err, &list) {
			continue
		}
		for _, f := range list {
			if f.Pointer == pointer {
				faults.Add("/question/"+end.name, end.value, fmt.Sprintf("no case may have this at %s: %s", f.Pointer, f.Detail),
					"give an end of the search that a case may have; "+f.Remedy)
			}
		}
	}
	return faults.Err()
}

// withNumber writes a case that has another number at a pointer, or another
// amount at or in it, and says where that stands. What is missing on the way is
// made.
func withNumber(document []byte, pointer string, value float64) (patched []byte, place string, err error) {
	decoder := json.NewDecoder(bytes.NewReader(document))
	decoder.UseNumber()
	var tree any
	if err := decoder.Decode(&tree); err != nil {
		return nil, "", fmt.Errorf("read the case of a question: %w", err)
	}
	steps := strings.Split(pointer, "/")[1:]
	for i, step := range steps {
		steps[i] = strings.NewReplacer("~1", "/", "~0", "~").Replace(step)
	}
	at, set := follow(tree, steps)
	if money, is := at.(map[string]any); is && money["amount"] != nil {
		steps, pointer = append(steps, "amount"), pointer+"/amount"
		at, set = follow(tree, steps)
	}
	if set == nil {
		return document, pointer, nil // an entry of a list that the case leaves out
	}
	literal := any(json.Number(strconv.FormatFloat(value, 'f', -1, 64)))
	if amount, is := at.(string); is {
		_, places, _ := strings.Cut(amount, ".")
		literal = strconv.FormatFloat(value, 'f', len(places), 64)
	} else if steps[len(steps)-1] == "amount" {
		literal = strconv.FormatFloat(value, 'f', 0, 64) // right for every currency
	}
	set(literal)
	if patched, err = json.Marshal(tree); err != nil {
		return nil, "", fmt.Errorf("write the case of a question: %w", err)
	}
	return patched, pointer, nil
}

// follow goes to a place in a document, making the objects on the way, and gives
// a way to put something else there; none where an entry of a list is missing.
func follow(tree any, steps []string) (at any, set func(any)) {
	at = tree
	for _, step := range steps {
		switch node := at.(type) {
		case map[string]any:
			if node[step] == nil {
				node[step] = map[string]any{}
			}
			at, set = node[step], func(v any) { node[step] = v }
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(node) {
				return nil, nil
			}
			at, set = node[i], func(v any) { node[i] = v }
		default:
			return nil, nil
		}
	}
	return at, set
}
