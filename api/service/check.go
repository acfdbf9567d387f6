package service

import (
	"context"
	"encoding/json"

	"swardcase/model"
)

// CheckAppraisal appraises the case of a saved appraisal again and says where
// the two differ. Of the document only the case is held to the contract: what an
// older engine wrote beside it need not be what this one would write.
func (s *Service) CheckAppraisal(ctx context.Context, saved []byte) (model.Check, error) {
	if err := ctx.Err(); err != nil {
		return model.Check{}, err
	}
	var head struct {
		Case json.RawMessage `json:"case"`
	}
	if err := json.Unmarshal(saved, &head); err == nil && head.Case != nil {
		if _, err := s.ReadCase(head.Case); err != nil {
			return model.Check{}, err
		}
	}
	return model.CheckAppraisal(saved, processCurves().For(ctx))
}
