package outline

import (
	"math"

	"github.com/paulmach/orb"
)

// Holeable is the ground where a hole can be cut: far enough from the edge and
// not too steep. The slope is that of the spot levels near each place, or of
// the fitted plane where they are too few.
type Holeable struct {
	EdgeDistanceM float64 `json:"edge_distance_m"`
	SlopePct      float64 `json:"slope_pct"`
	// ClearOfEdgePct is the share of the area far enough from the edge,
	// HoleablePct the share that is also flat enough.
	ClearOfEdgePct float64 `json:"clear_of_edge_pct"`
	HoleablePct    float64 `json:"holeable_pct"`
	HoleableM2     float64 `json:"holeable_m2"`
	// SlopeBasis says what the slope rests on.
	SlopeBasis string `json:"slope_basis"` // spot_levels, plane or not_measured
}

// leastLocalSpots is how many spot levels must lie near a place for its slope
// to be taken from them: two to spare over what a plane needs.
const leastLocalSpots = 5

// holeableCellM is half the side of the largest cell whose slope is judged at
// its middle.
const holeableCellM = 0.5

// Holeable measures the ground where a hole can be cut, to about a tenth of a
// metre along its limits. plane may be nil: then only the edge counts.
func (s *Shape) Holeable(plane *Plane, p Parameters) Holeable {
	h := Holeable{EdgeDistanceM: p.HoleableEdgeM, SlopePct: p.HoleableSlopePct, SlopeBasis: "not_measured"}
	slope := func(orb.Point) float64 { return 0 }
	if plane != nil {
		h.SlopeBasis = "plane"
		slope = func(orb.Point) float64 { return plane.FallPct }
		if len(s.levels) > leastLocalSpots {
			h.SlopeBasis = "spot_levels"
			slope = s.localSlope(plane)
		}
	}
	flat := 0.0
	open := s.beyond(s.sides, p.HoleableEdgeM, leastHalfM, holeableCellM, func(c cell) {
		if slope(c.centre) <= p.HoleableSlopePct {
			flat += 4 * c.halfM * c.halfM
		}
	})
	area := s.Measures().AreaM2
	h.ClearOfEdgePct = min(100, 100*open/area)
	h.HoleablePct = min(100, 100*flat/area)
	h.HoleableM2 = flat
	return h
}

// localSlope gives the slope at a place in per cent: that of a plane fitted to
// the spots about it, weighted by exp(-(d/h)²) with h one and a half times the
// mean distance between spots, so that a ridge or a bowl shows its own slopes
// and not their mean.
func (s *Shape) localSlope(plane *Plane) func(orb.Point) float64 {
	h := 1.5 * math.Sqrt(s.Measures().AreaM2/float64(len(s.levels)))
	near := make([]level, 0, len(s.levels))
	weight := make([]float64, 0, len(s.levels))
	return func(at orb.Point) float64 {
		near, weight = near[:0], weight[:0]
		sum, mean, meanLevel := 0.0, orb.Point{}, 0.0
		for _, l := range s.levels {
			d := between(l.at, at) / h
			if d > 2.5 {
				continue
			}
			w := math.Exp(-d * d)
			near, weight = append(near, l), append(weight, w)
			sum += w
			mean = orb.Point{mean[0] + w*l.at[0], mean[1] + w*l.at[1]}
			meanLevel += w * l.levelM
		}
		if len(near) < leastLocalSpots {
			return plane.FallPct
		}
		mean = orb.Point{mean[0] / sum, mean[1] / sum}
		gradient, ok := fitGradient(near, mean, meanLevel/sum, weight)
		if !ok {
			return plane.FallPct
		}
		return 100 * math.Hypot(gradient[0], gradient[1])
	}
}
