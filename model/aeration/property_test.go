package aeration_test

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/aeration"
)

func drawTines(r *rapid.T) aeration.Tines {
	outside := rapid.Float64Range(4, 16).Draw(r, "outside")
	return aeration.Tines{
		OutsideDiameterMM: outside, InsideDiameterMM: outside * rapid.Float64Range(0.4, 0.95).Draw(r, "bore"),
		SpacingAcrossMM: rapid.Float64Range(30, 150).Draw(r, "across"), SpacingAlongMM: rapid.Float64Range(30, 150).Draw(r, "along"),
		DepthMM: rapid.Float64Range(20, 150).Draw(r, "depth"), Passes: 1,
		Filled: rapid.Bool().Draw(r, "filled"), CoresRemoved: rapid.Bool().Draw(r, "removed"),
	}
}

// drawWork leaves out mole ploughing, which the ground refuses.
func drawWork(r *rapid.T) aeration.Work {
	w := aeration.Work{Operation: rapid.SampledFrom([]aeration.Operation{
		aeration.HollowCoring, aeration.DeepTining, aeration.SlitTining, aeration.Scarifying, aeration.TopDressing, aeration.Overseeding,
	}).Draw(r, "operation")}
	if rapid.Bool().Draw(r, "often") {
		w.TimesPerYear = ptr(rapid.Float64Range(1, 20).Draw(r, "times")) // fewer could not carry the sand
	}
	w.Months = rapid.SliceOfNDistinct(rapid.IntRange(1, 12), 0, 12, rapid.ID[int]).Draw(r, "months")
	if w.Operation == aeration.HollowCoring && rapid.Bool().Draw(r, "own tines") {
		w.Tines = ptr(drawTines(r))
	}
	if w.Operation == aeration.TopDressing && rapid.Bool().Draw(r, "own sand") {
		w.DressingMM = ptr(rapid.Float64Range(0, 5).Draw(r, "dressing"))
	}
	return w
}

func drawInput(r *rapid.T) aeration.Input {
	in := aeration.Input{
		AreaM2:   rapid.Float64Range(50, 3000).Draw(r, "area"),
		Southern: rapid.Bool().Draw(r, "south"),
	}
	for m := range in.GrowthPotentialByMonth {
		in.GrowthPotentialByMonth[m] = rapid.Float64Range(0, 1).Draw(r, "growth")
	}
	in.Programme.Works = rapid.SliceOfN(rapid.Custom(drawWork), 0, 8).Draw(r, "works")
	if rapid.Bool().Draw(r, "sand stated") {
		in.Programme.SandTPerHaPerYear = ptr(rapid.Float64Range(0, 290).Draw(r, "sand"))
	}
	return in
}

func mustBuild(r *rapid.T, in aeration.Input) aeration.Calendar {
	c, faults := aeration.Build(in, likely)
	if err := faults.Err(); err != nil {
		r.Fatal(err)
	}
	return c
}

// equalAmounts compares every field of two sums to a relative 1e-9.
func equalAmounts(r *rapid.T, what string, a, b aeration.Amounts) {
	va, vb := reflect.ValueOf(a), reflect.ValueOf(b)
	for i := range va.NumField() {
		x, y := va.Field(i).Float(), vb.Field(i).Float()
		if math.Abs(x-y) > 1e-9*math.Max(1, math.Abs(x)) {
			r.Errorf("%s, %s: %g and %g", what, va.Type().Field(i).Name, x, y)
		}
	}
}

func plus(a, b aeration.Amounts) aeration.Amounts {
	va, vb := reflect.ValueOf(&a).Elem(), reflect.ValueOf(b)
	for i := range va.NumField() {
		va.Field(i).SetFloat(va.Field(i).Float() + vb.Field(i).Float())
	}
	return a
}

