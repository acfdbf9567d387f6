package layered

import (
	"fmt"
	"html"
	"math"
	"strings"
	"unicode/utf8"
)

// The section is drawn in millimetres of paper, so that a print at full size is
// to scale and can be measured with a rule.
const (
	sectionWidthMM   = 210.0
	sectionFaceMM    = 108.0 // width of the cut through the ground
	sectionLeftMM    = 24.0
	sectionTopMM     = 30.0
	sectionTallestMM = 120.0 // the cut is scaled to stay below this
	sectionFootMM    = 24.0
	groundBelowMM    = 90.0 // of native soil drawn below the deepest floor
	labelGapMM       = 8.5  // least distance between two labels
)

// band is a layer of the drawing, in mm below the finished surface.
type band struct {
	name, note  string
	pattern     string
	top, bottom float64
}

// section is one drawing being made.
type section struct {
	out      strings.Builder
	d        *Design
	bands    []band  // across the whole cut, top down
	trench   []band  // within the trench, top down
	trenchMM float64 // width of the trench
	pipeMM   float64 // outside diameter
	floor    float64 // of the deepest thing drawn
	scale    float64 // 1 : scale
}

// DrawSection draws the profile as an SVG document: the layers to scale with
// their depths, one drain in its trench, and patterns that stay readable in
// grey. The title is printed as given.
func (d Design) DrawSection(title string) string {
	s := &section{d: &d}
	title = printable(title)
	s.stack()
	s.drain()
	s.fit()
	s.head(title)
	s.ground()
	s.pipe()
	s.ruler()
	s.labels()
	s.foot()
	s.out.WriteString("</svg>\n")
	return s.out.String()
}

// printable drops what an XML document may not hold.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffe || r == 0xffff {
			return -1
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}

func (s *section) printf(format string, args ...any) { fmt.Fprintf(&s.out, format, args...) }

// stack lists the turf, the layers and the ground below them.
func (s *section) stack() {
	depth := 0.0
	push := func(name, note, pattern string, thick float64) {
		s.bands = append(s.bands, band{name, note, pattern, depth, depth + thick})
		depth += thick
	}
	if laid := s.d.Covering.LaidMM; laid > 0 {
		note := fmt.Sprintf("%.0f mm as laid", laid)
		if s.d.Package == DrainsOnly {
			note += ", over the slits"
		}
		push("Turf", note, "turf", laid)
	}
	for _, l := range s.d.Layers {
		note := fmt.Sprintf("%.0f mm firm", l.DepthMM)
		if l.MeanDepthMM > l.DepthMM {
			note = fmt.Sprintf("%.0f mm firm at the least, %.0f mm on average", l.DepthMM, l.MeanDepthMM)
		}
		push(l.Name.descriptions().material, note, string(l.Name), l.MeanDepthMM)
	}
	s.floor = depth
}

// drain lists what is in the trench that is drawn: a lateral, or a slit.
func (s *section) drain() {
	for _, t := range s.d.Trenches {
		if t.Kind != LateralTrench && t.Kind != SlitTrench {
			continue
		}
		s.trenchMM = t.WidthMM
		if t.PipeMM > 0 && t.LengthM > 0 {
			s.pipeMM = 2 * math.Sqrt(t.PipeM3/t.LengthM/math.Pi) * 1000
		}
		top := s.d.Excavation.MeanDepthMM
		if t.Kind == SlitTrench {
			top = s.slit(top)
		}
		s.floor = top + t.gravelMM()
		s.trench = append(s.trench, band{"Drain trench", fmt.Sprintf("%.0f mm wide, gravel%s", t.WidthMM, pipeWords(t.PipeMM)), string(Gravel), top, s.floor})
	}
}

// slit puts the sand of a slit, with its lap into the top, above its gravel, and
// returns where the gravel begins.
func (s *section) slit(digMM float64) float64 {
	slit := s.d.Slits
	from := max(slit.BackfillTopMM, digMM)
	if slit.SandMM > 0 {
		s.trench = append(s.trench, band{"Slit sand", fmt.Sprintf("from %.0f mm below the surface", slit.BackfillTopMM), "slit_sand", slit.BackfillTopMM, from + slit.SandMM})
	}
	return from + slit.SandMM
}

func pipeWords(boreMM float64) string {
	if boreMM == 0 {
		return ", no pipe"
	}
	return fmt.Sprintf(", %.0f mm pipe", boreMM)
}

// fit adds the native soil and takes the largest usual scale at which the cut
// is not too tall.
func (s *section) fit() {
	bottom := s.floor + groundBelowMM
	top := 0.0
	if n := len(s.bands); n > 0 {
		top = s.bands[n-1].bottom
	}
	name := "Native soil"
	if s.d.Route == LayeredRebuild {
		name = "Formation, native soil below"
	}
	s.bands = append(s.bands, band{name, fmt.Sprintf("from %.0f mm", top), "soil", top, bottom})
	for _, scale := range []float64{5, 7.5, 10, 15, 20, 25} {
		if s.scale = scale; bottom/scale <= sectionTallestMM {
			break
		}
	}
}

