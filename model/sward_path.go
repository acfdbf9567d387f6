package model

import (
	"errors"
	"fmt"
	"slices"

	"swardcase/model/aeration"
	"swardcase/model/condition"
	"swardcase/model/fault"
	"swardcase/model/sward"
)

// swardPath follows the sward of one option, year by year from the day on which
// its surface opens: index 0 is that day, index n the end of the n-th year.
type swardPath struct {
	start    sward.State
	outcomes []sward.Outcome
	turf     sward.TurfParameters
}

// at gives thatch (mm), organic matter of the top 20 mm (%) and annual meadow
// grass (%) in the middle of the year that begins at an age in whole years.
func (s swardPath) at(age int) (thatchMM, organicMatterPct, annualMeadowGrassPct float64) {
	thatchMM, organicMatterPct, annualMeadowGrassPct = s.end(age)
	laterThatch, laterOrganic, laterGrass := s.end(age + 1)
	return (thatchMM + laterThatch) / 2, (organicMatterPct + laterOrganic) / 2, (annualMeadowGrassPct + laterGrass) / 2
}

func (s swardPath) end(age int) (thatchMM, organicMatterPct, annualMeadowGrassPct float64) {
	if age == 0 {
		return s.start.ThatchDepthMM(s.turf), s.start.Profile.OrganicMatterByDepthPct()[0], s.start.AnnualMeadowGrassPct
	}
	o := s.outcomes[min(age, len(s.outcomes))-1]
	return o.ThatchDepthMM, o.OrganicMatterTop20MMPct, o.AnnualMeadowGrassPct
}

// reasons are the turns of the year that begins at an age.
func (s swardPath) reasons(age int) []string {
	if age < len(s.outcomes) {
		return s.outcomes[age].Reasons
	}
	return nil
}

// swardToday reads the surveyed sward, and matches its growth to how organic
// matter, or else thatch, is known to move: under the present programme as assumed or, where that is
// the programme that was tried, as the trial found; under an intensified one as
// a fair trial found, so that what has failed on this green is not promised it
// again.
func (a *appraiser) swardToday() error {
	turf := sward.TurfParametersFrom(a.assumptions)
	today := sward.Survey{ThatchDepthMM: a.report.Survey.ThatchDepth.Value}
	for _, reading := range a.Case.Survey.OrganicMatter {
		today.OrganicMatter = append(today.OrganicMatter, sward.OrganicMatterReading{
			DepthFromMM: reading.DepthFromMM, DepthToMM: reading.DepthToMM, OrganicMatterPct: reading.OrganicMatterPct,
		})
	}
	today.AnnualMeadowGrassPct = valueOr(a.report.Survey.AnnualMeadowGrass.Value, a.assumptions.Likely("annual_meadow_grass_not_measured_pct"))
	var err error
	if a.play.sward, err = sward.Surveyed(today, turf); err != nil {
		return a.underSward(err)
	}
	usual := a.assumptions.Likely("thatch_growth_present_mm_per_year")
	assumed, found := sward.Pace{ThatchMM: &usual}, a.trialPace()
	present := assumed
	if found != (sward.Pace{}) && a.programmes.present.Totals.Amounts.SandTPerHa >= a.assumptions.Likely("trial_least_sand_t_per_ha_per_year") {
		present = found
	}
	tried := present == found
	now := a.swardYear(a.programmes.present, a.wetnessToday(), 1)
	if a.play.growth, err = a.growthFor(now, present, tried); err != nil {
		return err
	}
	a.play.growthTried = a.play.growth
	fair := a.report.Condition.Diagnosis.Trial.Verdict
	if found != (sward.Pace{}) && (fair == condition.TriedAndFailed || fair == condition.TriedAndWorking) {
		a.play.growthTried, err = a.growthFor(a.swardYear(a.programmes.intensified, a.wetnessToday(), 1), found, true)
	}
	return err
}

// trialPace is how the sward moved while a programme was tried, as far as the
// case says.
func (a *appraiser) trialPace() sward.Pace {
	if trial := a.Case.Upkeep.Trial; trial != nil {
		return sward.Pace{OrganicMatterPctPoints: trial.OrganicMatterChangePctPointsPerYear, ThatchMM: trial.ThatchChangeMMPerYear}
	}
	return sward.Pace{}
}

// growth is what a green makes of organic matter, and what that was matched to.
type growth struct {
	sward.GrowthMatch
	// multiplier is the organic matter made against the usual green's, without
	// what the programme's own feeding does.
	multiplier float64
	tried      bool // matched to what a trial found, not to an assumption
}

// growthFor is the organic matter that the green must be making, against the
// usual one, for its sward to move so in years like one. What a trial found may
// take it to the ends of what is credible; an assumption may not.
func (a *appraiser) growthFor(year sward.Year, pace sward.Pace, tried bool) (growth, error) {
	turf := sward.TurfParametersFrom(a.assumptions)
	if tried {
		turf.GrowthMatchLeastRatio = a.assumptions.Get("sward_growth_match_least_ratio").Low
		turf.GrowthMatchMostRatio = a.assumptions.Get("sward_growth_match_most_ratio").High
	}
	match, err := sward.MatchGrowth(a.play.sward, year, pace, turf)
	if err != nil {
		return growth{}, a.underSward(err)
	}
	// The multiplier found takes the place of all that feeding does; a programme's
	// own share of it is taken out, since swardYear puts it in again.
	multiplier := match.OrganicMatterMultiplier / max(year.OrganicMatterMultiplier, 0.1)
	return growth{GrowthMatch: match, multiplier: multiplier, tried: tried}, nil
}

