package model

import (
	"math"
	"strings"
	"testing"

	"swardcase/costs"
	"swardcase/model/confidence"
	"swardcase/model/fault"
)

func breakEven(t testing.TB, c Case, q BreakEvenQuestion) BreakEven {
	t.Helper()
	b, err := BreakEvenOf(BreakEvenRequest{c, q}, testCurves)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestTheValueFoundMakesTheTwoEqual puts what was found into the case and
// appraises it: the two sides may differ by what the last step of the search,
// and the roundings of a cash flow, leave.
func TestTheValueFoundMakesTheTwoEqual(t *testing.T) {
	const seed = Option("layered_rebuild/seed")
	low, high := 0.1, 10.0
	for _, q := range []BreakEvenQuestion{
		{Input: "worth_of_playable_month_ratio", Option: seed, From: &low, To: &high},
		{Input: "works_quantity_ratio", Option: seed, Less: "intensified_aeration", From: &low, To: &high},
	} {
		c := readCase(t, "green_14")
		b := breakEven(t, c, q)
		if b.Verdict != confidence.Found || len(b.Crossings) != 1 {
			t.Fatalf("%s: %s, %d crossings", q.Input, b.Verdict, len(b.Crossings))
		}
		a := mustAppraise(t, stated(c, map[string]float64{q.Input: b.Crossings[0].From}))
		value := a.option(t, q.Option).Money.AgainstPresent.NetPresentValue.Float()
		if q.Less != "" {
			value -= a.option(t, q.Less).Money.AgainstPresent.NetPresentValue.Float()
		}
		if math.Abs(value) > 1 {
			t.Errorf("%s at %v: %.2f is left between the two", q.Input, b.Crossings[0].From, value)
		}
	}
}

// TestAYearsInputGivesThePair: a life is in whole years, so that the answer is
// the two between which the figure turns.
func TestAYearsInputGivesThePair(t *testing.T) {
	const seed = Option("layered_rebuild/seed")
	c := readCase(t, "green_14")
	likely := mustAppraise(t, c).option(t, seed).Money.AgainstPresent.NetPresentValue
	target, err := likely.Add(mustMoney(t, "-1000.00"))
	if err != nil {
		t.Fatal(err)
	}
	b := breakEven(t, c, BreakEvenQuestion{Input: "life_layered_rebuild_years", Option: seed, Target: &FigureValue{Amount: &target}})
	if b.Verdict != confidence.Found {
		t.Fatalf("got %s", b.Verdict)
	}
	pair := b.Crossings[0]
	if pair.Kind != confidence.TurnsBetween || pair.To-pair.From != 1 {
		t.Fatalf("got %+v", pair)
	}
	at := func(years float64) float64 {
		return mustAppraise(t, stated(c, map[string]float64{"life_layered_rebuild_years": years})).option(t, seed).Money.AgainstPresent.NetPresentValue.Float()
	}
	if lower, upper := at(pair.From), at(pair.To); !(lower < target.Float() && target.Float() < upper) {
		t.Errorf("%.2f and %.2f do not lie around %.2f", lower, upper, target.Float())
	}
}

func TestNeverIsSaidPlainlyWithBothEnds(t *testing.T) {
	from, to := 0.0, 100.0
	b := breakEven(t, readCase(t, "green_14"), BreakEvenQuestion{
		Input: "/money/tax_recoverable_pct", Option: "layered_rebuild/seed", Less: "layered_rebuild/nursery_turf", From: &from, To: &to,
	})
	if b.Verdict != confidence.NeverInRange || !strings.HasPrefix(b.Text, "Never in range") || b.AtFrom == nil || b.AtTo == nil || b.AtFrom.Amount == nil {
		t.Errorf("got %+v", b)
	}
	if b.AtFrom.Amount.Sign() <= 0 || b.AtTo.Amount.Sign() <= 0 {
		t.Errorf("it says never, and the ends are %s and %s", b.AtFrom.Amount, b.AtTo.Amount)
	}
}

// TestNeverDoesNotSpeakForWhereThereIsNoFigure: an area that its perimeter cannot
// enclose has no appraisal, and the sentence says so.
func TestNeverDoesNotSpeakForWhereThereIsNoFigure(t *testing.T) {
	b := BreakEven{Verdict: confidence.NeverInRange, Input: "/green/area_m2", Option: "layered_rebuild/seed", Outcome: "net_present_value", From: 300, To: 900, AtFrom: &FigureValue{}}
	if text := b.words(""); !strings.HasSuffix(text, "where it has a figure, which it has not at 900.") {
		t.Error(text)
	}
	b.AtFrom, b.AtTo = nil, &FigureValue{}
	if text := b.words(""); !strings.HasSuffix(text, "where it has a figure, which it has not at 300.") {
		t.Error(text)
	}
}

// TestAWholeNumberStaysWhole: a field that takes whole numbers is searched in
// whole numbers.
func TestAWholeNumberStaysWhole(t *testing.T) {
	from, to := 1.0, 40.0
	target := mustMoney(t, "-60000.00")
	b := breakEven(t, readCase(t, "green_14"), BreakEvenQuestion{
		Input: "/money/horizon_years", Option: "layered_rebuild/seed", Target: &FigureValue{Amount: &target}, From: &from, To: &to,
	})
	if b.Verdict != confidence.Found {
		t.Fatalf("got %s from %v to %v", b.Verdict, b.AtFrom, b.AtTo)
	}
	for _, crossing := range b.Crossings {
		if crossing.From != math.Trunc(crossing.From) || crossing.To-crossing.From != 1 {
			t.Errorf("got %+v", crossing)
		}
	}
}

func TestBreakEvenFaults(t *testing.T) {
	amount := mustMoney(t, "1.00")
	seed := Option("layered_rebuild/seed")
	from, one, half, nan := 5.0, 1.0, 20.5, math.NaN()
	tests := []struct {
		name, pointer string
		q             BreakEvenQuestion
	}{
		{"no such input", "/question/input", BreakEvenQuestion{Input: "the_moon", Option: seed}},
		{"no such place", "/question/input", BreakEvenQuestion{Input: "/green/colour", Option: seed}},
		{"a place without a number", "/question/input", BreakEvenQuestion{Input: "/green/name", Option: seed}},
		{"the weather", "/question/input", BreakEvenQuestion{Input: "gravity_store_mm", Option: seed}},
		{"no such option", "/question/option", BreakEvenQuestion{Input: "price_level", Option: "paint_it"}},
		{"against itself", "/question/less", BreakEvenQuestion{Input: "price_level", Option: seed, Less: seed}},
		{"no such outcome", "/question/outcome", BreakEvenQuestion{Input: "price_level", Option: seed, Outcome: "glory"}},
		{"money where there is none", "/question/target", BreakEvenQuestion{Input: "price_level", Option: seed, Outcome: "months_playable_year_5", Target: &FigureValue{Amount: &amount}}},
		{"from above to", "/question/from", BreakEvenQuestion{Input: "price_level", Option: seed, From: &from, To: &one}},
		{"half a year", "/question/to", BreakEvenQuestion{Input: "/money/horizon_years", Option: seed, From: &one, To: &half}},
		{"no range", "/question/input", BreakEvenQuestion{Input: "price_level", Option: seed, From: &from}},
		{"no number", "/question/from", BreakEvenQuestion{Input: "price_level", Option: seed, From: &nan}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := BreakEvenOf(BreakEvenRequest{readCase(t, "green_14"), tt.q}, testCurves)
			list := listOf(err)
			if len(list) == 0 || list[0].Pointer != tt.pointer {
				t.Errorf("got %v, want a fault at %s", err, tt.pointer)
			}
		})
	}
}

func mustMoney(t testing.TB, amount string) costs.Money {
	t.Helper()
	m, err := costs.ParseMoney(amount, mustCurrency("GBP"))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// listOf lists the faults of an error; nil for any other.
func listOf(err error) fault.List {
	switch e := err.(type) {
	case fault.List:
		return e
	case fault.Fault:
		return fault.List{e}
	}
	return nil
}

// TestAnAmountIsPointedAtWholeOrInPart: the object with the currency, or the
// decimal in it.
func TestAnAmountIsPointedAtWholeOrInPart(t *testing.T) {
	to := 4000.0
	ask := func(input string) BreakEven {
		return breakEven(t, readCase(t, "green_14"), BreakEvenQuestion{Input: input, Option: "layered_rebuild/seed", To: &to})
	}
	whole, part := ask("/money/worth_of_playable_month/4"), ask("/money/worth_of_playable_month/4/amount")
	if whole.Likely != part.Likely || whole.From != part.From || !whole.AtTo.Amount.Equal(*part.AtTo.Amount) || whole.AtFrom.Amount.Equal(*whole.AtTo.Amount) {
		t.Errorf("whole %+v, part %+v", whole, part)
	}
}
