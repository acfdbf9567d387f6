// Package sward follows the turf itself: how long a new surface takes to come into
// play, and what years of growth, sand and coring then make of its organic matter,
// its thatch and its annual meadow grass.
package sward

import (
	"fmt"
	"math"
	"time"

	"swardcase/model/fault"
)

// Input is one piece of work on one green.
type Input struct {
	Surface Surface `json:"surface"`
	// WorksStart is the first day on which the green is out of play.
	WorksStart Date `json:"works_start"`
	// WorksWeeks is how long the works take; the surface is sown or laid on the
	// day after they end.
	WorksWeeks float64 `json:"works_weeks"`
	// GrowthPotential is the growth of each day of the year as a share of that
	// at the optimum temperature, 365 values from 0 to 1, 1 January first.
	GrowthPotential []float64 `json:"growth_potential"`
	// Southern moves the opening gate and the seeding season by half a year.
	Southern bool `json:"southern"`
}

// Hold says what kept the green from opening a day sooner.
type Hold string

// The holds.
const (
	HeldByGrowth         Hold = "growth"
	HeldByMinimumWeeks   Hold = "minimum_weeks"
	HeldByGrowingWeather Hold = "growing_weather"
	HeldByOpeningGate    Hold = "opening_gate"
	// HeldByNothing: the surface needs nothing and opens as it is laid.
	HeldByNothing Hold = "nothing"
)

// Opening is when a green comes back into play and how long it was out of it.
type Opening struct {
	Surface    Surface `json:"surface"`
	WorksStart Date    `json:"works_start"`
	// LaidOn is the day on which the surface is sown or laid.
	LaidOn Date `json:"laid_on"`
	// ReadyOn is the day on which the turf could be played; it waits for OpensOn
	// where the opening gate is closed.
	ReadyOn Date `json:"ready_on"`
	OpensOn Date `json:"opens_on"`
	HeldBy  Hold `json:"held_by"`
	// GrowthDays is the growth added up from laying to opening.
	GrowthDays       float64 `json:"growth_days"`
	GrowthDaysNeeded float64 `json:"growth_days_needed"`
	// DaysOutOfPlay counts from WorksStart to the day before OpensOn: that long
	// play is on a temporary green, if there is one.
	DaysOutOfPlay int `json:"days_out_of_play"`
	// MonthsOutOfPlay is those days in months of average length, 365/12 days.
	MonthsOutOfPlay float64 `json:"months_out_of_play"`
	// ByMonth spreads DaysOutOfPlay over calendar months, the first being that
	// of WorksStart, with no month left out.
	ByMonth []MonthOutOfPlay `json:"by_month"`
}

// MonthOutOfPlay is the part of one calendar month for which a green is out of
// play.
type MonthOutOfPlay struct {
	// Month is written YYYY-MM.
	Month             string `json:"month"`
	WorksDays         int    `json:"works_days"`
	EstablishmentDays int    `json:"establishment_days"`
}

// Refusal says why a surface cannot be had from a given start. It is not a
// mistake in the case: another start or another surface may do.
type Refusal struct {
	Surface Surface `json:"surface"`
	LaidOn  Date    `json:"laid_on"`
	Reason  string  `json:"reason"`
}

func (r *Refusal) Error() string {
	return fmt.Sprintf("%s on %s: %s", r.Surface, r.LaidOn, r.Reason)
}

// maxYears bounds the wait for a surface: a climate that cannot bring it into
// play within that time does not suit it.
const maxYears = 5

// Establish follows one piece of work to the day on which the green opens: the
// first day on which the surface has had the growth, the weeks and the growing
// weather it needs and the opening gate is not closed.
//
// The error is a fault.List when the input or the parameters cannot be, and a
// *Refusal when seed would be sown outside its season or the climate cannot
// bring the surface into play within five years.
//
// For a given climate and surface, laying later never opens earlier; a surface
// that needs more never opens earlier; and a climate with more growth on every
// day never opens later. A warmer one has more growth only while its days stay
// below the optimum temperature. The rule of the gate and the growth-days are
// common practice and judgement; see the table of assumptions.
func Establish(in Input, p Parameters) (Opening, error) {
	if err := check(in, p).Err(); err != nil {
		return Opening{}, err
	}
	start := in.WorksStart.ordinal()
	laid := start + worksDays(in.WorksWeeks)
	if in.Surface == Seed && !p.sowable(laid, in.Southern) {
		return Opening{}, &Refusal{in.Surface, dateOf(laid), p.seasonReason(in.Southern)}
	}
	needs, _ := p.needs(in.Surface)
	opening, ok := p.await(in, needs, laid)
	if !ok {
		return Opening{}, &Refusal{in.Surface, dateOf(laid), fmt.Sprintf(
			"this climate does not give the growth it needs within %d years", maxYears)}
	}
	opening.Surface, opening.WorksStart, opening.LaidOn = in.Surface, in.WorksStart, dateOf(laid)
	opening.GrowthDaysNeeded = needs.GrowthDays
	opens := opening.OpensOn.ordinal()
	opening.DaysOutOfPlay = opens - start
	opening.MonthsOutOfPlay = float64(opens-start) * 12 / yearDays
	opening.ByMonth = byMonth(start, laid, opens)
	return opening, nil
}

// worksDays turns weeks of works into whole days, a part of a day counting as
// one.
func worksDays(weeks float64) int { return int(math.Ceil(weeks * 7)) }

// roundOff forgives the last digits of a sum of daily growth: growth that is
// short of the need by less than this counts as reached.
const roundOff = 1e-9

