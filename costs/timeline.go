package costs

import "fmt"

// TimelineTerms say how cash flows of one appraisal run.
type TimelineTerms struct {
	Currency     Currency
	FirstMonth   YearMonth
	HorizonYears int // 1 to 100
	// InflationPct raises prices each year. Entries are given at the price
	// level of the first month. Zero gives a flow in real terms, to be
	// discounted at a real rate; a rate of inflation gives a nominal flow, to
	// be discounted at a nominal rate. A year has one price level, that of its
	// end, where it is also discounted; so a nominal flow at (1+real)(1+inflation)
	// has the net present value of the real flow at the real rate.
	InflationPct float64
	// InflationByClass, where given, takes the place of InflationPct.
	InflationByClass *InflationByClass
	Discounting      Discounting // must cover the horizon
}

// maxHorizonYears bounds a cash flow.
const maxHorizonYears = 100

// Timeline is the frame that all cash flows of one appraisal share: months,
// price levels and discount factors. Year 1 is the twelve months from the first
// month, whatever the calendar year. It never changes.
type Timeline struct {
	currency   Currency
	firstMonth YearMonth
	years      int
	index      [classCount][]int64 // × 10^indexPlaces, by class and year
	discount   []int64             // × 10^factorPlaces, by year
}

// NewTimeline checks the terms. Fields are relative to the money terms of a
// case, but for the first month, whose field is "/first_month".
func NewTimeline(terms TimelineTerms) (Timeline, []Problem) {
	var found problems
	if !terms.Currency.known() {
		found.add("/currency", nil, "the cash flow has no currency", "use one of "+currencyCodes())
	}
	if !terms.FirstMonth.valid() {
		found.add("/first_month", nil, "the cash flow has no first month", "write it YYYY-MM")
	}
	if terms.HorizonYears < 1 || terms.HorizonYears > maxHorizonYears {
		found.add("/horizon_years", terms.HorizonYears, fmt.Sprintf("the horizon is not 1 to %d years", maxHorizonYears), "give a number of years in that range")
		return Timeline{}, found
	}
	if terms.Discounting.LastYear() < terms.HorizonYears {
		found.add("/horizon_years", terms.HorizonYears, fmt.Sprintf("the discount schedule ends at year %d", terms.Discounting.LastYear()), "extend the schedule to the horizon")
	}
	index := priceLevels(&found, terms)
	if len(found) > 0 {
		return Timeline{}, found
	}
	return Timeline{
		currency: terms.Currency, firstMonth: terms.FirstMonth, years: terms.HorizonYears,
		index: index, discount: terms.Discounting.coarse[:terms.HorizonYears+1],
	}, nil
}

// From is so many years of the timeline seen from a later start: its year 0 is
// the given year, with that year's price level and discount factor, so that what
// is entered there is worth what it is worth today.
func (t Timeline) From(year, years int) (Timeline, error) {
	if year < 0 || years < 1 || year+years > t.years {
		return Timeline{}, fmt.Errorf("costs: years %d to %d are outside a timeline of %d", year, year+years, t.years)
	}
	later := t
	later.firstMonth, later.years = t.firstMonth.AddMonths(12*year), years
	for class, index := range t.index {
		later.index[class] = index[year : year+years+1]
	}
	later.discount = t.discount[year : year+years+1]
	return later, nil
}

// Years is the horizon.
func (t Timeline) Years() int { return t.years }

// Months is the number of months from the first to the end of the horizon.
func (t Timeline) Months() int { return 12 * t.years }

// Twelve is an amount for each of the twelve months of a year of the cash flow,
// the first month first. It is made once and entered for many years.
type Twelve struct {
	minor    [12]int64
	currency Currency
}

// ByCalendar arranges amounts given by calendar month, January first, in the
// order of the timeline.
func (t Timeline) ByCalendar(januaryFirst [12]Money) (Twelve, error) {
	twelve := Twelve{currency: t.currency}
	for i := range twelve.minor {
		amount := januaryFirst[t.firstMonth.AddMonths(i).Month-1]
		if amount.currency != t.currency {
			return Twelve{}, ErrMixedCurrencies
		}
		twelve.minor[i] = amount.minor()
	}
	return twelve, nil
}

// Evenly spreads a year's amount over its twelve months. Minor units that do
// not divide by twelve go to the earliest months.
func (t Timeline) Evenly(year Money) (Twelve, error) {
	if year.currency != t.currency {
		return Twelve{}, ErrMixedCurrencies
	}
	twelve := Twelve{currency: t.currency}
	each, left := year.minor()/12, year.minor()%12
	for i := range twelve.minor {
		twelve.minor[i] = each
		if int64(i) < max(left, -left) {
			twelve.minor[i] += int64(year.Sign())
		}
	}
	return twelve, nil
}
