package model

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/confidence"
	"swardcase/model/fault"
	"swardcase/model/water"
)

// BreakEvenRequest asks one question of one case.
type BreakEvenRequest struct {
	Case     Case              `json:"case"`
	Question BreakEvenQuestion `json:"question"`
}

// BreakEvenQuestion asks at which values of an input an outcome of an option
// equals a target, or that of another option, all else being as the case has
// it.
type BreakEvenQuestion struct {
	// Input is the name of an assumption, price_level, or a JSON pointer to a number
	// or an amount in the case or in what Resolve makes of it.
	Input   string `json:"input"`
	Option  Option `json:"option"`
	Less    Option `json:"less,omitempty"`
	Outcome string `json:"outcome,omitempty"` // net_present_value where empty
	// Target is nothing where nil.
	Target *FigureValue `json:"target,omitempty"`
	// From and To bound the search. Left out, they are an assumption's low and high;
	// for a field of the case half of its value and one and a half times it.
	From *float64 `json:"from,omitempty"`
	To   *float64 `json:"to,omitempty"`
}

// Bounds of the work of one question: a whole appraisal is made for each value
// that is looked at.
const (
	breakEvenCells     = 24
	mostBreakEvenTries = 500
)

// BreakEvenOf answers a question by appraising the case at one value of the
// input after another, to the penny and with everything that follows from it.
// The price level, which a case has only three of, goes by the form in which the
// appraisal is drawn. The error is a fault.List with pointers into the request.
func BreakEvenOf(r BreakEvenRequest, keeper CurveKeeper) (BreakEven, error) {
	q := r.Question
	if q.Outcome == "" {
		q.Outcome = "net_present_value"
	}
	if r.Case.Money == nil {
		return BreakEven{}, fault.New("/case/money", nil, "a break-even needs the terms of money", "give the currency and the worth of a playable month")
	}
	if q.From != nil && q.To != nil && !(*q.From < *q.To) {
		return BreakEven{}, fault.New("/question/from", *q.From, fmt.Sprintf("is not below to, which is %g", *q.To), "write from below to")
	}
	a, err := newAppraiser(undrawnCase(r.Case), nil)
	if err != nil {
		return BreakEven{}, underCase(err)
	}
	options, err := a.options(keeper)
	if err != nil {
		return BreakEven{}, underCase(err)
	}
	target, err := q.target(a.currency)
	if err != nil {
		return BreakEven{}, err
	}
	var study confidence.Study
	p := confidence.ParametersFrom(a.assumptions)
	if q.Input == inputPriceLevel {
		if study, err = a.study(options); err != nil {
			return BreakEven{}, underCase(err)
		}
	} else {
		p.BreakEvenScanCells = breakEvenCells
		if study, err = a.exactStudy(r.Case, &q, options, keeper); err != nil {
			return BreakEven{}, err
		}
	}
	question := confidence.BreakEvenQuestion{
		Input: q.Input, Figure: confidence.Figure{Option: string(q.Option), Outcome: q.Outcome, Less: string(q.Less)}, Target: target, From: q.From, To: q.To,
	}
	if OutcomeIsMoney(q.Outcome) {
		question.Within = math.Pow10(-int(a.currency.Places())) / 2
	}
	answer, err := study.BreakEven(question, p)
	if err != nil {
		return BreakEven{}, underQuestion(err)
	}
	return a.newBreakEven(answer, likelyIn(study, q.Input)), nil
}

// undrawnCase is a case without draws.
func undrawnCase(c Case) Case {
	none := 0
	c.Confidence = &ConfidenceSettings{Draws: &none}
	return c
}

// target is the figure to be met, in the outcome's unit.
func (q BreakEvenQuestion) target(currency costs.Currency) (float64, error) {
	switch {
	case q.Target == nil:
		return 0, nil
	case q.Target.Amount != nil && OutcomeIsMoney(q.Outcome) && q.Target.Number == nil && q.Target.Amount.Currency() == currency:
		return q.Target.Amount.Float(), nil
	case q.Target.Number != nil && !OutcomeIsMoney(q.Outcome) && q.Target.Amount == nil:
		return *q.Target.Number, nil
	}
	return 0, fault.New("/question/target", nil, "not a target for "+plainName(q.Outcome), "give an amount in "+currency.Code()+" for money, and a number for everything else")
}

