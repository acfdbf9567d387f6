package outline

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// earthCentred turns geodetic into earth-centred coordinates on WGS 84 (the
// closed form of any geodesy text).
func earthCentred(longitude, latitude float64) [3]float64 {
	const e2 = wgs84Flattening * (2 - wgs84Flattening)
	sinLon, cosLon := math.Sincos(longitude * math.Pi / 180)
	sinLat, cosLat := math.Sincos(latitude * math.Pi / 180)
	n := wgs84SemiMajorM / math.Sqrt(1-e2*sinLat*sinLat)
	return [3]float64{n * cosLat * cosLon, n * cosLat * sinLon, n * (1 - e2) * sinLat}
}

// tangent turns a point of the ellipsoid into east and north on the plane that
// touches it at the origin, through earth-centred coordinates.
func tangent(longitude0, latitude0, longitude, latitude float64) orb.Point {
	a, b := earthCentred(longitude0, latitude0), earthCentred(longitude, latitude)
	d := [3]float64{b[0] - a[0], b[1] - a[1], b[2] - a[2]}
	sinLon, cosLon := math.Sincos(longitude0 * math.Pi / 180)
	sinLat, cosLat := math.Sincos(latitude0 * math.Pi / 180)
	return orb.Point{
		-sinLon*d[0] + cosLon*d[1],
		-sinLat*cosLon*d[0] - sinLat*sinLon*d[1] + cosLat*d[2],
	}
}

// At 100 m from the middle the local projection is within a millimetre of the
// touching plane, everywhere a site may lie.
func TestProjectionErrorAt100M(t *testing.T) {
	worst := 0.0
	for latitude := -66.0; latitude <= 66; latitude += 3 {
		p := newPlace(-7.5, latitude, 0)
		for bearing := 0.0; bearing < 360; bearing += 15 {
			sin, cos := math.Sincos(bearing * math.Pi / 180)
			degrees := p.unproject(orb.Point{100 * sin, 100 * cos})
			got := p.project([]orb.Point{degrees})[0]
			worst = max(worst, between(got, tangent(-7.5, latitude, degrees[0], degrees[1])))
		}
	}
	if worst > 0.001 {
		t.Errorf("%.4f mm from the touching plane at 100 m", 1000*worst)
	}
	t.Logf("greatest error at 100 m: %.5f mm", 1000*worst)
}

// Lengths of a degree on the ellipsoid in kilometres, as any table of them
// prints (here from memory): a degree of latitude and one of longitude.
func TestLengthsOfADegree(t *testing.T) {
	for _, row := range []struct{ latitude, north, east float64 }{
		{0, 110.574, 111.320}, {15, 110.649, 107.551}, {30, 110.852, 96.486}, {45, 111.132, 78.847}, {60, 111.412, 55.800},
	} {
		p := newPlace(0, row.latitude, 0)
		// The table takes a degree of latitude about the middle; 1 m of slack
		// is the last printed digit.
		if math.Abs(p.northM/1000-row.north) > 0.001 || math.Abs(p.eastM/1000-row.east) > 0.001 {
			t.Errorf("%g°: north %.3f east %.3f km, want %.3f %.3f", row.latitude, p.northM/1000, p.eastM/1000, row.north, row.east)
		}
	}
}

func TestProjectionRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newPlace(rapid.Float64Range(-180, 180).Draw(t, "longitude"), rapid.Float64Range(-66, 66).Draw(t, "latitude"),
			rapid.Float64Range(0, 359).Draw(t, "bearing"))
		at := orb.Point{rapid.Float64Range(-1000, 1000).Draw(t, "x"), rapid.Float64Range(-1000, 1000).Draw(t, "y")}
		if back := p.project([]orb.Point{p.unproject(at)})[0]; between(back, at) > 1e-4 {
			t.Fatalf("%v comes back as %v", at, back)
		}
	})
}

// The y axis of an outline whose bearing is 90° points east.
func TestBearingOfTheYAxis(t *testing.T) {
	p := newPlace(0, 50, 90)
	at := p.unproject(orb.Point{0, 100})
	if at[0] <= 0 || math.Abs(at[1]-50) > 1e-5 {
		t.Errorf("100 m along y lies at %v", at)
	}
}