func TestACalendarAddsUp(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := mustBuild(r, drawInput(r))
		var months, lines aeration.Amounts
		disturbed, lineDays := 0.0, 0.0
		for m, month := range c.Months {
			months = plus(months, month.Amounts)
			disturbed += month.DisturbedDays
			if limit := []float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[m]; month.DisturbedDays < 0 || month.DisturbedDays > limit+1e-9 {
				r.Errorf("month %d has %g disturbed days", m+1, month.DisturbedDays)
			}
		}
		for _, line := range c.Lines {
			lines = plus(lines, line.PerYear)
			lineDays += line.DisturbedDaysPerYear
			visits := 0.0
			for _, n := range line.VisitsByMonth {
				visits += n
			}
			if math.Abs(visits-line.VisitsPerYear) > 1e-9 {
				r.Errorf("%g visits by month, %g a year", visits, line.VisitsPerYear)
			}
		}
		equalAmounts(r, "months and totals", months, c.Totals.Amounts)
		equalAmounts(r, "lines and totals", lines, c.Totals.Amounts)
		if math.Abs(disturbed-c.Totals.DisturbedDays) > 1e-9 || disturbed > lineDays+1e-6 {
			r.Errorf("disturbed days: months %g, total %g, lines %g", disturbed, c.Totals.DisturbedDays, lineDays)
		}
		a := c.Totals.Amounts
		if math.Abs(a.SandTPerHa*c.AreaM2/10000-a.SandT) > 1e-6 {
			r.Errorf("%g t/ha and %g t disagree", a.SandTPerHa, a.SandT)
		}
	})
}

func TestCloserSpacingNeverAffectsLessArea(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		wide := drawTines(r)
		closer := wide
		closer.SpacingAcrossMM *= rapid.Float64Range(0.7, 1).Draw(r, "closer across")
		closer.SpacingAlongMM *= rapid.Float64Range(0.7, 1).Draw(r, "closer along")
		a, b := one(aeration.Work{Operation: aeration.HollowCoring, Tines: &wide}), one(aeration.Work{Operation: aeration.HollowCoring, Tines: &closer})
		x, y := mustBuild(r, a).Totals.Amounts, mustBuild(r, b).Totals.Amounts
		if y.AreaAffectedPct < x.AreaAffectedPct || y.SandFillMM < x.SandFillMM || y.HolesPerM2 < x.HolesPerM2 {
			r.Errorf("closer %+v\nwider %+v", y, x)
		}
		if y.CoredAreaRemovedPct > y.CoredAreaPct {
			r.Errorf("cores of %g %% out of holes of %g %%", y.CoredAreaRemovedPct, y.CoredAreaPct)
		}
	})
}

func TestMoreSandNeverRaisesOrganicMatterAndCoringAloneLeavesIt(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		pct, layer := rapid.Float64Range(0, 60).Draw(r, "pct"), rapid.Float64Range(5, 200).Draw(r, "layer")
		removed := layer * rapid.Float64Range(0, 0.95).Draw(r, "removed")
		density := rapid.Float64Range(0.5, 1.8).Draw(r, "density")
		less := rapid.Float64Range(0, 40).Draw(r, "sand")
		more := less + rapid.Float64Range(0, 40).Draw(r, "more sand")
		mixed := func(removed, sand float64) float64 {
			return aeration.MixedOrganicMatterPct(pct, layer, removed, sand, density, 1.5)
		}
		if mixed(removed, 0) != pct {
			r.Errorf("coring alone moved %g to %g", pct, mixed(removed, 0))
		}
		if mixed(removed, more) > mixed(removed, less) || mixed(removed, less) > pct {
			r.Errorf("more sand, more organic matter")
		}
		if mixed(removed, less) > mixed(0, less)+1e-12 {
			r.Errorf("sand after coring dilutes less than sand alone")
		}
		if d := aeration.DressedOrganicMatterPct; d(pct, layer, more) > d(pct, layer, less) || d(pct, layer, less) > pct || d(pct, layer, more) < 0 {
			r.Errorf("dressing: more sand, more organic matter")
		}
	})
}

func TestMoreGrowthNeverMeansMoreDisturbedDays(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := drawInput(r)
		slow := mustBuild(r, in)
		for m, growth := range in.GrowthPotentialByMonth {
			in.GrowthPotentialByMonth[m] = growth + (1-growth)*rapid.Float64Range(0, 1).Draw(r, "more growth")
		}
		if quick := mustBuild(r, in); quick.Totals.DisturbedDays > slow.Totals.DisturbedDays+1e-9 {
			r.Errorf("%g days became %g", slow.Totals.DisturbedDays, quick.Totals.DisturbedDays)
		}
	})
}

