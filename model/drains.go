package model

import (
	"fmt"
	"strings"

	"swardcase/model/fault"
	"swardcase/model/layered"
	"swardcase/model/outline"
)

// DrainChoice says where the drains of an option come from.
type DrainChoice struct {
	// Source is outline for drains drawn within it, area_by_spacing for lengths
	// reckoned from area and perimeter, and empty where nothing is drained.
	Source layered.DrainSource `json:"source"`
	// Layout is herringbone or perimeter_main; empty when none is drawn.
	Layout string `json:"layout"`
	Reason string `json:"reason"`
}

// drawn holds the layouts of a green that has an outline. The laterals of slits
// stand closer, so that they have a layout of their own.
type drawn struct {
	shape   *outline.Shape
	rebuild *outline.Report
	slits   *outline.Report // nil until wanted, and where they cannot be drawn
	// noSlits says why slits cannot be drawn in the outline.
	noSlits string
}

// resolveDrains checks what is chosen of the drains. The layouts themselves are
// drawn only where a design is asked for.
func (r *Resolved) resolveDrains(faults *fault.List) {
	choices := r.Case.Choices
	if d := choices.LayerDepths; d != nil && d.RootZoneMM+d.BlindingMM+d.GravelMM > deepestFormationMM {
		faults.Add("/choices/layer_depths", d.RootZoneMM+d.BlindingMM+d.GravelMM, "the layers together are deeper than a green is dug",
			fmt.Sprintf("give depths that add up to %d mm at most", deepestFormationMM))
		return
	}
	switch {
	case r.shape != nil:
		bad := r.shape.CheckOptions(r.drainOptions(), outline.ParametersFrom(r.assumptions))
		*faults = append(*faults, r.home(bad, [2]string{"", "/choices/drains"})...)
	case choices.Drains != nil && r.Case.Green.Outline == nil:
		faults.Add("/choices/drains", nil, "there is no outline to draw the drains in", "give green.outline, or leave choices.drains out")
	}
}

// What a formation can lie below the surface, in mm, for levels to be drawn.
const (
	shallowestFormationMM = 100
	deepestFormationMM    = 1000
)

// drainOptions are the case's choices for the rebuild, with what the rest of the
// case says written in.
func (r Resolved) drainOptions() outline.Options {
	var o outline.Options
	if chosen := r.Case.Choices.Drains; chosen != nil {
		o = *chosen
	}
	if runsIn := r.Case.Green.Surroundings.WaterRunsIn; runsIn != nil && *runsIn {
		o.WaterRunsIn = true
	}
	if o.FormationDepthMM == nil {
		depth := r.layersMM()
		o.FormationDepthMM = &depth
	}
	return o
}

// layersMM is the depth of the chosen or usual layers of a rebuild together.
func (r Resolved) layersMM() float64 {
	sum := r.assumptions.Likely("root_zone_depth_mm") + r.assumptions.Likely("blinding_depth_mm") + r.assumptions.Likely("gravel_depth_mm")
	if d := r.Case.Choices.LayerDepths; d != nil {
		sum = d.RootZoneMM + d.BlindingMM + d.GravelMM
	}
	return min(max(sum, shallowestFormationMM), deepestFormationMM)
}

// draw lays out the drains of the rebuild where there is an outline.
func (a *appraiser) draw() error {
	if a.shape == nil {
		return nil
	}
	report, bad := a.shape.Design(a.drainOptions(), outline.ParametersFrom(a.assumptions))
	if err := a.home(bad, [2]string{"", "/choices/drains"}).Err(); err != nil {
		return err
	}
	a.drawn = &drawn{shape: a.shape, rebuild: report}
	return nil
}

// drawSlits lays out slit drains for a partial renovation, by the cross-section
// and spacing that its design comes to without a drawing.
func (a *appraiser) drawSlits(plain layered.Design) {
	d := a.drawn
	if d.slits != nil || d.noSlits != "" {
		return
	}
	slit := plain.Slits
	o := a.drainOptions()
	spacing, width := slit.Spacing.SpacingM, max(slit.WidthMM, leastDrawnWidthMM)
	// Where only slits are cut there is no formation; their depth is the same
	// whatever part of it is called so.
	formation := max(shallowestFormationMM, plain.Excavation.MeanDepthMM)
	depth := slit.DepthMM - formation
	o.SpacingM, o.TrenchWidthMM, o.TrenchDepthMM, o.FormationDepthMM = &spacing, &width, &depth, &formation
	report, bad := d.shape.LayBoth(o, d.rebuild.Plane, outline.ParametersFrom(a.assumptions))
	if len(bad) > 0 {
		d.noSlits = fmt.Sprintf("slits %.3g m apart and %.0f mm deep cannot be drawn in the outline (%s)", spacing, slit.DepthMM, bad[0].Detail)
		return
	}
	d.slits = report
}

// leastDrawnWidthMM is the narrowest trench that a layout is drawn for.
const leastDrawnWidthMM = 50

// used is the layout that the design is made of: the one chosen in the case,
// else advised, else suggested; where neither can be laid, the one with fewer
// runs that cannot.
func used(report *outline.Report) *outline.Layout {
	if layout := report.Layout(report.Chosen); layout != nil {
		return layout
	}
	least := &report.Layouts[0]
	for i := range report.Layouts {
		if len(report.Layouts[i].Refused) < len(least.Refused) {
			least = &report.Layouts[i]
		}
	}
	return least
}

