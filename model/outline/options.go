package outline

import (
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"

	"swardcase/model/fault"
)

// The two layouts, and the kinds of run in them.
const (
	Herringbone   = "herringbone"
	PerimeterMain = "perimeter_main"

	Main    = "main"
	Lateral = "lateral"
	Edge    = "edge"
	Outfall = "outfall"
)

// MostSpacingM is the widest spacing of laterals (United States Golf
// Association 1993 and 2004: 5 m as printed).
const MostSpacingM = 5

// Options are what the consultant decides about a layout. What is left out
// keeps the value of the assumptions table. Bearings are in degrees clockwise
// from north, or from the y axis of an outline that has no origin.
type Options struct {
	Choice           string        `json:"choice,omitempty"` // herringbone or perimeter_main
	SpacingM         *float64      `json:"spacing_m,omitempty"`
	LateralAngleDeg  *float64      `json:"lateral_angle_deg,omitempty"`
	SetbackM         *float64      `json:"setback_m,omitempty"`
	TrenchWidthMM    *float64      `json:"trench_width_mm,omitempty"`
	TrenchDepthMM    *float64      `json:"trench_depth_mm,omitempty"`
	DeepeningLimitMM *float64      `json:"deepening_limit_mm,omitempty"`
	LeastFallPct     *float64      `json:"least_fall_pct,omitempty"`
	FormationDepthMM *float64      `json:"formation_depth_mm,omitempty"`
	Outfall          *OutfallPlace `json:"outfall,omitempty"`
	StatedFall       *StatedFall   `json:"stated_fall,omitempty"`
	WaterRunsIn      bool          `json:"water_runs_in,omitempty"` // from higher ground
	Pipe             *PipeChoice   `json:"pipe,omitempty"`
}

// OutfallPlace is where the water leaves: a point in the frame of the outline
// (metres; for a GeoJSON outline east and north of its middle), or only a
// bearing from the green. LevelM is the water level there.
type OutfallPlace struct {
	XM         *float64 `json:"x_m,omitempty"`
	YM         *float64 `json:"y_m,omitempty"`
	BearingDeg *float64 `json:"bearing_deg,omitempty"`
	LevelM     *float64 `json:"level_m,omitempty"`
}

// StatedFall is the fall of the surface where there are no spot levels.
type StatedFall struct {
	FallPct    float64 `json:"fall_pct"`
	BearingDeg float64 `json:"bearing_deg"`
}

// rules are the options resolved: what the layouts are drawn by. Lengths are
// in metres.
type rules struct {
	spacing, angle, setback   float64 // angle in radians
	trenchWidth, trenchDepth  float64
	bed, deepening, formation float64
	fall                      float64 // least fall, metres per metre
	outfall                   *orb.Point
	outfallLevel              *float64
	outfallBearing            *float64
	plane                     *Plane // of the surface: fitted, stated or level
	levelBasis                string
	pipeMPerTrenchM3          float64
	cautions                  []string
}

// option is one number that may be given, with the bounds it must keep.
type option struct {
	name       string
	given      *float64
	assumption string // that stands in for it; empty where something else does
	fallback   float64
	low, high  float64
	remedy     string
}

// assumptionsPrefix marks the pointer of a fault that lies in an assumption, which
// has the same name wherever the options stand.
const assumptionsPrefix = "/assumptions/"

func (o option) take(faults *fault.List) float64 {
	value, pointer := o.fallback, "/"+o.name
	if o.given != nil {
		value = *o.given
	} else if o.assumption != "" {
		pointer = assumptionsPrefix + o.assumption
	}
	if !(value >= o.low && value <= o.high) {
		faults.Add(pointer, value, fmt.Sprintf("%s must lie between %g and %g", o.name, o.low, o.high), o.remedy)
	}
	return value
}

// under moves faults below a prefix, but for those that lie in an assumption.
func under(prefix string, faults fault.List) fault.List {
	moved := make(fault.List, len(faults))
	for i, f := range faults {
		if !strings.HasPrefix(f.Pointer, assumptionsPrefix) {
			f.Pointer = prefix + f.Pointer
		}
		moved[i] = f
	}
	return moved
}

