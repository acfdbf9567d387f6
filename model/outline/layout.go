package outline

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"swardcase/model/fault"
)

// Layout is one way of draining the green, drawn within its outline.
type Layout struct {
	Kind string `json:"kind"`
	// SpacingM is between neighbouring laterals as drawn: the perimeter main
	// spreads them evenly, often a little closer than asked for.
	SpacingM        float64 `json:"spacing_m"`
	LateralAngleDeg float64 `json:"lateral_angle_deg"`
	// SetbackM is how far laterals stop short of the edge: 0 for the
	// perimeter main, whose laterals run into it.
	SetbackM float64 `json:"setback_m"`
	Runs     []Run   `json:"runs"`
	MainM    float64 `json:"main_m"`
	LateralM float64 `json:"lateral_m"`
	EdgeM    float64 `json:"edge_m"`
	OutfallM float64 `json:"outfall_m"`
	PipeM    float64 `json:"pipe_m"`
	TrenchM3 float64 `json:"trench_m3"`
	// GreatestDistanceM is the distance to a drain from the ground furthest
	// from one, true to 150 mm; BeyondHalfSpacingPct is the share of the area
	// further from a drain than half the spacing asked for.
	GreatestDistanceM    float64 `json:"greatest_distance_m"`
	GreatestDistanceAt   Point   `json:"greatest_distance_at"`
	BeyondHalfSpacingPct float64 `json:"beyond_half_spacing_pct"`
	// LevelBasis is what the levels rest on: spot_levels (and then they are
	// in the survey's datum), stated_fall or level_ground (and then the
	// surface at the centroid is 0).
	LevelBasis string    `json:"level_basis"`
	Refused    []Refusal `json:"refused"`
	Cautions   []string  `json:"cautions"`
}

// Feasible says whether every run of the layout can be laid.
func (l *Layout) Feasible() bool { return len(l.Refused) == 0 }

// Run is one drain, from its upper end to its lower end.
type Run struct {
	ID   string `json:"id"`
	Kind string `json:"kind"` // main, lateral, edge or outfall
	// Into is the run that takes the water, "" for the last.
	Into         string  `json:"into"`
	Start        Point   `json:"start"`
	End          Point   `json:"end"`
	LengthM      float64 `json:"length_m"`
	StartInvertM float64 `json:"start_invert_m"`
	EndInvertM   float64 `json:"end_invert_m"`
	FallPct      float64 `json:"fall_pct"`       // from end to end
	LeastFallPct float64 `json:"least_fall_pct"` // of its flattest stretch
	// Trench depths are below the formation, or below the ground for an
	// outfall, which lies outside the green.
	GreatestDepthMM float64    `json:"greatest_depth_mm"`
	DeepenedMM      float64    `json:"deepened_mm"` // beyond the least depth
	TrenchM3        float64    `json:"trench_m3"`
	Points          []RunPoint `json:"points"`
}

// RunPoint is one point of a run to be set out.
type RunPoint struct {
	XM            float64 `json:"x_m"`
	YM            float64 `json:"y_m"`
	AlongM        float64 `json:"along_m"`
	InvertM       float64 `json:"invert_m"`
	TrenchDepthMM float64 `json:"trench_depth_mm"`
}

// Refusal names a run that cannot be laid.
type Refusal struct {
	Run    string `json:"run"`
	Reason string `json:"reason"`
	Remedy string `json:"remedy"`
}

// Lay draws one layout. plane may be nil; then the stated fall counts, or the
// ground is taken as level.
func (s *Shape) Lay(kind string, o Options, plane *Plane, p Parameters) (*Layout, fault.List) {
	r, faults := s.resolve(o, plane, p)
	if len(faults) > 0 {
		return nil, faults
	}
	if kind != Herringbone && kind != PerimeterMain {
		faults.Add("/choice", kind, "not a layout", "give herringbone or perimeter_main")
		return nil, faults
	}
	return s.lay(kind, r, s.axis(r)), nil
}

// lay draws one layout by rules that are resolved, along their axis.
func (s *Shape) lay(kind string, r *rules, axis orb.Point) *Layout {
	d := &draft{shape: s, rules: r, axis: axis, halfSpacing: r.spacing / 2, spacing: r.spacing}
	if kind == PerimeterMain {
		d.perimeterMain()
	} else {
		d.herringbone()
	}
	return d.layout(kind)
}

// draft is a layout being drawn.
type draft struct {
	shape       *Shape
	rules       *rules
	axis        orb.Point // downstream
	halfSpacing float64   // of the spacing asked for
	spacing     float64   // as drawn
	mains       []*pipe
	laterals    []*pipe
	edges       []*pipe
	outfall     *pipe
	spread      spread
}

