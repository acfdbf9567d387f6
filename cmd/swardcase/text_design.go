package main

import (
	"fmt"
	"strings"

	"swardcase/api/report"
	"swardcase/model"
	"swardcase/model/layered"
	"swardcase/model/outline"
)

// designText prints a design: the ground, the drains, the options side by side,
// and one option in full.
func designText(r model.DesignReport, view designView) (string, error) {
	var p page
	p.title(report.Title(r.Title, r.Green))
	p.line("Design of the works: to price and to discuss, not for tender.")
	writeGround(&p, r)
	if err := writeDrains(&p, r, view.layout); err != nil {
		return "", err
	}
	writeDesigns(&p, r)
	option, _ := r.Option(model.Option(view.option))
	writeDesign(&p, option)
	if r.Materials != nil {
		writeMaterials(&p, *r.Materials)
	}
	writeCautions(&p, r.Cautions)
	return p.String(), nil
}

func writeGround(p *page, r model.DesignReport) {
	p.heading("The green")
	p.line("area %.1f m², perimeter %.1f m", r.AreaM2, r.PerimeterM)
	if o := r.Outline; o != nil {
		holes := ""
		if o.Measures.Holes > 0 {
			holes = fmt.Sprintf(", holes in it %d", o.Measures.Holes)
		}
		p.line("outline of %d corners%s", o.Measures.Vertices, holes)
		if o.Projection != "" {
			p.paragraph("projected on " + o.Projection)
		}
		if s := o.Plane; s != nil {
			towards, spread := "", ""
			if s.FallBearingDeg != nil {
				towards = fmt.Sprintf(" towards %.0f°%s", *s.FallBearingDeg, fromWhat(o.NorthKnown))
			}
			if s.ResidualDeviationMM != nil {
				spread = fmt.Sprintf(" (standard deviation %.0f mm)", *s.ResidualDeviationMM)
			}
			p.paragraph(fmt.Sprintf("surface: a fall of %.2f %%%s; %d spot levels lie up to %.0f mm off that plane%s", s.FallPct, towards, s.Spots, s.GreatestResidualMM, spread))
		}
		h := o.Holeable
		p.paragraph(fmt.Sprintf("ground for holes: %.0f m² (%.0f %%) lies %g m or more from the edge and is no steeper than %g %% (slope from: %s)",
			h.HoleableM2, h.HoleablePct, h.EdgeDistanceM, h.SlopePct, report.Plain(h.SlopeBasis)))
	}
	if l := r.Levelling; l != nil {
		p.paragraph(fmt.Sprintf("old surface against its plane: cut %.1f m³, fill %.1f m³ (net %s, standard error of the levels %.1f); at most %.0f mm of cut and %.0f mm of fill; %s, %.0f m² each",
			l.CutM3, l.FillM3, signed(l.NetM3), l.ErrorM3, l.GreatestCutMM, l.GreatestFillMM, l.Method, l.GroundPerSpot))
	}
	p.line("level stakes: %d on a grid of %g m", r.SettingOut.StakesEach, r.SettingOut.GridM)
	for _, need := range r.EnablingNeeds {
		p.hanging("first of all: ", fmt.Sprintf("%s (%.0f %s): %s", report.Plain(need.Item), need.Amount, need.Unit, need.Reason))
	}
}

// signed prints a number with its sign, and nothing as 0.0.
func signed(value float64) string {
	if text := fmt.Sprintf("%+.1f", value); text != "-0.0" && text != "+0.0" {
		return text
	}
	return "0.0"
}

func fromWhat(northKnown bool) string {
	if northKnown {
		return " from north"
	}
	return " from the y axis"
}

// writeDrains sets both layouts side by side and lists the runs of one.
func writeDrains(p *page, r model.DesignReport, name string) error {
	p.heading("Drains of the rebuild")
	p.paragraph(r.Drains.Reason)
	if r.Outline == nil {
		if name == "" {
			return nil
		}
		_, err := r.Layout(name)
		return err
	}
	writeLayouts(p, r)
	if r.Outline.Advised != "" {
		p.item("-", fmt.Sprintf("advised: %s, since %s", report.Plain(r.Outline.Advised), r.Outline.AdvisedReason))
	}
	if r.Outline.Suggested != "" {
		p.item("-", fmt.Sprintf("with less work: %s, %s", report.Plain(r.Outline.Suggested), r.Outline.SuggestedReason))
	}
	for _, pipe := range []struct {
		name string
		size *outline.PipeSize
	}{{"main", r.Outline.MainPipe}, {"laterals", r.Outline.LateralPipe}} {
		if pipe.size != nil {
			p.item("-", pipeWords(pipe.name, *pipe.size))
		}
	}
	layout, err := r.Layout(name)
	if err != nil {
		return err
	}
	writeRuns(p, r, *layout, name)
	return nil
}

