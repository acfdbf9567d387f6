package service

import (
	"context"

	"swardcase/api/contract"
	"swardcase/model"
)

// Explain traces one figure of the appraisal of a case.
func (s *Service) Explain(ctx context.Context, document contract.Document, figure string) (model.Explanation, error) {
	explain := ComputeOnCurves(func(c model.Case, keeper model.CurveKeeper) (model.Explanation, error) {
		return model.Explain(c, figure, keeper)
	})
	return As[model.Explanation](s.compute(ctx, explain, document))
}
