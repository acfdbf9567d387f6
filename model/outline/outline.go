package outline

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"swardcase/model/fault"
)

// Outline is the edge of a green as it was surveyed: either Metres with
// HolesMetres, or GeoJSON. Every ring ends on the point it starts from.
type Outline struct {
	// Metres is the ring [[x, y], …] in any metre grid, x to the right of y.
	Metres [][]float64 `json:"metres,omitempty"`
	// HolesMetres are rings of ground inside the outline that are not green.
	HolesMetres [][][]float64 `json:"holes_metres,omitempty"`
	// GeoJSON is a Polygon, or a Feature holding one, in longitude and
	// latitude (RFC 7946). Foreign members are ignored.
	GeoJSON json.RawMessage `json:"geojson,omitempty"`
	// SpotLevels are measured surface levels, in metres above any datum.
	SpotLevels []SpotLevel `json:"spot_levels,omitempty"`
	// Origin says where on the earth a metre outline lies.
	Origin *Origin `json:"origin,omitempty"`
}

// SpotLevel is the level of the surface at one point: at x_m, y_m for a metre
// outline, at longitude_deg, latitude_deg for a GeoJSON one.
type SpotLevel struct {
	XM           *float64 `json:"x_m,omitempty"`
	YM           *float64 `json:"y_m,omitempty"`
	LongitudeDeg *float64 `json:"longitude_deg,omitempty"`
	LatitudeDeg  *float64 `json:"latitude_deg,omitempty"`
	LevelM       float64  `json:"level_m"`
}

// Origin is the place of the point (0, 0) of a metre outline, and the bearing
// of its y axis in degrees clockwise from true north.
type Origin struct {
	LongitudeDeg float64 `json:"longitude_deg"`
	LatitudeDeg  float64 `json:"latitude_deg"`
	BearingDeg   float64 `json:"bearing_deg"`
}

// What an outline may be. The largest green in the contract is 3,000 m² with
// an edge of 500 m; beyond that something is in the wrong unit.
const (
	MostVertices   = 2000 // in all rings together
	MostHoles      = 20
	MostSpotLevels = 2000
	LeastAreaM2    = 50
	MostAreaM2     = 3000
	MostPerimeterM = 500
	leastHoleM2    = 0.25
	mostGridM      = 1e7  // coordinate of a national grid
	mostLevelM     = 9000 // above any datum
	closingM       = 0.01 // a traverse closes within a centimetre
	touchingM      = 0.001
	mostOriginM    = 1000 // of a metre outline from its origin
	mostLatitude   = 66   // as far as the contract's sites go
)

// Shape is an outline that has been checked: simple, closed, of a size a green
// can have. Its points are in local metres; shift leads back to the frame that
// the outline was given in.
type Shape struct {
	rings  []ring // the outer one anticlockwise, then the holes clockwise
	sides  []segment
	bands  bands
	shift  orb.Point
	place  *place
	levels []level
	// measures are worked out once, since a shape does not change.
	measures Measures
	// projected is true of an outline given in longitude and latitude.
	projected bool
}

// ring is one closed line of vertices, without the repeated last one.
type ring struct {
	at    []orb.Point
	chain []float64 // distance along the ring to each vertex
	total float64
	first int // index of the ring's first side in the shape's list
}

// level is a spot level in local metres.
type level struct {
	at     orb.Point
	levelM float64
}

// rawRing is a ring as given, with the pointer that names its vertices.
type rawRing struct {
	pointer string
	at      []orb.Point // as given
	local   []orb.Point
	index   []int // of each local vertex in the list as given
}

// Read checks an outline and makes a Shape of it. It reports every fault it
// can find at once, each naming the vertex.
func Read(o Outline) (*Shape, fault.List) {
	var faults fault.List
	given, place := o.rings(&faults)
	if len(faults) > 0 {
		return nil, faults
	}
	s := &Shape{place: place, projected: o.GeoJSON != nil}
	if s.projected {
		for i := range given {
			given[i].local = place.project(given[i].at)
		}
	} else {
		s.shift = given[0].at[0]
		for i := range given {
			given[i].local = make([]orb.Point, len(given[i].at))
			for j, p := range given[i].at {
				given[i].local[j] = minus(p, s.shift)
			}
		}
	}
	for i := range given {
		given[i].near(place, o.GeoJSON == nil, &faults)
		given[i].close(&faults)
	}
	if len(faults) > 0 {
		return nil, faults
	}
	s.build(given)
	s.check(given, &faults)
	s.levels = o.spotLevels(s, &faults)
	if len(faults) > 0 {
		return nil, faults
	}
	return s, nil
}

