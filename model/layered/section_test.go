package layered_test

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"swardcase/model/layered"
)

// parse fails on a document that is not well formed.
func parse(t interface {
	Helper()
	Fatalf(string, ...any)
}, svg string,
) {
	t.Helper()
	decoder := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%v", err)
		}
	}
}

var (
	scaleWords = regexp.MustCompile(`Scale 1:([0-9.]+)`)
	filledRect = regexp.MustCompile(`<rect x="[0-9.]+" y="([0-9.]+)" width="([0-9.]+)" height="([0-9.e+-]+)" fill="url\(#section-([a-z_]+)\)"`)
)

func value(t *rapid.T, text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return v
}

// Every layer on paper, times the scale, is as deep as in the design, and each
// lies on the one below it.
func TestSectionIsToScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := mustDesign(t, drawInput(t))
		svg := d.DrawSection("An invented green")
		parse(t, svg)
		scale := value(t, scaleWords.FindStringSubmatch(svg)[1])
		deep := map[string]float64{"turf": d.Covering.LaidMM}
		for _, l := range d.Layers {
			deep[string(l.Name)] = l.MeanDepthMM
		}
		last := 0.0
		for _, match := range filledRect.FindAllStringSubmatch(svg, -1) {
			top, width, height, name := value(t, match[1]), value(t, match[2]), value(t, match[3]), match[4]
			if width < 100 { // the trench
				continue
			}
			if want, ok := deep[name]; ok && math.Abs(height*scale-want) > 0.02+0.001*want {
				t.Errorf("%s is %.4g mm on paper at 1:%g, and %g mm in the design", name, height, scale, want)
			}
			if last > 0 && math.Abs(top-last) > 0.06 {
				t.Errorf("%s begins at %g mm, the one above ends at %g", name, top, last)
			}
			last = top + height
			delete(deep, name)
		}
		if delete(deep, "turf"); len(deep) > 0 && d.Covering.LaidMM > 0 {
			t.Errorf("not drawn: %v", deep)
		}
		if last-30 > 121 {
			t.Errorf("the cut is %g mm tall", last-30)
		}
	})
}

func TestSectionTakesAnyTitle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parse(t, layered.Design{}.DrawSection(rapid.String().Draw(t, "title")))
	})
	d := mustDesign(t, invented(layered.LayeredRebuild, "", layered.Seed))
	svg := d.DrawSection("\"<script>&\x00\xff")
	parse(t, svg)
	if strings.Contains(svg, "<script>") || !strings.Contains(svg, "Not for tender") {
		t.Error("the title is not escaped, or the drawing is not stamped")
	}
}

func BenchmarkDrawSection(b *testing.B) {
	d, _ := layered.NewDesign(invented(layered.LayeredRebuild, "", layered.SupplierTurf), parameters())
	for b.Loop() {
		d.DrawSection("An invented green")
	}
}
