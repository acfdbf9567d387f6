package model

import (
	"fmt"

	"swardcase/model/aeration"
	"swardcase/model/water"
)

// optionRates says how fast water gets into and out of an option's green at an
// age in years: of the works, or of the programme.
type optionRates struct {
	ring      func(age int, organicMatterPct float64) water.RingMMPerH
	discharge func(age int) float64 // mm/day
}

// ratesOf gives an option its rates. Two ratios are kept apart: a new root zone
// comes down from its laboratory rate with age; an old surface starts from its
// ring reading, which already holds what age has done to it, and moves with its
// organic matter and its programme.
func (a *appraiser) ratesOf(out OptionAppraisal) optionRates {
	p := water.ParametersFrom(a.assumptions)
	var r optionRates
	switch {
	case !out.Option.HasWorks() || out.Package == "drains_only":
		r.ring = a.oldSurface(a.programmes.of(out.Option), p)
	case out.Package == "resurface_only":
		// Under the mat the ring met no organic matter: the new surface seals it.
		under := a.rateUnderMat()
		r.ring = func(_ int, organicPct float64) water.RingMMPerH {
			return a.underTurf(out, under, 0, p).SealedBy(p.OrganicMatterWithoutSealingPct, organicPct, p)
		}
	default:
		laboratory := water.LaboratoryMMPerH(a.assumptions.Likely("new_root_zone_laboratory_mm_per_h"))
		r.ring = func(age int, _ float64) water.RingMMPerH {
			return a.underTurf(out, laboratory.InField(float64(age)+0.5, true, p), age, p)
		}
	}
	added, moled := a.addedDischarge(out), a.moleDischarge(a.programmes.of(out.Option))-a.moleDischarge(a.programmes.present)
	life := 0.0
	if out.Design != nil && out.Design.Slits != nil {
		life = out.Design.WorkingLifeYears.Likely
	}
	leftAtEnd := a.assumptions.Likely("slit_discharge_left_at_end_of_life_share")
	r.discharge = func(age int) float64 {
		kept := 1.0
		if life > 0 {
			kept = max(leftAtEnd, 1-(1-leftAtEnd)*float64(age)/life)
		}
		return max(0.1, min(mostDischargeMMPerDay, a.play.discharge+added*kept+moled))
	}
	return r
}

// moleDischarge is what the mole channels of a programme let out in a mean year, in
// mm/day: those that are open are on average half as old as the time between two
// ploughings. The present programme's own are in today's discharge already.
func (a *appraiser) moleDischarge(c aeration.Calendar) float64 {
	layers := a.Case.Green.SoilLayers
	if len(layers) == 0 || layers[len(layers)-1].ClayPct == nil {
		return 0
	}
	visits := 0.0
	for _, line := range c.Lines {
		if line.Work.Operation == aeration.MolePloughing {
			visits += line.VisitsPerYear
		}
	}
	if visits <= 0 {
		return 0
	}
	return aeration.MoleDischargeMMPerDay(*layers[len(layers)-1].ClayPct, 0.5/visits, aeration.ParametersFrom(a.assumptions))
}

// mostDischargeMMPerDay is where the playability curve ends: no rain needs more.
const mostDischargeMMPerDay = 200

// oldSurface is the ring rate of the green as it is, under a programme: today's
// reading, which holds what the present programme does, moved by organic
// matter, by the holes and slits that the programme keeps open, and by its sand
// channels.
func (a *appraiser) oldSurface(c aeration.Calendar, p water.Parameters) func(int, float64) water.RingMMPerH {
	ap := aeration.ParametersFrom(a.assumptions)
	organicToday := a.play.sward.Profile.OrganicMatterByDepthPct()[0]
	held, ran := a.heldByReading(c)
	open := a.winterMean(aeration.RateMultiplierByMonth(c, ap)) / a.winterMean(aeration.RateMultiplierByMonth(held, ap))
	before := a.channelled(held, ran, ap)
	return func(age int, organicPct float64) water.RingMMPerH {
		years := float64(age) + 0.5
		if c.ProgrammeName == held.ProgrammeName {
			years += ran // it goes on
		}
		return water.RingMMPerH(float64(a.sealed(organicToday, organicPct, p)) * open * a.channelled(c, years, ap) / before)
	}
}

// sealed is today's ring reading once the organic matter of the surface has gone
// from one value to another. More of it seals; less of it lets the rate come up,
// but never beyond what was found under the mat, where there is none: however
// much organic matter a reading shows, taking it away cannot make the ground
// below faster.
func (a *appraiser) sealed(fromPct, toPct float64, p water.Parameters) water.RingMMPerH {
	const one = water.RingMMPerH(1)
	moved := float64(one.SealedBy(fromPct, toPct, p))
	clean := float64(one.SealedBy(fromPct, p.OrganicMatterWithoutSealingPct, p))
	if moved <= 1 || clean <= 1 {
		return water.RingMMPerH(float64(a.play.ring) * min(1, moved))
	}
	return a.play.ring + water.RingMMPerH((moved-1)/(clean-1))*(a.rateUnderMat()-a.play.ring)
}

// rateUnderMat is what a ring reads with the mat taken off, in the zone that
// rules where that was measured, and never less than the surface's own rate.
func (a *appraiser) rateUnderMat() water.RingMMPerH {
	ratio := a.report.Survey.InfiltrationBelow.Ratio50MM
	times := valueOr(ratio.Value, a.assumptions.Likely("rate_under_mat_not_measured_ratio"))
	for _, p := range ratio.ByPosition {
		if p.Position == a.report.Condition.Diagnosis.RulingInfiltration.Position {
			times = p.Value
		}
	}
	return a.play.ring * water.RingMMPerH(max(1, times))
}