// resolve checks the options and fills them up from the parameters.
func (s *Shape) resolve(o Options, plane *Plane, p Parameters) (*rules, fault.List) {
	var faults fault.List
	take := func(name string, given *float64, assumption string, fallback, low, high float64, remedy string) float64 {
		return option{name, given, assumption, fallback, low, high, remedy}.take(&faults)
	}
	r := &rules{
		spacing:          take("spacing_m", o.SpacingM, "layout_lateral_spacing_m", p.SpacingM, 1, MostSpacingM, "set the laterals at most 5 m apart"),
		angle:            take("lateral_angle_deg", o.LateralAngleDeg, "layout_lateral_angle_deg", p.LateralAngleDeg, 30, 90, "give the angle between lateral and main in degrees") * math.Pi / 180,
		setback:          take("setback_m", o.SetbackM, "layout_edge_setback_m", p.SetbackM, 0, 2, "give how far a lateral stops short of the edge"),
		trenchWidth:      take("trench_width_mm", o.TrenchWidthMM, "layout_trench_width_mm", p.TrenchWidthMM, 50, 600, "give the width of the trench in millimetres") / 1000,
		trenchDepth:      take("trench_depth_mm", o.TrenchDepthMM, "layout_trench_depth_mm", p.TrenchDepthMM, 50, 1000, "give the depth below the formation in millimetres") / 1000,
		deepening:        take("deepening_limit_mm", o.DeepeningLimitMM, "layout_deepening_limit_mm", p.DeepeningLimitMM, 0, 1000, "give how much deeper a trench may be dug; deep trenches need support") / 1000,
		fall:             take("least_fall_pct", o.LeastFallPct, "layout_least_fall_pct", p.LeastFallPct, 0.5, 5, "a drain falls at least 1 in 200 (0.5 %)") / 100,
		formation:        take("formation_depth_mm", o.FormationDepthMM, "layout_formation_depth_mm", p.FormationDepthMM, 100, 1000, "give the sum of the layers in millimetres") / 1000,
		bed:              take("layout_pipe_bed_mm", nil, "layout_pipe_bed_mm", p.PipeBedMM, 0, 200, "override it with a depth in millimetres") / 1000,
		pipeMPerTrenchM3: take("layout_pipe_m_per_trench_m3", nil, "layout_pipe_m_per_trench_m3", p.PipeMPerTrenchM3, 0.1, 1000, "override it with a positive length"),
	}
	if r.bed >= r.trenchDepth {
		faults.Add("/trench_depth_mm", r.trenchDepth*1000, "the trench is no deeper than the gravel under its pipe", "dig deeper than the bed of the pipe")
	}
	if o.Choice != "" && o.Choice != Herringbone && o.Choice != PerimeterMain {
		faults.Add("/choice", o.Choice, "not a layout", "give herringbone or perimeter_main")
	}
	s.resolveOutfall(r, o.Outfall, &faults)
	s.resolveSurface(r, o.StatedFall, plane, &faults)
	if len(faults) > 0 {
		return nil, faults
	}
	return r, nil
}

func (s *Shape) resolveOutfall(r *rules, o *OutfallPlace, faults *fault.List) {
	if o == nil {
		return
	}
	point := o.XM != nil && o.YM != nil
	if point == (o.BearingDeg != nil) || (o.XM != nil) != (o.YM != nil) {
		faults.Add("/outfall", nil, "the outfall needs a point or a bearing, not both", "give x_m and y_m, or bearing_deg")
		return
	}
	if o.LevelM != nil && !(math.Abs(*o.LevelM) <= mostLevelM) {
		faults.Add("/outfall/level_m", *o.LevelM, "not a level", "give the level in metres above the datum of the spot levels")
	}
	r.outfallLevel = o.LevelM
	if !point {
		if !(*o.BearingDeg >= 0 && *o.BearingDeg < 360) {
			faults.Add("/outfall/bearing_deg", *o.BearingDeg, "not a bearing", "give degrees clockwise from north, from 0 to below 360")
		}
		if o.LevelM != nil {
			faults.Add("/outfall/level_m", *o.LevelM, "the level of an outfall whose distance is not known cannot be checked", "give the outfall as a point")
		}
		r.outfallBearing = o.BearingDeg
		return
	}
	at := minus(orb.Point{*o.XM, *o.YM}, s.shift)
	if far := distanceTo(s.sides, at); !(far <= 1000) {
		faults.Add("/outfall", [2]float64{*o.XM, *o.YM}, "the outfall lies more than 1,000 m from the green", "give it in the frame of the outline")
		return
	}
	if s.contains(at) {
		faults.Add("/outfall", [2]float64{*o.XM, *o.YM}, "the outfall lies within the green", "give the point outside the outline where the water leaves")
		return
	}
	r.outfall = &at
}

