package outline

import (
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"

	"swardcase/model/fault"
)

// RunsGeoJSON gives a layout as a GeoJSON FeatureCollection (RFC 7946): the
// outline as a polygon and each run as a line with its measures, in longitude
// and latitude to a hundredth of a millimetre. A metre outline needs an origin
// for it.
func (s *Shape) RunsGeoJSON(layout *Layout) ([]byte, fault.List) {
	if s.place == nil {
		var faults fault.List
		faults.Add("/origin", nil, "a metre outline does not say where on the earth it lies",
			"give origin with longitude_deg, latitude_deg and bearing_deg: the place of the point (0, 0) and the bearing of the y axis")
		return nil, faults
	}
	collection := geojson.NewFeatureCollection()
	polygon := s.polygon()
	for _, ring := range polygon {
		for i := range ring {
			ring[i] = s.onEarth(s.given(ring[i]))
		}
	}
	green := geojson.NewFeature(polygon)
	green.ID = "outline"
	m := s.Measures()
	green.Properties = geojson.Properties{"kind": "outline", "area_m2": m.AreaM2, "perimeter_m": m.PerimeterM}
	collection.Append(green)
	for i := range layout.Runs {
		collection.Append(s.runFeature(&layout.Runs[i]))
	}
	out, err := collection.MarshalJSON()
	if err != nil {
		var faults fault.List
		faults.Add("", nil, "the runs cannot be written as GeoJSON: "+fault.Shorten(err.Error()), "report this with the case")
		return nil, faults
	}
	return out, nil
}

func (s *Shape) runFeature(run *Run) *geojson.Feature {
	path := make(orb.LineString, len(run.Points))
	for i, at := range run.Points {
		path[i] = s.onEarth(orb.Point{at.XM, at.YM})
	}
	feature := geojson.NewFeature(path)
	feature.ID = run.ID
	feature.Properties = geojson.Properties{
		"kind": run.Kind, "into": run.Into, "length_m": run.LengthM,
		"start_invert_m": run.StartInvertM, "end_invert_m": run.EndInvertM,
		"fall_pct": run.FallPct, "greatest_depth_mm": run.GreatestDepthMM,
	}
	return feature
}

// onEarth turns a point of the outline's frame into longitude and latitude,
// rounded to ten decimals: hundredths of a millimetre.
func (s *Shape) onEarth(given orb.Point) orb.Point {
	p := s.place.unproject(given)
	return orb.Round(p, 1e10).(orb.Point)
}