// heldByReading is the programme whose holes and channels today's ring reading
// already holds, and for how many years it has run: the present one, for long.
// Where an intensified programme was tried and is still run, the reading is that
// of an intensified programme, and going on with one opens nothing new.
func (a *appraiser) heldByReading(c aeration.Calendar) (aeration.Calendar, float64) {
	if a.play.growth.tried && c.ProgrammeName == a.programmes.intensified.ProgrammeName {
		return c, a.Case.Upkeep.Trial.Seasons
	}
	return a.programmes.present, mostChannelYears
}

// mostChannelYears is long enough for the channels of a programme to level out.
const mostChannelYears = 20

// winterMean weighs the months by the days that the green loses in them; a
// green that loses none takes them alike.
func (a *appraiser) winterMean(byMonth [12]float64) float64 {
	weight := a.play.recorded
	if sum(weight) == 0 {
		weight = monthDays
	}
	total, mean := sum(weight), 0.0
	for month := range byMonth {
		mean += byMonth[month] * weight[month] / total
	}
	return mean
}

// channelled is how many times faster the top of the old profile is for the
// sand channels that a programme has made in so many years.
func (a *appraiser) channelled(c aeration.Calendar, years float64, ap aeration.Parameters) float64 {
	channels := aeration.SandChannelsAfter(c, years, 0, ap)
	if channels.AreaPct <= 0 {
		return 1
	}
	const topMM = 100.0
	profile := water.Profile{Layers: []water.Layer{{ThicknessMM: topMM, ConductivityMMPerH: max(0.001, float64(a.play.ring))}}}
	without, err := profile.ConductivityMMPerH()
	if err != nil {
		return 1
	}
	profile.Channels = []water.Channels{{
		AreaPct: channels.AreaPct, DepthMM: channels.DepthMM,
		ConductivityMMPerH: max(float64(a.play.ring), a.assumptions.Likely("sand_channel_conductivity_mm_per_h")),
	}}
	with, err := profile.ConductivityMMPerH()
	if err != nil {
		return 1
	}
	return max(1, with/without)
}

// underTurf is the ring rate of a new profile through the soil that its turf
// brought: turf grown on heavier soil, or the old turf, lies on it as a layer,
// which dressing and coring work out over some years.
func (a *appraiser) underTurf(out OptionAppraisal, below water.RingMMPerH, age int, p water.Parameters) water.RingMMPerH {
	var turf water.Layer
	switch {
	case out.Option.Surface() == SupplierTurf && a.Case.Choices.SupplierTurfSoil == "soil":
		turf = p.TurfSoil()
	case out.Option.Surface() == ExistingTurf && out.Design.Lifting != nil:
		turf = water.Layer{ThicknessMM: out.Design.Lifting.CutThicknessMM, ConductivityMMPerH: float64(a.play.ring)}
	default:
		return below
	}
	turf.ThicknessMM *= max(0, 1-float64(age)/a.assumptions.Likely("turf_layer_worked_out_years"))
	const topMM = 100.0
	if turf.ThicknessMM < 0.1 || turf.ConductivityMMPerH >= float64(below) {
		return below
	}
	profile := water.Profile{Layers: []water.Layer{turf, {ThicknessMM: topMM - turf.ThicknessMM, ConductivityMMPerH: float64(below)}}}
	through, err := profile.ConductivityMMPerH()
	if err != nil {
		return below
	}
	return water.RingMMPerH(through)
}

// addedDischarge is what the works let out beyond today, in mm/day: drains in a
// gravel carpet, or slits through the native soil and the sand above it.
func (a *appraiser) addedDischarge(out OptionAppraisal) float64 {
	design := out.Design
	if design == nil || design.Drains == nil {
		return 0
	}
	if out.Option.Route() == LayeredRebuild {
		gravel := 100.0
		for _, layer := range design.Layers {
			if layer.Name == "gravel" {
				gravel = layer.DepthMM
			}
		}
		return water.DrainDischargeMMPerDay(a.assumptions.Likely("gravel_carpet_conductivity_mm_per_h"), gravel, 0, design.Drains.LateralSpacingM)
	}
	added := design.Slits.Spacing.CarriesMMPerDay
	if out.Package == "top_and_drains" {
		// Water moves sideways through the new sand to the slits that rise into it.
		sand := a.assumptions.Likely("new_root_zone_laboratory_mm_per_h") * a.assumptions.Likely("new_root_zone_field_to_laboratory_ratio")
		for _, layer := range design.Layers {
			if layer.Name == "root_zone" {
				added += water.DrainDischargeMMPerDay(sand, layer.DepthMM*slitHeadShare, 0, design.Slits.Spacing.SpacingM)
			}
		}
	}
	return added
}

// slitHeadShare is how much of a new top may fill with water midway between two
// slits before the surface feels it.
const slitHeadShare = 0.5

// rateReason tells how a new root zone comes down to the rate that it keeps.
func rateReason(age int, before, now water.RingMMPerH) string {
	if age == settledAge && now < before {
		return fmt.Sprintf("the root zone has come down to the %.0f mm/h that it keeps while it is dressed", float64(now))
	}
	return ""
}

// settledAge is the year of a new root zone's life after which its rate holds.
const settledAge = 4