// resolveSurface chooses what the levels of the drains rest on.
func (s *Shape) resolveSurface(r *rules, stated *StatedFall, plane *Plane, faults *fault.List) {
	if stated != nil {
		if !(stated.FallPct >= 0 && stated.FallPct <= 15) {
			faults.Add("/stated_fall/fall_pct", stated.FallPct, "not the fall of a green", "give the fall in per cent, from 0 to 15")
		}
		if !(stated.BearingDeg >= 0 && stated.BearingDeg < 360) {
			faults.Add("/stated_fall/bearing_deg", stated.BearingDeg, "not a bearing", "give degrees clockwise from north, from 0 to below 360")
		}
		if plane != nil {
			faults.Add("/stated_fall", nil, "the spot levels already give the fall", "leave the stated fall out")
		}
	}
	if len(*faults) > 0 {
		return
	}
	switch {
	case plane != nil:
		r.plane, r.levelBasis = plane, "spot_levels"
	case stated != nil:
		down := s.direction(stated.BearingDeg)
		uphill := orb.Point{-down[0] * stated.FallPct / 100, -down[1] * stated.FallPct / 100}
		r.plane, r.levelBasis = &Plane{centre: s.centroid(), gradient: uphill}, "stated_fall"
	default:
		r.plane, r.levelBasis = &Plane{}, "level_ground"
		r.cautions = append(r.cautions, "no spot levels and no stated fall: the formation is taken as level and every drain finds its fall by deepening")
	}
	if r.outfallLevel != nil && r.levelBasis != "spot_levels" {
		detail := "an outfall level means nothing without spot levels"
		if len(s.levels) > 0 {
			detail = "an outfall level means nothing without the levels of the green, and its spot levels are fewer than three or lie in a line"
		}
		faults.Add("/outfall/level_m", *r.outfallLevel, detail, "give three spot levels or more, spread over the green, in the same datum, or leave the level out")
	}
}

// surface is the level of the green at a local point, in metres.
func (r *rules) surface(at orb.Point) float64 { return r.plane.levelAt(at) }

// cover is the highest invert level that leaves the least depth of trench.
func (r *rules) cover(p orb.Point) float64 {
	return r.surface(p) - r.formation - r.trenchDepth + r.bed
}

// axis is the downstream direction of a layout: along the fall of the surface
// where the outfall lies on that side, else towards the outfall. What it has to
// warn of is added to the rules, so that it is called once for them.
func (s *Shape) axis(r *rules) orb.Point {
	uphill := r.plane.gradient
	slope := math.Hypot(uphill[0], uphill[1])
	fall := orb.Point{}
	if slope >= r.fall {
		fall = orb.Point{-uphill[0] / slope, -uphill[1] / slope}
	}
	var out orb.Point
	switch {
	case r.outfall != nil:
		out = minus(*r.outfall, s.centroid())
	case r.outfallBearing != nil:
		out = s.direction(*r.outfallBearing)
	case slope >= r.fall:
		return fall
	default:
		r.cautions = append(r.cautions, "no fall and no outfall stated: the main follows the longest dimension of the green; state where the water can leave")
		return s.longAxis()
	}
	length := math.Hypot(out[0], out[1])
	if length == 0 {
		return s.longAxis()
	}
	out = orb.Point{out[0] / length, out[1] / length}
	const sameSide = 0.5 // cosine of 60°
	if slope >= r.fall && dot(fall, out) >= sameSide {
		return fall
	}
	if slope >= r.fall {
		r.cautions = append(r.cautions, "the outfall does not lie where the surface falls to: the main runs towards the outfall and is dug deeper for it")
	}
	return out
}

// longAxis is the direction of the widest pair of vertices of the outer ring,
// pointing to larger y.
func (s *Shape) longAxis() orb.Point {
	at := s.rings[0].at
	best, d := -1.0, orb.Point{0, 1}
	for i := range at {
		for j := i + 1; j < len(at); j++ {
			if w := between(at[i], at[j]); w > best {
				best, d = w, orb.Point{(at[j][0] - at[i][0]) / w, (at[j][1] - at[i][1]) / w}
			}
		}
	}
	if d[1] < 0 {
		d = orb.Point{-d[0], -d[1]}
	}
	return d
}
