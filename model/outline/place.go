package outline

import (
	"math"

	"github.com/paulmach/orb"

	"swardcase/model/fault"
)

// The WGS 84 ellipsoid (National Imagery and Mapping Agency 2000, TR8350.2,
// Table 3.1): semi-major axis and flattening.
const (
	wgs84SemiMajorM = 6378137.0
	wgs84Flattening = 1 / 298.257223563
)

// place ties local metres to the earth. It is the plane that touches the
// ellipsoid at longitude, latitude: east is measured with the radius of the
// parallel at the point's own latitude to first order, north with the radius
// of the meridian. Within 100 m of the touching point the error is below a
// millimetre up to 66° of latitude; one kilometre away it is below 0.2 m.
type place struct {
	longitude, latitude float64 // degrees, of local (0, 0)
	eastM, northM       float64 // metres for one degree at that latitude
	eastChangeM         float64 // change of eastM for one degree further north
	bearingDeg          float64 // of the local y axis, clockwise from north
}

func newPlace(longitude, latitude, bearingDeg float64) *place {
	const e2 = wgs84Flattening * (2 - wgs84Flattening)
	sin, cos := math.Sincos(latitude * math.Pi / 180)
	w := 1 - e2*sin*sin
	meridian := wgs84SemiMajorM * (1 - e2) / (w * math.Sqrt(w))
	normal := wgs84SemiMajorM / math.Sqrt(w)
	const degree = math.Pi / 180
	return &place{
		longitude: longitude, latitude: latitude, bearingDeg: bearingDeg,
		eastM: normal * cos * degree, northM: meridian * degree,
		eastChangeM: -meridian * sin * degree * degree,
	}
}

// place checks an origin; a nil origin has none.
func (o *Origin) place() (*place, fault.List) {
	if o == nil {
		return nil, nil
	}
	var faults fault.List
	if !(math.Abs(o.LongitudeDeg) <= 180) {
		faults.Add("/longitude_deg", o.LongitudeDeg, "not a longitude", "give degrees from -180 to 180, east positive")
	}
	if !(math.Abs(o.LatitudeDeg) <= mostLatitude) {
		faults.Add("/latitude_deg", o.LatitudeDeg, "not a latitude that this service covers", "give degrees from -66 to 66, north positive")
	}
	if !(o.BearingDeg >= 0 && o.BearingDeg < 360) {
		faults.Add("/bearing_deg", o.BearingDeg, "not a bearing", "give the bearing of the y axis in degrees clockwise from north, from 0 to below 360")
	}
	if len(faults) > 0 {
		return nil, faults
	}
	return newPlace(o.LongitudeDeg, o.LatitudeDeg, o.BearingDeg), nil
}

// project turns longitudes and latitudes into local metres.
func (p *place) project(degrees []orb.Point) []orb.Point {
	local := make([]orb.Point, len(degrees))
	for i, d := range degrees {
		dLon := math.Remainder(d[0]-p.longitude, 360) // the short way round
		dLat := d[1] - p.latitude
		east := dLon * (p.eastM + p.eastChangeM*dLat)
		// A parallel curves away from the touching plane.
		north := dLat*p.northM - 0.5*dLon*dLon*p.eastM*p.eastChangeM/p.northM
		local[i] = p.turn(orb.Point{east, north}, 1)
	}
	return local
}

// unproject turns local metres into longitude and latitude, the inverse of
// project to well below a millimetre.
func (p *place) unproject(local orb.Point) orb.Point {
	enu := p.turn(local, -1)
	dLat, dLon := enu[1]/p.northM, 0.0
	for range 4 {
		dLon = enu[0] / (p.eastM + p.eastChangeM*dLat)
		dLat = (enu[1] + 0.5*dLon*dLon*p.eastM*p.eastChangeM/p.northM) / p.northM
	}
	return orb.Point{math.Remainder(p.longitude+dLon, 360), p.latitude + dLat}
}

// turn rotates east-north into x-y (way 1) or back (way -1).
func (p *place) turn(v orb.Point, way float64) orb.Point {
	if p.bearingDeg == 0 {
		return v
	}
	sin, cos := math.Sincos(way * p.bearingDeg * math.Pi / 180)
	return orb.Point{v[0]*cos - v[1]*sin, v[0]*sin + v[1]*cos}
}

// LatitudeDeg is where on the earth the outline lies, if it says so.
func (s *Shape) LatitudeDeg() (latitude float64, known bool) {
	if s.place == nil {
		return 0, false
	}
	return s.place.latitude, true
}
