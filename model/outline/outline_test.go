package outline_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/outline"
)

func with(ring [][]float64, i int, p ...float64) [][]float64 {
	out := make([][]float64, len(ring))
	copy(out, ring)
	out[i] = p
	return out
}

func TestBadOutlinesAreRefusedWithTheVertexNamed(t *testing.T) {
	square := rectangle(20, 20)
	far := func(n int) [][]float64 {
		ring := make([][]float64, n)
		for i := range ring {
			ring[i] = []float64{float64(i), 0}
		}
		return ring
	}
	tests := []struct {
		name    string
		outline outline.Outline
		pointer string
		detail  string
	}{
		{"missing", outline.Outline{}, "/metres", "missing"},
		{"too few", outline.Outline{Metres: square[:3]}, "/metres", "three corners"},
		{"too many", outline.Outline{Metres: far(2001)}, "/metres", "too many"},
		{"open", outline.Outline{Metres: square[:4]}, "/metres/3", "open"},
		{"not a pair", outline.Outline{Metres: with(square, 2, 20)}, "/metres/2", "two numbers"},
		{"altitude", outline.Outline{Metres: with(square, 2, 20, 20, 3)}, "/metres/2", "two numbers"},
		{"not a number", outline.Outline{Metres: with(square, 1, math.NaN(), 0)}, "/metres/1", "grid"},
		{"infinite", outline.Outline{Metres: with(square, 1, 20, math.Inf(-1))}, "/metres/1", "grid"},
		{"off any grid", outline.Outline{Metres: with(square, 1, 1e9, 0)}, "/metres/1", "grid"},
		{"self-crossing", outline.Outline{Metres: closed([][]float64{{0, 0}, {20, 20}, {20, 0}, {0, 20}})}, "/metres/0", "between vertices 0 and 1 crosses or touches the side between vertices 2 and 3"},
		{"touching", outline.Outline{Metres: closed([][]float64{{0, 0}, {20, 0}, {20, 20}, {10, 0}, {0, 20}})}, "/metres/0", "crosses or touches"},
		{"spike", outline.Outline{Metres: closed([][]float64{{0, 0}, {20, 0}, {20, 20}, {20, 30}, {20, 20}, {0, 20}})}, "/metres/1", "between vertices 1 and 2 crosses or touches the side between vertices 3 and 4"},
		{"one point", outline.Outline{Metres: [][]float64{{5, 5}, {5, 5}, {5, 5}, {5, 5}}}, "/metres", "fewer than three"},
		{"flat", outline.Outline{Metres: closed([][]float64{{0, 0}, {10, 0}, {20, 0}})}, "/metres/0", "crosses or touches"},
		{"tiny", outline.Outline{Metres: rectangle(5, 5)}, "/metres", "tiny"},
		{"absurd", outline.Outline{Metres: rectangle(100, 100)}, "/metres", "absurdly large"},
		{"absurd edge", outline.Outline{Metres: rectangle(300, 2)}, "/metres/0", "absurdly long"},
		{"twice", outline.Outline{Metres: square, GeoJSON: json.RawMessage(`{}`)}, "/geojson", "twice"},
		{"hole outside", outline.Outline{Metres: square, HolesMetres: [][][]float64{closed([][]float64{{30, 30}, {32, 30}, {32, 32}})}}, "/holes_metres/0/0", "not inside"},
		{"hole across", outline.Outline{Metres: square, HolesMetres: [][][]float64{closed([][]float64{{15, 15}, {25, 15}, {15, 18}})}}, "/metres/1", "/holes_metres/0"},
		{"hole open", outline.Outline{Metres: square, HolesMetres: [][][]float64{{{5, 5}, {8, 5}, {8, 8}, {5, 8}}}}, "/holes_metres/0/3", "open"},
		{"hole in hole", outline.Outline{Metres: square, HolesMetres: [][][]float64{
			closed([][]float64{{2, 2}, {15, 2}, {15, 15}, {2, 15}}), closed([][]float64{{5, 5}, {8, 5}, {8, 8}}),
		}}, "/holes_metres/1/0", "within another hole"},
		{"bad origin", outline.Outline{Metres: square, Origin: &outline.Origin{LatitudeDeg: 91}}, "/origin/latitude_deg", "latitude"},
		{"far origin", outline.Outline{Metres: closed([][]float64{{5000, 0}, {5020, 0}, {5020, 20}}), Origin: &outline.Origin{}}, "/metres/0", "from the origin"},
		{"bad spot", outline.Outline{Metres: square, SpotLevels: []outline.SpotLevel{{XM: ref(1), YM: ref(1), LevelM: math.NaN()}}}, "/spot_levels/0/level_m", "not a level"},
		{"spot elsewhere", outline.Outline{Metres: square, SpotLevels: []outline.SpotLevel{{XM: ref(500), YM: ref(1)}}}, "/spot_levels/0", "outside"},
		{"spot without a place", outline.Outline{Metres: square, SpotLevels: []outline.SpotLevel{{LongitudeDeg: ref(1), LatitudeDeg: ref(1)}}}, "/spot_levels/0", "not in the form"},
	}
	for _, tt := range tests {
		_, faults := outline.Read(tt.outline)
		if len(faults) == 0 {
			t.Errorf("%s: accepted", tt.name)
			continue
		}
		if faults[0].Pointer != tt.pointer || !strings.Contains(faults[0].Detail, tt.detail) || faults[0].Remedy == "" {
			t.Errorf("%s: got %v, want %s … %s", tt.name, faults[0], tt.pointer, tt.detail)
		}
	}
}

func TestEveryBadVertexIsReportedAtOnce(t *testing.T) {
	ring := with(with(rectangle(20, 20), 1, math.NaN(), 0), 3, 1)
	_, faults := outline.Read(outline.Outline{Metres: ring, Origin: &outline.Origin{LongitudeDeg: 200, BearingDeg: -1}})
	if len(faults) != 4 {
		t.Errorf("%d faults, want 4: %v", len(faults), faults)
	}
}

// Repeated vertices, a closing error of a few millimetres and either direction
// of travel are how surveys come: they change nothing.
func TestHarmlessOutlinesAreAccepted(t *testing.T) {
	for name, ring := range map[string][][]float64{
		"clockwise":     {{0, 0}, {0, 20}, {20, 20}, {20, 0}, {0, 0}},
		"repeated":      {{0, 0}, {20, 0}, {20, 0}, {20, 20}, {20, 20}, {0, 20}, {0, 0}},
		"nearly closed": {{0, 0}, {20, 0}, {20, 20}, {0, 20}, {0.004, 0.003}},
	} {
		if m := read(t, ring).Measures(); math.Abs(m.AreaM2-400) > 1e-9 || m.Vertices != 4 {
			t.Errorf("%s: %+v", name, m)
		}
	}
}

// A crossing is found if and only if another library calls the ring invalid,
// on rings of random points (nearly all of which cross).
func TestCrossingsAgreeWithAnotherLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 7).Draw(t, "n")
		ring := make([][]float64, n)
		for i := range ring {
			ring[i] = []float64{
				float64(rapid.IntRange(0, 40).Draw(t, "x")), float64(rapid.IntRange(0, 40).Draw(t, "y")),
			}
		}
		ring = closed(ring)
		_, faults := outline.Read(outline.Outline{Metres: ring})
		crossing := false
		for _, f := range faults {
			crossing = crossing || strings.Contains(f.Detail, "crosses or touches") || strings.Contains(f.Detail, "fewer than three")
		}
		if valid := validRing(ring); valid == crossing {
			t.Fatalf("%v: crossing %v, other library valid %v", ring, crossing, valid)
		}
	})
}
