package outline

import (
	"fmt"
	"slices"

	"swardcase/model/fault"
)

// Report is everything that the outline of a green yields.
type Report struct {
	Measures Measures `json:"measures"`
	Plane    *Plane   `json:"plane"` // null without enough spot levels
	Holeable Holeable `json:"holeable"`
	Layouts  []Layout `json:"layouts"` // herringbone, then perimeter_main
	// Suggested is the layout with less excavation and pipe of those that can
	// be laid, "" when none can. Advised is what the site asks for whatever it
	// costs: the perimeter main where water runs in from higher ground.
	Suggested       string `json:"suggested"`
	SuggestedReason string `json:"suggested_reason"`
	Advised         string `json:"advised"`
	AdvisedReason   string `json:"advised_reason"`
	// Chosen is the user's choice, else the advised layout if it can be laid,
	// else the suggested one.
	Chosen   string    `json:"chosen"`
	MainPipe *PipeSize `json:"main_pipe"` // of the chosen layout; null when that cannot be laid
	// LateralPipe is for the lateral or edge run of the chosen layout that
	// needs the widest bore; null when that cannot be laid.
	LateralPipe *PipeSize `json:"lateral_pipe"`
	Cautions    []string  `json:"cautions"`
	// Projection says how longitudes and latitudes became metres, "" for an
	// outline given in metres.
	Projection string `json:"projection"`
	NorthKnown bool   `json:"north_known"` // bearings are from true north, not from the y axis
}

// Design reads an outline and draws both layouts in it.
func Design(o Outline, options Options, p Parameters) (*Report, fault.List) {
	_, report, faults := Draw(o, options, p)
	return report, faults
}

// Draw is Design, and hands out the Shape for the drawing of the plan.
func Draw(o Outline, options Options, p Parameters) (*Shape, *Report, fault.List) {
	shape, faults := Read(o)
	if len(faults) > 0 {
		return nil, nil, faults
	}
	report, faults := shape.Design(options, p)
	if len(faults) > 0 {
		return nil, nil, under("/drains", faults)
	}
	return shape, report, nil
}

// Design draws both layouts in the shape. Pointers of the faults are relative
// to the options.
func (s *Shape) Design(options Options, p Parameters) (*Report, fault.List) {
	plane, warnings := s.FitPlane(p)
	report, faults := s.LayBoth(options, plane, p)
	if len(faults) > 0 {
		return nil, faults
	}
	report.Plane, report.NorthKnown = plane, s.place != nil
	report.Cautions = append(standingCautions(), warnings...)
	report.Holeable = s.Holeable(plane, p)
	if s.projected {
		report.Projection = "the plane that touches the WGS 84 ellipsoid at the middle of the green; within 1 mm at 100 m from it"
	}
	return report, nil
}

// LayBoth draws both layouts and says which is suggested, advised and chosen,
// with its pipes; the rest of the report is left empty. Pointers of the faults
// are relative to the options. plane may be nil.
func (s *Shape) LayBoth(options Options, plane *Plane, p Parameters) (*Report, fault.List) {
	r, bad := s.resolve(options, plane, p)
	if len(bad) > 0 {
		return nil, bad
	}
	report := &Report{Measures: s.Measures(), Cautions: []string{}}
	axis := s.axis(r)
	for _, kind := range [2]string{Herringbone, PerimeterMain} {
		report.Layouts = append(report.Layouts, *s.lay(kind, r, axis))
	}
	report.choose(options, p)
	if bad := report.sizePipes(options, p); len(bad) > 0 {
		return nil, bad
	}
	return report, nil
}

// Layout gives the layout of a kind, nil when there is none.
func (r *Report) Layout(kind string) *Layout {
	for i := range r.Layouts {
		if r.Layouts[i].Kind == kind {
			return &r.Layouts[i]
		}
	}
	return nil
}