func TestMoreWorkNeverDisturbsFewerDaysNorSlowsWater(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := drawInput(r)
		in.Programme.SandTPerHaPerYear = nil // otherwise more work may mean lighter dressings
		before := mustBuild(r, in)
		in.Programme.Works = append(in.Programme.Works, drawWork(r))
		after := mustBuild(r, in)
		a, b := aeration.RateMultiplierByMonth(before, likely), aeration.RateMultiplierByMonth(after, likely)
		for m := range a {
			if after.Months[m].DisturbedDays < before.Months[m].DisturbedDays-1e-9 || b[m] < a[m]-1e-9 || a[m] < 1 {
				r.Errorf("month %d: days %g to %g, multiplier %g to %g", m+1, before.Months[m].DisturbedDays, after.Months[m].DisturbedDays, a[m], b[m])
			}
		}
	})
}

func TestStatedSandIsWhatTheGreenGets(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		sand := rapid.Float64Range(0, 400).Draw(r, "sand")
		upkeep := aeration.Upkeep{SandTPerHaPerYear: &sand}
		for _, o := range []aeration.Operation{aeration.HollowCoring, aeration.SlitTining, aeration.TopDressing} {
			if rapid.Bool().Draw(r, string(o)) {
				upkeep.Operations = append(upkeep.Operations, aeration.UpkeepOperation{Operation: o, TimesPerYear: rapid.Float64Range(1.5, 6).Draw(r, "times")})
			}
		}
		c := mustBuild(r, aeration.Input{AreaM2: 500, GrowthPotentialByMonth: maritime, Programme: aeration.FromUpkeep(upkeep, likely)})
		if got := c.Totals.Amounts.SandTPerHa; math.Abs(got-sand) > 1e-6 {
			r.Errorf("stated %g t/ha, got %g", sand, got)
		}
	})
}

func TestSandChannelsFadeAndLevelOut(t *testing.T) {
	c := build(t, aeration.Input{AreaM2: 500, GrowthPotentialByMonth: maritime, Programme: aeration.TypicalPresent(false, likely)})
	open := func(run, stopped float64) float64 { return aeration.SandChannelsAfter(c, run, stopped, likely).AreaPct }
	// Made at a year's area a and closing over two years: a · L / 2 = a.
	near(t, "levelled out", open(30, 0), c.Totals.Amounts.CoredAreaPct*likely.HoleFillShare, 1e-9)
	near(t, "closed", open(30, likely.CoringFilledLifeYears), 0, 1e-12)
	rapid.Check(t, func(r *rapid.T) {
		run, stopped := rapid.Float64Range(0, 40).Draw(r, "run"), rapid.Float64Range(0, 40).Draw(r, "stopped")
		more := rapid.Float64Range(0, 5).Draw(r, "more")
		if open(run+more, stopped) < open(run, stopped)-1e-12 || open(run, stopped+more) > open(run, stopped)+1e-12 || open(run, stopped) < 0 {
			r.Errorf("run %g stopped %g more %g", run, stopped, more)
		}
	})
}

// By hand: two years of channels made evenly and closing over two years lose
// three quarters of what is open in the year after stopping.
func TestChannelsAYearAfterStopping(t *testing.T) {
	c := build(t, aeration.Input{AreaM2: 500, GrowthPotentialByMonth: maritime, Programme: aeration.TypicalPresent(false, likely)})
	p := likely
	p.CoringFilledLifeYears = 2
	kept, stopped := aeration.SandChannelsAfter(c, 10, 0, p), aeration.SandChannelsAfter(c, 10, 1, p)
	near(t, "share left", stopped.AreaPct/kept.AreaPct, 0.25, 1e-9)
	near(t, "depth", stopped.DepthMM, 60, 1e-9)
}

