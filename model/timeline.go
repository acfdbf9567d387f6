package model

import (
	"errors"
	"fmt"
	"time"

	"swardcase/costs"
	"swardcase/model/fault"
	"swardcase/model/sward"
)

// Timeline is when an option's works happen and when the green comes back:
// this green plays on a temporary from WorksStart until OpensOn.
type Timeline struct {
	StartMonth costs.YearMonth `json:"start_month"`
	WorksWeeks float64         `json:"works_weeks"`
	// DeferredBecause says why the works start later than first_month.
	DeferredBecause string        `json:"deferred_because,omitempty"`
	Opening         sward.Opening `json:"opening"`

	// outOfPlay is days by month from first_month; opensMonth is the month, so
	// counted, in which the green opens.
	outOfPlay  []float64
	opensMonth int
}

// timelineFor places works of so many weeks in the calendar. weeksFrom tells
// their length when they start in a given calendar month, since winter works
// take longer. Where the surface cannot be made from first_month, the first
// later month that can is taken, within a year; a *sward.Refusal says that none
// can.
func (r Resolved) timelineFor(o Option, weeksFrom func(month time.Month) (float64, error)) (*Timeline, error) {
	first := r.Case.Available.FirstMonth
	p := sward.ParametersFrom(r.assumptions)
	growth := r.growthByDay
	var refusal *sward.Refusal
	for offset := range 12 {
		start := first.AddMonths(offset)
		weeks, err := weeksFrom(start.Month)
		if err != nil {
			return nil, err
		}
		in := sward.Input{
			Surface:         sward.Surface(o.Surface()),
			WorksStart:      sward.Date{Year: start.Year, Month: start.Month, Day: 1},
			WorksWeeks:      weeks,
			GrowthPotential: growth,
			Southern:        r.southern(),
		}
		opening, err := sward.Establish(in, p)
		var refused *sward.Refusal
		switch {
		case errors.As(err, &refused):
			if refusal == nil {
				refusal = refused
			}
			continue
		case err != nil:
			return nil, r.underEstablishment(err)
		}
		timeline := &Timeline{StartMonth: start, WorksWeeks: weeks, Opening: opening}
		if offset > 0 {
			timeline.DeferredBecause = fmt.Sprintf("starting in %s would lay or sow on %s: %s; the works wait until %s",
				first, refusal.LaidOn, refusal.Reason, start)
		}
		timeline.place(first)
		return timeline, nil
	}
	return nil, refusal
}

// place counts the days out of play by month from first_month.
func (t *Timeline) place(first costs.YearMonth) {
	opens := costs.YearMonth{Year: t.Opening.OpensOn.Year, Month: t.Opening.OpensOn.Month}
	t.opensMonth = opens.MonthsSince(first)
	offset := t.StartMonth.MonthsSince(first)
	t.outOfPlay = make([]float64, offset, offset+len(t.Opening.ByMonth))
	for _, month := range t.Opening.ByMonth {
		t.outOfPlay = append(t.outOfPlay, float64(month.WorksDays+month.EstablishmentDays))
	}
}

// underEstablishment gives the faults of an establishment their place in the
// case.
func (r Resolved) underEstablishment(err error) error {
	var list fault.List
	if !errors.As(err, &list) {
		return err
	}
	return r.home(list, [2]string{"/works_start", "/available/first_month"}, [2]string{"", "/assumptions"})
}
