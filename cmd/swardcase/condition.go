package main

import "swardcase/api/service"

var conditionCommand = answerCommand(
	"condition", "Judge the condition of one green", `
Reads a case and prints the first half of an appraisal: the survey summarised,
the condition index with its interval, and the diagnosis with its evidence. The
case needs no money for it. CASE.json may be - for standard input.`,
	(*service.Service).JudgeCondition, conditionText)
