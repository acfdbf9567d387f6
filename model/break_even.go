package model

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"swardcase/costs"
	"swardcase/model/confidence"
)

// Tornado is what each input alone can do to a net present value.
type Tornado struct {
	Option Option `json:"option"`
	// Less is the option whose value is taken away; left out where there is none.
	Less Option `json:"less,omitempty"`
	// AtLikely is the value where all inputs are likely.
	AtLikely costs.Money  `json:"at_likely"`
	Bars     []TornadoBar `json:"bars"` // widest first
}

// TornadoBar is one input at its low and at its high point, all others likely.
type TornadoBar struct {
	Input  string      `json:"input"`
	Unit   string      `json:"unit"`
	Low    float64     `json:"low"`
	High   float64     `json:"high"`
	AtLow  costs.Money `json:"at_low"`
	AtHigh costs.Money `json:"at_high"`
	Swing  costs.Money `json:"swing"`
	// BestAtLow and BestAtHigh are the option that would be best, or no_option.
	BestAtLow  string `json:"best_at_low"`
	BestAtHigh string `json:"best_at_high"`
}

// BreakEven is the answer to one question: at which values of an input does an
// outcome of an option equal a target, or that of another option?
type BreakEven struct {
	Input   string `json:"input"`
	Unit    string `json:"unit"` // of the input; empty for a field of the case
	Option  Option `json:"option"`
	Less    Option `json:"less,omitempty"`
	Outcome string `json:"outcome"`
	// Likely is the input's value in the case.
	Likely  float64            `json:"likely"`
	Verdict confidence.Verdict `json:"verdict"`
	From    float64            `json:"from"`
	To      float64            `json:"to"`
	// AtFrom and AtTo are the outcome, less the other option's, at the ends of the
	// range; null where it has none.
	AtFrom    *FigureValue `json:"at_from"`
	AtTo      *FigureValue `json:"at_to"`
	Crossings []Crossing   `json:"crossings"`
	// CrossingsLeftOut is true where there are more than are listed.
	CrossingsLeftOut bool `json:"crossings_left_out"`
	// Text says it in words.
	Text string `json:"text"`
}

// FigureValue is the value of an outcome: an amount where the outcome is money,
// a number in the outcome's unit where it is not.
type FigureValue struct {
	Number *float64     `json:"number,omitempty"`
	Amount *costs.Money `json:"amount,omitempty"`
}

// OutcomeIsMoney reports whether an outcome is an amount of money.
func OutcomeIsMoney(outcome string) bool {
	return outcome == "net_present_value" || outcome == "capital"
}

// figureValue gives a figure of a draw its form; nil for one that is absent or
// beyond any amount.
func (a *appraiser) figureValue(outcome string, x *float64) *FigureValue {
	if x == nil {
		return nil
	}
	if !OutcomeIsMoney(outcome) {
		return &FigureValue{Number: x}
	}
	amount, err := a.amount(*x)
	if err != nil {
		return nil
	}
	return &FigureValue{Amount: &amount}
}

// Crossing is one value, or a pair between which the figure turns.
type Crossing struct {
	Kind  confidence.CrossingKind `json:"kind"`
	From  float64                 `json:"from"`
	To    float64                 `json:"to"`
	Below confidence.Side         `json:"below"`
	Above confidence.Side         `json:"above"`
}

// mostBars bounds the tornado: beyond them the bars are too thin to read.
const mostBars = 12

// tornado moves each input from its low to its high point, and then looks for
// the values of those that turn the answer.
func (a *appraiser) tornado(c *Confidence, study confidence.Study, option, less Option) error {
	figure := confidence.Figure{Option: string(option), Outcome: "net_present_value", Less: string(less)}
	found, err := study.Tornado(figure)
	if err != nil {
		return a.underConfidence(err)
	}
	c.Tornado = Tornado{Option: option, Less: less, Bars: []TornadoBar{}}
	if c.Tornado.AtLikely, err = a.amount(*found.AtLikely); err != nil {
		return err
	}
	for _, bar := range found.Bars {
		if len(c.Tornado.Bars) == mostBars || bar.Swing == nil || *bar.Swing < 1 {
			break // they come widest first
		}
		shown := TornadoBar{Input: bar.Input, Unit: bar.Unit, Low: bar.Low, High: bar.High, BestAtLow: bar.BestAtLow, BestAtHigh: bar.BestAtHigh}
		for _, part := range []struct {
			to   *costs.Money
			from float64
		}{{&shown.AtLow, *bar.AtLow}, {&shown.AtHigh, *bar.AtHigh}, {&shown.Swing, *bar.Swing}} {
			if *part.to, err = a.amount(part.from); err != nil {
				return err
			}
		}
		c.Tornado.Bars = append(c.Tornado.Bars, shown)
		if turns := *found.AtLikely; (*bar.AtLow > 0) != (turns > 0) || (*bar.AtHigh > 0) != (turns > 0) {
			answer, err := study.BreakEven(confidence.BreakEvenQuestion{Input: bar.Input, Figure: figure}, confidence.ParametersFrom(a.assumptions))
			if err != nil {
				return a.underConfidence(err)
			}
			c.BreakEvens = append(c.BreakEvens, a.newBreakEven(answer, likelyIn(study, bar.Input)))
		}
	}
	return nil
}

