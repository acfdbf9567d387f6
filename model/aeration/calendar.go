package aeration

import (
	"math"
	"slices"

	"swardcase/model/fault"
)

// Amounts are what one visit does, or the sum of several. Percentages of
// surface add up over visits and passes, and so may exceed 100 in a year.
type Amounts struct {
	// AreaAffectedPct is the surface opened (outside diameters, blades, legs).
	AreaAffectedPct float64 `json:"area_affected_pct"`
	// CoredAreaPct is the part of it opened by hollow coring, and
	// CoredAreaRemovedPct that by the inside diameter: the cores themselves.
	CoredAreaPct        float64 `json:"cored_area_pct"`
	CoredAreaRemovedPct float64 `json:"cored_area_removed_pct"`
	HolesPerM2          float64 `json:"holes_per_m2"`
	SlitMPerM2          float64 `json:"slit_m_per_m2"`
	// MaterialLiftedKGPerM2 is the dry matter of cores and scarifyings, and
	// OrganicMatterLiftedKGPerM2 the organic matter in it. What is Removed has
	// been carried off the green.
	MaterialLiftedKGPerM2       float64 `json:"material_lifted_kg_per_m2"`
	MaterialRemovedKGPerM2      float64 `json:"material_removed_kg_per_m2"`
	OrganicMatterLiftedKGPerM2  float64 `json:"organic_matter_lifted_kg_per_m2"`
	OrganicMatterRemovedKGPerM2 float64 `json:"organic_matter_removed_kg_per_m2"`
	// SandFillMM goes into holes, SandDressMM on top.
	SandFillMM  float64 `json:"sand_fill_mm"`
	SandDressMM float64 `json:"sand_dress_mm"`
	SandKGPerM2 float64 `json:"sand_kg_per_m2"`
	SandTPerHa  float64 `json:"sand_t_per_ha"`
	SandT       float64 `json:"sand_t"`
	SeedGPerM2  float64 `json:"seed_g_per_m2"`
}

// add puts n times the amounts of one visit on top.
func (a *Amounts) add(b *Amounts, n float64) {
	a.AreaAffectedPct += n * b.AreaAffectedPct
	a.CoredAreaPct += n * b.CoredAreaPct
	a.CoredAreaRemovedPct += n * b.CoredAreaRemovedPct
	a.HolesPerM2 += n * b.HolesPerM2
	a.SlitMPerM2 += n * b.SlitMPerM2
	a.MaterialLiftedKGPerM2 += n * b.MaterialLiftedKGPerM2
	a.MaterialRemovedKGPerM2 += n * b.MaterialRemovedKGPerM2
	a.OrganicMatterLiftedKGPerM2 += n * b.OrganicMatterLiftedKGPerM2
	a.OrganicMatterRemovedKGPerM2 += n * b.OrganicMatterRemovedKGPerM2
	a.SandFillMM += n * b.SandFillMM
	a.SandDressMM += n * b.SandDressMM
	a.SandKGPerM2 += n * b.SandKGPerM2
	a.SandTPerHa += n * b.SandTPerHa
	a.SandT += n * b.SandT
	a.SeedGPerM2 += n * b.SeedGPerM2
}

// SandMM is all the sand, in holes and on top, as a depth in millimetres.
func (a Amounts) SandMM() float64 { return a.SandFillMM + a.SandDressMM }

// Line is one work of the programme with every default written in.
type Line struct {
	Work          Work      `json:"work"`
	VisitsPerYear float64   `json:"visits_per_year"`
	VisitsByMonth []float64 `json:"visits_by_month"`
	DepthMM       float64   `json:"depth_mm"`
	PerVisit      Amounts   `json:"per_visit"`
	PerYear       Amounts   `json:"per_year"`
	// RecoveryDaysByMonth is how long one visit at the middle of each month
	// would disturb play; it shows what a better month would save.
	RecoveryDaysByMonth  []float64 `json:"recovery_days_by_month"`
	DisturbedDaysPerYear float64   `json:"disturbed_days_per_year"`
}

// Month is one month of the calendar. Its DisturbedDays count each day once,
// however many works disturb it, and so may be fewer than the lines' together.
type Month struct {
	Month         int         `json:"month"`
	Operations    []Operation `json:"operations"`
	Amounts       Amounts     `json:"amounts"`
	DisturbedDays float64     `json:"disturbed_days"`
}

