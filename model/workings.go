package model

import (
	"fmt"
	"strconv"
	"strings"

	"swardcase/costs"
	"swardcase/model/fault"
)

// Working is how one figure was reached.
type Working struct {
	// Figure names it, as in options.layered_rebuild/seed.capital.
	Figure  string         `json:"figure"`
	Formula string         `json:"formula"` // in words
	Inputs  []WorkingInput `json:"inputs"`
	Result  string         `json:"result"` // a decimal number, or none
	Unit    string         `json:"unit"`
	// Source says where the formula or the result comes from, beyond the inputs.
	Source string `json:"source,omitempty"`
}

// WorkingInput is one figure that went in.
type WorkingInput struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Unit  string `json:"unit"`
	// Operation is what is done with it, where the formula is plain arithmetic.
	Operation Operation `json:"operation,omitempty"`
	// Figure is the working that it is the result of; Source where it was given,
	// for one that was not worked out.
	Figure string `json:"figure,omitempty"`
	Source string `json:"source,omitempty"`
}

// Operation is a step of plain arithmetic; inputs are taken in their order, the
// first from nothing.
type Operation string

// The operations.
const (
	Plus  Operation = "plus"
	Minus Operation = "minus"
	Times Operation = "times"
)

// workings gathers what was worked out, in an order in which every figure
// stands before those that go into it.
type workings struct {
	// deep is false for the main figures alone: what stands below them, the lines of
	// bills and the net of each year, stands in the answer itself.
	deep bool
	list []Working
	at   map[string]int
}

func (w *workings) add(working Working) {
	w.at[working.Figure] = len(w.list)
	w.list = append(w.list, working)
}

