package service

import "swardcase/model"

// ModelEngine is the engine that the commands and the server run on.
func ModelEngine() Engine {
	return Engine{
		JudgeCondition: ComputeWith(model.JudgeCondition),
		Appraise:       ComputeWith(model.Appraise),
	}
}
