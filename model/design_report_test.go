package model

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"
	"pgregory.net/rapid"

	"swardcase/costs"
	"swardcase/model/assumption"
	"swardcase/model/layered"
	"swardcase/model/outline"
	"swardcase/model/survey"
)

// TestADesignNeedsNeitherSurveyNorMoney: a consultant with an outline alone gets
// one.
func TestADesignNeedsNeitherSurveyNorMoney(t *testing.T) {
	c := readCase(t, "kidney")
	c.Survey, c.Money = survey.Survey{SurveyedOn: c.Survey.SurveyedOn}, nil
	c.Choices = Choices{}
	report := mustDesignWorks(t, c)
	partial := report.mustOption(t, "partial_renovation/existing_turf")
	if partial.Package != string(layered.TopAndDrains) || !strings.Contains(partial.PackageReason, "Nothing was surveyed") {
		t.Errorf("package %s: %s", partial.Package, partial.PackageReason)
	}
	if len(report.Options) != 6 || report.PlanSVG == "" {
		t.Errorf("%d options are designed", len(report.Options))
	}
}

// TestDesignAndAppraisalAgree: the same option has the same design in both.
func TestDesignAndAppraisalAgree(t *testing.T) {
	for _, name := range []string{"kidney", "geojson", "materials", "green_14"} {
		c := readCase(t, name)
		report, appraisal := mustDesignWorks(t, c), mustAppraise(t, c)
		for _, o := range OptionsWithWorks() {
			alone, appraised := report.mustOption(t, o), appraisal.option(t, o)
			design := *alone.Design
			design.Quantities, design.AftercareYear1, design.AftercareYear2 = nil, nil, nil
			within := *appraised.Design
			within.Quantities, within.AftercareYear1, within.AftercareYear2 = nil, nil, nil
			if diff := cmp.Diff(asJSON(t, within), asJSON(t, design)); diff != "" {
				t.Errorf("%s, %s: %s", name, o, diff)
			}
			if diff := cmp.Diff(appraised.Drains, alone.Drains); diff != "" {
				t.Errorf("%s, %s: %s", name, o, diff)
			}
		}
	}
}

func TestAResolvedCaseGivesTheSameDesign(t *testing.T) {
	for _, name := range []string{"kidney", "geojson", "materials", "green_14"} {
		c := readCase(t, name)
		resolved, err := Resolve(c)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(asJSON(t, mustDesignWorks(t, c)), asJSON(t, mustDesignWorks(t, resolved.Case))); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// TestAMeasuredCaseResolvesToItself on any rectangle, at any place on its grid.
func TestAMeasuredCaseResolvesToItself(t *testing.T) {
	base := readCase(t, "kidney")
	base.Choices.Drains.Outfall = nil
	rapid.Check(t, func(t *rapid.T) {
		c := base
		x, y := rapid.Float64Range(-500, 500).Draw(t, "x"), rapid.Float64Range(-500, 500).Draw(t, "y")
		w, h := rapid.Float64Range(9, 50).Draw(t, "width"), rapid.Float64Range(9, 50).Draw(t, "height")
		c.Green.Outline = &outline.Outline{Metres: [][]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}, {x, y}}}
		first, err := Resolve(c)
		if err != nil {
			t.Fatal(err)
		}
		if g := first.Case.Green; !close(g.AreaM2, w*h, 1e-6) || !close(g.PerimeterM, 2*(w+h), 1e-6) {
			t.Fatalf("%g m² and %g m for %g by %g", g.AreaM2, g.PerimeterM, w, h)
		}
		again, err := Resolve(first.Case)
		if err != nil {
			t.Fatal(err)
		}
		one, _ := json.Marshal(first.Case)
		two, _ := json.Marshal(again.Case)
		if string(one) != string(two) {
			t.Fatal("the resolved case resolves to another")
		}
	})
}