// y is a depth in mm on paper.
func (s *section) y(depthMM float64) float64 { return sectionTopMM + depthMM/s.scale }

func (s *section) bottom() float64 { return s.y(s.bands[len(s.bands)-1].bottom) }

// patterns are drawn for grey: they differ by shape and density, not by colour.
const patterns = `<defs>
<pattern id="section-turf" width="1.6" height="1.6" patternUnits="userSpaceOnUse"><rect width="1.6" height="1.6" fill="#c9d3bd"/><path d="M.4 1.6V.3M1.2 1.6V.7" stroke="#33402a" stroke-width=".22"/></pattern>
<pattern id="section-root_zone" width="3" height="3" patternUnits="userSpaceOnUse"><rect width="3" height="3" fill="#f3ead8"/><g fill="#7a6a4c"><circle cx=".6" cy=".7" r=".16"/><circle cx="2.1" cy="1.3" r=".16"/><circle cx="1.1" cy="2.4" r=".16"/></g></pattern>
<pattern id="section-blinding" width="2" height="2" patternUnits="userSpaceOnUse"><rect width="2" height="2" fill="#e2d2b0"/><g fill="#54452a"><circle cx=".5" cy=".5" r=".27"/><circle cx="1.5" cy="1.5" r=".27"/></g></pattern>
<pattern id="section-gravel" width="4" height="3.4" patternUnits="userSpaceOnUse"><rect width="4" height="3.4" fill="#fff"/><g fill="#d5d5d5" stroke="#444" stroke-width=".2"><ellipse cx="1" cy=".9" rx=".85" ry=".65"/><ellipse cx="3" cy=".8" rx=".8" ry=".6"/><ellipse cx="2" cy="2.5" rx=".85" ry=".65"/><ellipse cx="0" cy="2.6" rx=".8" ry=".6"/><ellipse cx="4" cy="2.6" rx=".8" ry=".6"/></g></pattern>
<pattern id="section-slit_sand" width="1.5" height="1.5" patternUnits="userSpaceOnUse"><rect width="1.5" height="1.5" fill="#fbf6ea"/><path d="M.45 .75H1.05M.75 .45V1.05" stroke="#6b5a36" stroke-width=".16"/></pattern>
<pattern id="section-soil" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="4" height="4" fill="#b9a48c"/><path d="M0 0V4M1 0V4" stroke="#5d4a36" stroke-width=".25"/></pattern>
</defs>
`

