package survey

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

const infiltrationAt = "/infiltration"

// gatherInfiltration checks every test and works out its rate.
func gatherInfiltration(in *InfiltrationReadings, p Parameters, c *checker) []InfiltrationReading {
	readings := []InfiltrationReading{}
	if in == nil {
		return readings
	}
	c.together(infiltrationAt, "value_mm_per_h", "ring tests",
		in.ValueMMPerH != nil, len(in.RingTests)+len(in.DoubleRingTests) > 0)
	c.optional(place{infiltrationAt, -1, "value_mm_per_h"}, in.ValueMMPerH, rateLimit)
	const rings, doubles = infiltrationAt + "/ring_tests", infiltrationAt + "/double_ring_tests"
	if c.size(rings, len(in.RingTests), mostRingTests) {
		for i, t := range in.RingTests {
			readings = append(readings, gatherRing(t, place{rings, i, ""}, c))
		}
	}
	if c.size(doubles, len(in.DoubleRingTests), mostDoubleRingTests) {
		for i, t := range in.DoubleRingTests {
			readings = append(readings, gatherDoubleRing(t, p, place{doubles, i, ""}, c))
		}
	}
	return readings
}

func gatherRing(t RingTest, at place, c *checker) InfiltrationReading {
	r := InfiltrationReading{
		Pointer: at.String(), Method: SingleRing, Position: t.Position, TakenOn: t.TakenOn, Surface: t.Surface,
		DryPatch: t.DryPatch, DepthRemovedMM: orZero(t.DepthRemovedMM), Pooled: !t.DryPatch,
	}
	sound := c.ringCommon(at, r, t.WaterTemperatureC)
	sound = c.number(at.at("volume_ml"), t.VolumeML, volumeLimit) && sound
	sound = c.number(at.at("bore_mm"), t.BoreMM, boreLimit) && sound
	sound = c.number(at.at("minutes"), t.Minutes, ringMinutesLimit) && sound
	if sound {
		r.RateAsReadMMPerH = RingRateMMPerH(t.VolumeML, t.BoreMM, t.Minutes)
		r.correct(t.WaterTemperatureC)
		c.rate(at, r.RateMMPerH)
	}
	return r
}

// gatherDoubleRing takes the late rate as the reading; see Run for the reason.
// Where the water did not fall by an amount that can be read, half of the
// smallest readable drop stands in for it, as is usual below a limit of
// detection: a logarithm needs something, and a tight green is no reason to
// lose the test.
func gatherDoubleRing(t DoubleRingTest, p Parameters, at place, c *checker) InfiltrationReading {
	r := InfiltrationReading{
		Pointer: at.String(), Method: DoubleRing, Position: t.Position, TakenOn: t.TakenOn, Surface: t.Surface,
		DryPatch: t.DryPatch, DepthRemovedMM: orZero(t.DepthRemovedMM), Pooled: !t.DryPatch,
	}
	sound := c.ringCommon(at, r, t.WaterTemperatureC)
	if sound = c.intervals(at, t.Intervals) && sound; !sound {
		return r
	}
	run := Run(t.Intervals, p.LateShare, p.SettledChangePct)
	r.Run = &run
	r.RateAsReadMMPerH = run.LateMMPerH
	if least := p.ReadableDropMM / 2; run.LateDropMM < least {
		r.RateAsReadMMPerH = least / run.LateMinutes * 60
		r.BelowReadable = true
	}
	r.correct(t.WaterTemperatureC)
	if !r.BelowReadable {
		c.rate(at, r.RateMMPerH)
	}
	return r
}

func (c *checker) intervals(at place, intervals []RingInterval) bool {
	list := at.at("intervals").String()
	if len(intervals) == 0 {
		c.faults.Add(list, nil, "a double-ring test has no intervals", "give the minutes and the drop of each interval")
		return false
	}
	if !c.size(list, len(intervals), mostRingIntervals) {
		return false
	}
	sound := true
	for i, interval := range intervals {
		item := place{list, i, ""}
		sound = c.number(item.at("minutes"), interval.Minutes, intervalLimit) && sound
		sound = c.number(item.at("drop_mm"), interval.DropMM, dropLimit) && sound
	}
	return sound
}

// correct brings the rate as read to 20 °C.
func (r *InfiltrationReading) correct(waterTemperatureC float64) {
	r.ViscosityRatio = ViscosityRatio(waterTemperatureC)
	r.RateMMPerH = r.RateAsReadMMPerH * r.ViscosityRatio
}

func orZero(value *int) int {
	if value == nil {
		return 0
	}
	return *value
}

// rates returns the logarithms of the rates that count at one depth, and how
// many were kept out.
func rates(readings []InfiltrationReading, depthRemovedMM int) (samples []sample, keptOut int) {
	for _, r := range readings {
		switch {
		case r.DepthRemovedMM != depthRemovedMM:
		case !r.Pooled:
			keptOut++
		default:
			samples = append(samples, sample{r.Position, math.Log(r.RateMMPerH)})
		}
	}
	return samples, keptOut
}

// infiltration estimates the rate of the surface.
func (e *estimator) infiltration(in *InfiltrationReadings, readings []InfiltrationReading) Estimate {
	if in != nil && in.ValueMMPerH != nil {
		return bare(*in.ValueMMPerH)
	}
	out := e.rateAt(readings, 0)
	if out.Readings+out.KeptOut > 0 {
		out.Notes = append(out.Notes, e.ringAdvice(readings, out)...)
	}
	return out
}

