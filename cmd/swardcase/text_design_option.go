package main

import (
	"fmt"
	"slices"
	"strings"

	"swardcase/api/report"
	"swardcase/model"
	"swardcase/model/layered"
)

// writeDesign prints one option in full: what its drains come from, profile,
// turf, quantities and the works week by week.
func writeDesign(p *page, o model.OptionDesign) {
	d := o.Design
	p.heading("Design of " + o.Words)
	if o.Package != "" {
		p.paragraph(report.Plain(o.Package) + ": " + o.PackageReason)
	}
	p.paragraph("Drains: " + o.Drains.Reason)
	for _, l := range d.Layers {
		p.hanging(left("  "+report.Plain(l.Name), 14), fmt.Sprintf("%.0f mm firm (%.0f mm on average), %.1f m³ in place, %.1f m³ loose, %.0f t to buy",
			l.DepthMM, l.MeanDepthMM, l.FirmM3, l.LooseM3, l.DeliveredT))
	}
	e := d.Excavation
	p.hanging(left("  dig", 14), fmt.Sprintf("%.0f mm, %.1f m³ and %.1f m³ of trenches; spoil %.1f m³ in the ground, %.1f m³ loose, %d loads",
		e.MeanDepthMM, e.CavityM3, e.TrenchM3, e.SpoilBankM3, e.SpoilLooseM3, e.LorryLoads))
	if s := d.Slits; s != nil {
		p.hanging(left("  slits", 14), fmt.Sprintf("%.0f mm wide and %.0f mm deep, %.2f m apart; %s", s.WidthMM, s.DepthMM, s.Spacing.SpacingM, s.Spacing.Working))
	}
	if d.Lifting != nil {
		writeLifting(p, *d.Lifting)
	}
	writeQuantities(p, d.Quantities)
	writeStages(p, o)
	for _, c := range append(reasonTexts(d.Cautions), o.Cautions...) {
		p.item("!", c)
	}
}

func reasonTexts(reasons []layered.Reason) []string {
	var texts []string
	for _, r := range reasons {
		texts = append(texts, r.Text)
	}
	return texts
}

func writeLifting(p *page, l layered.Lifting) {
	p.paragraph(fmt.Sprintf("Lifting the %s: cut at %.0f mm, %.0f m² in %d rolls, of which %.0f m² can be laid again; %.0f mm of thatch travels with it and %.0f mm (%.1f m³) stays to be dug out.",
		report.Plain(l.From), l.CutThicknessMM, l.LiftedM2, l.Rolls, l.UsableM2, l.ThatchCarriedMM, l.ThatchLeftMM, l.ThatchLeftM3))
	if l.StorageM2 > 0 {
		p.paragraph(fmt.Sprintf("Stored flat in one layer, without overlap, on %.0f m² of level ground and %.0f m² of sheet for %.1f weeks, watered on %.0f days.",
			l.StorageM2, l.SheetM2, l.StoredWeeks, l.WateringDays))
	}
	p.paragraph(fmt.Sprintf("The cutter takes %.0f h; a gang of %.0f then lifts. In person hours: lifting %.0f, watering %.0f, carrying back %.0f, laying %.0f.",
		l.CutterGangH, l.GangPersons, l.LiftingH, l.WateringH, l.CarryBackH, l.LayingH))
}

func writeQuantities(p *page, quantities []layered.Quantity) {
	p.heading("Quantities")
	section := layered.Section("")
	for _, q := range quantities {
		if q.Section != section {
			section = q.Section
			p.line("%s", report.Plain(section))
		}
		words := q.Description
		if who, is := map[string]string{"skilled_labour": ", skilled", "general_labour": ", general"}[q.Item]; is {
			words += who
		}
		p.line("  %s%s %s", left(words, 80), right(amountWords(q.Amount), 9), unitWords(q.Unit))
	}
}

func amountWords(amount float64) string {
	if amount >= 100 || amount == float64(int(amount)) {
		return fmt.Sprintf("%.0f", amount)
	}
	return fmt.Sprintf("%.1f", amount)
}

