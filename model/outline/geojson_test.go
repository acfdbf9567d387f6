package outline_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"swardcase/model/outline"
)

// square of about 20 m at 53° north, as GeoJSON coordinates.
const squareRing = `[[-6.5,53],[-6.4997,53],[-6.4997,53.00018],[-6.5,53.00018],[-6.5,53]]`

func polygonJSON(rings string) string {
	return `{"type":"Polygon","coordinates":[` + rings + `]}`
}

func TestGeoJSONFormsAreRead(t *testing.T) {
	want := 0.0
	for i, text := range []string{
		polygonJSON(squareRing),
		`{"type":"Feature","geometry":` + polygonJSON(squareRing) + `,"properties":null}`,
		`{"type":"Feature","id":7,"bbox":[1,2,3,4],"surveyor":{"any":["thing"]},"properties":{"name":"x"},"geometry":{"type":"Polygon","crs":{"type":"name"},"coordinates":[` + squareRing + `]}}`,
		polygonJSON(strings.ReplaceAll(squareRing, "53]", "53,71.5]")), // altitudes
		polygonJSON(`[[-6.5,53],[-6.5,53.00018],[-6.4997,53.00018],[-6.4997,53],[-6.5,53]]`),
	} {
		shape, faults := outline.Read(outline.Outline{GeoJSON: json.RawMessage(text)})
		if err := faults.Err(); err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		m := shape.Measures()
		if i == 0 {
			want = m.AreaM2
			// A degree at 53° is 111.280 km north and 67.137 km east (from
			// memory of any such table): 20.030 m by 20.141 m.
			near(t, "area", want, 20.0304*20.1411, 1e-3)
		}
		near(t, "area", m.AreaM2, want, 1e-9)
	}
}

