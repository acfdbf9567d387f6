package aeration

import "math"

// A year of 365 days is enough here: nothing falls due on 29 February.
const yearDays = 365

var (
	monthDays  = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	monthStart = [12]int{0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334}
	dayMonth   = makeDayMonth()
)

func makeDayMonth() (of [yearDays]int) {
	for m, start := range monthStart {
		for d := range monthDays[m] {
			of[start+d] = m
		}
	}
	return of
}

// visit is one date of a work, day 0 being 1 January. A weight below 1 is a
// visit not made every year.
type visit struct {
	day    int
	weight float64
}

// visitDays spreads a month's visits evenly over it.
func visitDays(byMonth []float64) []visit {
	var visits []visit
	for m, n := range byMonth {
		count := int(math.Ceil(n))
		for k := range count {
			day := monthStart[m] + monthDays[m]*(2*k+1)/(2*count)
			visits = append(visits, visit{day, math.Min(1, n-float64(k))})
		}
	}
	return visits
}

// recoveryNeed is how many days a work disturbs play at the reference growth
// potential, and the share of that recovery which needs no growth.
//
// Coring grows with the hole: the two published widths of practice, 8 and
// 13 mm, are joined by a straight line, which runs on above and goes to nothing
// below. A dressing disturbs in proportion to its sand.
func recoveryNeed(w Work, p Parameters) (days, growthFree float64) {
	switch w.Operation {
	case HollowCoring:
		return coringRecoveryDays(w.Tines.OutsideDiameterMM, p), p.GrowthFreeShareCoring
	case DeepTining:
		return p.RecoveryDeepTiningDays, p.GrowthFreeShareDeepTining
	case SlitTining:
		return p.RecoverySlitTiningDays, p.GrowthFreeShareSlitTining
	case Scarifying:
		return p.RecoveryScarifyingDays, p.GrowthFreeShareScarifying
	case MolePloughing:
		return p.RecoveryMolePloughingDays, p.GrowthFreeShareMolePloughing
	case Overseeding:
		return p.RecoveryOverseedingDays, p.GrowthFreeShareOverseeding
	case TopDressing:
		return p.RecoveryDressing1p5MMDays * *w.DressingMM / 1.5, p.GrowthFreeShareTopDressing
	}
	return 0, 1
}

func coringRecoveryDays(outsideMM float64, p Parameters) float64 {
	if outsideMM <= 8 {
		return p.RecoveryCoring8MMDays * outsideMM / 8
	}
	perMM := (p.RecoveryCoring13MMDays - p.RecoveryCoring8MMDays) / (13 - 8)
	return math.Max(0, p.RecoveryCoring8MMDays+perMM*(outsideMM-8))
}

// disturbance marks the days of a year on which play is disturbed.
type disturbance struct {
	growth    [12]float64 // growth potential over the reference's
	undisturb [yearDays]float64
}

func newDisturbance(growthPotential [12]float64, p Parameters) disturbance {
	d := disturbance{growth: growthPotential}
	for m := range d.growth {
		d.growth[m] /= p.RecoveryReferenceGrowthPotential
	}
	for i := range d.undisturb {
		d.undisturb[i] = 1
	}
	return d
}

// rate is the share of a reference day's recovery that one day of a month
// brings: what needs no growth, and the rest in proportion to growth.
func (d *disturbance) rate(month int, growthFree float64) float64 {
	return growthFree + (1-growthFree)*d.growth[month]
}

// recovery is the days from a visit until the need is met, at most a year. It
// steps from month to month, the rate being the same within each.
func (d *disturbance) recovery(day int, need, growthFree float64) float64 {
	elapsed := 0
	for need > 0 && elapsed < yearDays {
		month := dayMonth[day]
		left := min(monthStart[month]+monthDays[month]-day, yearDays-elapsed)
		rate := d.rate(month, growthFree)
		if need <= rate*float64(left) {
			return float64(elapsed) + need/rate
		}
		need -= rate * float64(left)
		elapsed += left
		day = (day + left) % yearDays
	}
	return float64(elapsed)
}

// disturb marks the days after a visit, round the turn of the year if need be,
// and returns how many there were. Visits are independent: a day is clear only
// if every visit has left it clear.
func (d *disturbance) disturb(v visit, need, growthFree float64) float64 {
	days := d.recovery(v.day, need, growthFree)
	for n := 0; float64(n) < days; n++ {
		share := math.Min(1, days-float64(n))
		d.undisturb[(v.day+n)%yearDays] *= 1 - v.weight*share
	}
	return days
}

func (d *disturbance) byMonth() [12]float64 {
	var days [12]float64
	for day, clear := range d.undisturb {
		days[dayMonth[day]] += 1 - clear
	}
	return days
}
