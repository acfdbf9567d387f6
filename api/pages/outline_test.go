package pages

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"swardcase/model"
	"swardcase/model/outline"
)

// TestAnOutlineIsDrawnToScale draws a rectangle of 30 m by 20 m: 300 units over
// 30 m make ten units to the metre, and north is up.
func TestAnOutlineIsDrawnToScale(t *testing.T) {
	x, y := 3.0, 4.0
	g := model.Green{Outline: &outline.Outline{
		Metres:      [][]float64{{0, 0}, {30, 0}, {30, 20}, {0, 20}, {0, 0}},
		HolesMetres: [][][]float64{{{10, 5}, {12, 5}, {12, 7}, {10, 5}}},
		SpotLevels:  []outline.SpotLevel{{XM: &x, YM: &y, LevelM: 2}},
		Origin:      nil,
	}}
	svg := string(drawOutline(g))
	for _, want := range []string{
		`viewBox="0 0 320.0 254.0"`,
		`class="green" d="M10.0 210.0L310.0 210.0L310.0 10.0L10.0 10.0L10.0 210.0Z"`,
		`class="hole" d="M110.0 160.0`,
		`cx="40.0" cy="170.0"`,
		`25 m; a square is 5 m wide`,
		`aria-label="Outline of the green, 30 m by 20 m over all"`,
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("%s is not in\n%s", want, svg)
		}
	}
	for decoder := xml.NewDecoder(strings.NewReader(svg)); ; {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// TestWhatCannotBeDrawnIsLeftOut
func TestWhatCannotBeDrawnIsLeftOut(t *testing.T) {
	for _, o := range []*outline.Outline{nil, {}, {Metres: [][]float64{{0, 0}}}} {
		if svg := drawOutline(model.Green{Outline: o}); svg != "" {
			t.Errorf("%+v gave %s", o, svg)
		}
	}
}

// TestNamesStandInTheOrderOfTheirNumbers
func TestNamesStandInTheOrderOfTheirNumbers(t *testing.T) {
	for _, tt := range []struct{ first, second string }{{"2nd", "10th"}, {"10th", "Practice"}, {"A", "B"}, {"9", "99999999999999999999"}} {
		if compareNames(tt.first, tt.second) >= 0 || compareNames(tt.second, tt.first) <= 0 {
			t.Errorf("%s does not stand before %s", tt.first, tt.second)
		}
	}
}