// By hand: unfilled holes over the reference 5 % that double the rate and are
// gone in four weeks, made on 16 June. Day n gains 1 − n/28: over the 15 days
// left in June (15 − 105/28) / 30, over the other 13 in July (13 − 273/28) / 31.
// Filled holes gain nothing, and a second visit that day no more than the first.
func TestRateMultiplierByHand(t *testing.T) {
	p := likely
	p.CoringUnfilledRateMultiplier, p.CoringUnfilledLifeWeeks, p.ReferenceAreaCoringPct = 2, 4, 5
	diameter := math.Sqrt(0.05 * 2500 * 4 / math.Pi)
	tines := aeration.Tines{InsideDiameterMM: 8, OutsideDiameterMM: diameter, SpacingAcrossMM: 50, SpacingAlongMM: 50, DepthMM: 60, Passes: 1}
	in := one(aeration.Work{Operation: aeration.HollowCoring, Months: []int{6}, Tines: &tines})
	for range 2 {
		got := aeration.RateMultiplierByMonth(build(t, in), p)
		near(t, "May", got[4], 1, 0)
		near(t, "June", got[5], 1+(15-105.0/28)/30, 1e-9)
		near(t, "July", got[6], 1+(13-273.0/28)/31, 1e-9)
		in.Programme.Works = append(in.Programme.Works, in.Programme.Works[0])
	}
	filled := tines
	filled.Filled = true
	in = one(aeration.Work{Operation: aeration.HollowCoring, Months: []int{6}, Tines: &filled})
	if got := aeration.RateMultiplierByMonth(build(t, in), p); got[5] != 1 {
		t.Errorf("filled holes gain %g", got[5])
	}
}

func TestFadingEffectsRunFromFreshToNothing(t *testing.T) {
	near(t, "fresh", aeration.FadingMultiplier(2, 0, 11), 2, 0)
	near(t, "half way", aeration.FadingMultiplier(2, 5.5, 11), 1.5, 1e-12)
	near(t, "gone", aeration.FadingMultiplier(2, 12, 11), 1, 0)
	near(t, "mole channels new", aeration.MoleDischargeMMPerDay(40, 0, likely), likely.MoleDischargeMMPerDay, 0)
	near(t, "mole channels worn", aeration.MoleDischargeMMPerDay(40, likely.MoleLifeYears, likely), 0, 0)
	near(t, "mole channels without clay", aeration.MoleDischargeMMPerDay(34, 0, likely), 0, 0)
}

// FuzzBuild gives Build whatever JSON can say: it must answer with a calendar
// of finite numbers or with faults, and never panic.
func FuzzBuild(f *testing.F) {
	for _, programme := range []aeration.Programme{aeration.TypicalPresent(false, likely), aeration.Intensified(true, likely)} {
		seed, err := json.Marshal(aeration.Input{AreaM2: 500, GrowthPotentialByMonth: maritime, Programme: programme})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(seed, 1.0)
	}
	f.Add([]byte(`{"area_m2":1,"programme":{"works":[{"operation":"hollow_coring","times_per_year":60,"months":[1]}]}}`), math.Inf(1))
	f.Add([]byte(`{"area_m2":1e308,"programme":{"works":[{"operation":"top_dressing","dressing_mm":-1e308}]}}`), math.NaN())
	f.Fuzz(func(t *testing.T, document []byte, hostile float64) {
		var in aeration.Input
		if json.Unmarshal(document, &in) != nil {
			return
		}
		check := func(in aeration.Input) {
			c, faults := aeration.Build(in, likely)
			if len(faults) > 0 {
				return
			}
			aeration.RateMultiplierByMonth(c, likely)
			aeration.SandChannelsAfter(c, 5, 1, likely)
			if _, err := json.Marshal(c); err != nil { // refuses NaN and infinities
				t.Errorf("%s: %v", document, err)
			}
		}
		check(in)
		in.AreaM2 = hostile
		check(in)
		if len(in.Programme.Works) > 0 {
			in.Programme.Works[0].TimesPerYear = &hostile
			in.AreaM2 = 500
			check(in)
		}
		check(aeration.Input{AreaM2: 500, Programme: aeration.FromUpkeep(aeration.Upkeep{
			SandTPerHaPerYear: &hostile,
			Operations:        []aeration.UpkeepOperation{{Operation: aeration.HollowCoring, TimesPerYear: hostile}},
		}, likely)})
	})
}