func TestTheDrawingsAreWellFormed(t *testing.T) {
	report := mustDesignWorks(t, readCase(t, "geojson"))
	drawings := map[string]string{"plan": report.PlanSVG, "section": report.SectionSVG}
	for _, name := range []string{outline.Herringbone, outline.PerimeterMain, SlitLayout} {
		plan, err := report.DrawPlan(name)
		if err != nil {
			t.Fatal(err)
		}
		drawings[name] = plan
	}
	for _, o := range OptionsWithWorks() {
		section, err := report.DrawSection(o)
		if err != nil {
			t.Fatal(err)
		}
		drawings[string(o)] = section
	}
	for name, drawing := range drawings {
		decoder := xml.NewDecoder(strings.NewReader(drawing))
		for {
			_, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Errorf("%s: %v", name, err)
				break
			}
		}
		if !strings.HasPrefix(drawing, "<svg ") {
			t.Errorf("%s begins with %.20q", name, drawing)
		}
	}
}

// TestTheRunsOpenInAnotherTool: another library reads the GeoJSON, and its lines,
// measured on the sphere, are as long as the runs are said to be. The sphere and
// the ellipsoid differ by up to half a per cent.
func TestTheRunsOpenInAnotherTool(t *testing.T) {
	for _, name := range []string{"kidney", "geojson"} {
		report := mustDesignWorks(t, readCase(t, name))
		text, err := report.RunsGeoJSON(SlitLayout)
		if err != nil {
			t.Fatal(err)
		}
		collection, err := geojson.UnmarshalFeatureCollection(text)
		if err != nil {
			t.Fatal(err)
		}
		if len(collection.Features) != len(report.SlitLayout.Runs)+1 {
			t.Errorf("%s: %d features for %d runs and an outline", name, len(collection.Features), len(report.SlitLayout.Runs))
		}
		for i, run := range report.SlitLayout.Runs {
			line := collection.Features[i+1].Geometry.(orb.LineString)
			length := 0.0
			for k := 1; k < len(line); k++ {
				length += onSphereM(line[k-1], line[k])
			}
			if math.Abs(length/run.LengthM-1) > 0.005 {
				t.Errorf("%s, %s: %g m on the earth, %g m in the layout", name, run.ID, length, run.LengthM)
			}
		}
	}
}

// onSphereM is the great-circle distance by the haversine formula, radius 6,371 km.
func onSphereM(a, b orb.Point) float64 {
	const degree = math.Pi / 180
	sinLat, sinLon := math.Sin((b[1]-a[1])*degree/2), math.Sin((b[0]-a[0])*degree/2)
	h := sinLat*sinLat + math.Cos(a[1]*degree)*math.Cos(b[1]*degree)*sinLon*sinLon
	return 2 * 6371000 * math.Asin(math.Sqrt(h))
}

func TestWhatCannotBeDrawnIsAFaultWithItsRemedy(t *testing.T) {
	none := mustDesignWorks(t, readCase(t, "materials"))
	c := readCase(t, "kidney")
	c.Green.Outline.Origin = nil
	c.Choices.PartialRenovationPackage = string(layered.ResurfaceOnly)
	c.Choices.Slits = nil
	drawn := mustDesignWorks(t, c)
	_, noOutline := none.DrawPlan("")
	_, noSlits := drawn.DrawPlan(SlitLayout)
	_, noSuch := drawn.DrawPlan("maze")
	_, noOrigin := drawn.RunsGeoJSON("")
	_, noWorks := drawn.DrawSection(Yardstick)
	for pointer, err := range map[string]error{
		"/green/outline": noOutline, "/choices/partial_renovation_package": noSlits, "/choices/drains/choice": noSuch,
		"/green/outline/origin": noOrigin, "": noWorks,
	} {
		if _, ok := faultsOf(t, err)[pointer]; !ok || err == nil {
			t.Errorf("no fault at %q: %v", pointer, err)
		}
	}
}

// TestAThinCutLeavesThatchBehind: 26 mm of thatch cut at 20 mm leaves 6 mm on the
// green and takes nine tenths of 20 mm with it (the table's share); at 40 mm none
// stays.
func TestAThinCutLeavesThatchBehind(t *testing.T) {
	c := readCase(t, "kidney")
	lifting := func(cutMM float64) *layered.Lifting {
		c.Choices.CutThicknessMM = &cutMM
		report := mustDesignWorks(t, c)
		return report.mustOption(t, "layered_rebuild/existing_turf").Design.Lifting
	}
	thin, thick := lifting(20), lifting(40)
	if !close(thin.ThatchLeftMM, 6, 1e-9) || !close(thin.ThatchCarriedMM, 18, 1e-9) {
		t.Errorf("thin: %g mm left, %g mm carried", thin.ThatchLeftMM, thin.ThatchCarriedMM)
	}
	if thick.ThatchLeftMM != 0 || !close(thick.ThatchCarriedMM, 0.9*26, 1e-9) {
		t.Errorf("thick: %g mm left, %g mm carried", thick.ThatchLeftMM, thick.ThatchCarriedMM)
	}
}