// exactStudy is a study of one input whose evaluation is a whole appraisal.
func (a *appraiser) exactStudy(c Case, q *BreakEvenQuestion, options []OptionAppraisal, keeper CurveKeeper) (confidence.Study, error) {
	in, set, err := a.settable(c, q)
	if err != nil {
		return confidence.Study{}, err
	}
	for _, end := range []struct {
		name  string
		given *float64
	}{{"from", q.From}, {"to", q.To}} {
		if in.Step == 1 && end.given != nil && !whole(*end.given) {
			return confidence.Study{}, fault.New("/question/"+end.name, *end.given, "the input takes whole numbers only", "give a whole number")
		}
	}
	if err := a.sameWeather(in, set); err != nil {
		return confidence.Study{}, err
	}
	study := confidence.Study{Inputs: []confidence.Input{in}, Outcomes: drawOutcomes(a.currency), RankBy: q.Outcome}
	for _, o := range options {
		study.Options = append(study.Options, confidence.Option{Name: string(o.Option), Feasible: true})
	}
	tries := 0
	study.NewEvaluate = func() confidence.Evaluate {
		return func(draw, out []float64) {
			for i := range out {
				out[i] = math.NaN()
			}
			if tries++; tries > mostBreakEvenTries {
				return
			}
			changed, err := set(draw[0])
			if err != nil {
				return // no such case: the figure is absent there
			}
			again, err := newAppraiser(changed, nil)
			if err != nil {
				return
			}
			options, err := again.options(keeper)
			if err != nil {
				return
			}
			for o, option := range options {
				option.outcomes(out[o*outcomeCount:][:outcomeCount])
			}
		}
	}
	return study, nil
}

// outcomes fills in the outcomes of an appraised option.
func (o *OptionAppraisal) outcomes(row []float64) {
	row[outcomeValue], row[outcomeCapital] = o.Money.AgainstPresent.NetPresentValue.Float(), o.Money.Capital.Float()
	row[outcomePayback] = valueOr(o.Money.AgainstPresent.Payback.Years, math.NaN())
	row[outcomeMonths], row[outcomeIndex], row[outcomeMonthsOut] = o.Forecast.MonthsPlayableYear5, o.Expected.Index, o.MonthsOutOfPlay
}

// setter makes the case that has another value of one input.
type setter func(value float64) (Case, error)

// settable finds the input, its range, and how a case is given another value of
// it.
func (a *appraiser) settable(c Case, q *BreakEvenQuestion) (confidence.Input, setter, error) {
	c = undrawnCase(c)
	if !strings.HasPrefix(q.Input, "/") {
		if !a.assumptions.Has(q.Input) {
			return confidence.Input{}, nil, fault.New("/question/input", q.Input, "there is no such input",
				"name an assumption as `swardcase assumptions` prints it, price_level, or a JSON pointer to a number in the case")
		}
		return reaching(a.assumptionInput(q.Input, confidence.Fixed), q), func(value float64) (Case, error) {
			changed := c
			changed.Assumptions = slices.DeleteFunc(slices.Clone(c.Assumptions), func(o assumption.Override) bool { return o.Name == q.Input })
			changed.Assumptions = append(changed.Assumptions, assumption.Override{Name: q.Input, Likely: value})
			return changed, nil
		}, nil
	}
	if field, ok := fieldOf(c, a.Case, q.Input); ok {
		in := confidence.Input{Name: q.Input, Low: field.value / 2, Likely: field.value, High: field.value * 1.5, Shape: confidence.Fixed}
		if field.value < 0 {
			in.Low, in.High = in.High, in.Low
		}
		if _, err := field.with(field.value + 0.5); err != nil && !field.isAmount {
			in.Step, in.Low, in.High = 1, math.Floor(in.Low), math.Ceil(in.High) // the field takes whole numbers only
		}
		return reaching(in, q), field.with, nil
	}
	return confidence.Input{}, nil, fault.New("/question/input", q.Input, "there is no number at this place of the case", "point at a number or an amount; `swardcase resolve` prints the case with every default")
}

// reaching widens an input's range to that of the question.
func reaching(in confidence.Input, q *BreakEvenQuestion) confidence.Input {
	if q.From != nil && !math.IsNaN(*q.From) {
		in.Low = min(in.Low, *q.From)
	}
	if q.To != nil && !math.IsNaN(*q.To) {
		in.High = max(in.High, *q.To)
	}
	return in
}

// sameWeather refuses an input that changes the weather: each value would need a
// playability curve of its own, which takes most of a second.
func (a *appraiser) sameWeather(in confidence.Input, set setter) error {
	var keys []string
	for _, value := range []float64{in.Low, in.Likely, in.High} {
		c, err := set(value)
		if err != nil {
			continue
		}
		resolved, err := Resolve(c)
		if err != nil {
			continue
		}
		key, err := resolved.curveKey(water.ParametersFrom(resolved.assumptions), int(resolved.assumptions.Likely("weather_years")))
		if err != nil {
			return err
		}
		keys = append(keys, key)
	}
	if len(slices.Compact(keys)) > 1 {
		return fault.New("/question/input", in.Name, "this input changes the weather or how it is counted, and a search over it would take minutes",
			"appraise the case at a few values of it instead")
	}
	return nil
}

