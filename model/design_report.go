package model

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"swardcase/model/fault"
	"swardcase/model/layered"
	"swardcase/model/outline"
	"swardcase/model/survey"
)

// DesignReport is what the works on a green would be built as: measures, drain
// runs with their levels, quantities, the works in weeks, and the verdict on the
// materials. It holds no forecast and no advice.
type DesignReport struct {
	EngineVersion string      `json:"engine_version"`
	Title         string      `json:"title,omitempty"`
	Green         string      `json:"green"`
	AreaM2        float64     `json:"area_m2"`
	PerimeterM    float64     `json:"perimeter_m"`
	Drains        DrainChoice `json:"drains"` // of the rebuild
	// Outline and what follows it are null where the case has no outline;
	// Levelling and the levels of the stakes also without enough spot levels.
	Outline    *outline.Report    `json:"outline"`
	Levelling  *outline.Levelling `json:"levelling"`
	SettingOut SettingOut         `json:"setting_out"`
	// SlitLayout is that of a partial renovation; null where none is drawn.
	SlitLayout *outline.Layout   `json:"slit_layout"`
	Options    []OptionDesign    `json:"options"`
	Materials  *MaterialsVerdict `json:"materials"` // null without samples
	// The drawings are SVG documents; the plan is empty without an outline.
	PlanSVG    string `json:"plan_svg"`
	SectionSVG string `json:"section_svg"`
	// EnablingNeeds are put right around the green first, whatever is built.
	EnablingNeeds []EnablingNeed `json:"enabling_needs"`
	Cautions      []string       `json:"cautions"`

	shape *outline.Shape
}

// SettingOut is the grid of level stakes for formation, layers and surface.
type SettingOut struct {
	GridM      float64 `json:"grid_m"`
	StakesEach int     `json:"stakes_each"`
	// Stakes are listed where there is an outline to set them in.
	Stakes []outline.Stake `json:"stakes"`
}

// OptionDesign is the design of one option with works.
type OptionDesign struct {
	Option        Option          `json:"option"`
	Words         string          `json:"words"`
	Package       string          `json:"package,omitempty"`
	PackageReason string          `json:"package_reason,omitempty"`
	Drains        DrainChoice     `json:"drains"`
	Design        *layered.Design `json:"design"`
	// Timeline is null where the surface cannot be made from any start within a
	// year of the first month.
	Timeline   *Timeline `json:"timeline"`
	Infeasible []Reason  `json:"infeasible"`
	Cautions   []string  `json:"cautions"`
}

// DesignWorks resolves a case and designs every option with works. The error is
// a fault.List when the case has faults, all of them at once.
func DesignWorks(c Case) (DesignReport, error) {
	resolved, resolveErr := Resolve(c)
	report, judgeErr := resolved.judgeForDesign()
	if err := joinFaults(resolveErr, judgeErr); err != nil {
		return DesignReport{}, err
	}
	a := appraiser{Resolved: resolved, report: report}
	if err := a.draw(); err != nil {
		return DesignReport{}, err
	}
	return a.designWorks()
}

// judgeForDesign judges the condition where anything was surveyed: it tells the
// package of a partial renovation. A design can be had without.
func (r Resolved) judgeForDesign() (ConditionReport, error) {
	if r.Case.hasSurvey() {
		return r.judge()
	}
	summary, bad := survey.Summarise(r.Case.Survey, survey.ParametersFrom(r.assumptions))
	return ConditionReport{Survey: summary}, r.home(bad, [2]string{"", "/survey"}).Err()
}

func (a *appraiser) designWorks() (DesignReport, error) {
	green := a.Case.Green
	out := DesignReport{
		EngineVersion: EngineVersion, Title: a.Case.Title, Green: green.Name,
		AreaM2: green.AreaM2, PerimeterM: green.PerimeterM, Options: []OptionDesign{},
		EnablingNeeds: a.enablingWorks(causes{}).Needs, // what they give back is for an appraisal
	}
	for _, option := range OptionsWithWorks() {
		designed, err := a.designOption(option)
		if err != nil {
			return DesignReport{}, err
		}
		out.Options = append(out.Options, designed)
	}
	rebuild, _ := out.Option(UsualRebuild)
	out.Drains = rebuild.Drains
	var bad fault.List
	if out.SettingOut, bad = a.settingOut(); len(bad) > 0 {
		return DesignReport{}, bad
	}
	if a.drawn != nil {
		out.putOutline(a)
	}
	var err error
	if out.Materials, err = a.judgeMaterials(rebuild); err != nil {
		return DesignReport{}, err
	}
	out.SectionSVG, _ = out.DrawSection(UsualRebuild)
	out.Cautions = a.designCautions(out)
	return out, nil
}

// UsualRebuild is the option that stands for the rebuild where its surface makes
// no odds: seed, which adds no thickness of turf.
const UsualRebuild = Option("layered_rebuild/seed")

func (a *appraiser) designOption(o Option) (OptionDesign, error) {
	worked := OptionAppraisal{Option: o, Words: o.Words(), Infeasible: []Reason{}, Cautions: []string{}}
	if err := a.design(&worked); err != nil {
		return OptionDesign{}, err
	}
	return OptionDesign{
		Option: o, Words: worked.Words, Package: worked.Package, PackageReason: worked.PackageReason,
		Drains: worked.Drains, Design: worked.Design, Timeline: worked.Timeline,
		Infeasible: worked.Infeasible, Cautions: worked.Cautions,
	}, nil
}

// putOutline fills in what only an outline gives.
func (out *DesignReport) putOutline(a *appraiser) {
	d := a.drawn
	out.shape, out.Outline = d.shape, d.rebuild
	out.Levelling = d.shape.Levelling(d.rebuild.Plane, outline.ParametersFrom(a.assumptions))
	if d.slits != nil {
		out.SlitLayout = used(d.slits)
	}
	out.PlanSVG, _ = out.DrawPlan("")
}