// drains lists the pipes that take water out of the green's own ground.
func (d *draft) drains() []segment {
	var list []segment
	for _, group := range [][]*pipe{d.mains, d.laterals, d.edges} {
		for _, p := range group {
			list = p.segments(list)
		}
	}
	return list
}

// addOutfall draws the pipe from the green's edge to the outfall, when it is
// known where that is.
func (d *draft) addOutfall(from orb.Point) {
	if d.rules.outfall == nil || between(from, *d.rules.outfall) < touchingM {
		return
	}
	d.outfall = newPipe(Outfall, []orb.Point{from, *d.rules.outfall})
	d.outfall.beyondEdge = true
}

// layout numbers the pipes and turns the draft into what is reported.
func (d *draft) layout(kind string) *Layout {
	s, r := d.shape, d.rules
	l := &Layout{
		Kind: kind, SpacingM: d.spacing, LateralAngleDeg: r.angle * 180 / math.Pi, SetbackM: r.setback,
		GreatestDistanceM:    d.spread.greatestM,
		BeyondHalfSpacingPct: min(100, 100*d.spread.beyondM2/s.Measures().AreaM2),
		LevelBasis:           r.levelBasis, Refused: []Refusal{}, Cautions: append([]string{}, r.cautions...),
	}
	if kind == PerimeterMain {
		l.SetbackM = 0
	}
	at := s.given(d.spread.at)
	l.GreatestDistanceAt = Point{at[0], at[1]}
	groups := [][]*pipe{d.mains, d.laterals, d.edges}
	if d.outfall != nil {
		groups = append(groups, []*pipe{d.outfall})
	}
	for _, group := range groups {
		for i, p := range group {
			p.id = fmt.Sprintf("%s_%d", p.kind, i+1)
		}
	}
	for _, group := range groups {
		for _, p := range group {
			l.add(d.run(p))
			if reason, remedy := r.refusal(p); reason != "" {
				l.Refused = append(l.Refused, Refusal{p.id, reason, remedy})
			}
		}
	}
	if d.outfall == nil {
		l.Cautions = append(l.Cautions, "the pipe from the green to the outfall is not in the lengths: give the outfall as a point")
	}
	if caution := r.outfallCaution(d.outfall); caution != "" {
		l.Cautions = append(l.Cautions, caution)
	}
	return l
}

func (l *Layout) add(run Run) {
	l.Runs = append(l.Runs, run)
	switch run.Kind {
	case Main:
		l.MainM += run.LengthM
	case Lateral:
		l.LateralM += run.LengthM
	case Edge:
		l.EdgeM += run.LengthM
	case Outfall:
		l.OutfallM += run.LengthM
	}
	l.PipeM += run.LengthM
	l.TrenchM3 += run.TrenchM3
}

// run reports one pipe in the frame of the outline.
func (d *draft) run(p *pipe) Run {
	s, r := d.shape, d.rules
	ground := 0.0 // depth of the formation below where digging starts
	if p.beyondEdge {
		ground = r.formation
	}
	run := Run{ID: p.id, Kind: p.kind, LengthM: p.length(), Points: make([]RunPoint, len(p.nodes))}
	if p.into != nil {
		run.Into = p.into.id
	}
	steepness := math.Inf(1)
	for i, n := range p.nodes {
		at := s.given(n.at)
		run.Points[i] = RunPoint{at[0], at[1], n.along, n.invert, 1000 * (n.depth + ground)}
		if i == 0 {
			continue
		}
		before := p.nodes[i-1]
		length := n.along - before.along
		if length > touchingM {
			steepness = min(steepness, (before.invert-n.invert)/length)
		}
	}
	run.TrenchM3 = r.trench(p.nodes, ground)
	first, last := run.Points[0], run.Points[len(run.Points)-1]
	run.Start, run.End = Point{first.XM, first.YM}, Point{last.XM, last.YM}
	run.StartInvertM, run.EndInvertM = first.InvertM, last.InvertM
	run.FallPct = 100 * (first.InvertM - last.InvertM) / run.LengthM
	run.LeastFallPct = 100 * steepness
	if math.IsInf(steepness, 1) {
		run.LeastFallPct = run.FallPct
	}
	deep := deepest(p.nodes)
	run.GreatestDepthMM = 1000 * (deep + ground)
	run.DeepenedMM = max(0, 1000*(deep-r.trenchDepth))
	return run
}
