package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"strconv"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/costs"
	"swardcase/model"
)

var breakEvenCommand = command{
	name: "break-even", arguments: "CASE.json", summary: "Find the value of an input at which the answer turns",
	detail: `
Reads a case and finds every value of one input, within a range, at which an
option is worth as much as the present programme, as another option, or as a
target. The input is an assumption as "swardcase assumptions" prints it,
price_level (-1 low, 0 likely, 1 high), or a JSON pointer to a number or an
amount in the case, such as /money/tax_recoverable_pct. The whole appraisal is
made anew for each value that is looked at.`,
	define: func(flags *flag.FlagSet) action {
		q := breakEvenFlags{}
		flags.StringVar(&q.input, "input", "", "the `NAME` of the input, or its JSON pointer")
		flags.StringVar(&q.option, "option", "", "the `OPTION` in question")
		flags.StringVar(&q.less, "less", "", "the other `OPTION` that it is compared with")
		flags.StringVar(&q.outcome, "outcome", "net_present_value", "the `OUTCOME` that is compared")
		flags.StringVar(&q.target, "target", "", "the `AMOUNT` or number to be met, where it is not 0")
		flags.StringVar(&q.from, "from", "", "the lowest `VALUE` that is looked at")
		flags.StringVar(&q.to, "to", "", "the highest `VALUE` that is looked at")
		format := flags.String("format", "text", "print as `FORMAT`: text or json")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := oneOf("break-even", "format", *format, "text", "json"); err != nil {
				return err
			}
			if q.input == "" || q.option == "" {
				return &usageError{"break-even", "say which --input and which --option"}
			}
			svc, document, err := p.openCase("break-even", arguments)
			if err != nil {
				return err
			}
			request, err := q.request(svc, document)
			if err != nil {
				return err
			}
			answer, err := service.As[model.BreakEven](svc.BreakEven(ctx, request))
			if err != nil {
				return err
			}
			return printAs(p.stdout, *format, answer, breakEvenText)
		}
	},
}

// breakEvenFlags are the flags as they were given.
type breakEvenFlags struct{ input, option, less, outcome, target, from, to string }

// request puts the case and the question together, as the API takes them.
func (q breakEvenFlags) request(svc *service.Service, document contract.Document) (contract.Document, error) {
	none := contract.Document{}
	var r struct {
		Case     json.RawMessage `json:"case"`
		Question map[string]any  `json:"question"`
	}
	if err := document.Decode(&r.Case); err != nil {
		return none, err
	}
	r.Question = map[string]any{"input": q.input, "option": q.option, "outcome": q.outcome}
	if q.less != "" {
		r.Question["less"] = q.less
	}
	for name, text := range map[string]string{"from": q.from, "to": q.to} {
		if text == "" {
			continue
		}
		number, err := strconv.ParseFloat(text, 64)
		if r.Question[name] = number; err != nil || math.IsNaN(number) || math.IsInf(number, 0) {
			return none, &usageError{"break-even", fmt.Sprintf("--%s is %q; give a number", name, text)}
		}
	}
	if q.target != "" {
		target, err := breakEvenTarget(q, r.Case)
		if err != nil {
			return none, err
		}
		r.Question["target"] = target
	}
	body, err := json.Marshal(r)
	if err != nil {
		return none, fmt.Errorf("write the question: %w", err)
	}
	return svc.ReadBreakEven(body)
}

// breakEvenTarget reads the target: an amount in the currency of the case where
// the outcome is money.
func breakEvenTarget(q breakEvenFlags, text json.RawMessage) (model.FigureValue, error) {
	var target model.FigureValue
	var c struct {
		Money struct {
			Currency costs.Currency `json:"currency"`
		} `json:"money"`
	}
	bad := &usageError{"break-even", fmt.Sprintf("--target is %q; give an amount such as 12000.00, or a number where the outcome is not money", q.target)}
	if model.OutcomeIsMoney(q.outcome) {
		if json.Unmarshal(text, &c) != nil {
			return target, errors.New("the case has no currency for --target")
		}
		amount, err := costs.ParseMoney(q.target, c.Money.Currency)
		if err != nil {
			return target, bad
		}
		target.Amount = &amount
		return target, nil
	}
	number, err := strconv.ParseFloat(q.target, 64)
	if err != nil {
		return target, bad
	}
	target.Number = &number
	return target, nil
}

// breakEvenText prints the answer in words, with both ends of the range.
func breakEvenText(b model.BreakEven) string {
	var p page
	p.title("Break-even of " + b.Input)
	p.paragraph(b.Text)
	name := report.Plain(b.Outcome) + " of " + b.Option.Words()
	if b.Less != "" {
		name += ", less that of " + b.Less.Words()
	}
	p.line("")
	p.paragraph(strings.ToUpper(name[:1]) + name[1:] + ":")
	for _, end := range []struct {
		at    float64
		value *model.FigureValue
	}{{b.From, b.AtFrom}, {b.To, b.AtTo}} {
		p.line("  at %s%s", left(fmt.Sprintf("%.6g", end.at), 14), right(figureText(end.value), 20))
	}
	return p.String()
}

func figureText(v *model.FigureValue) string {
	switch {
	case v == nil:
		return "none"
	case v.Amount != nil:
		return v.Amount.Format()
	}
	return fmt.Sprintf("%.4g", *v.Number)
}
