package service

import "swardcase/api/contract"

// ModelEngine is the engine that the commands and the server run on.
func ModelEngine() Engine {
	away := func(contract.Document) (any, error) {
		return nil, &Error{Kind: Unavailable, Detail: "This build has no model to answer with."}
	}
	return Engine{JudgeCondition: away, Appraise: away}
}
