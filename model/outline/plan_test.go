package outline_test

import (
	"encoding/xml"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"swardcase/model/outline"
)

// drawn is a text or a shape read back from a plan.
type drawn struct {
	name string
	attr map[string]string
	text string
}

func readPlan(t *testing.T, svg string) []drawn {
	t.Helper()
	var list []drawn
	decoder := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return list
		}
		if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			d := drawn{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				d.attr[a.Name.Local] = a.Value
			}
			list = append(list, d)
		case xml.CharData:
			if len(list) > 0 {
				list[len(list)-1].text += string(token)
			}
		}
	}
}

func surveyed() outline.Outline {
	given := outline.Outline{Metres: kidney(80), Origin: &outline.Origin{LongitudeDeg: -6.5, LatitudeDeg: 53, BearingDeg: 30}}
	for i, p := range [][2]float64{{10, 10}, {20, 10}, {28, 12}, {12, 20}, {20, 20}, {16, 28}, {10, 24}} {
		given.SpotLevels = append(given.SpotLevels, outline.SpotLevel{XM: ref(p[0]), YM: ref(p[1]), LevelM: 100 + 0.02*p[1] + 0.004*float64(i%2)})
	}
	return given
}

func TestThePlanIsWellFormedAndComplete(t *testing.T) {
	shape, report, faults := outline.Draw(surveyed(), outline.Options{Outfall: &outline.OutfallPlace{XM: ref(14), YM: ref(0)}}, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	for i := range report.Layouts {
		layout := &report.Layouts[i]
		svg := shape.DrawPlan(layout, report.Plane, `Green <"7" & 8>`)
		all := ""
		for _, d := range readPlan(t, svg) {
			all += d.text + "\n"
		}
		for _, want := range []string{`Green <"7" & 8>`, "Not for tender", "Scale 1:", "20 m", "falls 2.0 %", "outfall (O)", "buried services"} {
			if !strings.Contains(all, want) {
				t.Errorf("%s: no %q", layout.Kind, want)
			}
		}
		// The table has a row for every run, and says where it flows.
		for _, run := range layout.Runs {
			_, n, _ := strings.Cut(run.ID, "_")
			row := strings.ToUpper(run.Kind[:1]) + n
			if run.Into != "" {
				row += " to "
			}
			if !strings.Contains(all, row) {
				t.Errorf("%s: no row %q", layout.Kind, row)
			}
		}
	}
}

// Greys only: nothing is told by colour.
func TestThePlanUsesNoColour(t *testing.T) {
	shape, report, _ := outline.Draw(surveyed(), outline.Options{}, parameters())
	for _, d := range readPlan(t, shape.DrawPlan(&report.Layouts[0], report.Plane, "a")) {
		for _, name := range []string{"fill", "stroke"} {
			colour := strings.TrimPrefix(d.attr[name], "#")
			if len(colour) == 3 && (colour[0] != colour[1] || colour[1] != colour[2]) {
				t.Errorf("%s of %s is %s", name, d.name, colour)
			}
			if len(colour) == 6 && colour != "eef0ea" { // the green itself, all but grey
				t.Errorf("%s of %s is %s", name, d.name, colour)
			}
		}
	}
}

// Lines on paper are as long as the scale says: the first line of the drawing
// after the green is the main.
func TestThePlanIsToScale(t *testing.T) {
	shape := read(t, rectangle(20, 30))
	layout, faults := shape.Lay(outline.Herringbone, outline.Options{StatedFall: towards(2, 180)}, nil, parameters())
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	svg := shape.DrawPlan(layout, nil, "a")
	if !strings.Contains(svg, "Scale 1:250 ") {
		t.Fatal("30 m in 140 mm of paper wants 1:250")
	}
	for _, d := range readPlan(t, svg) {
		if d.name == "path" && d.attr["stroke-width"] == "1.1" && d.attr["clip-path"] != "" {
			var x, y [2]float64
			points := strings.FieldsFunc(d.attr["d"], func(r rune) bool { return r == 'M' || r == 'L' })
			for i, p := range [2]string{points[0], points[len(points)-1]} {
				a, b, _ := strings.Cut(p, " ")
				x[i], _ = strconv.ParseFloat(a, 64)
				y[i], _ = strconv.ParseFloat(b, 64)
			}
			// 29.5 m at 1:250 is 118 mm, to the hundredth that is printed.
			if length := math.Hypot(x[1]-x[0], y[1]-y[0]); math.Abs(length-118) > 0.02 {
				t.Errorf("the main is %.3f mm long on paper", length)
			}
			if y[1] < y[0] {
				t.Error("the main falls away from the reader's side, but is drawn the other way")
			}
			return
		}
	}
	t.Error("no main on the plan")
}

// Labels beside the runs never overlap: their boxes, taken with letters 0.5 of
// the type size wide, are apart on random greens.
func TestLabelsDoNotOverlap(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 7))
		shape := read(t, randomOutline(random))
		for _, kind := range [2]string{outline.Herringbone, outline.PerimeterMain} {
			layout, faults := shape.Lay(kind, randomOptions(random), nil, parameters())
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			var boxes [][4]float64
			labels := 0
			for _, d := range readPlan(t, shape.DrawPlan(layout, nil, "a")) {
				if d.name != "text" || d.attr["paint-order"] != "stroke" {
					continue
				}
				labels++
				size := number(t, d.attr["font-size"])
				x, y := number(t, d.attr["x"]), number(t, d.attr["y"])-0.36*size
				half := 0.25 * size * float64(len(d.text))
				b := [4]float64{x - half, y - size/2, x + half, y + size/2}
				for _, other := range boxes {
					if b[0] < other[2] && other[0] < b[2] && b[1] < other[3] && other[1] < b[3] {
						t.Errorf("seed %d %s: label %q overlaps another", seed, kind, d.text)
					}
				}
				boxes = append(boxes, b)
			}
			if labels == 0 {
				t.Errorf("seed %d %s: no labels", seed, kind)
			}
		}
	}
}
