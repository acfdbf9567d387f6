package model

import (
	"errors"
	"math"

	"swardcase/model/condition"
	"swardcase/model/fault"
	"swardcase/model/sward"
	"swardcase/model/water"
)

// play is what the options of one green share in the forecast of play: how its
// site loses days, and where the green stands today.
type play struct {
	curve *water.Curve
	// ring is the surface rate that days are lost by: the worst zone's where one
	// zone is clearly worse, since it takes the whole green out of play.
	ring  water.RingMMPerH
	sward sward.State
	// growth is the organic matter that the green makes against the usual one:
	// under the present programme, and under an intensified one, which a trial
	// may have shown to differ.
	growth, growthTried growth
	calibration         water.Calibration
	// discharge is what leaves the profile once the enabling works are done.
	discharge float64 // mm/day
	ratio     float64 // wet surface against ring
	// recorded is the green's own lost days once the enabling works are done,
	// modelled what the calibrated model loses, by calendar month.
	recorded, modelled [12]float64
}

// openPlay reads the green's place on the site's playability curve: the present
// discharge is the one unknown, and is set so that the days that were recorded
// as lost to the green come back.
func (a *appraiser) openPlay(keeper CurveKeeper) error {
	var err error
	if a.play.curve, err = a.curve(keeper); err != nil {
		return a.underWater(err)
	}
	rate := a.report.Condition.Diagnosis.RulingInfiltration.ValueMMPerH
	a.play.ring = water.RingMMPerH(valueOr(rate, a.assumptions.Likely("ring_rate_not_measured_mm_per_h")))
	if err = a.swardToday(); err != nil {
		return err
	}
	p := water.ParametersFrom(a.assumptions)
	soft := water.SoftAboveShare(a.thatchToday(), p)
	today := a.report.LostDays
	if a.play.calibration, err = a.calibrate(today, soft, p); err != nil {
		return a.underWater(err)
	}
	after, enabled := today.afterEnabling(a.enabling), a.play.calibration
	if after != today {
		if enabled, err = a.calibrate(after, soft, p); err != nil {
			return a.underWater(err)
		}
	}
	// Of the discharges that explain the record alike, the middle one: a green
	// that loses no days may drain just well enough, or far better.
	a.play.discharge = math.Sqrt(enabled.DischargeLowMMPerDay * enabled.DischargeHighMMPerDay)
	a.play.ratio = enabled.WetSurfaceToRingRatio
	if enabled.Outcome == water.SurfaceFound {
		a.play.discharge = enabled.DischargeMMPerDay
	}
	a.play.recorded, a.play.modelled = after.WaterloggedGreenDays, enabled.ModelledByMonth
	return nil
}

// calibrate explains the green's own lost days. Surface and discharge cannot be
// told apart by the number of days alone: where the diagnosis has found the
// fault in the surface and the base draining, the discharge is taken as that of
// a base that drains and the rate of the wet surface is the unknown; otherwise
// the discharge is.
func (a *appraiser) calibrate(lost LostDays, soft float64, p water.Parameters) (water.Calibration, error) {
	if a.report.Condition.Diagnosis.Pattern == condition.SurfaceFaultOnly {
		return a.play.curve.CalibrateSurface(lost.WaterloggedGreenDays, a.play.ring, soft, a.assumptions.Likely("draining_base_discharge_mm_per_day"), p)
	}
	return a.play.curve.Calibrate(lost.WaterloggedGreenDays, a.play.ring, soft, p)
}

// Calibration is how the recorded lost days were brought back, and where the
// green then stands on its site's playability curve.
type Calibration struct {
	water.Calibration
	// RingMMPerH is the surface rate that days are lost by.
	RingMMPerH float64 `json:"infiltration_mm_per_h"`
	// AfterEnablingDischargeMMPerDay is the discharge once the enabling works are
	// done.
	AfterEnablingDischargeMMPerDay float64 `json:"after_enabling_discharge_mm_per_day"`
	// OrganicMatterMultiplier is the organic matter that the green makes against
	// the usual one, so that its sward moves as it is said to; GrowthReason says
	// what it was matched to.
	OrganicMatterMultiplier float64 `json:"organic_matter_multiplier"`
	GrowthReason            string  `json:"growth_reason"`
}

func (a *appraiser) calibration() Calibration {
	return Calibration{a.play.calibration, float64(a.play.ring), a.play.discharge, a.play.growth.multiplier, a.play.growth.reason()}
}

// thatchToday is the surveyed depth, or what the organic matter says.
func (a *appraiser) thatchToday() float64 {
	return valueOr(a.report.Survey.ThatchDepth.Value, a.play.sward.ThatchDepthMM(sward.TurfParametersFrom(a.assumptions)))
}

// lostByMonth is the green's own lost days by calendar month at some rate,
// discharge and thatch. What the calibrated model and the record differ by in a
// month (the shape of the year, or days that no discharge explains) is carried
// along: the days that the model finds too many or too few are scaled with the
// year's total, and an unexplained excess stays in full.
func (p play) lostByMonth(ring water.RingMMPerH, dischargeMMPerDay, thatchMM float64, parameters water.Parameters) [12]float64 {
	lost := p.curve.Lookup(water.Point{
		Rates:          water.Rates{SurfaceMMPerH: ring.WhenWet(p.ratio), DischargeMMPerDay: dischargeMMPerDay},
		SoftAboveShare: water.SoftAboveShare(thatchMM, parameters),
	}).WaterloggedDays
	now := sum(p.modelled)
	scale := 1.0
	if now > 0 && p.calibration.Outcome != water.RecordAboveModel {
		scale = min(1, sum(lost)/now)
	}
	var out [12]float64
	for month := range out {
		out[month] = min(monthDays[month], max(0, lost[month]+scale*(p.recorded[month]-p.modelled[month])))
	}
	return out
}

// underWater gives the faults of the water balance their place in the case.
func (a *appraiser) underWater(err error) error {
	var list fault.List
	if !errors.As(err, &list) {
		return err
	}
	return a.home(list,
		[2]string{"/waterlogged_green_days", "/survey/months_playable"}, [2]string{"/infiltration_mm_per_h", "/survey/infiltration"},
		[2]string{"", "/site/climate"})
}