// Totals are the year: the sum of the months.
type Totals struct {
	Amounts       Amounts `json:"amounts"`
	DisturbedDays float64 `json:"disturbed_days"`
}

// Calendar is one year of a programme on one green.
type Calendar struct {
	ProgrammeName        string               `json:"programme_name"`
	AreaM2               float64              `json:"area_m2"`
	Lines                []Line               `json:"lines"`
	Months               []Month              `json:"months"`
	Totals               Totals               `json:"totals"`
	Targets              []Target             `json:"targets"`
	FeedingAndIrrigation FeedingAndIrrigation `json:"feeding_and_irrigation"`
	Warnings             []Warning            `json:"warnings"`
	Quantities           []Quantity           `json:"quantities"`
}

// Build makes the calendar of one year, or reports everything that is wrong
// with the input. Pointers in the faults run from the input. Warnings do not
// stop a calendar; they say what a careful consultant would ask about.
func Build(in Input, p Parameters) (Calendar, fault.List) {
	faults := checkInput(in, p)
	if len(faults) > 0 {
		return Calendar{}, faults
	}
	lines := make([]Line, len(in.Programme.Works))
	for i, w := range in.Programme.Works {
		lines[i] = startLine(resolve(w, in.Southern, p))
	}
	if faults = groundFaults(lines, in.Ground, p); len(faults) > 0 {
		return Calendar{}, faults
	}
	warnings, faults := shareSand(lines, in.Programme.SandTPerHaPerYear, p)
	if len(faults) > 0 {
		return Calendar{}, faults
	}
	c := Calendar{ProgrammeName: in.Programme.Name, AreaM2: in.AreaM2, Lines: lines}
	days := newDisturbance(in.GrowthPotentialByMonth, p)
	for i := range lines {
		lines[i].finish(in, p, &days)
	}
	c.addUp(&days)
	c.Targets = targets(c.Totals.Amounts, p)
	c.FeedingAndIrrigation = feedingAndIrrigation(in, c.Totals.Amounts, c.visitsOf(Overseeding), p)
	c.Warnings = append(warnings, seasonWarnings(&c, in, p)...)
	c.Quantities = quantities(&c, in, p)
	return c, nil
}

// resolve writes the defaults of the operation into a work.
func resolve(w Work, southern bool, p Parameters) Work {
	usual, _ := usual(w.Operation)
	usual = copyWork(usual)
	w = copyWork(w)
	switch {
	case w.TimesPerYear == nil && len(w.Months) > 0:
		w.TimesPerYear = number(float64(len(w.Months)))
	case w.TimesPerYear == nil:
		w.TimesPerYear = usual.TimesPerYear
	}
	if len(w.Months) == 0 {
		w.Months = seasonMonths(usual.Months, southern)
	}
	if w.Tines == nil {
		w.Tines = usual.Tines
	}
	if w.Blades == nil {
		w.Blades = usual.Blades
	}
	if w.MoleChannels == nil {
		w.MoleChannels = usual.MoleChannels
	}
	if w.Operation == Overseeding && w.SeedGPerM2 == nil {
		w.SeedGPerM2 = number(p.OverseedingSeedGPerM2)
	}
	return w
}

func startLine(w Work) Line {
	return Line{
		Work: w, DepthMM: w.opening().depthMM,
		VisitsPerYear: *w.TimesPerYear, VisitsByMonth: dealVisits(*w.TimesPerYear, w.Months),
	}
}

// dealVisits deals whole visits out to the months in turn, and what is left
// over (a work not done every year) to the next.
func dealVisits(times float64, months []int) []float64 {
	visits := make([]float64, 12)
	whole := int(times)
	for i := range whole {
		visits[months[i%len(months)]-1]++
	}
	visits[months[whole%len(months)]-1] += times - float64(whole)
	return visits
}

// finish works out one visit, multiplies it up, and marks the days it disturbs.
func (l *Line) finish(in Input, p Parameters, days *disturbance) {
	l.PerVisit = perVisit(l.Work, in, p)
	l.PerYear.add(&l.PerVisit, l.VisitsPerYear)
	need, growthFree := recoveryNeed(l.Work, p)
	l.RecoveryDaysByMonth = make([]float64, 12)
	for m := range l.RecoveryDaysByMonth {
		l.RecoveryDaysByMonth[m] = days.recovery(monthStart[m]+monthDays[m]/2, need, growthFree)
	}
	for _, v := range visitDays(l.VisitsByMonth) {
		l.DisturbedDaysPerYear += v.weight * days.disturb(v, need, growthFree)
	}
}

