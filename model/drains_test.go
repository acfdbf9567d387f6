package model

import (
	"math"
	"strings"
	"testing"

	"swardcase/model/layered"
	"swardcase/model/outline"
)

func mustDesignWorks(t *testing.T, c Case) DesignReport {
	t.Helper()
	report, err := DesignWorks(c)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

func (out *DesignReport) mustOption(t *testing.T, o Option) OptionDesign {
	t.Helper()
	design, ok := out.Option(o)
	if !ok {
		t.Fatalf("no design of %s", o)
	}
	return design
}

func trenchOf(t *testing.T, d *layered.Design, kind layered.TrenchKind) layered.Trench {
	t.Helper()
	for _, trench := range d.Trenches {
		if trench.Kind == kind {
			return trench
		}
	}
	t.Fatalf("no trench of kind %s", kind)
	return layered.Trench{}
}

func close(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// TestTheDesignIsMadeOfTheDrawing: the trenches that are priced have the lengths
// of the runs that are drawn, under the rebuild and under partial renovation.
func TestTheDesignIsMadeOfTheDrawing(t *testing.T) {
	report := mustDesignWorks(t, readCase(t, "kidney"))
	for _, tt := range []struct {
		option  Option
		layout  *outline.Layout
		lateral layered.TrenchKind
	}{
		{UsualRebuild, report.Outline.Layout(outline.Herringbone), layered.LateralTrench},
		{"partial_renovation/supplier_turf", report.SlitLayout, layered.SlitTrench},
	} {
		o := report.mustOption(t, tt.option)
		if o.Drains.Source != layered.Outline || o.Design.Drains.Source != layered.Outline || o.Drains.Layout != outline.Herringbone {
			t.Errorf("%s: drains from %+v", tt.option, o.Drains)
		}
		for kind, want := range map[layered.TrenchKind]float64{
			layered.MainTrench: tt.layout.MainM, tt.lateral: tt.layout.LateralM,
			layered.EdgeTrench: tt.layout.EdgeM, layered.OutfallTrench: tt.layout.OutfallM,
		} {
			if got := trenchOf(t, o.Design, kind).LengthM; !close(got, want, 1e-9) {
				t.Errorf("%s: %g m of %s, and %g m are drawn", tt.option, got, kind, want)
			}
		}
	}
}

// TestDeepenedTrenchesArePriced: a drawn trench is 150 mm wide, that of a 100 mm
// pipe with gravel beside it 160 mm, and both are equally deep.
func TestDeepenedTrenchesArePriced(t *testing.T) {
	c := readCase(t, "kidney")
	c.Green.Outline.SpotLevels, c.Choices.Drains.Outfall = nil, nil
	c.Choices.Drains.StatedFall = &outline.StatedFall{FallPct: 0.3, BearingDeg: 150}
	report := mustDesignWorks(t, c)
	layout, design := report.Outline.Layout(outline.Herringbone), report.mustOption(t, UsualRebuild).Design
	drawn := map[string]float64{}
	for _, run := range layout.Runs {
		drawn[run.Kind] += run.TrenchM3
	}
	for kind, runs := range map[layered.TrenchKind]string{layered.LateralTrench: outline.Lateral, layered.EdgeTrench: outline.Edge} {
		trench := trenchOf(t, design, kind)
		if want := drawn[runs] * trench.WidthMM / 150; !close(trench.TrenchM3, want, 1e-9) {
			t.Errorf("%s: %g m³ are priced and %g m³ drawn", kind, trench.TrenchM3, want)
		}
	}
	if design.Drains.LateralDeepenedMM <= 1 {
		t.Errorf("laterals on a fall of 0.3 %% are deepened by %g mm: the case shows nothing", design.Drains.LateralDeepenedMM)
	}
}

// TestWhichLayoutIsUsed: the choice, else the advice, else the lesser work.
func TestWhichLayoutIsUsed(t *testing.T) {
	yes := true
	tests := []struct {
		name   string
		choice string
		water  *bool
		want   string
		says   string
	}{
		{"chosen against the advice", outline.Herringbone, &yes, outline.Herringbone, "chosen in the case"},
		{"advised", "", &yes, outline.PerimeterMain, "advised"},
		{"suggested", "", nil, outline.Herringbone, "less work"},
	}
	for _, tt := range tests {
		c := readCase(t, "kidney")
		c.Choices.Drains.Choice, c.Green.Surroundings.WaterRunsIn = tt.choice, tt.water
		got := mustDesignWorks(t, c).Drains
		if got.Layout != tt.want || !strings.Contains(got.Reason, tt.says) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// TestARunThatCannotBeLaidRulesTheRebuildOut, where the levels are known; on
// ground whose levels are not, it is a caution to take them.
func TestARunThatCannotBeLaidRulesTheRebuildOut(t *testing.T) {
	none := 0.0
	c := readCase(t, "kidney")
	c.Choices.Drains = &outline.Options{Choice: outline.Herringbone, DeepeningLimitMM: &none, StatedFall: &outline.StatedFall{}}
	c.Green.Outline.SpotLevels = nil
	o := mustDesignWorks(t, c)
	infeasible := o.mustOption(t, UsualRebuild).Infeasible
	if len(infeasible) != 1 || infeasible[0].Code != "drain_run_refused" || !strings.Contains(infeasible[0].Text, "main_1") {
		t.Errorf("known to be level: %+v", infeasible)
	}
	c.Choices.Drains.StatedFall = nil
	o = mustDesignWorks(t, c)
	unknown := o.mustOption(t, UsualRebuild)
	if len(unknown.Infeasible) != 0 || len(unknown.Cautions) == 0 || !strings.Contains(unknown.Cautions[0], "Take spot levels") {
		t.Errorf("levels not known: %+v, %q", unknown.Infeasible, unknown.Cautions)
	}
}

// TestSlitsTooCloseToDrawAreReckoned, and the report says so.
func TestSlitsTooCloseToDrawAreReckoned(t *testing.T) {
	c := readCase(t, "kidney")
	c.Choices.Slits = &layered.Slits{SpacingM: 0.5}
	report := mustDesignWorks(t, c)
	o := report.mustOption(t, "partial_renovation/existing_turf")
	if o.Drains.Source != layered.AreaBySpacing || !strings.Contains(o.Drains.Reason, "slits 0.5 m apart") || report.SlitLayout != nil {
		t.Errorf("got %+v", o.Drains)
	}
	if got, want := o.Design.Drains.LateralM, report.AreaM2/0.5; !close(got, want, 1e-9) {
		t.Errorf("%g m of slits, want area ÷ spacing, %g", got, want)
	}
}

func TestWithoutAnOutlineTheDesignSaysSo(t *testing.T) {
	report := mustDesignWorks(t, readCase(t, "materials"))
	if report.Drains.Source != layered.AreaBySpacing || report.Outline != nil || report.PlanSVG != "" || report.SectionSVG == "" {
		t.Errorf("got %+v", report.Drains)
	}
	if got := report.SettingOut; got.StakesEach != 20 || len(got.Stakes) != 0 { // 500 m² ÷ 25 m²
		t.Errorf("got %+v", got)
	}
	if !strings.Contains(strings.Join(report.Cautions, "\n"), "No outline was given") {
		t.Errorf("nothing is said: %q", report.Cautions)
	}
}

// TestTheMainIsPricedInTheSizeItNeeds: 103 mm needed takes the 149 mm bore, sold
// as 150 mm; wider than that is priced as 150 mm and said to be short.
func TestTheMainIsPricedInTheSizeItNeeds(t *testing.T) {
	c := readCase(t, "kidney")
	rate := func(mmPerH float64) DesignReport {
		c.Choices.Drains.Pipe = &outline.PipeChoice{DesignRateMMPerH: &mmPerH}
		return mustDesignWorks(t, c)
	}
	for _, tt := range []struct {
		mmPerH, want float64
		short        bool
	}{{10, 100, false}, {60, 150, false}, {200, 150, true}} {
		report := rate(tt.mmPerH)
		o := report.mustOption(t, UsualRebuild)
		warned := strings.Contains(strings.Join(o.Cautions, " "), "wider than the 150 mm")
		if o.Design.Drains.MainPipeMM != tt.want || warned != tt.short {
			t.Errorf("%g mm/h: %g mm, warned %v, needs %g", tt.mmPerH, o.Design.Drains.MainPipeMM, warned, report.Outline.MainPipe.BoreNeededMM)
		}
	}
}