// Spot levels of a GeoJSON outline are in longitude and latitude, and its
// bearings are from true north: this one rises 0.2 m in 20.03 m to the north.
func TestSpotLevelsOnTheEarth(t *testing.T) {
	given := outline.Outline{GeoJSON: json.RawMessage(polygonJSON(squareRing))}
	for _, p := range [][3]float64{{-6.5, 53, 40}, {-6.4997, 53, 40}, {-6.5, 53.00018, 40.2}, {-6.4997, 53.00018, 40.2}} {
		given.SpotLevels = append(given.SpotLevels, outline.SpotLevel{LongitudeDeg: &p[0], LatitudeDeg: &p[1], LevelM: p[2]})
	}
	report, faults := outline.Design(given, outline.Options{}, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	near(t, "fall", report.Plane.FallPct, 100*0.2/20.0304, 1e-4)
	near(t, "bearing", *report.Plane.FallBearingDeg, 180, 1e-6)
	if !report.NorthKnown || !strings.Contains(report.Projection, "WGS 84") {
		t.Errorf("north known %v, projection %q", report.NorthKnown, report.Projection)
	}
}

func TestGeoJSONAcrossTheDateLine(t *testing.T) {
	text := polygonJSON(`[[179.9999,-17],[-179.9998,-17],[-179.9998,-16.9998],[179.9999,-16.9998],[179.9999,-17]]`)
	shape, faults := outline.Read(outline.Outline{GeoJSON: json.RawMessage(text)})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if m := shape.Measures(); m.AreaM2 < 600 || m.AreaM2 > 800 {
		t.Errorf("area %.0f m²", m.AreaM2)
	}
}

func TestBadGeoJSONIsRefused(t *testing.T) {
	tests := []struct{ text, pointer string }{
		{`nonsense`, "/geojson"},
		{`null`, "/geojson"},
		{`[]`, "/geojson"},
		{`{"type":"Point","coordinates":[1,2]}`, "/geojson/type"},
		{`{"type":"MultiPolygon","coordinates":[[` + squareRing + `]]}`, "/geojson/type"},
		{`{"type":"Feature","geometry":null,"properties":null}`, "/geojson/geometry"},
		{`{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]}}`, "/geojson/geometry/type"},
		{`{"type":"FeatureCollection","features":[]}`, "/geojson/type"},
		{`{"type":"Polygon"}`, "/geojson/coordinates"},
		{`{"type":"Polygon","coordinates":null}`, "/geojson/coordinates"},
		{`{"type":"Polygon","coordinates":[null]}`, "/geojson/coordinates/0"},
		{polygonJSON(`[[-6.5,53],[-6.4997],[-6.4997,53.00018],[-6.5,53]]`), "/geojson/coordinates/0/1"},
		{polygonJSON(`[[-6.5,53],[-6.4997,null],[-6.4997,53.00018],[-6.5,53]]`), "/geojson/coordinates/0/1"},
		{polygonJSON(`[[-6.5,53],[-6.4997,53],[-6.4997,53.00018]]`), "/geojson/coordinates/0"},
		{polygonJSON(`[[-6.5,53],[-6.4997,53],[-6.4997,53.00018],[-6.5,53.00018]]`), "/geojson/coordinates/0/3"},
		{polygonJSON(`[[53,-86.5],[53,-86.4997],[53.00018,-86.4997],[53,-86.5]]`), "/geojson/coordinates/0/0"},
		{polygonJSON(`[[-6.5,53],[-5.4,53],[-6.4997,53.00018],[-6.5,53]]`), "/geojson/coordinates/0/1"},
		{polygonJSON(`[[-6.5,53],[-6.4997,53.00018],[-6.4997,53],[-6.5,53.00018],[-6.5,53]]`), "/geojson/coordinates/0/0"},
		{`{"type":"Feature","geometry":` + polygonJSON(`[[-6.5,53],[-6.4997,"x"]]`) + `}`, "/geojson/geometry/coordinates"},
	}
	for _, tt := range tests {
		_, faults := outline.Read(outline.Outline{GeoJSON: json.RawMessage(tt.text)})
		if len(faults) == 0 || faults[0].Pointer != tt.pointer || faults[0].Remedy == "" {
			t.Errorf("%s:\n got %v, want a fault at %s", tt.text, faults, tt.pointer)
		}
	}
	_, faults := outline.Read(outline.Outline{
		GeoJSON: json.RawMessage(polygonJSON(squareRing)), Origin: &outline.Origin{}, HolesMetres: [][][]float64{{}},
	})
	if len(faults) != 2 || faults[0].Pointer != "/origin" || faults[1].Pointer != "/holes_metres" {
		t.Errorf("got %v", faults)
	}
}

// What is written as GeoJSON is read back as the same green: the outline's area
// agrees, and each run measured on the earth has its stated length.
func TestRunsAsGeoJSON(t *testing.T) {
	given := outline.Outline{Metres: kidney(60), Origin: &outline.Origin{LongitudeDeg: -6.5, LatitudeDeg: 53, BearingDeg: 40}}
	shape, report, faults := outline.Draw(given, outline.Options{}, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	layout := report.Layout(outline.Herringbone)
	raw, faults := shape.RunsGeoJSON(layout)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	var collection struct {
		Type     string
		Features []struct {
			ID       string
			Geometry struct {
				Type        string
				Coordinates json.RawMessage
			}
			Properties map[string]any
		}
	}
	if err := json.Unmarshal(raw, &collection); err != nil {
		t.Fatal(err)
	}
	if collection.Type != "FeatureCollection" || len(collection.Features) != 1+len(layout.Runs) {
		t.Fatalf("%s of %d features", collection.Type, len(collection.Features))
	}
	green, err := json.Marshal(map[string]any{"type": "Polygon", "coordinates": collection.Features[0].Geometry.Coordinates})
	if err != nil {
		t.Fatal(err)
	}
	back, faults := outline.Read(outline.Outline{GeoJSON: green})
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	near(t, "area read back", back.Measures().AreaM2, report.Measures.AreaM2, 1e-5)
	for i, run := range layout.Runs {
		feature := collection.Features[i+1]
		var path [][2]float64
		if err := json.Unmarshal(feature.Geometry.Coordinates, &path); err != nil || feature.Geometry.Type != "LineString" {
			t.Fatalf("%s: %v", feature.ID, err)
		}
		length := 0.0
		for j := 1; j < len(path); j++ {
			length += haversineM(path[j-1], path[j])
		}
		// The sphere is within 0.6 % of the ellipsoid.
		near(t, run.ID, length, run.LengthM, 0.006)
		if feature.ID != run.ID || feature.Properties["kind"] != run.Kind {
			t.Errorf("feature %q of %v", feature.ID, feature.Properties)
		}
	}
}

// haversineM is the distance on a sphere of mean radius.
func haversineM(a, b [2]float64) float64 {
	const rad = math.Pi / 180
	s1, s2 := math.Sin((b[1]-a[1])*rad/2), math.Sin((b[0]-a[0])*rad/2)
	h := s1*s1 + math.Cos(a[1]*rad)*math.Cos(b[1]*rad)*s2*s2
	return 2 * 6371008.8 * math.Asin(math.Sqrt(h))
}

func TestAMetreOutlineWithoutOriginHasNoGeoJSON(t *testing.T) {
	shape, report, _ := outline.Draw(outline.Outline{Metres: rectangle(20, 20)}, outline.Options{}, parameters())
	_, faults := shape.RunsGeoJSON(&report.Layouts[0])
	if len(faults) != 1 || faults[0].Pointer != "/origin" || !strings.Contains(faults[0].Remedy, "longitude_deg") {
		t.Errorf("got %v", faults)
	}
}

// soundAfter fails when a green that was accepted gives nonsense.
func soundAfter(t *testing.T, given outline.Outline) {
	shape, report, faults := outline.Draw(given, outline.Options{}, parameters())
	if len(faults) > 0 {
		for _, f := range faults {
			if f.Detail == "" || f.Remedy == "" {
				t.Fatalf("a fault without detail or remedy: %+v", f)
			}
		}
		return
	}
	m := report.Measures
	if !(m.AreaM2 >= outline.LeastAreaM2-1 && m.AreaM2 <= outline.MostAreaM2 && m.PerimeterM <= outline.MostPerimeterM) {
		t.Fatalf("accepted %+v", m)
	}
	for _, layout := range report.Layouts {
		if _, err := json.Marshal(layout); err != nil {
			t.Fatal(err) // NaN or infinity
		}
		if drawn := shape.DrawPlan(&layout, report.Plane, "a"); strings.Contains(drawn, "NaN") || strings.Contains(drawn, "Inf") {
			t.Fatal("the plan holds NaN")
		}
	}
}

func FuzzGeoJSON(f *testing.F) {
	f.Add([]byte(polygonJSON(squareRing)))
	f.Add([]byte(`{"type":"Feature","geometry":` + polygonJSON(squareRing) + `,"properties":{}}`))
	f.Add([]byte(polygonJSON(squareRing + `,[[-6.4999,53.0001],[-6.49985,53.0001],[-6.49985,53.00012],[-6.4999,53.0001]]`)))
	f.Add([]byte(`{"type":"Polygon","coordinates":[[[1e308,1e308],[]]]}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		soundAfter(t, outline.Outline{GeoJSON: raw})
	})
}

func FuzzOutline(f *testing.F) {
	add := func(o outline.Outline) {
		raw, err := json.Marshal(o)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	add(outline.Outline{Metres: rectangle(20, 20)})
	add(outline.Outline{Metres: kidney(20), Origin: &outline.Origin{LatitudeDeg: 50}})
	add(outline.Outline{
		Metres: rectangle(30, 20), HolesMetres: [][][]float64{closed([][]float64{{5, 5}, {8, 5}, {8, 8}})},
		SpotLevels: []outline.SpotLevel{{XM: ref(1), YM: ref(2), LevelM: 3}, {XM: ref(9), YM: ref(2), LevelM: 3.1}, {XM: ref(1), YM: ref(9), LevelM: 3.2}},
	})
	f.Add([]byte(`{"metres":[[0,0],[1e300,0],[null,3]]}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var given outline.Outline
		if json.Unmarshal(raw, &given) != nil {
			return
		}
		soundAfter(t, given)
	})
}

func BenchmarkBothLayouts(b *testing.B) {
	for _, vertices := range []int{50, 200, 1000} {
		b.Run(fmt.Sprint(vertices), func(b *testing.B) {
			shape := read(b, kidney(vertices))
			options := outline.Options{StatedFall: &outline.StatedFall{FallPct: 2, BearingDeg: 200}}
			constants := parameters()
			b.ReportAllocs()
			for b.Loop() {
				for _, kind := range [2]string{outline.Herringbone, outline.PerimeterMain} {
					if _, faults := shape.Lay(kind, options, nil, constants); len(faults) > 0 {
						b.Fatal(faults)
					}
				}
			}
		})
	}
}

func BenchmarkRead(b *testing.B) {
	given := outline.Outline{Metres: kidney(200)}
	for b.Loop() {
		if _, faults := outline.Read(given); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
