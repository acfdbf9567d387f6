package model

import (
	"errors"
	"strings"
	"testing"

	"swardcase/model/fault"
	"swardcase/model/outline"
)

// rectangleOutline is 24 m by 18 m: 432 m² and 84 m round.
func rectangleOutline() *outline.Outline {
	return &outline.Outline{Metres: [][]float64{{0, 0}, {24, 0}, {24, 18}, {0, 18}, {0, 0}}}
}

func faultsOf(t *testing.T, err error) map[string]fault.Fault {
	t.Helper()
	found := map[string]fault.Fault{}
	var faults fault.List
	if err != nil && !errors.As(err, &faults) {
		t.Fatal(err)
	}
	for _, f := range faults {
		found[f.Pointer] = f
		if f.Detail == "" || f.Remedy == "" {
			t.Errorf("%s: detail %q, remedy %q", f.Pointer, f.Detail, f.Remedy)
		}
	}
	return found
}

// TestMeasuresComeFromTheOutline: what is stated counts only as far as it agrees
// with the drawing, to 2 %.
func TestMeasuresComeFromTheOutline(t *testing.T) {
	tests := []struct {
		name            string
		area, perimeter float64
		outline         *outline.Outline
		faulty          []string
	}{
		{"an outline alone", 0, 0, rectangleOutline(), nil},
		{"stated close to it", 424, 85.6, rectangleOutline(), nil},
		{"an area 3 % off", 445, 84, rectangleOutline(), []string{"/green/area_m2"}},
		{"both off", 300, 70, rectangleOutline(), []string{"/green/area_m2", "/green/perimeter_m"}},
		{"neither", 0, 0, nil, []string{"/green/area_m2", "/green/perimeter_m"}},
		{"no perimeter", 432, 0, nil, []string{"/green/perimeter_m"}},
		{"less than a circle's", 432, 70, nil, []string{"/green/perimeter_m"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := readCase(t, "green_04")
			c.Green.AreaM2, c.Green.PerimeterM, c.Green.Outline = tt.area, tt.perimeter, tt.outline
			resolved, err := Resolve(c)
			found := faultsOf(t, err)
			if len(found) != len(tt.faulty) {
				t.Errorf("got %v, want faults at %v", err, tt.faulty)
			}
			for _, pointer := range tt.faulty {
				if _, ok := found[pointer]; !ok {
					t.Errorf("no fault at %s in %v", pointer, err)
				}
			}
			if err == nil && (resolved.Case.Green.AreaM2 != 432 || resolved.Case.Green.PerimeterM != 84) {
				t.Errorf("measured %g m² and %g m, want 432 and 84", resolved.Case.Green.AreaM2, resolved.Case.Green.PerimeterM)
			}
		})
	}
}

func TestADisagreementNamesBothFigures(t *testing.T) {
	c := readCase(t, "green_04")
	c.Green.AreaM2, c.Green.PerimeterM, c.Green.Outline = 500, 0, rectangleOutline()
	_, err := Resolve(c)
	f := faultsOf(t, err)["/green/area_m2"]
	if !strings.Contains(f.Detail, "500 m²") || !strings.Contains(f.Detail, "432.0 m²") || f.Value != "500" {
		t.Errorf("got %+v", f)
	}
}

func TestABadOutlineIsNamedByItsVertex(t *testing.T) {
	c := readCase(t, "green_04")
	c.Green.Outline = &outline.Outline{Metres: [][]float64{{0, 0}, {24, 18}, {24, 0}, {0, 18}, {0, 0}}}
	_, err := Resolve(c)
	if f, ok := faultsOf(t, err)["/green/outline/metres/0"]; !ok || !strings.Contains(f.Detail, "crosses") {
		t.Errorf("got %v", err)
	}
}

// TestAnOutlineElsewhereIsRefused: two latitudes of one green agree to a degree.
func TestAnOutlineElsewhereIsRefused(t *testing.T) {
	for latitude, sound := range map[float64]bool{52.9: true, 51.3: true, 53.3: false, -52.2: false} {
		c := readCase(t, "green_14")
		c.Site.LatitudeDeg = 52.2
		c.Green.Outline.Origin.LatitudeDeg = latitude
		_, err := Resolve(c)
		if _, bad := faultsOf(t, err)["/site/latitude_deg"]; bad == sound {
			t.Errorf("outline at %g: %v", latitude, err)
		}
	}
}