func writeLayouts(p *page, r model.DesignReport) {
	row := func(name string, cell func(outline.Layout) string) {
		line := left(name, 36)
		for _, l := range r.Outline.Layouts {
			line += right(cell(l), 16)
		}
		if r.SlitLayout != nil {
			line += right(cell(*r.SlitLayout), 28)
		}
		p.line("%s", line)
	}
	row("", func(l outline.Layout) string { return report.Plain(l.Kind) })
	if r.SlitLayout != nil {
		p.line("%s", left("", 68)+right("slits", 28))
	}
	number := func(name, format string, of func(outline.Layout) float64) {
		row(name, func(l outline.Layout) string { return fmt.Sprintf(format, of(l)) })
	}
	number("laterals apart, m", "%.2f", func(l outline.Layout) float64 { return l.SpacingM })
	number("main, m", "%.1f", func(l outline.Layout) float64 { return l.MainM })
	number("laterals, m", "%.1f", func(l outline.Layout) float64 { return l.LateralM })
	number("edge runs, m", "%.1f", func(l outline.Layout) float64 { return l.EdgeM })
	number("to the outfall, m", "%.1f", func(l outline.Layout) float64 { return l.OutfallM })
	number("trenches, m³", "%.1f", func(l outline.Layout) float64 { return l.TrenchM3 })
	number("furthest from a drain, m", "%.2f", func(l outline.Layout) float64 { return l.GreatestDistanceM })
	number("beyond half the spacing, % of area", "%.1f", func(l outline.Layout) float64 { return l.BeyondHalfSpacingPct })
	number("runs that cannot be laid", "%.0f", func(l outline.Layout) float64 { return float64(len(l.Refused)) })
}

func pipeWords(name string, s outline.PipeSize) string {
	bore := "no bore on offer is wide enough"
	if s.BoreMM != nil {
		bore = fmt.Sprintf("%.0f mm taken", *s.BoreMM)
	}
	words := fmt.Sprintf("%s: %.2f L/s (%.3g mm/h on %.0f m²) at a fall of %.2f %% needs a bore of %.0f mm in %s pipe (n %.3g); %s, which carries %.2f L/s; %.2f m/s",
		name, s.FlowLPS, s.DesignRateMMPerH, s.CatchmentM2, s.FallPct, s.BoreNeededMM, report.Plain(s.Wall), s.ManningN, bore, s.CapacityLPS, s.VelocityMPerS)
	return strings.Join(append([]string{words}, s.Notes...), "; ")
}

func writeRuns(p *page, r model.DesignReport, layout outline.Layout, name string) {
	title := report.Plain(layout.Kind)
	if name == model.SlitLayout {
		title = "slits, " + title
	}
	p.heading("Runs: " + title)
	p.paragraph(map[string]string{
		"spot_levels":  "Levels in the datum of the spot levels; trench depths below the formation, of the outfall below the ground.",
		"stated_fall":  "Levels from the stated fall, with the surface at the middle of the green as 0; trench depths below the formation, of the outfall below the ground.",
		"level_ground": "Levels on ground taken as level, with its surface as 0; trench depths below the formation, of the outfall below the ground.",
	}[layout.LevelBasis])
	row := func(id, into, length, start, end, fall, depth string) {
		p.line("%s%s%s%s%s%s%s", left(id, 14), left(into, 14), right(length, 9), right(start, 12), right(end, 12), right(fall, 9), right(depth, 11))
	}
	row("run", "into", "m long", "invert from", "to, m", "fall, %", "depth, mm")
	for _, run := range layout.Runs {
		row(report.Plain(run.ID), report.Plain(run.Into), fmt.Sprintf("%.1f", run.LengthM), fmt.Sprintf("%.3f", run.StartInvertM), fmt.Sprintf("%.3f", run.EndInvertM),
			fmt.Sprintf("%.2f", run.FallPct), fmt.Sprintf("%.0f", run.GreatestDepthMM))
	}
	for _, refused := range layout.Refused {
		p.item("x", fmt.Sprintf("%s cannot be laid: %s; %s", report.Plain(refused.Run), refused.Reason, refused.Remedy))
	}
}

// writeDesigns sets the options side by side.
func writeDesigns(p *page, r model.DesignReport) {
	p.heading("Options side by side")
	row := func(name string, cells ...string) {
		for _, cell := range cells {
			name += right(cell, 9)
		}
		p.line("%s", name)
	}
	row(left("", 36), "dig", "spoil", "loads", "gravel", "root", "labour", "weeks")
	row(left("", 36), "m³", "loose m³", "", "t", "zone t", "h", "")
	for _, o := range r.Options {
		d := o.Design
		dug := d.Excavation.CavityM3 + d.Excavation.TrenchM3
		row(left("  "+report.OptionName(o.Option), 36), fmt.Sprintf("%.0f", dug), fmt.Sprintf("%.0f", d.Excavation.SpoilLooseM3), fmt.Sprint(d.Excavation.LorryLoads),
			fmt.Sprintf("%.0f", gravelTonnes(*d)), fmt.Sprintf("%.0f", layerTonnes(*d, layered.RootZone)), fmt.Sprintf("%.0f", d.Labour.TotalH), fmt.Sprintf("%.1f", d.Programme.Weeks.Likely))
	}
	p.line("Tonnes as delivered, trenches included; weeks likely, for the start stated.")
	for _, o := range r.Options {
		for _, reason := range o.Infeasible {
			p.item("x", o.Words+" cannot be done: "+reason.Text)
		}
	}
}

func layerTonnes(d layered.Design, name layered.LayerName) float64 {
	sum := 0.0
	for _, l := range d.Layers {
		if l.Name == name {
			sum += l.DeliveredT
		}
	}
	return sum
}

// gravelTonnes is the gravel that is bought, as the quantities have it.
func gravelTonnes(d layered.Design) float64 {
	sum := 0.0
	for _, q := range d.Quantities {
		if q.Item == "drainage_gravel" {
			sum += q.Amount
		}
	}
	return sum
}
