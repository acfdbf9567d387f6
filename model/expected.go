package model

import (
	"math"

	"swardcase/model/condition"
	"swardcase/model/sward"
)

// expectedYear is the year for which the condition is looked ahead: the works
// are done, the establishment is over and a programme has had its effect.
const expectedYear = 5

// ExpectedCondition is the condition that an option is expected to have in its
// fifth year. A measure that was not surveyed and cannot be foretold is null.
type ExpectedCondition struct {
	Year                 int             `json:"year"`
	InfiltrationMMPerH   *float64        `json:"infiltration_mm_per_h"`
	ThatchDepthMM        *float64        `json:"thatch_depth_mm"`
	AnnualMeadowGrassPct *float64        `json:"annual_meadow_grass_pct"`
	MonthsPlayable       *float64        `json:"months_playable"`
	Index                float64         `json:"index"`
	Grade                condition.Grade `json:"grade"`
}

// expectedCondition looks ahead with one rule for each measure and option; the
// rates are assumptions, shown in the report. Works replace what they dig out;
// an intensified programme moves what is there; the present programme lets it
// go on.
func (a *appraiser) expectedCondition(out OptionAppraisal) ExpectedCondition {
	months := out.Forecast.MonthsPlayableYear5
	e := ExpectedCondition{
		Year:                 expectedYear,
		InfiltrationMMPerH:   a.expectedInfiltration(out),
		ThatchDepthMM:        a.expectedThatch(out),
		AnnualMeadowGrassPct: a.expectedAnnualMeadowGrass(out),
		MonthsPlayable:       &months,
	}
	e.Index, _ = a.scorer.Index(condition.Values{
		InfiltrationMMPerH:   e.InfiltrationMMPerH,
		ThatchDepthMM:        e.ThatchDepthMM,
		AnnualMeadowGrassPct: e.AnnualMeadowGrassPct,
		MonthsPlayable:       e.MonthsPlayable,
	})
	e.Grade = a.scorer.Grade(e.Index)
	return e
}

// expectedInfiltration is a ring rate in mm/h. A new root zone keeps its
// published share of the laboratory rate; a new surface on the old profile
// keeps a share of the rate found under the mat.
func (a *appraiser) expectedInfiltration(out OptionAppraisal) *float64 {
	set, survey := a.assumptions, a.report.Survey
	today := survey.Infiltration.Value
	times := func(value *float64, factor float64) *float64 {
		if value == nil {
			return nil
		}
		product := *value * factor
		return &product
	}
	rebuilt := set.Likely("new_root_zone_laboratory_mm_per_h") * set.Likely("new_root_zone_field_to_laboratory_ratio")
	switch {
	case out.Option == Yardstick:
		return today
	case out.Option.Route() == IntensifiedAeration:
		return times(today, set.Likely("rate_gain_intensified_ratio"))
	case out.Package == "drains_only":
		return times(today, set.Likely("rate_gain_drains_only_ratio"))
	case out.Package == "resurface_only":
		under := times(survey.InfiltrationBelow.Removed50MM.Value, set.Likely("resurfaced_rate_to_rate_under_mat_ratio"))
		if under == nil || (today != nil && *under < *today) {
			return today
		}
		return under
	}
	return &rebuilt
}

// expectedThatch is in mm. Existing turf carries the thatch of its cut with it.
func (a *appraiser) expectedThatch(out OptionAppraisal) *float64 {
	set, today := a.assumptions, a.report.Survey.ThatchDepth.Value
	grown := set.Likely("thatch_growth_dressed_mm_per_year") * expectedYear
	var depth float64
	switch {
	case !out.Option.HasWorks() || out.Package == "drains_only":
		if today == nil {
			return nil
		}
		depth = *today + set.Likely("thatch_growth_present_mm_per_year")*expectedYear
		if out.Option.Route() == IntensifiedAeration {
			fallen := *today - set.Likely("thatch_fall_intensified_mm_per_year")*expectedYear
			depth = max(fallen, min(*today, set.Likely("thatch_least_mm")))
		}
	case out.Option.Surface() == Seed:
		depth = grown
	case out.Option.Surface() == SupplierTurf:
		depth = set.Likely("thatch_start_supplier_turf_mm") + grown
	case out.Option.Surface() == NurseryTurf:
		depth = set.Likely("thatch_start_nursery_turf_mm") + grown
	default:
		depth = grown
		if out.Design != nil && out.Design.Lifting != nil {
			depth += out.Design.Lifting.ThatchCarriedMM
		}
	}
	return &depth
}

// expectedAnnualMeadowGrass is in per cent of the sward. A green whose water
// gets away takes the dry rate and ceiling.
func (a *appraiser) expectedAnnualMeadowGrass(out OptionAppraisal) *float64 {
	set, today := a.assumptions, a.report.Survey.AnnualMeadowGrass.Value
	invasion := sward.Invasion{
		CeilingPct: set.Likely("annual_meadow_grass_ceiling_wet_pct"),
		RatePerY:   set.Likely("annual_meadow_grass_rate_wet_per_year"),
	}
	if out.Option != Yardstick {
		invasion.CeilingPct = set.Likely("annual_meadow_grass_ceiling_dry_pct")
		invasion.RatePerY = set.Likely("annual_meadow_grass_rate_dry_per_year")
		invasion.FallPctPointsPerY = set.Likely("annual_meadow_grass_best_fall_pct_points_per_year")
	}
	years := float64(expectedYear)
	switch surface := out.Option.Surface(); surface {
	case Seed, SupplierTurf, NurseryTurf:
		invasion.StartPct = set.Likely("annual_meadow_grass_start_" + string(surface) + "_pct")
		years = math.Max(0, years-out.MonthsOutOfPlay/12)
	default:
		if today == nil {
			return nil
		}
		invasion.StartPct = *today
	}
	share := invasion.After(years)
	return &share
}
