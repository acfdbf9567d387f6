package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	thatchAt = "/thatch_depth"
	grassAt  = "/annual_meadow_grass"
)

func gatherThatch(in *ThatchReadings, c *checker) []sample {
	if in == nil {
		return nil
	}
	c.together(thatchAt, "value_mm", "readings", in.ValueMM != nil, len(in.Readings) > 0)
	c.optional(place{thatchAt, -1, "value_mm"}, in.ValueMM, thatchLimit)
	const list = thatchAt + "/readings"
	if !c.size(list, len(in.Readings), mostThatchReadings) {
		return nil
	}
	var samples []sample
	for i, r := range in.Readings {
		at := place{list, i, ""}
		c.position(at, r.Position)
		c.number(at.at("depth_mm"), r.DepthMM, thatchLimit)
		samples = append(samples, sample{r.Position, r.DepthMM})
	}
	return samples
}

// thatch estimates the mean thatch depth with Student's interval, held at 0.
func (e *estimator) thatch(in *ThatchReadings, samples []sample) Estimate {
	if in != nil && in.ValueMM != nil {
		return bare(*in.ValueMM)
	}
	out := e.pool(samples, thatchScale)
	if n := out.Readings; n > 0 && float64(n) < e.p.ThatchReadingsLeast {
		out.Notes = append(out.Notes, fmt.Sprintf("%s: %g or more are wanted for a fair depth of thatch.",
			counted(n, "core", "cores"), e.p.ThatchReadingsLeast))
	}
	return out
}

func gatherGrass(in *AnnualMeadowGrassReadings, c *checker) []PointQuadrat {
	if in == nil {
		return nil
	}
	c.together(grassAt, "value_pct", "point quadrats", in.ValuePct != nil, len(in.PointQuadrats) > 0)
	c.optional(place{grassAt, -1, "value_pct"}, in.ValuePct, shareLimit)
	const list = grassAt + "/point_quadrats"
	if !c.size(list, len(in.PointQuadrats), mostQuadrats) {
		return nil
	}
	for i, q := range in.PointQuadrats {
		at := place{list, i, ""}
		c.position(at, q.Position)
		points := c.number(at.at("points"), float64(q.Points), pointsLimit)
		hits := c.number(at.at("hits"), float64(q.Hits), hitsLimit)
		if points && hits && q.Hits > q.Points {
			c.add(at.at("hits"), q.Hits, fmt.Sprintf("there are more hits than the %d points of the quadrat", q.Points),
				"count each point once at most")
		}
	}
	return slices.SortedFunc(slices.Values(in.PointQuadrats), func(a, b PointQuadrat) int {
		return cmp.Or(cmp.Compare(a.Position, b.Position), cmp.Compare(a.Points, b.Points), cmp.Compare(a.Hits, b.Hits))
	})
}

// grass estimates the share of annual meadow grass as all hits over all points,
// with Wilson's interval. The quadrats are sorted.
func (e *estimator) grass(in *AnnualMeadowGrassReadings, quadrats []PointQuadrat) Estimate {
	if in != nil && in.ValuePct != nil {
		return bare(*in.ValuePct)
	}
	if len(quadrats) == 0 {
		return missing(notMeasured)
	}
	all := e.share(quadrats)
	out := Estimate{Value: &all.Value, Interval: all.Interval, Readings: all.Readings, ByPosition: []PositionEstimate{}, Notes: []string{}}
	for _, run := range positions(quadrats, func(q PointQuadrat) string { return q.Position }) {
		out.ByPosition = append(out.ByPosition, e.share(run))
	}
	out.WorstPosition = worst(out.ByPosition, false)
	out.Notes = append(out.Notes, e.grassAdvice(quadrats)...)
	return out
}

// share pools quadrats, named after the position of the first.
func (e *estimator) share(quadrats []PointQuadrat) PositionEstimate {
	hits, points := count(quadrats)
	low, high := wilson(hits, points, e.z)
	return PositionEstimate{
		Position: quadrats[0].Position, Value: 100 * float64(hits) / float64(points),
		Interval: &Interval{100 * low, 100 * high, e.p.ConfidencePct}, Readings: len(quadrats),
	}
}

func count(quadrats []PointQuadrat) (hits, points int) {
	for _, q := range quadrats {
		hits += q.Hits
		points += q.Points
	}
	return hits, points
}

// grassAdvice says how many points are wanted, and warns where the interval is
// too narrow because grass grows in patches.
func (e *estimator) grassAdvice(quadrats []PointQuadrat) []string {
	var notes []string
	_, points := count(quadrats)
	if wanted := pointsFor(e.p.GrassMarginPct/100, e.z); points < wanted {
		notes = append(notes, fmt.Sprintf("%s: %d would bring the share within %g percentage points either way.",
			counted(points, "point", "points"), wanted, e.p.GrassMarginPct))
	}
	if patchy(quadrats, 1-e.p.ConfidencePct/100) {
		notes = append(notes, "The quadrats differ by more than chance: the grass is in patches, the interval is narrower than the truth, "+
			"and the positions tell more than the mean.")
	}
	return notes
}

// patchy tests whether all quadrats could come from one share, by Pearson's
// chi-squared at the given significance (0 to 1). Wilson's interval takes every
// point as independent, which patches break.
func patchy(quadrats []PointQuadrat, significance float64) bool {
	hits, points := count(quadrats)
	if len(quadrats) < 2 || hits == 0 || hits == points {
		return false
	}
	share := float64(hits) / float64(points)
	var chiSquared float64
	for _, q := range quadrats {
		expected := float64(q.Points) * share
		chiSquared += math.Pow(float64(q.Hits)-expected, 2) / (expected * (1 - share))
	}
	return distuv.ChiSquared{K: float64(len(quadrats) - 1)}.Survival(chiSquared) < significance
}
