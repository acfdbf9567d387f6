package outline

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"

	"swardcase/model/fault"
)

// readGeoJSON takes the polygon out of a GeoJSON Polygon, or a Feature holding
// one, and the place that its local metres hang on: the middle of its bounds.
func readGeoJSON(raw json.RawMessage, faults *fault.List) ([]rawRing, *place) {
	polygon, pointer, ok := decodePolygon(raw, faults)
	if !ok {
		return nil, nil
	}
	if len(polygon) > MostHoles+1 {
		faults.Add(pointer, len(polygon), "too many rings", fmt.Sprintf("give one outline and at most %d holes", MostHoles))
		return nil, nil
	}
	rings, count := make([]rawRing, len(polygon)), 0
	for i, ring := range polygon {
		count += len(ring)
		rings[i] = rawRing{pointer: pointer + fault.Pointer(i), at: ring}
		if len(ring) < 4 {
			faults.Add(rings[i].pointer, len(ring), "a ring needs at least three corners and the first point again at the end", "add the missing vertices")
		}
	}
	if count > MostVertices {
		faults.Add(pointer, count, "too many vertices", fmt.Sprintf("thin the outline to at most %d vertices in all", MostVertices))
	}
	if len(*faults) > 0 {
		return nil, nil
	}
	return rings, middle(rings, faults)
}

// middle checks that every vertex is a longitude and latitude near the first,
// and gives the middle of the outer ring's bounds.
func middle(rings []rawRing, faults *fault.List) *place {
	const farDeg = 0.5 // some 55 km: whatever this is, it is not one green
	first := rings[0].at[0]
	low, high := orb.Point{}, orb.Point{} // relative to the first vertex
	for r := range rings {
		for i, p := range rings[r].at {
			at := rings[r].pointer + fault.Pointer(i)
			if !(math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= mostLatitude) {
				faults.Add(at, [2]float64(p), "not a longitude and latitude that this service covers",
					"give [longitude, latitude] in degrees, latitude from -66 to 66")
				continue
			}
			dLon, dLat := math.Remainder(p[0]-first[0], 360), p[1]-first[1]
			if math.Abs(dLon) > farDeg || math.Abs(dLat) > farDeg {
				faults.Add(at, [2]float64(p), "the vertex is far from the first one", "give the outline of one green as [longitude, latitude]")
				continue
			}
			low = orb.Point{min(low[0], dLon), min(low[1], dLat)}
			high = orb.Point{max(high[0], dLon), max(high[1], dLat)}
		}
	}
	if len(*faults) > 0 {
		return nil
	}
	return newPlace(math.Remainder(first[0]+(low[0]+high[0])/2, 360), first[1]+(low[1]+high[1])/2, 0)
}

// decodePolygon finds the polygon and the pointer to its coordinates.
func decodePolygon(raw json.RawMessage, faults *fault.List) (orb.Polygon, string, bool) {
	const form = "give a GeoJSON Polygon, or a Feature whose geometry is a Polygon"
	pointer := "/geojson"
	var feature struct {
		Type     string          `json:"type"`
		Geometry json.RawMessage `json:"geometry"`
	}
	if err := json.Unmarshal(raw, &feature); err != nil {
		faults.Add(pointer, string(raw), "not GeoJSON: "+fault.Shorten(err.Error()), form)
		return nil, "", false
	}
	if feature.Type == "Feature" {
		raw, pointer = feature.Geometry, "/geojson/geometry"
	}
	var geometry *struct {
		Type        string          `json:"type"`
		Coordinates json.RawMessage `json:"coordinates"`
	}
	if err := json.Unmarshal(raw, &geometry); err != nil || geometry == nil {
		faults.Add(pointer, string(raw), "there is no geometry that can be read", form)
		return nil, "", false
	}
	if geometry.Type != "Polygon" {
		faults.Add(pointer+"/type", geometry.Type, "not a polygon", form)
		return nil, "", false
	}
	// The library fills a position that is too short with zeros and takes
	// null for an empty ring, so the shape of the coordinates is read first.
	coordinates := pointer + "/coordinates"
	if !positions(coordinates, geometry.Coordinates, faults) {
		return nil, "", false
	}
	read, err := geojson.UnmarshalGeometry(raw)
	if err != nil {
		faults.Add(coordinates, nil, "not GeoJSON: "+fault.Shorten(err.Error()), form)
		return nil, "", false
	}
	polygon, ok := read.Geometry().(orb.Polygon)
	return polygon, coordinates, ok
}

// positions checks that the coordinates are rings of positions of two numbers
// or three (RFC 7946 section 3.1.1 allows an altitude, which is not used).
func positions(pointer string, raw json.RawMessage, faults *fault.List) bool {
	const form = "write each ring as [[longitude, latitude], …]"
	var rings [][][]*float64
	if err := json.Unmarshal(raw, &rings); err != nil || len(rings) == 0 {
		faults.Add(pointer, string(raw), "not the coordinates of a polygon", form)
		return false
	}
	sound := true
	for i, ring := range rings {
		for j, position := range ring {
			bad := len(position) < 2 || len(position) > 3
			for _, number := range position {
				bad = bad || number == nil
			}
			if bad {
				faults.Add(pointer+fault.Pointer(i, j), len(position), "a position is a longitude and a latitude, with or without an altitude", form)
				sound = false
			}
		}
		if len(ring) == 0 {
			faults.Add(pointer+fault.Pointer(i), nil, "the ring is empty", form)
			sound = false
		}
	}
	return sound
}