// field is a number or an amount in a case.
type field struct {
	tree     any
	steps    []string
	value    float64
	isAmount bool
	places   int
}

// WithNumber writes a case as JSON with another number at a pointer, or another
// amount at or in it, and says where that stands. A field that the case leaves to
// its default is written into the resolved case. It is false where there is no
// such field.
func WithNumber(c Case, pointer string, value float64) (text []byte, place string, ok bool) {
	resolved, err := Resolve(c)
	if err != nil {
		return nil, "", false
	}
	f, ok := fieldOf(undrawnCase(c), resolved.Case, pointer)
	if !ok {
		return nil, "", false
	}
	for _, step := range f.steps {
		place += fault.Pointer(step)
	}
	text, err = f.text(value)
	return text, place, err == nil
}

// fieldOf finds the number at a JSON pointer in a case, or in what it resolves to.
func fieldOf(c, resolved Case, pointer string) (field, bool) {
	f, ok := fieldAt(c, pointer)
	if !ok {
		f, ok = fieldAt(undrawnCase(resolved), pointer)
	}
	return f, ok
}

// fieldAt finds the number at a JSON pointer.
func fieldAt(c Case, pointer string) (field, bool) {
	text, err := json.Marshal(c)
	if err != nil {
		return field{}, false
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	f := field{steps: strings.Split(pointer, "/")[1:]}
	if decoder.Decode(&f.tree) != nil {
		return field{}, false
	}
	for i, step := range f.steps {
		f.steps[i] = strings.NewReplacer("~1", "/", "~0", "~").Replace(step)
	}
	place := walk(f.tree, f.steps)
	if money, is := place.(map[string]any); is && money["amount"] != nil {
		f.steps, place = append(f.steps, "amount"), money["amount"]
	}
	switch at := place.(type) {
	case json.Number:
		f.value, err = at.Float64()
	case string:
		f.isAmount = f.steps[len(f.steps)-1] == "amount"
		_, decimals, _ := strings.Cut(at, ".")
		f.places = len(decimals)
		f.value, err = strconv.ParseFloat(at, 64)
		if !f.isAmount {
			return field{}, false
		}
	default:
		return field{}, false
	}
	return f, err == nil && math.Abs(f.value) < 1e12
}

// walk follows a pointer into a decoded document; nil where it leads nowhere.
func walk(at any, steps []string) any {
	for _, step := range steps {
		switch node := at.(type) {
		case map[string]any:
			at = node[step]
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(node) {
				return nil
			}
			at = node[i]
		default:
			return nil
		}
	}
	return at
}

// with makes the case that has another value at the field.
func (f field) with(value float64) (Case, error) {
	var c Case
	text, err := f.text(value)
	if err == nil {
		err = json.Unmarshal(text, &c)
	}
	return c, err
}

// text writes the case that has another value at the field.
func (f field) text(value float64) ([]byte, error) {
	var literal any = json.Number(strconv.FormatFloat(value, 'f', -1, 64))
	if f.isAmount {
		literal = strconv.FormatFloat(value, 'f', f.places, 64)
	}
	last := f.steps[len(f.steps)-1]
	switch node := walk(f.tree, f.steps[:len(f.steps)-1]).(type) {
	case map[string]any:
		node[last] = literal
	case []any:
		i, err := strconv.Atoi(last)
		if err != nil || i < 0 || i >= len(node) {
			return nil, fmt.Errorf("no place %q in a list of %d", last, len(node))
		}
		node[i] = literal
	}
	return json.Marshal(f.tree)
}

// underCase and underQuestion put faults under the parts of a request.
func underCase(err error) error {
	return under(err, func(pointer string) string { return "/case" + pointer })
}

func underQuestion(err error) error {
	return under(err, func(pointer string) string {
		for _, home := range [][2]string{{"/question/figure", "/question"}, {"/inputs/0/low", "/question/from"}, {"/inputs/0/high", "/question/to"}} {
			if rest, is := strings.CutPrefix(pointer, home[0]); is {
				return home[1] + rest
			}
		}
		if !strings.HasPrefix(pointer, "/question") {
			return "/question"
		}
		return pointer
	})
}

func under(err error, place func(string) string) error {
	var list fault.List
	switch e := err.(type) {
	case fault.List:
		list = slices.Clone(e)
	case fault.Fault:
		list = fault.List{e}
	default:
		return err
	}
	for i := range list {
		list[i].Pointer = place(list[i].Pointer)
	}
	return list
}
