package model

import (
	"fmt"
	"math"

	"swardcase/model/layered"
)

// priceAll prices the works of every option. Its faults, with those of the bills
// that the options share, are what the price book lacks for the whole case.
func (a *appraiser) priceAll(options []OptionAppraisal) error {
	err := a.purse.priceShared(a)
	for i := range options {
		options[i].Money = &OptionMoney{Renewals: []Renewal{}}
		err = joinFaults(err, a.priceWorks(options[i].Money, options[i]))
	}
	return err
}

// compare enters every option's money, sets it against the yardstick, which
// stands first, and screens it against the club's requirements.
func (a *appraiser) compare(options []OptionAppraisal) error {
	var err error
	for i := range options {
		err = joinFaults(err, a.enterMoney(options[i].Money, options[i]))
	}
	if err != nil {
		return err
	}
	for i := range options {
		out := &options[i]
		if err := a.against(out.Money, *out, options[0]); err != nil {
			return fmt.Errorf("money of %s: %w", out.Option, err)
		}
		shortfalls, err := screenRequirements(a.Case.Requirements, screenInput{
			option:         out.Option,
			year:           a.judgedYear(),
			monthsPlayable: out.Forecast.MonthsPlayableYear5,
			index:          out.Expected.Index,
			monthsOut:      out.MonthsOutOfPlay,
			capital:        out.Money.Capital,
		})
		if err != nil {
			return err
		}
		out.Shortfalls = append(out.Shortfalls, shortfalls...)
		out.Passes = len(out.Infeasible) == 0 && len(out.Shortfalls) == 0
	}
	return nil
}

// surfaceReasons says what figures do not: likeness to the other greens, where
// the turf comes from, what it brings with it, and how long it takes.
func (o *OptionAppraisal) surfaceReasons(a *appraiser) {
	add := func(format string, values ...any) { o.Reasons = append(o.Reasons, fmt.Sprintf(format, values...)) }
	switch o.Option.Surface() {
	case Seed:
		add("Seed gives the cleanest surface and no foreign soil, but takes longest, and a young green plays unlike the others for a year or two.")
	case SupplierTurf:
		add("Supplier turf is uniform, but of other grasses than the other greens: an odd green out is a cost that players feel.")
		switch layered.TurfSoil(a.Case.Choices.SupplierTurfSoil) {
		case layered.SoilGrown:
			add("Turf grown on soil lays a tight skin over a sand root zone: after wear, an all-sand green under mature turf fell to 12 mm/h (Canaway 1993).")
		case layered.Washed:
			add("Washed turf brings no soil: after wear, an all-sand green under it kept 50 to 70 mm/h (Canaway 1993).")
		default:
			add("Sand-grown turf must match the root zone: ask for its sieve test beside that of the root zone.")
		}
	case NurseryTurf:
		add("The club's own nursery turf matches the other greens best, if the nursery is kept like a green; it must be grown and spared a year or two ahead.")
	case ExistingTurf:
		add("The existing turf matches the other greens and settles soonest, and carries its thatch and its annual meadow grass with it.")
		if grass := a.report.Survey.AnnualMeadowGrass.Value; grass != nil && *grass > 50 {
			o.Cautions = append(o.Cautions, fmt.Sprintf(
				"The existing turf is %.0f %% annual meadow grass: clubs relay it to match the other greens, but it is no cleaner for being relaid.", *grass))
		}
	}
	if o.Design != nil {
		for _, caution := range o.Design.Cautions {
			o.Cautions = append(o.Cautions, caution.Text)
		}
	}
	if o.Timeline != nil && o.Timeline.DeferredBecause != "" {
		o.Reasons = append(o.Reasons, o.Timeline.DeferredBecause+".")
	}
	programme := a.programmes.of(o.Option)
	for _, warning := range programme.Warnings {
		o.Cautions = append(o.Cautions, warning.Text)
	}
	if o.HasLife() {
		add("A working life of %.0f years assumes %.0f t/ha of sand a year and %.0f %% of the surface cored each year.",
			*o.Forecast.WorkingLifeYears, programme.Totals.Amounts.SandTPerHa, programme.Totals.Amounts.CoredAreaPct)
	}
}

// lifeYears is the life of the option's works in whole years; 0 without works.
func (o *OptionAppraisal) lifeYears() int {
	if o.Design == nil || o.Forecast.WorkingLifeYears == nil {
		return 0
	}
	return int(math.Round(*o.Forecast.WorkingLifeYears))
}

// HasLife reports whether the option's gain wears out.
func (o *OptionAppraisal) HasLife() bool { return o.Forecast.WorkingLifeYears != nil }