func likelyIn(study confidence.Study, name string) float64 {
	for _, in := range study.Inputs {
		if in.Name == name {
			return in.Likely
		}
	}
	return 0
}

// newBreakEven turns an answer of the search into the report's form.
func (a *appraiser) newBreakEven(answer confidence.BreakEven, likely float64) BreakEven {
	figure := answer.Question.Figure
	b := BreakEven{
		Input: answer.Question.Input, Unit: answer.Unit, Option: Option(figure.Option), Less: Option(figure.Less), Outcome: figure.Outcome,
		Likely: likely, Verdict: answer.Verdict, From: answer.From, To: answer.To, AtFrom: a.figureValue(figure.Outcome, answer.AtFrom), AtTo: a.figureValue(figure.Outcome, answer.AtTo),
		Crossings: []Crossing{}, CrossingsLeftOut: answer.CrossingsLeftOut,
	}
	for _, c := range answer.Crossings {
		b.Crossings = append(b.Crossings, Crossing{c.Kind, c.From, c.To, c.Below, c.Above})
	}
	target := ""
	if value := a.figureValue(figure.Outcome, &answer.Question.Target); answer.Question.Target != 0 && value != nil {
		target = number(answer.Question.Target)
		if value.Amount != nil {
			target = value.Amount.Format()
		}
	}
	b.Text = b.words(target)
	return b
}

// words tells the answer as a sentence. The target is as the question had it;
// nothing where it is empty.
func (b BreakEven) words(target string) string {
	figure := fmt.Sprintf("the %s of %s", plainName(b.Outcome), b.Option.Words())
	level := "equal to " + cmp.Or(target, "0")
	if b.Less != "" {
		level = "equal to that of " + b.Less.Words()
		if target != "" {
			level = target + " above that of " + b.Less.Words()
		}
	}
	within := fmt.Sprintf("with %s from %s to %s", plainName(b.Input), number(b.From), number(b.To))
	switch b.Verdict {
	case confidence.NeverInRange:
		return fmt.Sprintf("Never in range: %s, %s is never %s%s.", within, figure, level, b.absentAtAnEnd())
	case confidence.EqualThroughout:
		return fmt.Sprintf("No difference: %s, %s is %s throughout.", within, figure, level)
	case confidence.AbsentInRange:
		return fmt.Sprintf("No figure: %s, there is nothing to set %s against.", within, figure)
	}
	places := make([]string, len(b.Crossings))
	for i, c := range b.Crossings {
		places[i] = c.words()
	}
	return fmt.Sprintf("%s is %s where %s is %s; the case has %s.", capital(figure), level, plainName(b.Input), joinWords(places), number(b.Likely))
}

// absentAtAnEnd says at which ends of the range there is no figure at all, so that
// "never" is not read as holding there.
func (b BreakEven) absentAtAnEnd() string {
	switch {
	case b.AtFrom == nil:
		return fmt.Sprintf(" where it has a figure, which it has not at %s", number(b.From))
	case b.AtTo == nil:
		return fmt.Sprintf(" where it has a figure, which it has not at %s", number(b.To))
	}
	return ""
}

// words tells one crossing. A pair that no figure in print tells apart, as the
// two sides of a step of one coin, is written as one value.
func (c Crossing) words() string {
	text := number(c.From)
	if number(c.To) != text {
		text = fmt.Sprintf("from %s to %s", text, number(c.To))
		if c.Kind == confidence.TurnsBetween {
			text = fmt.Sprintf("between %s and %s", number(c.From), number(c.To))
		}
	}
	switch c.Above {
	case confidence.Greater:
		return text + " (it is higher above)"
	case confidence.Smaller:
		return text + " (it is lower above)"
	}
	return text
}

// number writes a value of an input to as many digits as it deserves.
func number(x float64) string {
	text := strconv.FormatFloat(x, 'g', 5, 64)
	if strings.Contains(text, "e") {
		text = strconv.FormatFloat(x, 'f', 0, 64)
	}
	return text
}

// plainName reads a name in the report's words; a pointer stays as it is.
func plainName(name string) string {
	if strings.HasPrefix(name, "/") {
		return name
	}
	return strings.ReplaceAll(name, "_", " ")
}

// capital starts a sentence.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

func joinWords(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}
