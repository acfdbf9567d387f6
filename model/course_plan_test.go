package model

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/programme"
)

// threeGreens is a course of the three whole cases, which share a site and the
// terms of money.
func threeGreens(t testing.TB) CourseCase {
	t.Helper()
	var cases []Case
	for _, name := range []string{"green_04", "green_11", "green_14"} {
		cases = append(cases, readCase(t, name))
	}
	budget := pounds(t, "70000.00")
	return CourseOf(cases, PlanTerms{Years: 5, Objective: programme.IndexYears, Budget: PlanBudget{PerYear: &budget, CarryOver: true}, MostOutOfPlay: []int{1}})
}

func mustPlan(t testing.TB, c CourseCase) CoursePlan {
	t.Helper()
	plan, err := PlanCourse(context.Background(), c, testCurves, nil)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

func mustPut(t testing.TB, c CourseCase) *planner {
	t.Helper()
	p, err := newPlanner(context.Background(), &c, testCurves)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A start in the first year is the appraisal itself: to the penny in value and
// capital, with every green's own mobilisation.
func TestAStartInTheFirstYearIsTheAppraisal(t *testing.T) {
	c := threeGreens(t)
	c.Plan.OwnMobilisation = true
	p := mustPut(t, c)
	for g, green := range p.greens {
		appraisal := mustAppraise(t, c.caseOf(g))
		found := 0
		for _, k := range green.candidates {
			if k.Year != 1 {
				continue
			}
			found++
			o := appraisal.option(t, Option(k.Option))
			if want := minorOf(o.Money.AgainstPresent.NetPresentValue); k.Worth[0] != want {
				t.Errorf("%s, %s: worth %d; the appraisal has %d", c.Greens[g].Green.Name, k.Option, k.Worth[0], want)
			}
			if want := minorOf(o.Money.Capital); k.Payments[0] != want {
				t.Errorf("%s, %s: pays %d; the appraisal has %d", c.Greens[g].Green.Name, k.Option, k.Payments[0], want)
			}
			if got, want := k.with[min(4, len(k.with)-1)].Index, o.Expected.Index; got != want {
				t.Errorf("%s, %s: index %v in year 5; the appraisal has %v", c.Greens[g].Green.Name, k.Option, got, want)
			}
		}
		if found == 0 {
			t.Errorf("%s has no candidate", c.Greens[g].Green.Name)
		}
	}
}

// Until works start the green is the one that the appraisal follows under the
// present programme, year by year.
func TestAGreenThatWaitsGoesOnUnderThePresentProgramme(t *testing.T) {
	c := threeGreens(t)
	p := mustPut(t, c)
	for g, green := range p.greens {
		present := mustAppraise(t, c.caseOf(g)).option(t, Yardstick).Forecast
		for _, k := range green.candidates {
			for year := range k.Year - 1 {
				if got, want := *k.with[year].MonthsPlayable, present.Years[year].MonthsPlayable; got != want {
					t.Errorf("%s, %s from year %d: %v months in year %d; the present programme has %v", c.Greens[g].Green.Name, k.Option, k.Year, got, year+1, want)
				}
			}
		}
	}
}

// What mobilisation is taken out of the works of a green is what the season is
// charged, where the bills have it alike.
func TestSharedMobilisationIsThatOfTheBills(t *testing.T) {
	c := threeGreens(t)
	shared := mustPut(t, c)
	c.Plan.OwnMobilisation = true
	own := mustPut(t, c)
	charge := shared.course.Mobilisation[0]
	for g := range shared.greens {
		for i, k := range shared.greens[g].candidates {
			theirs := own.greens[g].candidates[i]
			if k.Year != 1 || k.Season < 0 {
				continue
			}
			if taken := theirs.Payments[0] - k.Payments[0]; taken < charge.Cash-1 || taken > charge.Cash+1 {
				t.Errorf("%s: %d of mobilisation is taken out, and a season costs %d", k.Option, taken, charge.Cash)
			}
			if got, want := k.Worth[0]-charge.Worth[0], theirs.Worth[0]; got < want-2 || got > want+2 {
				t.Errorf("%s: worth %d less the season's mobilisation; with its own %d", k.Option, got, want)
			}
		}
	}
}

// The money of the plan comes to the same by greens and by years, to the penny.
func TestThePlanAddsUp(t *testing.T) {
	c := threeGreens(t)
	c.Plan.QuantityBreaks = []QuantityBreak{{Item: "root_zone_mix", Tiers: []BreakTier{{AtLeast: 50, LessPct: 5}}}}
	plan := mustPlan(t, c)
	if plan.Status != PlanProven || len(plan.Works) != 3 {
		t.Fatalf("%s, %d greens: %s", plan.Status, len(plan.Works), plan.Headline)
	}
	works, spent, saved := costs.Zero(plan.Totals.Capital.Currency()), costs.Zero(plan.Totals.Capital.Currency()), int64(0)
	for _, k := range plan.Works {
		works = sum2(t, works, k.Capital)
		saved += minorOf(k.Saved)
	}
	for _, y := range plan.Cash {
		spent = sum2(t, spent, y.Spent)
		left := sum2(t, sum2(t, y.Brought, y.Budget), sum2(t, y.Spent, y.Interest).Neg())
		if !left.Equal(sum2(t, y.Balance, y.Lapsed)) || y.Balance.Sign() < 0 {
			t.Errorf("year %d: %s is left, and the balance is %s", y.Year, left, y.Balance)
		}
	}
	if !works.Equal(plan.Totals.Capital) || !spent.Equal(plan.Totals.Capital) {
		t.Errorf("greens come to %s and years to %s, of %s in all", works, spent, plan.Totals.Capital)
	}
	if saved == 0 {
		t.Error("nothing is saved by quantity")
	}
	for i, drawn := range plan.HandDrawn {
		if len(drawn.Broken) == 0 && *drawn.Value.IndexYears > *plan.Objective.Value.IndexYears {
			t.Errorf("hand-drawn plan %d is better than the best", i)
		}
	}
}

func sum2(t testing.TB, a, b costs.Money) costs.Money {
	t.Helper()
	total, err := a.Add(b)
	if err != nil {
		t.Fatal(err)
	}
	return total
}

func TestTheSameCourseGivesTheSamePlan(t *testing.T) {
	if a, b := mustPlan(t, threeGreens(t)), mustPlan(t, threeGreens(t)); !reflect.DeepEqual(a.Works, b.Works) || !reflect.DeepEqual(a.Objective, b.Objective) {
		t.Errorf("%+v and then %+v", a.Objective, b.Objective)
	}
}

// Three greens by the first year, with one out at a time and money for one, is
// too much: the conflict names the rules and leaves the others out.
func TestAConflictIsNamed(t *testing.T) {
	c := threeGreens(t)
	first := 1
	for g := range c.Greens {
		c.Greens[g].LatestYear = &first
		c.Greens[g].AllowedOptions = []Option{"layered_rebuild/supplier_turf", "partial_renovation/supplier_turf"}
	}
	c.Plan.NotTogether = []GreenSet{{Name: "any two", Greens: []string{"4th", "11th"}, Most: intOf(2)}}
	plan := mustPlan(t, c)
	if plan.Status != PlanInfeasible || !plan.ConflictSure || plan.Totals != nil {
		t.Fatalf("%s: %s", plan.Status, plan.Headline)
	}
	kinds := map[programme.RuleKind]bool{}
	for _, rule := range plan.Conflict {
		kinds[rule.Rule] = true
	}
	if !kinds[programme.LatestYearRule] || kinds[programme.SetRule] {
		t.Errorf("the conflict is %v", plan.Conflict)
	}
}

func intOf(n int) *int { return &n }

// Regret is never less than nothing in any scenario, and the greatest is what the
// objective says.
func TestLeastRegretIsTheGreatestOfTheScenarios(t *testing.T) {
	c := threeGreens(t)
	dear := 0.6
	c.Plan.Objective = programme.LeastRegret
	c.Plan.Scenarios = []PlanScenario{{Name: "dear works", PriceLevel: costs.High, WorthRatio: &dear}, {Name: "green fees up", WorthRatio: floatOf(3)}}
	plan := mustPlan(t, c)
	if len(plan.Objective.Scenarios) != 3 {
		t.Fatalf("%d scenarios", len(plan.Objective.Scenarios))
	}
	greatest := costs.Zero(plan.Totals.Capital.Currency())
	for _, s := range plan.Objective.Scenarios {
		if s.Regret.Sign() < 0 {
			t.Errorf("%s: a regret of %s", s.Name, s.Regret)
		}
		if s.Regret.Amount().GreaterThan(greatest.Amount()) {
			greatest = s.Regret
		}
	}
	if !plan.Objective.Value.Amount.Neg().Equal(greatest) {
		t.Errorf("the objective is %s, the greatest regret %s", plan.Objective.Value.Amount, greatest)
	}
}

func floatOf(x float64) *float64 { return &x }

func TestAStoppedSearchSaysSo(t *testing.T) {
	c := threeGreens(t)
	p := mustPut(t, c)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	found, err := programme.Solve(ctx, p.course, programme.Search{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := p.report(ctx, found)
	if err != nil || plan.Status != PlanStoppedEarly || !plan.ComparisonsStoppedEarly {
		t.Errorf("%s, %v, %v", plan.Status, plan.ComparisonsStoppedEarly, err)
	}
}

func TestFaultsOfACourse(t *testing.T) {
	tests := []struct {
		name    string
		change  func(*CourseCase)
		pointer string
	}{
		{"a name twice", func(c *CourseCase) { c.Greens[1].Green.Name = "4th" }, "/greens/1/green/name"},
		{"no such green", func(c *CourseCase) {
			c.Plan.NotTogether = []GreenSet{{Name: "x", Greens: []string{"4th", "19th"}}}
		}, "/plan/not_together/0/greens/1"},
		{"a year beyond the plan", func(c *CourseCase) { c.Greens[0].LatestYear = intOf(9) }, "/greens/0/latest_year"},
		{"two budgets", func(c *CourseCase) { c.Plan.Budget.Yearly = []costs.Money{*c.Plan.Budget.PerYear} }, "/plan/budget/yearly"},
		{"no budget", func(c *CourseCase) { c.Plan.Budget.PerYear = nil }, "/plan/budget/per_year"},
		{"another currency", func(c *CourseCase) { m := euros(t); c.Plan.Mobilisation = &m }, "/plan/mobilisation/currency"},
		{"regret of nothing", func(c *CourseCase) { c.Plan.Objective = programme.LeastRegret }, "/plan/scenarios"},
		{"scenarios for nothing", func(c *CourseCase) { c.Plan.Scenarios = []PlanScenario{{Name: "x"}} }, "/plan/scenarios"},
		{"months of another year", func(c *CourseCase) { c.Plan.MostOutOfPlay = []int{1, 2} }, "/plan/most_out_of_play"},
		{"the yardstick", func(c *CourseCase) { c.Greens[2].AllowedOptions = []Option{Yardstick} }, "/greens/2/allowed_options/0"},
		{"no such item", func(c *CourseCase) {
			c.Plan.QuantityBreaks = []QuantityBreak{{Item: "moon", Tiers: []BreakTier{{1, 1}}}}
		}, "/plan/quantity_breaks/0/item"},
		{"penalty in money", func(c *CourseCase) { c.Plan.KeepAlike = &KeepAlike{PenaltyPerOddGreen: c.Plan.Budget.PerYear} }, "/plan/keep_alike/penalty_index_years"},
		{"a green's own case", func(c *CourseCase) { c.Greens[1].Survey.SurveyedOn = "never" }, "/greens/1/survey/surveyed_on"},
		{"what all share", func(c *CourseCase) { c.Site.Climate.Station = "nowhere" }, "/site/climate/station"},
	}
	for _, tt := range tests {
		c := threeGreens(t)
		tt.change(&c)
		_, err := PlanCourse(context.Background(), c, testCurves, nil)
		var list fault.List
		if !errors.As(err, &list) {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		found := false
		for _, f := range list {
			found = found || strings.HasPrefix(f.Pointer, tt.pointer)
		}
		if !found || len(list) > 3 {
			t.Errorf("%s: %v; want %s", tt.name, list, tt.pointer)
		}
	}
}

func euros(t testing.TB) costs.Money {
	t.Helper()
	eur, _ := costs.LookupCurrency("EUR")
	return costs.Zero(eur)
}
