package main

import (
	"strings"

	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

var appraiseCommand = answer[model.Appraisal]{
	name: "appraise", summary: "Appraise the options for one green",
	detail: `
Reads a case and prints the full options appraisal: the advice and its reasons,
the condition of the green, the present programme and seven options side by
side, the bill of the one advised, and the cautions. CASE.json may be - for
standard input. Every fault of a case is listed at once, with its place and
its remedy, and the exit code is then 2. As csv it has the bill of the option
advised, line by line, with its totals.`,
	ask:     (*service.Service).Appraise,
	text:    appraisalText,
	csv:     billCSV,
	weather: true,
}.command()

// billCSV is the bill that writeBill prints, line by line.
func billCSV(a model.Appraisal) (string, error) {
	var b strings.Builder
	err := report.BillOf(a, report.Advised(a)).WriteCSV(&b)
	return b.String(), err
}
