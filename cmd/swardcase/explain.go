package main

import (
	"context"
	"flag"
	"strings"

	"swardcase/model"
)

var explainCommand = command{
	name: "explain", arguments: "CASE.json", summary: "Trace one figure of an appraisal down to its inputs",
	detail: `
Appraises a case and prints how one figure was reached, and how everything that
went into it was, down to the lines of the bills, the rates and the readings.
Figures are named as in options.layered_rebuild/seed.capital; others of an
option are yearly_upkeep, equal_annual_cost, net_present_value, payback_years,
months_playable_year_5 and index_year_5. CASE.json may be - for standard input.`,
	define: func(flags *flag.FlagSet) action {
		figure := flags.String("figure", "", "the `NAME` of the figure")
		format := flags.String("format", "text", "print as `FORMAT`: text or json")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := oneOf("explain", "format", *format, "text", "json"); err != nil {
				return err
			}
			if *figure == "" {
				return &usageError{"explain", "say which --figure"}
			}
			svc, document, err := p.openCase("explain", arguments)
			if err != nil {
				return err
			}
			explanation, err := svc.Explain(ctx, document, *figure)
			if err != nil {
				return err
			}
			return printAs(p.stdout, *format, explanation, explanationText)
		}
	},
}

// explanationText prints the tree: below each figure what went into it, and
// below that what went into that; a figure that comes again is not told again.
func explanationText(e model.Explanation) string {
	t := explanationTree{workings: map[string]model.Working{}, told: map[string]bool{}}
	for _, working := range e.Workings {
		t.workings[working.Figure] = working
	}
	t.page.title(e.Figure)
	t.tell(e.Figure, 0)
	return t.page.String()
}

type explanationTree struct {
	page     page
	workings map[string]model.Working
	told     map[string]bool
}

// deepestIndent keeps deep branches on the page.
const deepestIndent = 12

func (t *explanationTree) tell(figure string, depth int) {
	working := t.workings[figure]
	t.told[figure] = true
	indent := strings.Repeat("  ", min(depth, deepestIndent))
	text := working.Formula
	if depth == 0 { // below, the value stands on the line above
		text = valueText(working.Result, working.Unit) + ": " + text
	}
	t.page.hanging(indent+"= ", text)
	if working.Source != "" {
		t.page.hanging(indent+"  ", "("+working.Source+")")
	}
	for _, in := range working.Inputs {
		sign := map[model.Operation]string{model.Plus: "+ ", model.Minus: "- ", model.Times: "x "}[in.Operation]
		if sign == "" {
			sign = ". "
		}
		text := valueText(in.Value, in.Unit) + "  " + in.Name
		_, below := t.workings[in.Figure]
		switch {
		case below && t.told[in.Figure]:
			text += " (told above)"
		case in.Source != "":
			text += " (" + in.Source + ")"
		}
		t.page.hanging(indent+"  "+sign, text)
		if below && !t.told[in.Figure] {
			t.tell(in.Figure, depth+2)
		}
	}
}

// valueText writes a value with its unit, unless it has none.
func valueText(value, unit string) string {
	if unit == "1" || unit == "" {
		return value
	}
	return value + " " + unit
}