// TestStatedChoicesReachTheDesign: each is seen where it belongs.
func TestStatedChoicesReachTheDesign(t *testing.T) {
	report := mustDesignWorks(t, readCase(t, "kidney"))
	rebuild, partial := report.mustOption(t, UsualRebuild).Design, report.mustOption(t, "partial_renovation/existing_turf").Design
	sprinklers := 0.0
	for _, q := range rebuild.Quantities {
		if q.Item == "sprinkler_reinstatement" {
			sprinklers = q.Amount
		}
	}
	for name, pair := range map[string][2]float64{
		"layers without a blinding": {float64(len(rebuild.Layers)), 2},
		"sprinklers":                {sprinklers, 6},
		"route, 140 m by 3 m":       {rebuild.HaulRouteM2, 420},
		"depth of slits":            {partial.Slits.DepthMM, 450},
		"width of slits":            {partial.Slits.WidthMM, 80},
		"slits apart":               {partial.Drains.LateralSpacingM, 1.5},
		"laterals apart":            {rebuild.Drains.LateralSpacingM, 4.5},
	} {
		if !close(pair[0], pair[1], 1e-9) {
			t.Errorf("%s: %g, want %g", name, pair[0], pair[1])
		}
	}
	// The formation lies below the surface by the layers that are chosen.
	stake := report.SettingOut.Stakes[0]
	if got := 1000 * (*stake.SurfaceM - *stake.FormationM); !close(got, 400, 1e-6) {
		t.Errorf("the formation is staked %g mm down, and the layers are 400 mm", got)
	}
}

func TestFaultsOfTheDesignAreAllNamed(t *testing.T) {
	c := readCase(t, "kidney")
	c.Green.AreaM2 = 900
	c.Green.Outline.SpotLevels = nil
	wide, x := 7.0, 3.0
	c.Choices.Drains = &outline.Options{
		SpacingM: &wide, Outfall: &outline.OutfallPlace{XM: &x},
		StatedFall: &outline.StatedFall{FallPct: 40}, Pipe: &outline.PipeChoice{Wall: "straw"},
	}
	c.Materials = &layered.MaterialSamples{Gravel: &layered.Sieving{PanG: 3}}
	c.Assumptions = []assumption.Override{
		{Name: "holeable_edge_distance_m", Likely: 5000},
		{Name: "layout_edge_setback_m", Likely: 40},
		{Name: "drain_design_rate_mm_per_h", Likely: 9000},
	}
	_, err := DesignWorks(c)
	found := faultsOf(t, err)
	for _, pointer := range []string{
		"/green/area_m2", "/choices/drains/spacing_m", "/choices/drains/outfall", "/choices/drains/pipe/wall",
		"/choices/drains/stated_fall/fall_pct", "/materials/gravel/sieves",
		"/assumptions/0/likely", "/assumptions/1/likely", "/assumptions/2/likely",
	} {
		if _, ok := found[pointer]; !ok {
			t.Errorf("no fault at %s in %v", pointer, err)
		}
	}
}

// TestWhatComesFirstIsSaid: water running in needs 0.4 of the perimeter in
// cut-off drain (the table) where no length is stated, whatever is built; and a start ten months after
// the survey is warned of.
func TestWhatComesFirstIsSaid(t *testing.T) {
	c := readCase(t, "geojson")
	c.Available = &Available{FirstMonth: costs.YearMonth{Year: 2026, Month: 12}}
	report := mustDesignWorks(t, c)
	if len(report.EnablingNeeds) != 1 || report.EnablingNeeds[0].Item != "cut_off_drain" || !close(report.EnablingNeeds[0].Amount, 0.4*report.PerimeterM, 1e-9) {
		t.Errorf("got %+v", report.EnablingNeeds)
	}
	if !strings.Contains(strings.Join(report.Cautions, "\n"), "10 months from the survey") {
		t.Errorf("no warning of the lead time: %q", report.Cautions)
	}
}
