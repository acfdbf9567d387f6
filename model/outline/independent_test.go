package outline_test

import "github.com/peterstace/simplefeatures/geom"

// validRing asks another library whether a ring bounds a polygon.
func validRing(ring [][]float64) bool {
	flat := make([]float64, 0, 2*len(ring))
	for _, p := range ring {
		flat = append(flat, p[0], p[1])
	}
	line := geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
	return geom.NewPolygon([]geom.LineString{line}).Validate() == nil
}