// drainsFor gives the drawn drains of an option, nil where they are reckoned
// from the area or there are none, and says which and why.
func (a *appraiser) drainsFor(out *OptionAppraisal, plain layered.Design) *layered.Drains {
	if plain.Drains == nil {
		out.Drains = DrainChoice{Reason: "This package drains nothing."}
		return nil
	}
	out.Drains = DrainChoice{Source: layered.AreaBySpacing, Reason: "No outline: lengths are reckoned from area, perimeter and spacing."}
	if a.drawn == nil {
		return nil
	}
	report, usualMM := a.drawn.rebuild, a.assumptions.Likely("trench_depth_mm")
	if plain.Slits != nil {
		if a.drawSlits(plain); a.drawn.slits == nil {
			out.Drains.Reason = "Lengths are reckoned from area, perimeter and spacing: " + a.drawn.noSlits + "."
			return nil
		}
		report = a.drawn.slits
		usualMM = plain.Slits.DepthMM - max(shallowestFormationMM, plain.Excavation.MeanDepthMM)
	}
	layout := used(report)
	out.Drains = DrainChoice{Source: layered.Outline, Layout: layout.Kind, Reason: a.layoutReason(report, layout)}
	out.screenRuns(layout)
	drains := a.measure(layout, usualMM)
	if plain.Slits == nil {
		drains.TrenchWidthMM = valueOr(a.drainOptions().TrenchWidthMM, 0)
	} else {
		drains.ExitDepthMM += max(0, shallowestFormationMM-plain.Excavation.MeanDepthMM) // below what is dug
	}
	drains.MainPipeMM = out.mainPipeMM(report.MainPipe)
	return &drains
}

func (a *appraiser) layoutReason(report *outline.Report, layout *outline.Layout) string {
	switch {
	case a.drainOptions().Choice == layout.Kind:
		return "Drawn in the outline; the layout is chosen in the case."
	case report.Chosen == "":
		return "Drawn in the outline; neither layout can be laid as stated, and this one has fewer runs that cannot."
	case report.Advised == layout.Kind:
		return "Drawn in the outline; the layout is advised: " + report.AdvisedReason + "."
	}
	return "Drawn in the outline; the layout with less work: " + report.SuggestedReason + "."
}

// screenRuns rules the option out when its layout has runs that cannot be laid.
// Where the levels are not known, that is only a warning: the formation may yet
// be shaped, and the surface may have the fall.
func (out *OptionAppraisal) screenRuns(layout *outline.Layout) {
	if layout.Feasible() {
		return
	}
	first := layout.Refused[0]
	others := ""
	if n := len(layout.Refused) - 1; n > 0 {
		others = fmt.Sprintf(" (and %d more)", n)
	}
	text := fmt.Sprintf("Drain %s%s of the %s layout cannot be laid: %s. Remedy: %s.",
		first.Run, others, strings.ReplaceAll(layout.Kind, "_", " "), first.Reason, first.Remedy)
	if layout.LevelBasis == "level_ground" {
		out.Cautions = append(out.Cautions, "On level ground: "+text+" Take spot levels before relying on it.")
		return
	}
	out.Infeasible = append(out.Infeasible, Reason{"drain_run_refused", text})
}

// widestPricedMM is the widest main that a price book has an item for.
const widestPricedMM = 150

// mainPipeMM is the nominal size of the main as priced, 0 to have it chosen by
// area.
func (out *OptionAppraisal) mainPipeMM(size *outline.PipeSize) float64 {
	switch {
	case size == nil:
		return 0
	case size.BoreMM == nil || *size.BoreMM > widestPricedMM:
		out.Cautions = append(out.Cautions, fmt.Sprintf(
			"The main needs a bore of %.0f mm, wider than the %d mm that is priced: take a wider pipe, a second main or more fall.", size.BoreNeededMM, widestPricedMM))
		return widestPricedMM
	case *size.BoreMM > 100:
		return widestPricedMM
	}
	return 100
}

// measure adds up a layout. Its trenches are deepened by what they are dug
// beyond their usual depth on average.
func (a *appraiser) measure(layout *outline.Layout, usualMM float64) layered.Drains {
	d := layered.Drains{
		Source: layered.Outline, MainM: layout.MainM, LateralM: layout.LateralM, EdgeM: layout.EdgeM,
		OutfallM: layout.OutfallM, LateralSpacingM: layout.SpacingM,
	}
	if d.OutfallM == 0 {
		d.OutfallM = valueOr(a.Case.Green.Outfall.DistanceM, a.assumptions.Likely("outfall_run_m"))
	}
	deepened := map[string]*float64{outline.Main: &d.MainDeepenedMM, outline.Lateral: &d.LateralDeepenedMM, outline.Edge: &d.EdgeDeepenedMM}
	length := map[string]float64{outline.Main: d.MainM, outline.Lateral: d.LateralM, outline.Edge: d.EdgeM}
	for i := range layout.Runs {
		run := &layout.Runs[i]
		if run.Kind == outline.Lateral {
			d.Laterals++
		}
		if run.Kind == outline.Main {
			d.ExitDepthMM = max(d.ExitDepthMM, run.Points[len(run.Points)-1].TrenchDepthMM)
		}
		if mean := deepened[run.Kind]; mean != nil {
			*mean += meanDepthMM(run) * run.LengthM / length[run.Kind]
		}
	}
	for _, mean := range []*float64{&d.MainDeepenedMM, &d.LateralDeepenedMM, &d.EdgeDeepenedMM} {
		*mean = max(0, *mean-usualMM)
	}
	return d
}

// meanDepthMM is the mean depth of a run's trench below the formation.
func meanDepthMM(run *outline.Run) float64 {
	area := 0.0
	for i := 1; i < len(run.Points); i++ {
		a, b := run.Points[i-1], run.Points[i]
		area += (b.AlongM - a.AlongM) * (a.TrenchDepthMM + b.TrenchDepthMM) / 2
	}
	return area / run.LengthM
}
