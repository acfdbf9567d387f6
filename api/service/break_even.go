package service

import (
	"context"
	"errors"
	"fmt"
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
	var request model.BreakEvenRequest
	if err := document.Decode(&request); err != nil {
		return err
	}
	var faults fault.List
	for _, end := range []struct {
		name  string
		value float64
	}{{"from", found.From}, {"to", found.To}} {
		text, place, ok := model.WithNumber(request.Case, found.Input, end.value)
		if !ok {
			continue
		}
		var list fault.List
		if _, err := s.contract.CheckDocument(CaseSchema, text); !errors.As(err, &list) {
			continue
		}
		for _, f := range list {
			if f.Pointer == place {
				faults.Add("/question/"+end.name, end.value, fmt.Sprintf("no case may have this at %s: %s", place, f.Detail),
					"give an end of the search that a case may have; "+f.Remedy)
			}
		}
	}
	return faults.Err()
}
