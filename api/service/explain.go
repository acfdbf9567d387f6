package service

import (
	"context"

	"swardcase/api/contract"
	"swardcase/model"
)

// Explain traces one figure of the appraisal of a case.
func (s *Service) Explain(ctx context.Context, document contract.Document, figure string) (model.Explanation, error) {
	var c model.Case
	if err := document.Decode(&c); err != nil {
		return model.Explanation{}, err
	}
	if err := ctx.Err(); err != nil {
		return model.Explanation{}, err
	}
	return model.Explain(c, figure, processCurves().For(ctx))
}
