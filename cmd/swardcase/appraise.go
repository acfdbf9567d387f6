package main

import "swardcase/api/service"

var appraiseCommand = answerCommand(
	"appraise", "Appraise the options for one green", `
Reads a case and prints the full options appraisal: the advice and its reasons,
the condition of the green, the present programme and seven options side by
side, the bill of the one advised, and the cautions. CASE.json may be - for
standard input. Every fault of a case is listed at once, with its place and
its remedy, and the exit code is then 2.`,
	(*service.Service).Appraise, appraisalText)