// reason says in words what the growth was matched to.
func (g growth) reason() string {
	evidence := "as is assumed of a green under its present programme"
	if g.tried {
		evidence = "as it was found to while it was dressed as heavily as now"
	}
	moves := fmt.Sprintf("thatch moves by %+.1f mm a year", g.ThatchMMPerYear)
	if g.By == sward.ByOrganicMatter {
		moves = fmt.Sprintf("organic matter in the top 20 mm moves by %+.2f points a year", g.OrganicMatterPctPointsPerYear)
	}
	text := fmt.Sprintf("the green makes %.2f times the organic matter of the usual one, so that %s, %s", g.multiplier, moves, evidence)
	if !g.Met {
		text += "; no growth within the assumed limits moves it quite as it was said to"
	}
	return text
}

// wetnessToday is 0 for a green that loses no days to water and 1 for one that
// loses as many as a wet green does.
func (a *appraiser) wetnessToday() float64 {
	return min(1, a.report.LostDays.GreenDays()/a.assumptions.Likely("wet_green_lost_days"))
}

// swardYear is what a year of a programme does to a sward. The multiplier is
// how much more organic matter this green makes than the usual one.
func (a *appraiser) swardYear(c aeration.Calendar, wetness, multiplier float64) sward.Year {
	amounts := c.Totals.Amounts
	year := sward.Year{
		OrganicMatterMultiplier:        multiplier * c.FeedingAndIrrigation.Effect.OrganicMatterMultiplier,
		SandDressMM:                    amounts.SandDressMM,
		SandFillMM:                     amounts.SandFillMM,
		DisturbedAreaPct:               amounts.AreaAffectedPct,
		Wetness:                        wetness,
		AnnualMeadowGrassFallPctPoints: c.FeedingAndIrrigation.Effect.AnnualMeadowGrassFallPctPointsPerYear,
	}
	for _, line := range c.Lines {
		switch work := line.Work; {
		case work.Operation == aeration.HollowCoring && work.Tines != nil && work.Tines.CoresRemoved:
			year.Cored = deeper(year.Cored, line.PerYear.CoredAreaRemovedPct, line.DepthMM)
		case work.Operation == aeration.Scarifying && line.PerYear.MaterialRemovedKGPerM2 > 0:
			year.Scarified = deeper(year.Scarified, line.PerYear.AreaAffectedPct, line.DepthMM)
		}
	}
	return year
}

// deeper adds a removal of some area and depth to another, the depth weighted
// by area.
func deeper(r sward.Removal, areaPct, depthMM float64) sward.Removal {
	total := r.AreaPct + areaPct
	if total <= 0 {
		return r
	}
	return sward.Removal{AreaPct: min(100, total), DepthMM: (r.AreaPct*r.DepthMM + areaPct*depthMM) / total}
}

// follow takes a sward through the horizon under one programme.
func (a *appraiser) follow(start sward.State, c aeration.Calendar, wetness, multiplier float64) (swardPath, error) {
	turf := sward.TurfParametersFrom(a.assumptions)
	years := slices.Repeat([]sward.Year{a.swardYear(c, wetness, multiplier)}, a.followedYears())
	outcomes, err := sward.Follow(start, years, turf)
	if err != nil {
		return swardPath{}, a.underSward(err)
	}
	return swardPath{start, outcomes, turf}, nil
}

// swardOf is the path of one option. Works lay a new surface; drains alone and
// the programmes go on with the old one.
func (a *appraiser) swardOf(out OptionAppraisal) (swardPath, error) {
	calendar := a.programmes.of(out.Option)
	switch {
	case out.Option == Yardstick:
		return a.follow(a.play.growth.Start(a.play.sward), calendar, a.wetnessToday(), a.play.growth.multiplier)
	case !out.Option.HasWorks():
		return a.follow(a.play.growthTried.Start(a.swardAtStart()), calendar, a.wetnessToday(), a.play.growthTried.multiplier)
	case out.Package == "drains_only":
		return a.follow(a.swardAtStart(), calendar, 0, a.play.growth.multiplier)
	}
	surface := sward.NewSurface{Surface: sward.Surface(out.Option.Surface())}
	if out.Design.Lifting != nil && out.Option.Surface() == ExistingTurf {
		surface.Relaid = &sward.Relaid{
			Green: a.swardAtStart(), CutMM: out.Design.Lifting.CutThicknessMM, ThatchMM: out.Design.Lifting.ThatchCarriedMM,
		}
	}
	if out.Package == "resurface_only" {
		below := a.swardAtStart().Profile.Stripped(out.Design.Excavation.MeanDepthMM)
		surface.Below = &below
	}
	start, err := sward.Laid(surface, sward.TurfParametersFrom(a.assumptions))
	if err != nil {
		return swardPath{}, a.underSward(err)
	}
	// A new surface is dry and lean, and grows as the usual green does.
	return a.follow(start, calendar, 0, 1)
}

// underSward gives the faults of the sward their place in the case.
func (a *appraiser) underSward(err error) error {
	var list fault.List
	if !errors.As(err, &list) {
		return err
	}
	return a.home(list,
		[2]string{"/organic_matter", "/survey/organic_matter"}, [2]string{"/thatch_depth_mm", "/survey/thatch_depth"},
		[2]string{"/thatch_change_mm_per_year", "/upkeep/trial/thatch_change_mm_per_year"},
		[2]string{"/organic_matter_change_pct_points_per_year", "/upkeep/trial/organic_matter_change_pct_points_per_year"}, [2]string{"", "/assumptions"})
}