func unitWords(unit string) string {
	return strings.NewReplacer("m2", "m²", "m3", "m³").Replace(unit)
}

func writeStages(p *page, o model.OptionDesign) {
	p.heading("Works, stage by stage")
	programme := o.Design.Programme
	for _, stage := range programme.Stages {
		p.line("  %s%s%s", left(report.Plain(stage.Name), 26), right(fmt.Sprintf("%.0f gang hours", stage.GangHours), 18),
			right(fmt.Sprintf("%.1f weeks (%.1f to %.1f)", stage.Weeks.Likely, stage.Weeks.Low, stage.Weeks.High), 28))
	}
	p.line("  %s%s", left("in all", 44), right(fmt.Sprintf("%.1f weeks (%.1f to %.1f)", programme.Weeks.Likely, programme.Weeks.Low, programme.Weeks.High), 28))
	if t := o.Timeline; t != nil {
		p.paragraph(fmt.Sprintf("From %s; the surface is sown or laid on %s and the green opens on %s.", t.Opening.WorksStart, t.Opening.LaidOn, t.Opening.OpensOn))
	}
}

// sources numbers what the limits are taken from, in order of first use.
type sources []string

func (s *sources) number(source string) int {
	i := slices.Index(*s, source)
	if i < 0 {
		i = len(*s)
		*s = append(*s, source)
	}
	return i + 1
}

func writeMaterials(p *page, m model.MaterialsVerdict) {
	p.heading("Materials")
	var cited sources
	for _, material := range []struct {
		name   string
		report *layered.MaterialReport
	}{{"root zone", m.RootZone}, {"blinding", m.Blinding}, {"gravel under a blinding", m.Gravel}} {
		if r := material.report; r != nil {
			p.line("%s: %s", material.name, passWords(r.Passes))
			writeChecks(p, r.Checks, &cited)
			if len(r.NotJudged) > 0 {
				p.hanging("    not judged: ", strings.ReplaceAll(strings.Join(r.NotJudged, ", "), "_", " "))
			}
		}
	}
	if v := m.Without; v != nil {
		p.line("without a blinding: %s", passWords(v.MayBeOmitted))
		writeChecks(p, v.Checks, &cited)
		if v.DepthSavedMM > 0 {
			saved := fmt.Sprintf("The blinding may be left out: %.0f mm, %.0f t in place (%.0f t to buy) and %.1f m³ of digging saved", v.DepthSavedMM, v.TonnesSavedT, v.DeliveredSavedT, v.ExcavationM3)
			if m.MoneySaved != nil {
				saved += ", " + m.MoneySaved.About() + " of capital in all"
			}
			p.paragraph(saved + ".")
		}
	}
	if m.Delivery != nil {
		p.line("delivery against the approved sample: %s", passWords(m.Delivery.Pass))
		writeChecks(p, []layered.Check{*m.Delivery}, &cited)
	}
	for i, source := range cited {
		p.item(fmt.Sprintf("[%d]", i+1), source)
	}
}

func passWords(pass bool) string {
	if pass {
		return "passes"
	}
	return "fails"
}

func writeChecks(p *page, checks []layered.Check, cited *sources) {
	for _, c := range checks {
		mark := "+"
		if !c.Pass {
			mark = "x"
		}
		unit := c.Unit
		if unit == "1" {
			unit = ""
		}
		p.line("  %s %s%s %s%s [%d]", mark, left(report.Plain(c.Check), 34), right(report.Figure(c.Value), 7), left(unit, 6), left(limitWords(c), 22), cited.number(c.Source))
	}
}

func limitWords(c layered.Check) string {
	switch {
	case c.AtLeast != nil && c.AtMost != nil:
		return fmt.Sprintf("%s to %s", report.Figure(*c.AtLeast), report.Figure(*c.AtMost))
	case c.AtLeast != nil:
		return "at least " + report.Figure(*c.AtLeast)
	case c.AtMost != nil:
		return "at most " + report.Figure(*c.AtMost)
	}
	return "no limit"
}
