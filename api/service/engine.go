package service

import (
	"context"
	"fmt"
	"sync"

	"swardcase/api/contract"
	"swardcase/model"
	"swardcase/model/assumption"
	"swardcase/model/climate"
)

// ModelEngine is the engine that the commands and the server run on. Engines
// share their playability curves: one process, one keeper.
func ModelEngine() Engine {
	return Engine{
		JudgeCondition: ComputeWith(model.JudgeCondition),
		DesignWorks:    ComputeWith(model.DesignWorks),
		Appraise:       ComputeOnCurves(model.AppraiseWith),
		Forecast:       ComputeOnCurves(model.Forecasts),
		BreakEven:      ComputeOnCurves(model.BreakEvenOf),
		PlanCourse:     planCourse,
	}
}

// processCurves is the keeper of the process, made when it is first wanted.
var processCurves = sync.OnceValue(func() *Curves {
	curves, err := NewCurves()
	if err != nil {
		panic(err) // only a size below one fails, and the size is a constant
	}
	return curves
})

// As gives an answer of the model its own type back, for a caller that prints
// it in words: As[model.Appraisal](svc.Appraise(ctx, document)).
func As[R any](answer any, err error) (R, error) {
	var none R
	if err != nil {
		return none, err
	}
	typed, ok := answer.(R)
	if !ok {
		return none, fmt.Errorf("the engine answered with a %T, not a %T", answer, none)
	}
	return typed, nil
}

// ResolveCase writes every default into a case.
func (s *Service) ResolveCase(ctx context.Context, document contract.Document) (model.Case, error) {
	resolve := ComputeWith(func(c model.Case) (model.Case, error) {
		resolved, err := model.Resolve(c)
		return resolved.Case, err
	})
	return As[model.Case](s.compute(ctx, resolve, document))
}

// Assumptions lists the built-in assumptions.
func Assumptions() []assumption.Assumption { return assumption.Defaults().All() }

// Climates lists the built-in climates.
func Climates() []climate.Station { return climate.Stations() }