// perVisit is the arithmetic of one visit.
func perVisit(w Work, in Input, p Parameters) Amounts {
	o := w.opening()
	a := Amounts{AreaAffectedPct: o.outsidePct, HolesPerM2: o.holesPerM2, SlitMPerM2: o.slitMPerM2}
	if w.Operation == HollowCoring {
		a.CoredAreaPct, a.CoredAreaRemovedPct = o.outsidePct, o.insidePct
	}
	density := p.RootZoneBulkDensityTPerM3
	if in.Soil.BulkDensityTPerM3 != nil {
		density = *in.Soil.BulkDensityTPerM3
	}
	liftedMM := OpenedDepthMM(o.insidePct, o.depthMM)
	a.MaterialLiftedKGPerM2 = liftedMM * density
	a.OrganicMatterLiftedKGPerM2 = OrganicMatterKGPerM2(liftedMM, density, meanOrganicMatterPct(in.Soil, o.depthMM, p))
	if o.removed {
		a.MaterialRemovedKGPerM2, a.OrganicMatterRemovedKGPerM2 = a.MaterialLiftedKGPerM2, a.OrganicMatterLiftedKGPerM2
	}
	a.SandFillMM = fillDepthMM(o, p)
	if w.DressingMM != nil {
		a.SandDressMM = *w.DressingMM
	}
	a.SandKGPerM2 = SandKGPerM2(a.SandMM(), p.SandDryTPerM3)
	a.SandTPerHa = TPerHa(a.SandKGPerM2)
	a.SandT = a.SandKGPerM2 * in.AreaM2 / 1000
	if w.SeedGPerM2 != nil {
		a.SeedGPerM2 = *w.SeedGPerM2
	}
	return a
}

// fillDepthMM is the sand that fills what one visit opened, spread out as a
// depth over the green: volume opened × the share that sand fills.
func fillDepthMM(o opening, p Parameters) float64 {
	if !o.filled {
		return 0
	}
	return OpenedDepthMM(o.outsidePct, o.depthMM) * p.HoleFillShare
}

// meanOrganicMatterPct is the percentage from the surface to a depth, weighted
// by thickness: a core is as deep as it is, not as the laboratory's first layer.
func meanOrganicMatterPct(s Soil, depthMM float64, p Parameters) float64 {
	layers := s.OrganicMatter
	if len(layers) == 0 {
		layers = []OrganicMatterLayer{
			{20, p.OrganicMatter0To20MMPct},
			{40, p.OrganicMatter20To40MMPct},
			{60, p.OrganicMatter40To60MMPct},
			{80, p.OrganicMatter60To80MMPct},
		}
	}
	if depthMM <= 0 {
		return layers[0].OrganicMatterPct
	}
	sum, above := 0.0, 0.0
	for i, layer := range layers {
		to := math.Min(layer.DepthToMM, depthMM)
		if i == len(layers)-1 {
			to = depthMM
		}
		sum += (to - above) * layer.OrganicMatterPct
		above = to
	}
	return sum / depthMM
}

// addUp sums visits into months and months into the year.
func (c *Calendar) addUp(days *disturbance) {
	c.Months = make([]Month, 12)
	disturbed := days.byMonth()
	for m := range c.Months {
		month := &c.Months[m]
		month.Month, month.DisturbedDays, month.Operations = m+1, disturbed[m], []Operation{}
		for i := range c.Lines {
			line := &c.Lines[i]
			visits := line.VisitsByMonth[m]
			if visits == 0 {
				continue
			}
			month.Amounts.add(&line.PerVisit, visits)
			if !slices.Contains(month.Operations, line.Work.Operation) {
				month.Operations = append(month.Operations, line.Work.Operation)
			}
		}
		c.Totals.Amounts.add(&month.Amounts, 1)
		c.Totals.DisturbedDays += month.DisturbedDays
	}
}

// visitsOf counts a year's visits of one operation.
func (c *Calendar) visitsOf(o Operation) float64 {
	visits := 0.0
	for _, line := range c.Lines {
		if line.Work.Operation == o {
			visits += line.VisitsPerYear
		}
	}
	return visits
}
