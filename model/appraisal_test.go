package model

import (
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/shopspring/decimal"

	"swardcase/costs"
	"swardcase/model/survey"
	"swardcase/model/water"
)

func mustAppraise(t testing.TB, c Case) Appraisal {
	t.Helper()
	a, err := AppraiseWith(c, testCurves)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// testCurves keeps the curves of all tests: nearly all of them are of one site.
var testCurves = &keptCurves{curves: map[string]*water.Curve{}}

type keptCurves struct {
	mutex  sync.Mutex
	curves map[string]*water.Curve
}

func (k *keptCurves) Keep(key string, make func() (*water.Curve, error)) (*water.Curve, error) {
	k.mutex.Lock()
	defer k.mutex.Unlock()
	if curve, ok := k.curves[key]; ok {
		return curve, nil
	}
	curve, err := make()
	if err == nil {
		k.curves[key] = curve
	}
	return curve, err
}

func (a Appraisal) option(t testing.TB, name Option) OptionAppraisal {
	t.Helper()
	for _, o := range a.Options {
		if o.Option == name {
			return o
		}
	}
	t.Fatalf("no option %s", name)
	return OptionAppraisal{}
}

func hasCode(reasons []Reason, code string) bool {
	return slices.ContainsFunc(reasons, func(r Reason) bool { return r.Code == code })
}

func TestTheThreeGreensGetThreeAdvices(t *testing.T) {
	tests := []struct {
		name  string
		kind  AdviceKind
		route Route
	}{
		{"green_04", ProgrammeFirst, IntensifiedAeration},
		{"green_11", BestOption, PartialRenovation},
		{"green_14", BestOption, LayeredRebuild},
	}
	for _, tt := range tests {
		r := mustAppraise(t, readCase(t, tt.name)).Recommendation
		if r.Kind != tt.kind || r.Option.Route() != tt.route {
			t.Errorf("%s: %s, %s; want %s, %s", tt.name, r.Kind, r.Option, tt.kind, tt.route)
		}
	}
}

// TestTheAnswerMovesForTheRightReason changes one thing at a time and looks
// for the change in the place where a consultant would.
func TestTheAnswerMovesForTheRightReason(t *testing.T) {
	none := 0.0
	tests := []struct {
		name   string
		green  string
		change func(*Case)
		check  func(*testing.T, Appraisal)
	}{
		{"a failed trial ends programme first", "green_04", func(c *Case) {
			done, sand, fall := 90.0, 120.0, -0.5
			c.Upkeep.Trial = &ProgrammeTrial{Seasons: 3, OperationsDonePct: &done, SandTPerHaPerYear: &sand, ThatchChangeMMPerYear: &fall}
		}, func(t *testing.T, a Appraisal) {
			if a.Recommendation.Kind == ProgrammeFirst {
				t.Error("the programme is still to be tried first")
			}
		}},
		{"an untried programme comes before resurfacing", "green_11", func(c *Case) { c.Upkeep.Trial = nil }, func(t *testing.T, a Appraisal) {
			if a.Recommendation.Kind != ProgrammeFirst || a.Recommendation.LookAgain == nil {
				t.Errorf("got %s", a.Recommendation.Kind)
			}
		}},
		{"a base that does not drain changes the package", "green_11", func(c *Case) {
			c.Green.HasDrains = false
			for i := range c.Survey.Infiltration.RingTests {
				if ring := &c.Survey.Infiltration.RingTests[i]; ring.DepthRemovedMM != nil && *ring.DepthRemovedMM == 150 {
					ring.VolumeML /= 60
				}
			}
			wet := 200.0
			for i := range c.Survey.Pits {
				c.Survey.Pits[i].FreeWaterDepthMM = &wet
			}
		}, func(t *testing.T, a Appraisal) {
			if got := a.option(t, "partial_renovation/supplier_turf").Package; got == "resurface_only" {
				t.Error("still resurfacing only")
			}
			if !a.Condition.Condition.Diagnosis.Structural {
				t.Error("not structural")
			}
		}},
		{"no outfall, no drains", "green_14", func(c *Case) { c.Green.Outfall = Outfall{State: OutfallNone} }, func(t *testing.T, a Appraisal) {
			for _, o := range a.Options {
				if o.Option.Route() == LayeredRebuild && !hasCode(o.Infeasible, "no_outfall") {
					t.Errorf("%s is feasible", o.Option)
				}
			}
			// The trial of an intensified programme has failed; slits need an outfall too.
			if a.Recommendation.Kind != NothingFeasible || a.Recommendation.Option != Yardstick {
				t.Errorf("got %s, %s", a.Recommendation.Kind, a.Recommendation.Option)
			}
		}},
		{"no nursery, no nursery turf", "green_14", func(c *Case) {
			c.Available.NurseryTurfM2, c.Available.NurseryTurfSurplusM2PerYear = &none, &none
		}, func(t *testing.T, a Appraisal) {
			if !hasCode(a.option(t, "layered_rebuild/nursery_turf").Infeasible, "nursery_turf_too_small") {
				t.Error("nursery turf from no nursery")
			}
		}},
		{"a ceiling of annual meadow grass rules the old turf out", "green_14", func(c *Case) {
			ceiling := 60.0
			c.Requirements.MostAnnualMeadowGrassPct = &ceiling
		}, func(t *testing.T, a Appraisal) {
			if !hasCode(a.option(t, "layered_rebuild/existing_turf").Infeasible, "annual_meadow_grass_over_ceiling") {
				t.Error("relaid above the ceiling")
			}
		}},
		{"a capital ceiling rules the rebuild out", "green_14", func(c *Case) {
			ceiling, _ := costs.ParseMoney("20000.00", mustCurrency("GBP"))
			c.Requirements.CapitalCeiling = &ceiling
		}, func(t *testing.T, a Appraisal) {
			shortfalls := a.option(t, "layered_rebuild/seed").Shortfalls
			if !slices.ContainsFunc(shortfalls, func(s Shortfall) bool { return s.Requirement == "capital_ceiling" }) {
				t.Error("within a ceiling of £20,000")
			}
		}},
		{"a green worth more pays back", "green_14", func(c *Case) {
			for i, worth := range c.Money.WorthOfPlayableMonth {
				c.Money.WorthOfPlayableMonth[i], _ = worth.Mul(decimal.NewFromInt(10))
			}
		}, func(t *testing.T, a Appraisal) {
			if years := a.option(t, "layered_rebuild/seed").Money.AgainstPresent.Payback.Years; years == nil {
				t.Error("never pays back")
			}
		}},
		{"fewer closed days raise the outcome", "green_14", func(c *Case) {
			for i := range c.Survey.MonthsPlayable.ClosedDays {
				c.Survey.MonthsPlayable.ClosedDays[i].WaterloggedGreenDays = nil
			}
		}, func(t *testing.T, a Appraisal) {
			// What is left to gain is what the present programme would lose by then.
			seed := a.option(t, "layered_rebuild/seed")
			declined := a.Options[0].Forecast.Years[0].MonthsPlayable - a.Options[0].Forecast.MonthsPlayableYear5
			if gained := seed.Money.MonthsGainedYear5; gained > declined+0.25 {
				t.Errorf("%.2f months gained where the green loses none and would lose %.2f", gained, declined)
			}
		}},
		{"soil-grown turf is warned of", "green_14", func(c *Case) { c.Choices.SupplierTurfSoil = "soil" }, func(t *testing.T, a Appraisal) {
			if !strings.Contains(strings.Join(a.option(t, "layered_rebuild/supplier_turf").Reasons, " "), "12 mm/h") {
				t.Error("no word of the tight skin")
			}
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := readCase(t, tt.green)
			tt.change(&c)
			tt.check(t, mustAppraise(t, c))
		})
	}
}

func mustCurrency(code string) costs.Currency {
	currency, ok := costs.LookupCurrency(code)
	if !ok {
		panic("no currency " + code)
	}
	return currency
}

// TestEachMeasureMovesTheIndex worsens one measure at a time.
func TestEachMeasureMovesTheIndex(t *testing.T) {
	tests := map[string]func(*survey.Survey){
		"infiltration": func(s *survey.Survey) {
			for i := range s.Infiltration.RingTests {
				s.Infiltration.RingTests[i].VolumeML /= 3
			}
		},
		"thatch": func(s *survey.Survey) {
			for i := range s.ThatchDepth.Readings {
				s.ThatchDepth.Readings[i].DepthMM += 8
			}
		},
		"annual meadow grass": func(s *survey.Survey) {
			for i := range s.AnnualMeadowGrass.PointQuadrats {
				s.AnnualMeadowGrass.PointQuadrats[i].Hits += 30
			}
		},
		"months playable": func(s *survey.Survey) {
			for i := range s.MonthsPlayable.ClosedDays {
				days := 4.0
				s.MonthsPlayable.ClosedDays[i].WaterloggedGreenDays = &days
			}
		},
	}
	before, err := JudgeCondition(readCase(t, "green_04"))
	if err != nil {
		t.Fatal(err)
	}
	for name, worsen := range tests {
		c := readCase(t, "green_04")
		worsen(&c.Survey)
		after, err := JudgeCondition(c)
		if err != nil {
			t.Fatal(err)
		}
		if after.Condition.Index >= before.Condition.Index-1 {
			t.Errorf("%s: index %.1f, before %.1f", name, after.Condition.Index, before.Condition.Index)
		}
	}
}

func TestTheOrderOfOptionsDecidesNothing(t *testing.T) {
	for _, name := range demoCases {
		a := mustAppraise(t, readCase(t, name))
		resolved, err := Resolve(readCase(t, name))
		if err != nil {
			t.Fatal(err)
		}
		again := appraiser{Resolved: resolved, report: a.Condition, enabling: a.Enabling}
		if again.programmes, err = again.buildProgrammes(); err != nil {
			t.Fatal(err)
		}
		if again.purse, err = again.openPurse(); err != nil {
			t.Fatal(err)
		}
		want := asJSON(t, a.Recommendation)
		for seed := range uint64(20) {
			options := slices.Clone(a.Options)
			rand.New(rand.NewPCG(seed, 1)).Shuffle(len(options), func(i, j int) { options[i], options[j] = options[j], options[i] })
			got := again.recommend(again.choose(options), options, a.Confidence)
			got.ApproveCapital = a.Recommendation.ApproveCapital // the quantities are gone from a finished appraisal
			if text := asJSON(t, got); text != want {
				t.Fatalf("%s: the order of options changes the advice:\n%s\n%s", name, text, want)
			}
		}
	}
}

func TestAnExpectationOverridesAndBothAreShown(t *testing.T) {
	c := readCase(t, "green_14")
	months, life := 10.4, 30.0
	c.Choices.Expectations = []Expectation{{Option: "layered_rebuild/seed", MonthsPlayable: &months, WorkingLifeYears: &life, Reason: "as on the 9th"}}
	plain := mustAppraise(t, readCase(t, "green_14")).option(t, "layered_rebuild/seed").Forecast
	stated := mustAppraise(t, c).option(t, "layered_rebuild/seed").Forecast
	if got := stated.MonthsPlayableYear5; got < 10.35 || got > 10.45 {
		t.Errorf("%.2f months in year 5, want the stated 10.4", got)
	}
	if *stated.WorkingLifeYears != 30 || stated.Stated == nil {
		t.Fatalf("got %+v", stated)
	}
	if stated.Stated.ForecastMonthsPlayable != plain.MonthsPlayableYear5 || *stated.Stated.ForecastLifeYears != *plain.WorkingLifeYears {
		t.Errorf("the forecast that was overridden is not shown: %+v", stated.Stated)
	}
	months = 11.9
	capped := mustAppraise(t, c).option(t, "layered_rebuild/seed").Forecast
	if capped.Stated.Note == "" || capped.MonthsPlayableYear5 > 11.9 {
		t.Errorf("days lost elsewhere were bought back: %+v", capped.Stated)
	}
}

// TestTakingOrganicMatterAwayCannotBeatTheGroundBelow: however bad the reading
// of organic matter, an old surface comes up to the rate found under its mat and
// what holes and channels add to that, and no further.
func TestTakingOrganicMatterAwayCannotBeatTheGroundBelow(t *testing.T) {
	const openedAndChannelled = 5 // the most that coring and channels add
	for _, green := range []string{"green_04", "green_14"} {
		for _, pct := range []float64{6, 9, 12, 15, 20, 30, 60} {
			c := readCase(t, green)
			c.Survey.OrganicMatter = []survey.OrganicMatterReading{{DepthFromMM: 0, DepthToMM: 20, OrganicMatterPct: pct}}
			a := mustAppraise(t, c)
			under := *a.Condition.Survey.InfiltrationBelow.Removed50MM.Value
			for _, option := range []Option{Yardstick, Option(IntensifiedAeration)} {
				for _, year := range a.option(t, option).Forecast.Years {
					if year.InfiltrationMMPerH > under*openedAndChannelled {
						t.Errorf("%s, %s: %g mm/h in year %d at %g %% organic matter, over a mat that hides %g mm/h",
							green, option, year.InfiltrationMMPerH, year.Year, pct, under)
					}
				}
			}
		}
	}
}

// TestNearestWeighsMoneyAndSaysWhatIsOutOfReach: where the course and frost leave
// fewer months than are required, no option's few hours more are worth its
// capital, and the text says that the requirement cannot be met.
func TestNearestWeighsMoneyAndSaysWhatIsOutOfReach(t *testing.T) {
	c := readCase(t, "green_14")
	course, frost, need := 4.0, 1.0, 11.0
	c.Requirements = Requirements{LeastMonthsPlayable: &need}
	for i := range c.Survey.MonthsPlayable.ClosedDays {
		closed := &c.Survey.MonthsPlayable.ClosedDays[i]
		closed.WaterloggedGreenDays, closed.WaterloggedCourseDays, closed.FrostDays = nil, &course, &frost
	}
	a := mustAppraise(t, c)
	r := a.Recommendation
	if r.Kind != Nearest || !strings.Contains(strings.Join(r.Reasons, " "), "No work on this green can bring the 11 months") {
		t.Errorf("%s: %v", r.Kind, r.Reasons)
	}
	chosen := a.option(t, r.Option)
	for _, o := range a.Options {
		if len(o.Infeasible) == 0 && missed(o) <= missed(chosen) && compareValue(o, chosen) > 0 {
			t.Errorf("%s is as near as %s and worth more", o.Option, r.Option)
		}
	}
}

func TestWhatFailedItsTrialIsNotAdvisedAgain(t *testing.T) {
	c := readCase(t, "green_14")
	c.Requirements = Requirements{}
	for i, worth := range c.Money.WorthOfPlayableMonth {
		c.Money.WorthOfPlayableMonth[i], _ = worth.Mul(decimal.NewFromInt(2))
	}
	a := mustAppraise(t, c)
	if a.Recommendation.Option == Option(IntensifiedAeration) || !hasCode(a.option(t, Option(IntensifiedAeration)).Infeasible, "tried_and_failed") {
		t.Errorf("advised %s", a.Recommendation.Option)
	}
}