// rateAt pools the readings with that much of the top removed.
func (e *estimator) rateAt(readings []InfiltrationReading, depthRemovedMM int) Estimate {
	samples, keptOut := rates(readings, depthRemovedMM)
	out := e.pool(samples, rateScale)
	out.KeptOut = keptOut
	if keptOut > 0 {
		out.Notes = append(out.Notes,
			counted(keptOut, "test on a dry patch is", "tests on dry patches are")+
				" listed and kept out of the mean: water-repellent soil says nothing of the drainage below it.")
		if out.Value == nil {
			out.IntervalMissingBecause = nothingPooled
		}
	}
	if out.Interval != nil && out.Interval.High == rateLimit.high {
		out.Notes = append(out.Notes, fmt.Sprintf(
			"The readings differ so much that the interval is cut at %g mm/h, the fastest rate that is credible.", rateLimit.high))
	}
	return out
}

// ringAdvice says what is wanting in the tests of the surface.
func (e *estimator) ringAdvice(readings []InfiltrationReading, out Estimate) []string {
	var notes []string
	var singles, doubles, notWet, unsettled, unread int
	for _, r := range readings {
		if r.DepthRemovedMM != 0 || !r.Pooled {
			continue
		}
		if r.Method == SingleRing {
			singles++
		} else {
			doubles++
		}
		if r.Surface != Wet {
			notWet++
		}
		if r.BelowReadable {
			unread++
		} else if r.Run != nil && !r.Run.Settled {
			unsettled++
		}
	}
	if float64(out.Readings) < e.p.RingTestsLeast {
		notes = append(notes, fmt.Sprintf("%s: %g to %g on a green are usual.",
			counted(out.Readings, "ring test", "ring tests"), e.p.RingTestsLeast, e.p.RingTestsMost))
	}
	if notWet > 0 {
		notes = append(notes, fmt.Sprintf("%d of %s not marked as taken on a wet surface: take them in winter on a wet green, "+
			"for a drier surface drinks faster at first.", notWet, counted(out.Readings, "ring test is", "ring tests are")))
	}
	if unsettled > 0 {
		notes = append(notes, counted(unsettled, "double-ring test", "double-ring tests")+
			" cannot be called settled: the rate was still changing at the end, or was read too seldom to tell. A longer test may read otherwise.")
	}
	if unread > 0 {
		notes = append(notes, fmt.Sprintf("In %s the water fell too little to read: half of %g mm was taken, so the true rate may be lower.",
			counted(unread, "double-ring test", "double-ring tests"), e.p.ReadableDropMM))
	}
	if singles > 0 && doubles > 0 {
		notes = append(notes, "Single and double rings are pooled: a single ring lets water escape sideways and reads higher.")
	}
	return notes
}

// below compares the rates under the surface with those at it.
func (e *estimator) below(readings []InfiltrationReading) InfiltrationBelow {
	return InfiltrationBelow{
		Removed50MM:  e.rateAt(readings, 50),
		Removed150MM: e.rateAt(readings, 150),
		Ratio50MM:    e.ratio(readings, 50),
		Ratio150MM:   e.ratio(readings, 150),
	}
}

// ratio is the rate with that much removed over the rate of the surface. Where
// positions have both, each gives one ratio and these are averaged as
// logarithms: what differs from place to place then cancels. Otherwise the
// geometric means of the whole green are compared, with Welch's interval.
func (e *estimator) ratio(readings []InfiltrationReading, depthRemovedMM int) RateRatio {
	surface, _ := rates(readings, 0)
	under, _ := rates(readings, depthRemovedMM)
	out := RateRatio{ByPosition: []PositionEstimate{}}
	if len(surface) == 0 || len(under) == 0 {
		out.IntervalMissingBecause = nothingToRelate
		return out
	}
	if pairs := paired(sorted(surface), sorted(under)); len(pairs) > 0 {
		value, interval := e.one(pairs, ratioScale)
		out.Value, out.Interval, out.Basis = &value, interval, SamePosition
		out.ByPosition = e.byPosition(pairs, ratioScale)
	} else {
		value, interval := e.ratioOfMeans(values(surface), values(under))
		out.Value, out.Interval, out.Basis = &value, interval, WholeGreen
	}
	if out.Interval == nil {
		out.IntervalMissingBecause = oneReading
	}
	return out
}

// paired returns, for each position in both, the difference of its two mean
// logarithms.
func paired(surface, under []sample) []sample {
	var pairs []sample
	for _, above := range positions(surface, positionOf) {
		for _, below := range positions(under, positionOf) {
			if above[0].position == below[0].position {
				difference := stat.Mean(values(below), nil) - stat.Mean(values(above), nil)
				pairs = append(pairs, sample{above[0].position, difference})
			}
		}
	}
	return pairs
}

func (e *estimator) ratioOfMeans(surface, under []float64) (float64, *Interval) {
	difference := stat.Mean(under, nil) - stat.Mean(surface, nil)
	value := math.Exp(difference)
	if len(surface) < 2 || len(under) < 2 {
		return value, nil
	}
	standardError, freedom := welch(stat.Variance(under, nil), float64(len(under)), stat.Variance(surface, nil), float64(len(surface)))
	half := e.student(freedom) * standardError
	return value, e.interval(math.Exp(difference-half), value, math.Exp(difference+half), ratioScale.within)
}