// rings takes the rings out of whichever form the outline was given in.
func (o Outline) rings(faults *fault.List) ([]rawRing, *place) {
	switch {
	case o.Metres != nil && o.GeoJSON != nil:
		faults.Add("/geojson", nil, "the outline is given twice, in metres and as GeoJSON", "keep one of the two")
		return nil, nil
	case o.GeoJSON != nil:
		if o.Origin != nil {
			faults.Add("/origin", nil, "a GeoJSON outline already says where it lies", "leave the origin out")
		}
		if o.HolesMetres != nil {
			faults.Add("/holes_metres", nil, "holes in metres do not fit a GeoJSON outline",
				"give the holes as further rings of the GeoJSON polygon")
		}
		return readGeoJSON(o.GeoJSON, faults)
	case o.Metres == nil:
		faults.Add("/metres", nil, "the outline is missing", "give the outline as a ring of [x, y] in metres, or as geojson")
		return nil, nil
	}
	rings := []rawRing{{pointer: "/metres", at: readMetres("/metres", o.Metres, faults)}}
	if len(o.HolesMetres) > MostHoles {
		faults.Add("/holes_metres", len(o.HolesMetres), "too many holes", fmt.Sprintf("give at most %d", MostHoles))
		return nil, nil
	}
	count := len(o.Metres)
	for i, hole := range o.HolesMetres {
		count += len(hole)
		pointer := fault.Pointer("holes_metres", i)
		rings = append(rings, rawRing{pointer: pointer, at: readMetres(pointer, hole, faults)})
	}
	if count > MostVertices {
		faults.Add("/metres", count, "too many vertices", fmt.Sprintf("thin the outline to at most %d vertices in all", MostVertices))
	}
	place, bad := o.Origin.place()
	faults.Under("/origin", bad)
	return rings, place
}

func readMetres(pointer string, points [][]float64, faults *fault.List) []orb.Point {
	if len(points) < 4 {
		faults.Add(pointer, len(points), "a ring needs at least three corners and the first point again at the end", "add the missing vertices")
		return nil
	}
	if len(points) > MostVertices {
		faults.Add(pointer, len(points), "too many vertices", fmt.Sprintf("thin the ring to at most %d vertices", MostVertices))
		return nil
	}
	ring := make([]orb.Point, len(points))
	for i, p := range points {
		at := pointer + fault.Pointer(i)
		if len(p) != 2 {
			faults.Add(at, p, "a vertex is two numbers, x and y in metres", "write it as [x, y]")
			continue
		}
		if !(math.Abs(p[0]) <= mostGridM && math.Abs(p[1]) <= mostGridM) {
			faults.Add(at, p, "the vertex is not on any metre grid", "give x and y in metres, at most 10,000,000 either way")
			continue
		}
		ring[i] = orb.Point{p[0], p[1]}
	}
	return ring
}

// near refuses a metre outline that lies far from its stated origin, where a
// plane that touches the earth at the origin no longer fits it.
func (r *rawRing) near(place *place, metres bool, faults *fault.List) {
	if place == nil || !metres {
		return
	}
	for i, p := range r.at {
		if math.Hypot(p[0], p[1]) > mostOriginM {
			faults.Add(r.pointer+fault.Pointer(i), [2]float64(p),
				fmt.Sprintf("the vertex lies more than %d m from the origin", mostOriginM),
				"move the origin to the green: it is the place of the point (0, 0)")
			return
		}
	}
}