// choose compares the two layouts by what is dug and laid: a length of pipe is
// counted as the volume of trench that costs as much.
func (r *Report) choose(o Options, p Parameters) {
	worth := p.PipeMPerTrenchM3
	work := func(l *Layout) float64 { return l.TrenchM3 + l.PipeM/worth }
	var able []*Layout
	for i := range r.Layouts {
		if r.Layouts[i].Feasible() {
			able = append(able, &r.Layouts[i])
		}
	}
	slices.SortStableFunc(able, func(a, b *Layout) int {
		switch {
		case work(a) < work(b):
			return -1
		case work(a) > work(b):
			return 1
		}
		return 0
	})
	switch len(able) {
	case 0:
		r.SuggestedReason = "neither layout can be laid as stated: see the refused runs"
	case 1:
		r.Suggested, r.SuggestedReason = able[0].Kind, "the other layout has runs that cannot be laid"
	default:
		r.Suggested = able[0].Kind
		r.SuggestedReason = fmt.Sprintf(
			"%.1f m³ of trench and %.0f m of pipe against %.1f m³ and %.0f m, with %g m of pipe counted as one cubic metre of trench",
			able[0].TrenchM3, able[0].PipeM, able[1].TrenchM3, able[1].PipeM, worth)
	}
	if o.WaterRunsIn {
		r.Advised = PerimeterMain
		r.AdvisedReason = "water runs in from higher ground: a main round the edge catches it before it enters the root zone"
	}
	switch advised := r.Layout(r.Advised); {
	case o.Choice != "":
		r.Chosen = o.Choice
	case advised != nil && advised.Feasible():
		r.Chosen = r.Advised
	default:
		r.Chosen = r.Suggested
	}
}

// sizePipes sizes the main of the chosen layout for the flow of the whole
// catchment at its flattest stretch (each arm of a perimeter main carries less),
// and the lateral or edge run that needs the widest bore for the ground it
// drains: its own length and that of the runs above it, times the spacing.
func (r *Report) sizePipes(o Options, p Parameters) fault.List {
	layout := r.Layout(r.Chosen)
	if layout == nil || !layout.Feasible() {
		return nil
	}
	fall := 1.0
	for _, run := range layout.Runs {
		if run.Kind == Main || run.Kind == Outfall {
			fall = min(fall, run.LeastFallPct/100)
		}
	}
	size, bad := SizePipe(o.Pipe, r.Measures.AreaM2, fall, p)
	if len(bad) > 0 {
		return under("/pipe", bad)
	}
	if layout.Kind == PerimeterMain {
		size.Notes = append(size.Notes, "sized for the whole flow, as where both arms meet; each arm alone carries less")
	}
	r.MainPipe = &size
	branch := PipeChoice{}
	if o.Pipe != nil {
		branch = *o.Pipe
	}
	id, drained, branchFall := layout.widestBranch(size.CatchmentM2, size.CatchmentM2/r.Measures.AreaM2, size.FlowLPS/size.CatchmentM2, size.ManningN)
	if id == "" {
		return nil
	}
	branch.CatchmentM2 = &drained
	lateral, bad := SizePipe(&branch, drained, branchFall, p)
	if len(bad) > 0 {
		return under("/pipe", bad)
	}
	lateral.Notes = append(lateral.Notes, "sized for "+id+", which needs the widest bore of the laterals and edge runs")
	r.LateralPipe = &lateral
	return nil
}

// widestBranch finds the lateral or edge run that needs the widest bore: its
// name, the ground it drains and its least fall. catchmentShare is the whole
// catchment as a share of the green, since water may run in from outside.
func (l *Layout) widestBranch(catchmentM2, catchmentShare, litresPerM2, n float64) (id string, drainedM2, fall float64) {
	index := make(map[string]int, len(l.Runs))
	for i, run := range l.Runs {
		index[run.ID] = i
	}
	drained := make([]float64, len(l.Runs))
	for _, run := range l.Runs {
		ground := run.LengthM * l.SpacingM * catchmentShare
		for at, steps := run, 0; at.Kind == Lateral || at.Kind == Edge; steps++ {
			drained[index[at.ID]] += ground
			next, ok := index[at.Into]
			if !ok || steps > len(l.Runs) {
				break
			}
			at = l.Runs[next]
		}
	}
	widest := 0.0
	for i, run := range l.Runs {
		if run.Kind != Lateral && run.Kind != Edge {
			continue
		}
		ground := min(max(1, drained[i]), catchmentM2)
		if bore := BoreNeededMM(ground*litresPerM2, run.LeastFallPct/100, n); bore > widest {
			widest, id, drainedM2, fall = bore, run.ID, ground, run.LeastFallPct/100
		}
	}
	return id, drainedM2, fall
}

// standingCautions hold for every drawing.
func standingCautions() []string {
	return []string{
		"find and mark buried services and irrigation before any trench is dug",
		"trenches and plant can kill: dig, support and fence them as the local safety rules and a competent person require",
		"water may be let out only where the local authority and the owner of the ground or watercourse allow it",
		"not for tender or setting out until a drainage engineer has checked levels and runs on the ground",
	}
}