// await walks day by day from laying to opening. ok is false when that takes
// more than maxYears.
func (p Parameters) await(in Input, n Needs, laid int) (o Opening, ok bool) {
	gate := seasonOf(p.GateClosesDayOfYear, p.GateReopensDayOfYear, in.Southern)
	spring := laid
	waits := seasonOf(n.WaitsForSpringFromDayOfYear, p.GateReopensDayOfYear, in.Southern)
	for waits.holds(spring) {
		spring++
	}
	growth, growingDays := 0.0, 0
	ready := -1
	o.HeldBy = HeldByNothing
	for day := laid; day <= laid+maxYears*yearDays; day++ {
		hold := n.hold(growth, float64(growingDays), float64(day-laid))
		if hold == HeldByNothing {
			if ready < 0 {
				ready = day
			}
			if day >= spring && !gate.holds(day) {
				o.ReadyOn, o.OpensOn, o.GrowthDays = dateOf(ready), dateOf(day), growth
				return o, true
			}
			hold = HeldByOpeningGate
		}
		o.HeldBy = hold
		today := in.GrowthPotential[day%yearDays]
		growth += today
		if today >= p.GrowingWeatherLeastGrowthPotential {
			growingDays++
		}
	}
	return Opening{}, false
}

// hold names the first need that is not yet met, the scarcer thing first.
func (n Needs) hold(growth, growingDays, days float64) Hold {
	switch {
	case growth < n.GrowthDays-roundOff:
		return HeldByGrowth
	case growingDays < n.GrowingWeeks*7:
		return HeldByGrowingWeather
	case days < n.MinimumWeeks*7:
		return HeldByMinimumWeeks
	}
	return HeldByNothing
}

// byMonth counts the days of each calendar month from start to the day before
// opening, works before the day of laying and establishment from it.
func byMonth(start, laid, opens int) []MonthOutOfPlay {
	out := []MonthOutOfPlay{} // an empty list in JSON, not null
	for first := start; first < opens; {
		d := dateOf(first)
		end := min(first-d.Day+1+daysInMonth[d.Month-1], opens)
		works := max(0, min(laid, end)-first)
		out = append(out, MonthOutOfPlay{
			Month:     fmt.Sprintf("%04d-%02d", d.Year, d.Month),
			WorksDays: works, EstablishmentDays: end - first - works,
		})
		first = end
	}
	return out
}

// sowable reports whether seed may be sown on a day.
func (p Parameters) sowable(ordinal int, southern bool) bool {
	s := seasonOf(p.SeedingOpensDayOfYear, p.SeedingClosesDayOfYear, southern)
	return s.holds(ordinal) || ordinal%yearDays == s.end // both days count
}

func (p Parameters) seasonReason(southern bool) string {
	s := seasonOf(p.SeedingOpensDayOfYear, p.SeedingClosesDayOfYear, southern)
	from, until := dateOf(s.from), dateOf(s.end)
	return fmt.Sprintf("seed is sown from %d %s to %d %s: outside that season seedlings do not establish before the cold, and bare ground washes",
		from.Day, from.Month, until.Day, until.Month)
}

// EarliestStart finds the first start of works, at or after the given one, from
// which the surface can be sown or laid in season: the given day itself, or the
// first day of one of the next twelve months. Turf can always start at once;
// for seed the works must end within the seeding season. The error is as for
// Establish.
func EarliestStart(in Input, p Parameters) (Date, error) {
	if err := check(in, p).Err(); err != nil {
		return Date{}, err
	}
	start := in.WorksStart
	for range 13 {
		laid := start.ordinal() + worksDays(in.WorksWeeks)
		if in.Surface != Seed || p.sowable(laid, in.Southern) {
			return start, nil
		}
		start = firstOfNextMonth(start)
	}
	return Date{}, &Refusal{in.Surface, in.WorksStart, "the seeding season is too short for any month's start to end in it"}
}

func firstOfNextMonth(d Date) Date {
	if d.Month == time.December {
		return Date{Year: d.Year + 1, Month: time.January, Day: 1}
	}
	return Date{Year: d.Year, Month: d.Month + 1, Day: 1}
}

// check names everything that is wrong with the input and the parameters.
func check(in Input, p Parameters) fault.List {
	var faults fault.List
	if _, ok := p.needs(in.Surface); !ok {
		faults.Add("/surface", in.Surface, "is not a surface", "give seed, supplier_turf, nursery_turf or existing_turf")
	}
	if !in.WorksStart.valid() {
		faults.Add("/works_start", in.WorksStart, "is not a day of the years 1900 to 2199", "give a date as YYYY-MM-DD")
	}
	if !(in.WorksWeeks >= 0 && in.WorksWeeks <= maxWorksWeeks) {
		faults.Add("/works_weeks", in.WorksWeeks, fmt.Sprintf("is outside 0 to %d", maxWorksWeeks), "give the weeks from the start of works to sowing or laying")
	}
	checkGrowthPotential(in.GrowthPotential, &faults)
	p.check(&faults)
	return faults
}

// maxWorksWeeks bounds works on one green to two years.
const maxWorksWeeks = 104

func checkGrowthPotential(values []float64, faults *fault.List) {
	if len(values) != yearDays {
		faults.Add("/growth_potential", len(values), "does not hold 365 values", "give one value a day, 1 January first")
		return
	}
	for i, v := range values {
		if !(v >= 0 && v <= 1) {
			faults.Add(fault.Pointer("growth_potential", i), v, "is outside 0 to 1", "give growth as a share of that at the optimum temperature")
			return // one is enough: such an array is wrong as a whole
		}
	}
}
