package outline

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// Point is a place in the frame that the outline was given in: the same grid
// for a metre outline, metres east and north of the middle for a GeoJSON one.
type Point struct {
	XM float64 `json:"x_m"`
	YM float64 `json:"y_m"`
}

// Measures are the plain measures of an outline.
type Measures struct {
	AreaM2         float64 `json:"area_m2"`          // without the holes
	PerimeterM     float64 `json:"perimeter_m"`      // of the outer ring
	HolePerimeterM float64 `json:"hole_perimeter_m"` // of all holes
	Centroid       Point   `json:"centroid"`
	Vertices       int     `json:"vertices"` // different corners of all rings
	Holes          int     `json:"holes"`
}

// Measures gives area, perimeter and centroid. Area and centroid are those of
// the polygon (Bourke 1988, Calculating the area and centroid of a polygon).
func (s *Shape) Measures() Measures { return s.measures }

// measure works the measures out, once the rings are laid out.
func (s *Shape) measure() Measures {
	centroid, area := planar.CentroidArea(s.polygon())
	given := s.given(centroid)
	m := Measures{
		AreaM2: area, PerimeterM: s.rings[0].total,
		Centroid: Point{given[0], given[1]},
		Vertices: len(s.sides), Holes: len(s.rings) - 1,
	}
	for _, hole := range s.rings[1:] {
		m.HolePerimeterM += hole.total
	}
	return m
}

// polygon gives the shape in the geometry library's form, in local metres.
func (s *Shape) polygon() orb.Polygon {
	polygon := make(orb.Polygon, len(s.rings))
	for i, r := range s.rings {
		polygon[i] = append(append(make(orb.Ring, 0, len(r.at)+1), r.at...), r.at[0])
	}
	return polygon
}

// bearing gives the direction of a local vector in degrees clockwise from true
// north, or from the y axis when the outline has no place on the earth.
func (s *Shape) bearing(d orb.Point) float64 {
	degrees := math.Atan2(d[0], d[1]) * 180 / math.Pi
	if s.place != nil {
		degrees += s.place.bearingDeg
	}
	return math.Mod(degrees+720, 360)
}

// direction is the inverse of bearing: a unit vector in local metres.
func (s *Shape) direction(bearingDeg float64) orb.Point {
	if s.place != nil {
		bearingDeg -= s.place.bearingDeg
	}
	sin, cos := math.Sincos(bearingDeg * math.Pi / 180)
	return orb.Point{sin, cos}
}