func (s *section) head(title string) {
	height := s.bottom() + sectionFootMM
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="section-title section-desc" width="%gmm" height="%.5gmm" viewBox="0 0 %g %.5g" font-family="Helvetica, Arial, sans-serif" font-size="3" fill="#111">`+"\n",
		sectionWidthMM, height, sectionWidthMM, height)
	s.printf("<title id=\"section-title\">%s</title>\n<desc id=\"section-desc\">Section through the profile, top down: ", html.EscapeString(title))
	for _, b := range append(append([]band{}, s.bands...), s.trench...) {
		s.printf("%s, %s; ", strings.ToLower(b.name), b.note)
	}
	s.printf("to scale.</desc>\n%s<rect width=\"%g\" height=\"%.5g\" fill=\"#fff\"/>\n", patterns, sectionWidthMM, height)
	// A long title is set smaller: a bold letter is about 0.6 of its size wide.
	size := min(5, (sectionWidthMM-20)/(0.62*max(1, float64(utf8.RuneCountInString(title)))))
	s.printf("<text x=\"10\" y=\"12\" font-size=\"%.3g\" font-weight=\"bold\">%s</text>\n", size, html.EscapeString(title))
	s.printf("<text x=\"10\" y=\"18\" font-size=\"3.2\" fill=\"#444\">Section through the profile. Scale 1:%g at full size. Not for tender.</text>\n", s.scale)
}

// ground fills the bands over the whole cut, then the trench in its middle.
func (s *section) ground() {
	for _, b := range s.bands {
		s.fill(b, sectionLeftMM, sectionFaceMM)
	}
	width := s.trenchMM / s.scale
	for _, b := range s.trench {
		s.fill(b, sectionLeftMM+(sectionFaceMM-width)/2, width)
	}
	s.printf("<path d=\"M%g %gH%g\" stroke=\"#111\" stroke-width=\".7\"/>\n", sectionLeftMM, s.y(0), sectionLeftMM+sectionFaceMM)
}

func (s *section) fill(b band, left, width float64) {
	s.printf("<rect x=\"%.5g\" y=\"%.5g\" width=\"%.5g\" height=\"%.5g\" fill=\"url(#section-%s)\" stroke=\"#222\" stroke-width=\".3\"/>\n",
		left, s.y(b.top), width, (b.bottom-b.top)/s.scale, b.pattern)
}

// pipe lies with a little gravel under it, dashed since it is perforated.
func (s *section) pipe() {
	if s.pipeMM == 0 {
		return
	}
	under := max(0, min(pipeRoomMM, (s.floor-s.trench[len(s.trench)-1].top-s.pipeMM)/2))
	s.printf("<circle cx=\"%.5g\" cy=\"%.5g\" r=\"%.5g\" fill=\"#fff\" stroke=\"#111\" stroke-width=\".7\" stroke-dasharray=\"1.5 .5\"/>\n",
		sectionLeftMM+sectionFaceMM/2, s.y(s.floor-under-s.pipeMM/2), s.pipeMM/2/s.scale)
}

// ruler marks every 100 mm at the left.
func (s *section) ruler() {
	deepest := s.bands[len(s.bands)-1].bottom
	s.printf("<path d=\"M%g %gV%.5g\" stroke=\"#444\" stroke-width=\".25\"/>\n", sectionLeftMM-3, s.y(0), s.y(deepest))
	for depth := 0.0; depth <= deepest; depth += 100 {
		s.printf("<path d=\"M%g %.5gh-1.8\" stroke=\"#444\" stroke-width=\".25\"/><text x=\"%g\" y=\"%.5g\" text-anchor=\"end\" font-size=\"2.6\" fill=\"#444\">%.0f</text>\n",
			sectionLeftMM-3, s.y(depth), sectionLeftMM-5.6, s.y(depth)+0.9, depth)
	}
	s.printf("<text x=\"%g\" y=\"%g\" font-size=\"2.6\" fill=\"#444\">mm below the finished surface</text>\n", sectionLeftMM-14, sectionTopMM-4)
}

// labels stand at the right, each led to the middle of what it names, and are
// pushed down where they would touch.
func (s *section) labels() {
	right, next := sectionLeftMM+sectionFaceMM, 0.0
	for _, b := range s.labelled() {
		from := right
		if b.trench {
			from = sectionLeftMM + (sectionFaceMM+s.trenchMM/s.scale)/2
		}
		at := s.y((b.top + b.bottom) / 2)
		y := max(at, next)
		next = y + labelGapMM
		s.printf("<circle cx=\"%.5g\" cy=\"%.5g\" r=\".6\"/><path d=\"M%.5g %.5gL%g %.5gL%g %.5g\" fill=\"none\" stroke=\"#111\" stroke-width=\".25\"/>\n",
			from-1.2, at, from-1.2, at, right+4, at, right+9, y)
		s.printf("<text x=\"%g\" y=\"%.5g\" font-weight=\"bold\">%s</text><text x=\"%g\" y=\"%.5g\" font-size=\"2.7\">%s</text>\n",
			right+10.5, y+0.2, html.EscapeString(b.name), right+10.5, y+3.8, html.EscapeString(b.note))
	}
}

type label struct {
	band
	trench bool
}

// labelled puts bands and trench in one order from the top down.
func (s *section) labelled() []label {
	list := make([]label, 0, len(s.bands)+len(s.trench))
	for _, b := range s.bands {
		list = append(list, label{b, false})
	}
	for _, b := range s.trench {
		at := len(list)
		for at > 0 && list[at-1].top+list[at-1].bottom > b.top+b.bottom {
			at--
		}
		list = append(list[:at], append([]label{{b, true}}, list[at:]...)...)
	}
	return list
}

// foot is the scale bar and what the reader must know.
func (s *section) foot() {
	y := s.bottom() + 8
	for i := range 5 {
		colour := []string{"#111", "#fff"}[i%2]
		s.printf("<rect x=\"%.5g\" y=\"%.5g\" width=\"%.5g\" height=\"1.6\" fill=\"%s\" stroke=\"#111\" stroke-width=\".2\"/>\n", sectionLeftMM+float64(i)*100/s.scale, y, 100/s.scale, colour)
	}
	s.printf("<text x=\"%g\" y=\"%.5g\" font-size=\"2.6\">0</text><text x=\"%.5g\" y=\"%.5g\" font-size=\"2.6\" text-anchor=\"middle\">500 mm</text>\n",
		sectionLeftMM, y+4.6, sectionLeftMM+500/s.scale, y+4.6)
	note := ""
	if s.d.Drains != nil {
		note = fmt.Sprintf("One drain is drawn; drains stand %.3g m apart. ", s.d.Drains.LateralSpacingM)
	}
	s.printf("<text x=\"%g\" y=\"%.5g\" font-size=\"2.7\" fill=\"#444\">%sTrace buried services before digging.</text>\n", sectionLeftMM, y+11, note)
}
