package service

import (
	"context"
	"encoding/json"
	"fmt"

	"swardcase/api/contract"
	"swardcase/model"
)

// CheckAppraisal appraises the case of a saved appraisal again and says where
// the two differ. The whole document is read strictly, so that no name can stand
// in it twice, once for this check and once for a reader; of what it says only
// the case is held to the contract, since what an older engine wrote beside it
// need not be what this one would write.
func (s *Service) CheckAppraisal(ctx context.Context, saved []byte) (model.Check, error) {
	if err := ctx.Err(); err != nil {
		return model.Check{}, err
	}
	members, err := contract.ReadAnswer(saved)
	if err != nil {
		return model.Check{}, err
	}
	if c, ok := members["case"]; ok {
		text, err := json.Marshal(c)
		if err != nil {
			return model.Check{}, fmt.Errorf("write the case of a saved appraisal: %w", err)
		}
		if _, err := s.ReadCase(text); err != nil {
			return model.Check{}, err
		}
	}
	return model.CheckAppraisal(saved, processCurves().For(ctx))
}