// settingOut places level stakes: on the grid within the outline, or as many as
// the area has room for.
func (a *appraiser) settingOut() (SettingOut, fault.List) {
	grid := a.assumptions.Likely("level_stake_grid_m")
	if !(grid >= outline.LeastStakeGridM && grid <= 20) {
		var bad fault.List
		bad.Add(a.overrideOf("level_stake_grid_m"), grid, "not a grid of level stakes", fmt.Sprintf("give %d to 20 m", outline.LeastStakeGridM))
		return SettingOut{}, bad
	}
	out := SettingOut{GridM: grid, StakesEach: int(math.Ceil(a.Case.Green.AreaM2 / (grid * grid))), Stakes: []outline.Stake{}}
	if a.drawn != nil {
		out.Stakes = a.drawn.shape.Stakes(grid, a.drawn.rebuild.Plane, *a.drainOptions().FormationDepthMM)
		out.StakesEach = len(out.Stakes)
	}
	return out, nil
}

// Option gives the design of an option; false when it has none.
func (out *DesignReport) Option(o Option) (OptionDesign, bool) {
	i := slices.IndexFunc(out.Options, func(d OptionDesign) bool { return d.Option == o })
	if i < 0 {
		return OptionDesign{}, false
	}
	return out.Options[i], true
}

// SlitLayout is the name by which the layout of slits is asked for, beside those
// of the two kinds of the rebuild's.
const SlitLayout = "slits"

// Layout finds a layout by its name, or the one used for the rebuild where the
// name is empty. A layout that is not there is a fault of the case.
func (out *DesignReport) Layout(name string) (*outline.Layout, error) {
	var faults fault.List
	switch {
	case out.Outline == nil:
		faults.Add("/green/outline", nil, "without an outline no layout is drawn", "give green.outline, in metres or as GeoJSON")
	case name == SlitLayout && out.SlitLayout == nil:
		faults.Add("/choices/partial_renovation_package", nil, "no slits are drawn: "+out.whyNoSlits(), "choose a package with drains, or another layout")
	case name == SlitLayout:
		return out.SlitLayout, nil
	case name == "":
		return out.Outline.Layout(out.Drains.Layout), nil
	default:
		if layout := out.Outline.Layout(name); layout != nil {
			return layout, nil
		}
		faults.Add("/choices/drains/choice", name, "there is no such layout", "give herringbone, perimeter_main or slits")
	}
	return nil, faults
}

func (out *DesignReport) whyNoSlits() string {
	for _, o := range out.Options {
		if o.Option.Route() == PartialRenovation {
			return strings.TrimSuffix(o.Drains.Reason, ".")
		}
	}
	return ""
}

// DrawPlan draws a layout, by its name as in Layout, as an SVG document.
func (out *DesignReport) DrawPlan(name string) (string, error) {
	layout, err := out.Layout(name)
	if err != nil {
		return "", err
	}
	return out.shape.DrawPlan(layout, out.Outline.Plane, out.heading()), nil
}

// RunsGeoJSON gives a layout as a GeoJSON FeatureCollection. A metre outline
// needs an origin for it.
func (out *DesignReport) RunsGeoJSON(name string) ([]byte, error) {
	layout, err := out.Layout(name)
	if err != nil {
		return nil, err
	}
	text, bad := out.shape.RunsGeoJSON(layout)
	var faults fault.List
	faults.Under("/green/outline", bad)
	return text, faults.Err()
}

// DrawSection draws the profile of an option as an SVG document.
func (out *DesignReport) DrawSection(o Option) (string, error) {
	design, known := out.Option(o)
	if !known {
		var faults fault.List
		faults.Add("", o, "this option has no works to draw", fmt.Sprintf("give one of %v", OptionsWithWorks()))
		return "", faults
	}
	return design.Design.DrawSection(out.heading() + ": " + o.Words()), nil
}

// OptionsWithWorks lists the options that are designed, in their order.
func OptionsWithWorks() []Option {
	return slices.DeleteFunc(Options(), func(o Option) bool { return !o.HasWorks() })
}

func (out *DesignReport) heading() string {
	if out.Title != "" {
		return out.Title
	}
	return "Green " + out.Green
}

// designCautions are the warnings that stand on every design, and those of the
// drawing.
func (a *appraiser) designCautions(out DesignReport) []string {
	cautions := []string{
		"Machinery on and near greens: trained operators only; keep members and the public away from the works.",
		"Record the levels of the old surface before it is stripped, and check the finished surface against them.",
		"A design to price and to discuss, not a contract drawing: a drainage engineer and a laboratory check it before it is built.",
	}
	if c := a.leadTimeCaution(); c != "" {
		cautions = append(cautions, c)
	}
	if c := a.blindingCaution(out.Materials); c != "" {
		cautions = append(cautions, c)
	}
	if out.Outline == nil {
		return append(cautions,
			"Buried services: before any digging, have pipes and cables traced and marked; excavation and trenches follow local codes and licensed practice.",
			"Discharge of drainage water may need consent; ask the authority before the design is fixed.",
			"No outline was given: area and perimeter are as stated, and lengths of drains are reckoned and not drawn.")
	}
	cautions = append(cautions, out.Outline.Cautions...) // services, trenches and discharge among them
	for _, layout := range []*outline.Layout{out.Outline.Layout(out.Drains.Layout), out.SlitLayout} {
		if layout == nil {
			continue
		}
		for _, c := range layout.Cautions {
			if !slices.Contains(cautions, c) {
				cautions = append(cautions, c)
			}
		}
	}
	return cautions
}
