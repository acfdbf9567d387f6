package main

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"unicode"

	"swardcase/api/contract"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

var checkCommand = command{
	name: "check", arguments: "RESULT.json", summary: "Recompute a saved appraisal and report any difference",
	detail: `
Reads an appraisal as "swardcase appraise --format json" printed it, appraises
its case again and lists every place at which the two differ, to the penny. The
same engine version with another result means that the document was altered:
the exit code is then 1. Another engine version may give another result: the
differences are listed, and the exit code is 0. RESULT.json may be - for standard
input.`,
	define: func(flags *flag.FlagSet) action {
		format := flags.String("format", "text", "print as `FORMAT`: text or json")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := oneOf("check", "format", *format, "text", "json"); err != nil {
				return err
			}
			if len(arguments) != 1 {
				return &usageError{"check", fmt.Sprintf("give one saved appraisal, or - for standard input; %d were given", len(arguments))}
			}
			body, err := p.readResult(arguments[0])
			if err != nil {
				return err
			}
			svc, err := service.New(service.ModelEngine())
			if err != nil {
				return err
			}
			check, err := svc.CheckAppraisal(ctx, body)
			if err != nil {
				return err
			}
			err = printAs(p.stdout, *format, check, checkText)
			if err == nil && check.Verdict == model.Altered {
				return fmt.Errorf("%s was altered: its case gives another result", arguments[0])
			}
			return err
		}
	},
}

// readResult reads a saved appraisal, which is far longer than its case.
func (p *process) readResult(path string) ([]byte, error) {
	body, err := p.readFile(path, contract.MaxAnswerBytes)
	if err != nil {
		return nil, err
	}
	if len(body) > contract.MaxAnswerBytes {
		return nil, fmt.Errorf("%s is longer than the %d bytes that an appraisal can have", path, contract.MaxAnswerBytes)
	}
	return body, nil
}

// checkText says what was found, and where.
func checkText(c model.Check) string {
	var p page
	p.title("Check of a saved appraisal")
	switch c.Verdict {
	case model.Unchanged:
		p.paragraph(fmt.Sprintf("Unchanged: engine version %s gives the same result, to the penny.", c.EngineVersion))
		if c.SavedEngineVersion != c.EngineVersion {
			p.paragraph("It was made by engine version " + report.Shortened(printable(c.SavedEngineVersion), 20) + ".")
		}
	case model.Altered:
		p.paragraph(fmt.Sprintf("Altered: engine version %s made it, and gives another result for its case today.", c.EngineVersion))
	case model.EngineChanged:
		p.paragraph(fmt.Sprintf("The engine has changed: version %s made it, this is version %s. What differs says nothing against the document.",
			report.Shortened(printable(c.SavedEngineVersion), 20), c.EngineVersion))
	}
	for _, d := range c.Differences {
		p.line("")
		p.line("%s", report.Shortened(printable(d.Pointer), textWidth))
		p.line("  saved: %s", orNothing(d.Saved))
		p.line("  now:   %s", orNothing(d.Now))
	}
	if c.LeftOut > 0 {
		p.line("")
		p.line("and %d more", c.LeftOut)
	}
	return p.String()
}

func orNothing(text string) string {
	if text == "" {
		return "(nothing)"
	}
	return printable(text)
}

// printable takes out what a screen would obey: the document may be anybody's.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return '?'
	}, text)
}
