package model

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

func deepWorkings(t testing.TB, name string) (*workings, []OptionAppraisal) {
	t.Helper()
	a, err := newAppraiser(readCase(t, name), nil)
	if err != nil {
		t.Fatal(err)
	}
	options, err := a.options(testCurves)
	if err != nil {
		t.Fatal(err)
	}
	w, err := a.workings(options, true)
	if err != nil {
		t.Fatal(err)
	}
	return w, options
}

// TestEveryWorkingComesToItsResult carries out the plain arithmetic of every
// working. Sums are exact; a product is rounded once, to a penny.
func TestEveryWorkingComesToItsResult(t *testing.T) {
	penny := decimal.New(1, -2)
	for _, name := range []string{"green_04", "green_11", "green_14", "money", "kidney"} {
		w, _ := deepWorkings(t, name)
		done := 0
		for _, working := range w.list {
			got, plain, product := decimal.Zero, len(working.Inputs) > 0, false
			for i, in := range working.Inputs {
				value, err := decimal.NewFromString(in.Value)
				if err != nil {
					t.Fatalf("%s: %s is %q", working.Figure, in.Name, in.Value)
				}
				switch {
				case in.Operation == Plus:
					got = got.Add(value)
				case in.Operation == Minus:
					got = got.Sub(value)
				case in.Operation == Times && i == 0:
					got = value
				case in.Operation == Times:
					got, product = got.Mul(value), true
				default:
					plain = false
				}
			}
			if !plain {
				continue
			}
			done++
			want, err := decimal.NewFromString(working.Result)
			if err != nil {
				t.Fatal(err)
			}
			allowed := decimal.Zero
			if product {
				allowed = penny
			}
			if got.Sub(want).Abs().GreaterThan(allowed) {
				t.Errorf("%s, %s: the inputs come to %s, the result is %s", name, working.Figure, got, want)
			}
		}
		if done < 500 {
			t.Errorf("%s: only %d workings are plain arithmetic", name, done)
		}
	}
}

// TestAnInputIsTheResultItNames: wherever an input names a figure, and is of the
// same unit, the figure's result is the input's value.
func TestAnInputIsTheResultItNames(t *testing.T) {
	w, _ := deepWorkings(t, "green_14")
	links := 0
	for _, working := range w.list {
		for _, in := range working.Inputs {
			if in.Figure == "" {
				continue
			}
			at, known := w.at[in.Figure]
			if !known {
				t.Errorf("%s names %s, which nothing works out", working.Figure, in.Figure)
				continue
			}
			if in.Unit == w.list[at].Unit && in.Value != w.list[at].Result {
				t.Errorf("%s: %s is %s, %s comes to %s", working.Figure, in.Name, in.Value, in.Figure, w.list[at].Result)
			}
			links++
		}
	}
	if links < 500 {
		t.Errorf("only %d links", links)
	}
}

// TestMainFiguresAreThoseOfTheAnswer holds the workings in an answer to its
// figures.
func TestMainFiguresAreThoseOfTheAnswer(t *testing.T) {
	a := mustAppraise(t, readCase(t, "green_14"))
	results := map[string]string{}
	for _, working := range a.Workings {
		results[working.Figure] = working.Result
	}
	for _, o := range a.Options {
		at := "options." + string(o.Option)
		for figure, want := range map[string]string{
			".capital":                moneyText(o.Money.Capital),
			".yearly_upkeep":          moneyText(o.Money.YearlyUpkeep),
			".equal_annual_cost":      moneyText(o.Money.EqualAnnualCost),
			".net_present_value":      moneyText(o.Money.AgainstPresent.NetPresentValue),
			".months_playable_year_5": numberText(o.Forecast.MonthsPlayableYear5),
			".index_year_5":           numberText(roundTo(o.Expected.Index, 10_000)),
		} {
			if results[at+figure] != want {
				t.Errorf("%s%s: the working gives %q, the answer %q", at, figure, results[at+figure], want)
			}
		}
		payback := "none"
		if years := o.Money.AgainstPresent.Payback.Years; years != nil {
			payback = numberText(*years)
		}
		if results[at+".payback_years"] != payback {
			t.Errorf("%s: payback %q, want %q", at, results[at+".payback_years"], payback)
		}
	}
}

func TestExplainReachesTheLinesOfTheBill(t *testing.T) {
	e, err := Explain(readCase(t, "green_14"), "options.layered_rebuild/seed.capital", testCurves)
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for _, working := range e.Workings {
		for _, in := range working.Inputs {
			if strings.HasPrefix(in.Name, "rate of") && in.Source != "" {
				lines++
			}
		}
	}
	if e.Workings[0].Figure != e.Figure || lines < 30 {
		t.Errorf("%d lines of bills below %s", lines, e.Workings[0].Figure)
	}
	_, err = Explain(readCase(t, "green_14"), "options.layered_rebuild/seed.captial", testCurves)
	if list := listOf(err); len(list) != 1 || !strings.Contains(list[0].Remedy, "options.layered_rebuild/seed.capital") {
		t.Errorf("a slip of the pen: %v", err)
	}
}
