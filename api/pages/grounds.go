package pages

import (
	"fmt"
	"net/http"
	"strings"

	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

// assumptionsView is the page of every constant behind an appraisal.
type assumptionsView struct {
	Title    string
	Rows     []assumptionRow
	Replaced int
}

// showAssumptions lists every constant that an appraisal rests on.
func (p *Pages) showAssumptions(v Visit, from source) error {
	a, err := from.answer()
	if err != nil {
		return err
	}
	shown := assumptionsView{Title: titleOf(a)}
	for _, row := range a.Assumptions {
		if row.Overridden {
			shown.Replaced++
		}
		shown.Rows = append(shown.Rows, assumptionRowOf(row))
	}
	return p.show(v, http.StatusOK, "assumptions", Frame{Title: "What is assumed", Trail: from.below(titleOf(a)), Body: shown})
}

// workingsView is the page of how one figure was reached.
type workingsView struct {
	Title, Words, Result, Note string
	Steps                      []workingStep
}

// workingStep is one figure with what went into it.
type workingStep struct {
	ID, Figure, Result, Formula, Source string
	Inputs                              []workingInput
}

type workingInput struct {
	Sign, Name, Value, Source string
	Below                     string // id of the step that it comes from
}

// usualFigure is what is explained where nothing is asked for.
const usualFigure = "capital"

// showWorkings traces one figure of an appraisal down to its inputs. It is worked
// out anew from the stored case.
func (p *Pages) showWorkings(v Visit, from source) error {
	a, err := from.answer()
	if err != nil {
		return err
	}
	figure := v.QueryParam("figure")
	if figure == "" {
		figure = "options." + string(a.Recommendation.Option) + "." + usualFigure
	}
	ctx := v.Request().Context()
	document, err := p.service.CheckDocument(ctx, service.CaseSchema, from.stored.Case)
	if err != nil {
		return err
	}
	explained, err := p.service.Explain(ctx, document, figure)
	if service.KindOf(err) == service.Faulty { // the address asked for what is not there
		return &service.Error{Kind: service.NotFound, Detail: "The appraisal has no such figure: follow the links of its page.", Cause: err}
	}
	if err != nil {
		return err
	}
	shown := workingsOf(explained)
	shown.Title = titleOf(a)
	if a.EngineVersion != model.EngineVersion {
		shown.Note = fmt.Sprintf("Worked out by engine version %s; the appraisal was made by version %s. ", model.EngineVersion, a.EngineVersion)
	}
	shown.Note += "Each figure stands before those that go into it."
	return p.show(v, http.StatusOK, "workings", Frame{Title: "How " + shown.Words + " was reached", Trail: from.below(titleOf(a)), Body: shown})
}

func workingsOf(e model.Explanation) workingsView {
	ids := map[string]string{}
	for i, working := range e.Workings {
		ids[working.Figure] = fmt.Sprintf("step-%d", i+1)
	}
	out := workingsView{Words: figureWords(e.Figure)}
	for _, working := range e.Workings {
		step := workingStep{
			ID: ids[working.Figure], Figure: figureWords(working.Figure), Result: valueWords(working.Result, working.Unit),
			Formula: report.Prose(working.Formula), Source: working.Source,
		}
		for _, in := range working.Inputs {
			sign := map[model.Operation]string{model.Plus: "+ ", model.Minus: "− ", model.Times: "× "}[in.Operation]
			step.Inputs = append(step.Inputs, workingInput{sign, in.Name, valueWords(in.Value, in.Unit), in.Source, ids[in.Figure]})
		}
		out.Steps = append(out.Steps, step)
	}
	if len(out.Steps) > 0 {
		out.Result = out.Steps[0].Result
	}
	return out
}

// figureWords names a figure: "capital of layered rebuild, seed".
func figureWords(figure string) string {
	words := strings.NewReplacer("_", " ", "/", ", ").Replace(figure)
	parts := strings.Split(words, ".")
	if len(parts) > 2 && parts[0] == "options" {
		return strings.Join(parts[2:], ", ") + " of " + parts[1]
	}
	return strings.Join(parts, ", ")
}

// valueWords writes a value of a working with its unit and with commas between
// thousands.
func valueWords(value, unit string) string {
	whole, rest, point := strings.Cut(strings.TrimPrefix(value, "-"), ".")
	if strings.Trim(whole, "0123456789") == "" {
		for at := len(whole) - 3; at > 0; at -= 3 {
			whole = whole[:at] + "," + whole[at:]
		}
		if point {
			whole += "." + rest
		}
		if strings.HasPrefix(value, "-") {
			whole = "−" + whole
		}
		value = whole
	}
	if unit == "1" || unit == "" {
		return value
	}
	return value + "\u00a0" + unit
}