// workings traces the figures of the appraised options.
func (a *appraiser) workings(options []OptionAppraisal, deep bool) (*workings, error) {
	w := &workings{deep: deep, at: map[string]int{}, list: []Working{}}
	book := a.Case.Money.PriceBook
	w.bill("enabling", "enabling works, under every option", a.purse.enabling, book)
	for _, calendar := range a.programmes.all() {
		name := calendar.ProgrammeName
		w.bill("programmes."+name+".year", "a year of the "+plainName(name)+" programme", a.purse.yearlyBills[name], book)
	}
	for i := range options {
		if err := a.optionWorkings(w, &options[i], &options[0]); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// Explanation is a figure's working with the workings of what went into it, down
// to the inputs: the figure first, each once.
type Explanation struct {
	Figure   string    `json:"figure"`
	Workings []Working `json:"workings"`
}

// Explain appraises a case and traces one figure. The error is a fault.List; a
// figure that is not known is a fault without a place in the case.
func Explain(c Case, figure string, keeper CurveKeeper) (Explanation, error) {
	if c.Money == nil {
		return Explanation{}, fault.List{fault.New("/money", nil, "an appraisal needs the terms of money", "give the currency and the worth of a playable month")}
	}
	a, err := newAppraiser(undrawnCase(c), nil)
	if err != nil {
		return Explanation{}, err
	}
	options, err := a.options(keeper)
	if err != nil {
		return Explanation{}, err
	}
	w, err := a.workings(options, true)
	if err != nil {
		return Explanation{}, err
	}
	if _, known := w.at[figure]; !known {
		return Explanation{}, fault.List{fault.New("", figure, "there is no such figure", "ask for "+w.nearest(figure))}
	}
	e := Explanation{Figure: figure}
	seen := map[string]bool{}
	var trace func(name string)
	trace = func(name string) {
		at, known := w.at[name]
		if !known || seen[name] {
			return
		}
		seen[name] = true
		e.Workings = append(e.Workings, w.list[at])
		for _, in := range w.list[at].Inputs {
			trace(in.Figure)
		}
	}
	trace(figure)
	return e, nil
}

// nearest suggests figures that share the longest beginning with a name.
func (w *workings) nearest(name string) string {
	longest, found := -1, []string{}
	for _, working := range w.list {
		n := 0
		for n < min(len(name), len(working.Figure)) && name[n] == working.Figure[n] {
			n++
		}
		switch {
		case n > longest:
			longest, found = n, []string{working.Figure}
		case n == longest && len(found) < 8:
			found = append(found, working.Figure)
		}
	}
	return strings.Join(found, ", ")
}

// The forms in which values stand in workings.
func moneyText(m costs.Money) string { return m.DecimalText() }

func numberText(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func moneyInput(name string, m costs.Money, operation Operation, figure string) WorkingInput {
	return WorkingInput{Name: name, Value: moneyText(m), Unit: m.Currency().Code(), Operation: operation, Figure: figure}
}

func numberInput(name string, x float64, unit string, operation Operation, source string) WorkingInput {
	return WorkingInput{Name: name, Value: numberText(x), Unit: unit, Operation: operation, Source: source}
}

// bill adds the workings of a bill, down to its lines.
func (w *workings) bill(figure, words string, bill costs.Bill, book *costs.PriceBook) {
	code := bill.Currency.Code()
	w.add(Working{
		Figure: figure, Formula: words + ": net total and tax, less the tax that is recovered", Result: moneyText(bill.Capital), Unit: code,
		Inputs: []WorkingInput{
			moneyInput("net total", bill.NetTotal, Plus, figure+".net_total"),
			moneyInput("tax", bill.Tax, Plus, figure+".tax"),
			moneyInput(fmt.Sprintf("tax recovered, %s %% of it", numberText(bill.TaxRecoverablePct)), bill.TaxRecoverable, Minus, ""),
		},
	})
	if !w.deep {
		return
	}
	net := Working{Figure: figure + ".net_total", Formula: "lines, and what is added to them", Result: moneyText(bill.NetTotal), Unit: code}
	net.Inputs = append(net.Inputs, moneyInput("subtotal of the lines", bill.Subtotal, Plus, figure+".subtotal"))
	for _, list := range [][]costs.BillAddition{bill.Preliminaries, bill.ProfessionalFees} {
		for _, added := range list {
			net.Inputs = append(net.Inputs, moneyInput(fmt.Sprintf("%s, %s %% of %s", added.Name, numberText(added.Pct), added.Base.Format()), added.Amount, Plus, ""))
		}
	}
	net.Inputs = append(net.Inputs, moneyInput(fmt.Sprintf("contingency, %s %%", numberText(bill.ContingencyPct)), bill.Contingency, Plus, ""))
	w.add(net)
	tax := Working{Figure: figure + ".tax", Formula: "tax by class: " + bill.TaxRounding, Result: moneyText(bill.Tax), Unit: code, Inputs: []WorkingInput{}}
	for _, line := range bill.TaxLines {
		tax.Inputs = append(tax.Inputs, moneyInput(fmt.Sprintf("%s class, %s %% of %s", line.TaxClass, numberText(line.RatePct), line.Taxable.Format()), line.Tax, Plus, ""))
	}
	w.add(tax)
	sub := Working{Figure: figure + ".subtotal", Formula: "the sections of the bill", Result: moneyText(bill.Subtotal), Unit: code, Inputs: []WorkingInput{}}
	for _, section := range bill.Sections {
		sub.Inputs = append(sub.Inputs, moneyInput(plainName(section.Section), section.Subtotal, Plus, figure+"."+section.Section))
	}
	w.add(sub)
	for _, section := range bill.Sections {
		w.section(figure+"."+section.Section, section, book)
	}
}

// section adds one section of a bill and its lines.
func (w *workings) section(figure string, section costs.BillSection, book *costs.PriceBook) {
	code := section.Subtotal.Currency().Code()
	sum := Working{Figure: figure, Formula: "the lines of " + plainName(section.Section), Result: moneyText(section.Subtotal), Unit: code}
	var lines []Working
	for i, line := range section.Lines {
		name := fmt.Sprintf("%s.%d.%s", figure, i+1, line.Item)
		sum.Inputs = append(sum.Inputs, moneyInput(line.Description, line.Amount, Plus, name))
		rate := moneyInput("rate of "+plainName(line.Item)+" a "+string(line.Unit), line.Rate, Times, "")
		rate.Source = fmt.Sprintf("%s, %s", book.Name, book.PriceDate)
		source := line.Working
		if source == "" {
			source = "the design"
		}
		lines = append(lines, Working{
			Figure: name, Formula: line.Description + ": quantity × rate, rounded once", Result: moneyText(line.Amount), Unit: code,
			Inputs: []WorkingInput{numberInput("quantity", line.Quantity, string(line.Unit), Times, source), rate},
		})
	}
	w.add(sum)
	for _, line := range lines {
		w.add(line)
	}
}