// close checks that the ring ends where it starts, takes off that last point,
// and drops vertices that repeat the one before.
func (r *rawRing) close(faults *fault.List) {
	last := len(r.local) - 1
	if open := between(r.local[0], r.local[last]); open > closingM {
		faults.Add(r.pointer+fault.Pointer(last), [2]float64(r.at[last]),
			fmt.Sprintf("the ring is open: its last vertex lies %.3g m from its first", open),
			"repeat the first vertex at the end, or add the vertices that are missing")
		return
	}
	kept := r.local[:0:0]
	for i, p := range r.local[:last] {
		if n := len(kept); n > 0 && between(kept[n-1], p) < touchingM {
			continue
		}
		kept, r.index = append(kept, p), append(r.index, i)
	}
	for n := len(kept); n > 1 && between(kept[n-1], kept[0]) < touchingM; n = len(kept) {
		kept, r.index = kept[:n-1], r.index[:n-1]
	}
	r.local = kept
	if len(kept) < 3 {
		faults.Add(r.pointer, nil, "the ring has fewer than three different corners", "give at least three corners that do not coincide")
	}
}

// build lays the rings out, outer anticlockwise and holes clockwise, and
// flattens their sides and measures them.
func (s *Shape) build(given []rawRing) {
	for i := range given {
		g := &given[i]
		if clockwise := signedArea(g.local) < 0; clockwise != (i > 0) {
			reverse(g.local)
			reverse(g.index)
		}
		r := ring{at: g.local, chain: make([]float64, len(g.local)), first: len(s.sides)}
		for j, p := range r.at {
			r.chain[j] = r.total
			side := newSegment(p, r.at[(j+1)%len(r.at)])
			r.total += side.length
			s.sides = append(s.sides, side)
		}
		s.rings = append(s.rings, r)
	}
	s.bands = newBands(s.sides)
	s.measures = s.measure()
}

func reverse[T any](list []T) {
	for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
		list[i], list[j] = list[j], list[i]
	}
}

// given turns a local point back into the frame of the outline.
func (s *Shape) given(p orb.Point) orb.Point { return plus(p, s.shift) }

// spotLevels brings the spot levels into local metres.
func (o Outline) spotLevels(s *Shape, faults *fault.List) []level {
	if len(o.SpotLevels) > MostSpotLevels {
		faults.Add("/spot_levels", len(o.SpotLevels), "too many spot levels", fmt.Sprintf("give at most %d", MostSpotLevels))
		return nil
	}
	levels := make([]level, 0, len(o.SpotLevels))
	for i, spot := range o.SpotLevels {
		at := fault.Pointer("spot_levels", i)
		if !(math.Abs(spot.LevelM) <= mostLevelM) {
			faults.Add(at+"/level_m", spot.LevelM, "not a level", "give the level in metres above the datum")
			continue
		}
		p, ok := s.locate(spot, o.GeoJSON != nil, at, faults)
		if !ok {
			continue
		}
		if far := distanceTo(s.sides, p); far > 50 && !s.contains(p) {
			faults.Add(at, [2]float64(s.given(p)), fmt.Sprintf("the spot lies %.0f m outside the outline", far),
				"give it in the frame of the outline, within 50 m of it")
			continue
		}
		levels = append(levels, level{p, spot.LevelM})
	}
	return levels
}

func (s *Shape) locate(spot SpotLevel, geographic bool, at string, faults *fault.List) (orb.Point, bool) {
	x, y, names, other := spot.XM, spot.YM, "x_m and y_m", spot.LongitudeDeg != nil || spot.LatitudeDeg != nil
	if geographic {
		x, y, names, other = spot.LongitudeDeg, spot.LatitudeDeg, "longitude_deg and latitude_deg", spot.XM != nil || spot.YM != nil
	}
	if x == nil || y == nil || other {
		faults.Add(at, nil, "the spot's position is not in the form that the outline has", "give "+names+" and no other position")
		return orb.Point{}, false
	}
	p := orb.Point{*x, *y}
	bound := float64(mostGridM)
	if geographic {
		bound = 180
	}
	if !(math.Abs(p[0]) <= bound && math.Abs(p[1]) <= bound) {
		faults.Add(at, [2]float64(p), "not a position", "give "+names+" as plain numbers")
		return orb.Point{}, false
	}
	if geographic {
		return s.place.project([]orb.Point{p})[0], true
	}
	return minus(p, s.shift), true
}
