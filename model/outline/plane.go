package outline

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// Plane is the least-squares plane through the spot levels.
type Plane struct {
	LevelAtCentroidM float64 `json:"level_at_centroid_m"`
	FallPct          float64 `json:"fall_pct"`
	// FallBearingDeg is the direction in which the surface falls, clockwise
	// from north, or from the y axis of an outline without an origin; null
	// when the plane is level.
	FallBearingDeg *float64   `json:"fall_bearing_deg"`
	Spots          int        `json:"spots"`
	Residuals      []Residual `json:"residuals"`
	// ResidualDeviationMM is the standard deviation about the plane, with
	// three degrees of freedom spent; null with exactly three spots.
	ResidualDeviationMM *float64 `json:"residual_deviation_mm"`
	GreatestResidualMM  float64  `json:"greatest_residual_mm"`

	centre   orb.Point
	gradient orb.Point // of the level, uphill
}

// Residual is how far one spot lies above the plane.
type Residual struct {
	Spot    int     `json:"spot"` // place in the list of spot levels, from 0
	AboveMM float64 `json:"above_mm"`
}

// levelAt is the plane's level at a local point, in metres.
func (p *Plane) levelAt(at orb.Point) float64 {
	return p.LevelAtCentroidM + dot(p.gradient, minus(at, p.centre))
}

// FitPlane fits level = c + gx·x + gy·y to the spot levels by ordinary least
// squares, about their mean so that large grid coordinates do no harm. It
// gives nil and the reason when there are fewer than three spots or they lie
// in a line. The warnings say when the surface is not a plane.
func (s *Shape) FitPlane(p Parameters) (*Plane, []string) {
	if len(s.levels) == 0 {
		return nil, []string{"no spot levels: the surface is taken as level"}
	}
	mean, meanLevel := orb.Point{}, 0.0
	for _, l := range s.levels {
		mean = plus(mean, l.at)
		meanLevel += l.levelM
	}
	n := float64(len(s.levels))
	mean, meanLevel = orb.Point{mean[0] / n, mean[1] / n}, meanLevel/n
	gradient, ok := fitGradient(s.levels, mean, meanLevel, nil)
	if len(s.levels) < 3 || !ok {
		return nil, []string{"fewer than three spot levels out of line: the surface is taken as level"}
	}
	plane := &Plane{
		Spots: len(s.levels), FallPct: 100 * math.Hypot(gradient[0], gradient[1]),
		gradient: gradient, centre: mean, LevelAtCentroidM: meanLevel,
	}
	if plane.FallPct > 1e-9 {
		bearing := s.bearing(orb.Point{-gradient[0], -gradient[1]})
		plane.FallBearingDeg = &bearing
	}
	sum := 0.0
	for i, l := range s.levels {
		above := 1000 * (l.levelM - plane.levelAt(l.at))
		plane.Residuals = append(plane.Residuals, Residual{i, above})
		plane.GreatestResidualMM = max(plane.GreatestResidualMM, math.Abs(above))
		sum += above * above
	}
	if n > 3 {
		deviation := math.Sqrt(sum / (n - 3))
		plane.ResidualDeviationMM = &deviation
	}
	centroid := s.centroid()
	plane.LevelAtCentroidM, plane.centre = plane.levelAt(centroid), centroid
	return plane, plane.doubts(p)
}

func (p *Plane) doubts(limits Parameters) []string {
	if p.ResidualDeviationMM == nil {
		return []string{"three spot levels always fit a plane: take more to see whether the surface is one"}
	}
	if *p.ResidualDeviationMM > limits.PlaneResidualMM {
		return []string{fmt.Sprintf(
			"the surface is not a plane: spot levels lie up to %.0f mm off it (standard deviation %.0f mm, more than %.0f mm); check drain levels against the spot levels before setting out",
			p.GreatestResidualMM, *p.ResidualDeviationMM, limits.PlaneResidualMM)}
	}
	return nil
}

// fitGradient solves the two normal equations of a plane about the given
// point. weight may be nil. It is false when the spots lie in a line, to one
// part in a thousand of their spread.
func fitGradient(levels []level, about orb.Point, levelM float64, weight []float64) (orb.Point, bool) {
	var xx, xy, yy, xz, yz float64
	for i, l := range levels {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		d, dz := minus(l.at, about), l.levelM-levelM
		xx += w * d[0] * d[0]
		xy += w * d[0] * d[1]
		yy += w * d[1] * d[1]
		xz += w * d[0] * dz
		yz += w * d[1] * dz
	}
	determinant := xx*yy - xy*xy
	if spread := xx + yy; !(determinant > 1e-6*spread*spread) {
		return orb.Point{}, false
	}
	return orb.Point{(xz*yy - yz*xy) / determinant, (yz*xx - xz*xy) / determinant}, true
}

// centroid of the shape in local metres.
func (s *Shape) centroid() orb.Point {
	m := s.Measures().Centroid
	return minus(orb.Point{m.XM, m.YM}, s.shift)
}
