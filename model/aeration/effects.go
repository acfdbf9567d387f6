package aeration

import "math"

// This file states what a programme leaves behind, for a forecast: the faster
// infiltration of open holes and slits, the sand channels of filled ones, the
// discharge of mole channels, and how all of it fades.

// FadingMultiplier is the infiltration rate over the rate before, some time
// after a visit: the fresh multiplier at once, fading in a straight line to 1
// at the end of its life. Time and life share a unit.
func FadingMultiplier(fresh, since, life float64) float64 {
	return 1 + (fresh-1)*leftOf(since, life)
}

// leftOf is the share left of something that goes in a straight line.
func leftOf(since, life float64) float64 {
	return math.Max(0, math.Min(1, 1-since/life))
}

const daysPerWeek, daysPerMonth = 7.0, yearDays / 12.0

// freshGain is what one visit adds to the infiltration rate, as a share of the
// rate before, and for how many days. The multipliers were judged for a usual
// geometry; a denser or a sparser one gains in proportion to the surface it
// opens, up to the largest ratio. Filled holes gain nothing here: they are sand
// channels, which see. Blades that only cut the mat gain nothing either.
func freshGain(w Work, p Parameters) (gain, lifeDays float64) {
	var fresh, referencePct float64
	o := w.opening()
	switch {
	case o.filled:
		return 0, 0
	case w.Operation == HollowCoring:
		fresh, lifeDays, referencePct = p.CoringUnfilledRateMultiplier, p.CoringUnfilledLifeWeeks*daysPerWeek, p.ReferenceAreaCoringPct
	case w.Operation == DeepTining:
		fresh, lifeDays, referencePct = p.DeepTiningRateMultiplier, p.DeepTiningLifeMonths*daysPerMonth, p.ReferenceAreaDeepTiningPct
	case w.Operation == SlitTining:
		fresh, lifeDays, referencePct = p.SlitTiningRateMultiplier, p.SlitTiningLifeWeeks*daysPerWeek, p.ReferenceAreaSlitTiningPct
	default:
		return 0, 0
	}
	return (fresh - 1) * math.Min(p.LargestAreaRatio, o.outsidePct/referencePct), lifeDays
}

// RateMultiplierByMonth is the infiltration rate of the surface over the rate
// it would have without the programme, month by month, January first, in a year
// like any other. Visits of one operation open the same surface again, so the
// freshest counts; different operations work side by side, so their gains add.
func RateMultiplierByMonth(c Calendar, p Parameters) [12]float64 {
	var byMonth [12]float64
	for m := range byMonth {
		byMonth[m] = 1
	}
	for _, o := range []Operation{HollowCoring, DeepTining, SlitTining} {
		var best [yearDays]float64
		for _, line := range c.Lines {
			if line.Work.Operation == o {
				line.raise(&best, p)
			}
		}
		for day, gain := range best {
			m := dayMonth[day]
			byMonth[m] += gain / float64(monthDays[m])
		}
	}
	return byMonth
}

// raise lifts each day's gain to what the line's visits leave on that day.
func (l Line) raise(best *[yearDays]float64, p Parameters) {
	gain, lifeDays := freshGain(l.Work, p)
	if gain == 0 {
		return
	}
	for _, v := range visitDays(l.VisitsByMonth) {
		for n := 0; n < yearDays && float64(n) < lifeDays; n++ {
			day := (v.day + n) % yearDays
			best[day] = math.Max(best[day], v.weight*gain*leftOf(float64(n), lifeDays))
		}
	}
}

// SandChannels are the sand-filled holes open at one time.
type SandChannels struct {
	AreaPct float64 `json:"area_pct"`
	// DepthMM is their depth, weighted by area; 0 where there are none.
	DepthMM float64 `json:"depth_mm"`
}

// SandChannelsAfter is what is open of a programme's filled holes once it has
// run for some years, and has then been stopped for some. A hole closes in a
// straight line over its life L, and holes are made evenly through the years,
// at an area a in each:
//
//	a · ∫ (1 − u/L) du   from the years stopped to that plus the years run, at most L
//
// A programme kept up levels out at a · L / 2. Area is that of the outside
// diameter times the share that sand fills.
func SandChannelsAfter(c Calendar, yearsRun, yearsStopped float64, p Parameters) SandChannels {
	yearly, weighted := 0.0, 0.0
	for _, line := range c.Lines {
		if o := line.Work.opening(); o.filled && line.Work.Tines != nil {
			area := line.VisitsPerYear * o.outsidePct * math.Min(1, p.HoleFillShare)
			yearly += area
			weighted += area * o.depthMM
		}
	}
	if yearly == 0 {
		return SandChannels{}
	}
	life := p.CoringFilledLifeYears
	from, to := math.Min(life, yearsStopped), math.Min(life, yearsStopped+yearsRun)
	open := (to - from) - (to*to-from*from)/(2*life)
	return SandChannels{AreaPct: math.Min(100, yearly*math.Max(0, open)), DepthMM: weighted / yearly}
}

// MoleDischargeMMPerDay is the discharge that mole channels of some age add,
// fading in a straight line over their life; nothing where there is too little
// clay for them to stand.
func MoleDischargeMMPerDay(clayPct, ageYears float64, p Parameters) float64 {
	if clayPct < p.MoleLeastClayPct {
		return 0
	}
	return p.MoleDischargeMMPerDay * leftOf(ageYears, p.MoleLifeYears)
}
